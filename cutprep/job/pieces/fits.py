"""Pieces of a job that belong together: `[[fits]]` of the job file, and pairs that are found."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.fit.pairs import found_fits
from cutprep.stages.fold.fit.tell import Wanted, fit_finding, size_of, told
from cutprep.tables import Table, suggest


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
    stem, _, number = name.partition("#")
    if name in names:
        return name
    if stem not in names:
        raise row.fail(key, f"no template of this job is '{stem}'", suggest(stem, names))
    if number and not number.isdecimal():
        raise row.fail(key, f"'{number}' is no number of a part", f"Write '{stem}#2' for its second part.")
    return name


def fits_told(wanted: Sequence[Wanted], folded: Sequence[tuple[str, tuple[FoldReport, ...]]]) -> Findings:
    """Tell how the pieces of a job fit one another.

    Parameters
    ----------
    folded
        File name and folded parts of every template.
    """
    said = [_declared(wish, folded) for wish in wanted]
    named = {frozenset((w.outer, w.inner)) for w in wanted if isinstance(w.inner, str)}
    single = [(name, reports[0]) for name, reports in folded if len(reports) == 1]
    for outer, inner, found in found_fits([report for _, report in single]):
        names = single[outer][0], single[inner][0]
        if names[0] != names[1] and frozenset(names) not in named:
            said.append(fit_finding(found, declared=False))
    return tuple(said)


def _declared(wish: Wanted, folded: Sequence[tuple[str, tuple[FoldReport, ...]]]) -> Finding:
    outer = _piece(wish.outer, folded)
    inner = _piece(wish.inner, folded) if isinstance(wish.inner, str) else wish.inner
    missing = wish.outer if outer is None else wish.inner if inner is None else None
    if outer is None or inner is None:
        return Finding.of(
            "fit-unknown", f"Whether they fit is not known: '{missing}' has no such part that folds"
        )
    return told(wish, outer, inner)


def _piece(name: str, folded: Sequence[tuple[str, tuple[FoldReport, ...]]]) -> FoldReport | None:
    """The part that a name such as "tray.svg" or "set.svg#2" means."""
    own = next((reports for known, reports in folded if known == name and "#" in known), ())
    if own:
        return own[0]
    stem, _, number = name.partition("#")
    if not (number or "1").isdecimal():
        return None
    parts = next((reports for known, reports in folded if known == stem), ())
    at = int(number or 1) - 1
    return parts[at] if 0 <= at < len(parts) else None
