"""Pieces of a job that belong together: `[[fits]]` of the job file, and pairs that are found."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.errors import JobError
from cutprep.job.loading import Loaded
from cutprep.job.pieces.own import file_of, number_of
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import FoldReport
from cutprep.stages.divide import divide
from cutprep.stages.fold.fit.pairs import found_fits
from cutprep.stages.fold.fit.tell import Wanted, fit_finding, size_of, told
from cutprep.tables import Table, suggest
from cutprep.tolerance import Tolerance


def wanted_fits(table: Table, names: Sequence[str]) -> tuple[Wanted, ...]:
    """Read `[[fits]]`.

    Parameters
    ----------
    names
        File names of the job's templates.

    Raises
    ------
    JobError
        When a piece is named that no template is.
    """
    found = []
    for row in table.tables("fits"):
        inner = row.text("inner")
        size = size_of(inner)
        outer = _known(row, "outer", row.text("outer"), names)
        goes = _known(row, "inner", inner, names) if size is None else size
        found.append(Wanted(outer, goes, row.length("clearance", 0.0, most=100.0)))
        row.finish()
    return tuple(found)


def _known(row: Table, key: str, name: str, names: Sequence[str]) -> str:
    stem = name.partition("#")[0]
    if name in names:
        return name
    if stem not in names:
        raise row.fail(key, f"no template of this job is '{stem}'", suggest(stem, names))
    return name


def fits_told(wanted: Sequence[Wanted], loaded: Sequence[Loaded], tolerance: Tolerance) -> Findings:
    """Tell how the pieces of a job fit one another.

    Parameters
    ----------
    wanted
        What the job file says.
    loaded
        Every template, folded.
    tolerance
        With which their drawings are divided.
    """
    said = [_declared(wish, loaded, tolerance) for wish in wanted]
    named = {frozenset((w.outer, w.inner)) for w in wanted if isinstance(w.inner, str)}
    single = [(file_of(one.item), one.folds[0]) for one in loaded if len(one.folds) == 1]
    for outer, inner, found in found_fits([report for _, report in single]):
        names = single[outer][0], single[inner][0]
        if names[0] != names[1] and frozenset(names) not in named:
            said.append(fit_finding(found, declared=False))
    return tuple(said)


def _declared(wish: Wanted, loaded: Sequence[Loaded], tolerance: Tolerance) -> Finding:
    try:
        outer = _piece(wish.outer, loaded, tolerance)
        inner = _piece(wish.inner, loaded, tolerance) if isinstance(wish.inner, str) else wish.inner
    except JobError as fault:
        return Finding.of("fit-unknown", f"Whether they fit is not known: {fault.problem}", fault.fix)
    missing = wish.outer if outer is None else wish.inner if inner is None else None
    if outer is None or inner is None:
        return Finding.of(
            "fit-unknown", f"Whether they fit is not known: '{missing}' has no such part that folds"
        )
    return told(wish, outer, inner)


def _piece(name: str, loaded: Sequence[Loaded], tolerance: Tolerance) -> FoldReport | None:
    """The part that a name such as "tray.svg", "set.svg#2" or "set.svg#lid" means, also where it is laid by itself.

    Raises
    ------
    JobError
        When the drawing has no such piece.
    """
    stem, _, word = name.partition("#")
    rest = next((one for one in loaded if one.item.path.name == stem and not one.item.only), None)
    if rest is None:
        return None
    template = divide(rest.whole or rest.drawing, tolerance)
    number = number_of(template, word or "1")
    gone = {number_of(template, other): other for other in rest.item.less}
    if number in gone:
        own = (one.folds for one in loaded if file_of(one.item) == f"{stem}#{gone[number]}")
        return next((folds[0] for folds in own if folds), None)
    at = number - sum(other < number for other in gone)
    return rest.folds[at] if at < len(rest.folds) else None
