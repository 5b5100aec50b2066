"""Drawings of a job as they are worked on: read, classified, mended if asked, checked, and folded on the screen."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import CutprepError, at
from cutprep.files import load_bytes
from cutprep.job.job import Batch, Item, Job
from cutprep.job.memory import Memory, no_memory
from cutprep.job.pieces.named import PieceNames
from cutprep.job.pieces.own import Reading, only_its_pieces
from cutprep.job.printing.taken import with_artwork
from cutprep.job.settings.worked import require_layers
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings, Severity, errors
from cutprep.model.folded import CLOSING, FoldReport
from cutprep.model.operation import WORKED, Operation
from cutprep.profile.setup import set_up
from cutprep.progress import Progress, silent
from cutprep.stages.blade.tight import tight_features
from cutprep.stages.check.inspect import check as inspect_drawing
from cutprep.stages.classify import require_matches
from cutprep.stages.divide import divide
from cutprep.stages.fold.closing.work import WORK_LIMIT
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.plan import fold
from cutprep.stages.mend.change import made, wished
from cutprep.tolerance import Tolerance
from cutprep.units import told_in

#: A template with more scores than this is lace or a pattern, not a box.
_MOST_SCORES = 600


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """One item of a batch after reading, classifying, mending and checking.

    Attributes
    ----------
    findings
        All that was told, the changes of mending among them.
    folds
        One for each part that was folded.
    mended
        The changes of mending alone.
    whole
        The drawing with all of its pieces; None where that is `drawing`.
    """

    item: Item
    drawing: Drawing
    findings: Findings
    folds: tuple[FoldReport, ...] = ()
    mended: Findings = ()
    whole: Drawing | None = None

    @property
    def corner(self) -> tuple[float, float]:
        """Where the origin of its template lies in the drawing, mm."""
        worked = self.drawing.lines
        return worked.take(np.isin(worked.operation, WORKED)).bounds[:2]

    def parts(self, tolerance: Tolerance) -> int:
        """How many parts the drawing has, as `prepare` counts them."""
        return len(divide(self.drawing, tolerance).parts)


def load_all(job: Job, progress: Progress = silent, memory: Memory = no_memory) -> list[list[Loaded]]:
    """Load every drawing, batch by batch.

    Parameters
    ----------
    job
        That names them.
    progress
        Told of each.
    memory
        Gives what was loaded of the same bytes by the same rules before.

    Raises
    ------
    JobError
        When a rule matches nothing in the drawings that it was given for.
    InputError
        When a drawing can't be used.
    """
    with told_in(job.unit):
        return _loaded_all(job, progress, memory)


def _loaded_all(job: Job, progress: Progress, memory: Memory) -> list[list[Loaded]]:
    loaded: list[list[Loaded]] = []
    for batch in job.batches:
        loaded.append([])
        for item in batch.items:
            one = memory(
                "drawing",
                (_bytes_of(item, job), _loaded_by(item, batch, job)),
                lambda item=item, batch=batch: load(item, batch, job, memory),  # type: ignore[misc]
            )
            loaded[-1].append(replace(one, item=item))
            progress("drawings", sum(map(len, loaded)), len(job.items))
    given: dict[int, list[Loaded]] = {}  # options are one set of rules for all drawings
    for one in (one for batch in loaded for one in batch):
        given.setdefault(id(one.item.rules), []).append(one)
    for together in given.values():
        require_matches(together[0].item.rules, [one.drawing for one in together])
    require_layers(job.cutting.layers, (one.drawing for batch in loaded for one in batch))
    return loaded


def _bytes_of(item: Item, job: Job) -> bytes:
    """What a drawing holds; nothing when it can't be read, which reading it then says."""
    try:
        return load_bytes(item.path, job.limits.file_bytes)
    except OSError:
        return b""


def _loaded_by(item: Item, batch: Batch, job: Job) -> tuple[object, ...]:
    """All that a loaded drawing depends on beside its bytes."""
    area = (job.machine.width, job.machine.height)
    card = (batch.stock.strip, batch.stock.caliper, batch.sheets)
    return (
        item.path.name,
        item.only,
        item.less,
        item.folding,
        item.rules,
        item.units,
        item.expect,
        item.leave,
        job.mending,
        job.tolerance,
        job.limits,
        area,
        card,
        blade_offset(job),
    )


def _reading(job: Job) -> Reading:
    return Reading(job.mending, job.tolerance, job.limits)


def read_item(item: Item, job: Job, memory: Memory = no_memory) -> Drawing:
    """Read one drawing of a job, and classify its lines."""

    def read() -> Drawing:
        return with_artwork(
            _reading(job).classified(item),
            item.path,
            item.rules,
            tolerance=job.tolerance,
            units=item.units,
            limits=job.limits,
        )

    with at(file=item.path.name):
        inputs = (_bytes_of(item, job), item.path.name, item.rules, item.units, job.tolerance, job.limits)
        return memory("lines", inputs, read)


def load(item: Item, batch: Batch, job: Job, memory: Memory = no_memory) -> Loaded:
    """Read one drawing, classify, mend if asked, check and fold it.

    Parameters
    ----------
    item
        The drawing.
    batch
        Its card.
    job
        What it belongs to.
    memory
        Gives its lines when they were read before.
    """
    with at(file=item.path.name):
        drawing = read_item(item, job, memory)
        drawing, changes = _reading(job).mended(drawing, item)
        mended, said_of_it = made(changes), wished(changes)
        found = inspect_drawing(
            drawing,
            job.tolerance,
            strip=batch.stock.strip,
            blade_offset=blade_offset(job),
            area=(job.machine.width, job.machine.height),
            sheet=(batch.sheets[0].width, batch.sheets[0].height),
            expect=item.expect,
        )
        tight = tight_features(drawing.lines, blade_offset(job), job.tolerance)
        told_of_all = drawing.notes + mended + said_of_it + found + tight
        whole, drawing = drawing, only_its_pieces(drawing, item, job.tolerance)
        said = item.folding
        if said is not None and (item.only or item.less):
            said = said.within(drawing.lines.bounds)
        folds, told = fold_up(
            drawing, batch.stock.caliper, job.tolerance, found, work=job.limits.fold_work, declared=said
        )
    # What is wrong with a drawing is told once, of the item that its other pieces stay in.
    found = told if item.only else told_of_all + told
    return Loaded(item, drawing, found, folds, mended, whole if item.less else None)


def fold_up(
    drawing: Drawing,
    caliper: float,
    tolerance: Tolerance,
    faults: Findings = (),
    *,
    work: float = WORK_LIMIT,
    declared: FoldDeclarations | None = None,
) -> tuple[tuple[FoldReport, ...], Findings]:
    """Fold a drawing that has scores; what is wrong with the fold never stops a job.

    A perforation is taken for a line to tear along, and folds only where the piece does not close without.

    Parameters
    ----------
    caliper
        Thickness of the card, mm.
    faults
        What the check found.
    work
        Counted units of work for each part.
    declared
        What the maker says about folding.

    Returns
    -------
    reports
        One for each part; none when nothing folds.
    findings
        What folding found, errors turned to warnings, or a note why it was not done.
    """
    scores = int(np.isin(drawing.lines.operation, (Operation.SCORE, Operation.PERFORATE)).sum())
    if not scores or errors(drawing.notes):
        return (), ()
    if scores > _MOST_SCORES:
        return (), (_not_folded(f"{scores} scores are more than the {_MOST_SCORES} that are folded"),)
    tears = drawing.lines.operation == Operation.PERFORATE
    try:
        reports = fold(
            drawing,
            declared=declared,
            thickness=caliper,
            tolerance=tolerance,
            faults=faults,
            work=work,
            pieces=PieceNames(drawing, tolerance),
        )
        if tears.any() and declared is None:
            whole = drawing.with_lines(drawing.lines.take(~tears))
            torn_off = fold(
                whole,
                thickness=caliper,
                tolerance=tolerance,
                faults=faults,
                work=work,
                pieces=PieceNames(whole, tolerance),
            )
            if _does_without(torn_off, reports):
                reports = torn_off
    except CutprepError as fault:
        return (), (_not_folded(fault.problem),)
    found = tuple(dict.fromkeys(f for report in reports for f in report.messages))
    return reports, tuple(
        replace(f, severity=Severity.WARNING) if f.severity is Severity.ERROR else f for f in found
    )


def _does_without(whole: tuple[FoldReport, ...], perforated: tuple[FoldReport, ...]) -> bool:
    """Whether a piece folds as well when its perforations only tear: it closes, or closes neither way."""
    closed = all(report.verdict in CLOSING and report.ok for report in whole)
    return closed or not any(report.verdict in CLOSING for report in perforated)


def _not_folded(why: str) -> Finding:
    return Finding.of("not-folded", f"The template was not folded on the screen: {why}")


def blade_offset(job: Job) -> float:
    """Offset of the knife's tip that a job goes by, mm."""
    if job.cutting.offset is not None:
        return job.cutting.offset
    machines = [set_up(job.machine, batch.stock) for batch in job.batches]
    return max((tool.offset for machine in machines for tool in machine.tools), default=0.0)
