"""The sequence of stages; those up to dividing are called by `loading` and `ready`.

read -> classify -> mend -> check -> divide -> nest -> order -> blade -> write -> read back ->
compare -> time. Everything else in cutprep is a function from one value to the next.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from cutprep.geometry.affine import apply
from cutprep.geometry.placed import placed_lines
from cutprep.geometry.turned_over import turned_over
from cutprep.job.build import settings_data
from cutprep.job.folder.machine_files import named
from cutprep.job.job import Batch, Job, readback_limit
from cutprep.job.loading import Loaded
from cutprep.job.memory import Memory, no_memory
from cutprep.job.names.dealt import deal
from cutprep.job.pieces.own import file_of
from cutprep.job.printing.marks import mark_spots
from cutprep.job.ready import made_ready
from cutprep.job.sheets.aligned import aligned, alignment
from cutprep.job.sheets.apart import pieces_apart
from cutprep.job.sheets.equal import equal_together
from cutprep.job.sheets.layout import lay_out, used_card
from cutprep.job.sheets.spares import sheets_for_spares
from cutprep.job.sheets.worked import left_out, worked
from cutprep.job.sides.asked import FROM_BACK
from cutprep.job.sides.folds import from_back
from cutprep.job.sides.meeting import require_meeting
from cutprep.job.sides.turning import crosses, parted, to_back, turned_strokes, turned_way, with_crosses
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import WORKED, Operation
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport
from cutprep.profile.machine import Machine
from cutprep.profile.setup import set_up
from cutprep.profile.ways import worked_by
from cutprep.progress import Progress, silent
from cutprep.report.outcome import BackRun, MachineFile, Outcome, SheetOutcome, TemplateOutcome
from cutprep.report.pictures.findings import findings_picture
from cutprep.stages.blade.broken import bridges_of
from cutprep.stages.blade.cutting import Cutting, Passes
from cutprep.stages.blade.plan import unheld
from cutprep.stages.blade.scoring import say_scoring
from cutprep.stages.motion.duration import duration
from cutprep.stages.order.plan import plan as order
from cutprep.stages.write.machine_file import deviation
from cutprep.units import say_time, told_in

_PLAIN = (
    "the search for a short order broke down ({}); the nearest line comes next instead, so travel is longer"
)


def run(job: Job, progress: Progress = silent, memory: Memory = no_memory) -> Outcome:
    """Do the whole job, short of writing files.

    Parameters
    ----------
    job
        What to do.
    progress
        Told how far it is.
    memory
        Gives results of drawings, layouts and sheets that were made of the same inputs before.

    Returns
    -------
    Outcome
        With the text of every machine file, read back and proved against the plan.

    Raises
    ------
    Stopped
        When a drawing has errors and the job does not say to go on.
    CutprepError
        When the job can't be done; its lengths are told in the job's unit.
    """
    with told_in(job.unit):
        return _done(job, progress, memory)


def _done(job: Job, progress: Progress, memory: Memory) -> Outcome:
    ready = made_ready(job, progress, memory)
    job = ready.job
    told: list[TemplateOutcome] = []
    spares: list[Finding] = []
    done: list[SheetOutcome] = []
    for batch, drawings, templates, texts in zip(
        job.batches, ready.loaded, ready.divided, ready.own, strict=True
    ):
        used = used_card(job, batch)
        laid = [turned_over(one) for one in templates] if job.face_down else templates
        laid_by = laid, _laid_by(job, batch), used
        sheets = memory("layout", laid_by, partial(lay_out, job, batch, laid, progress, used=used))
        copies: Counter[int] = Counter()
        for sheet in sheets:
            for placement in sheet.placements:
                copies[placement.template] += sheet.runs
        spares.extend(sheets_for_spares(job, batch, sheets, len(done)))
        lay = partial(lay_out, progress=silent, used=used)
        spares.extend(
            memory("apart", laid_by, partial(pieces_apart, job, batch, drawings, laid, sheets, lay))
        )
        told.extend(
            _told(one, template, batch, copies[i])
            for i, (one, template) in enumerate(zip(drawings, templates, strict=True))
        )
        laid_out = deal(equal_together(sheets), texts)
        done.extend(_sheets(job, batch, laid_out, len(done), progress, memory))
    return Outcome(
        title=job.title,
        machine=job.machine,
        language=job.language,
        templates=tuple(told),
        sheets=tuple(done),
        findings=(*ready.findings, *spares, *aligned(job), *(f for s in done for f in s.sheet.notes)),
        despite=job.despite_findings,
        seed=job.nesting.seed,
        unit=job.unit,
        sets=job.sets,
        together=job.together,
        chord_error=deviation(job.machine, job.language, job.tolerance.sagitta + left_out(job)),
        face_down=job.face_down,
        from_back=FROM_BACK[job.from_back],
        students=job.students if "class-sheet" in job.also else 0,
        scoring=_scoring(job, done),
        tolerance=job.tolerance,
        settings=settings_data(job),
    )


def _scoring(job: Job, done: Sequence[SheetOutcome]) -> str:
    """How scores are made, for a person; where cards differ in it, of each."""
    said = {
        s.stock.title: say_scoring(set_up(job.machine, s.stock), job.cutting.perforation)
        for s in done
        if s.score
    }
    ways = list(dict.fromkeys(said.values()))
    if len(ways) <= 1:
        return "".join(ways)
    return "; ".join(f"{way} ({title})" for title, way in said.items())


def _laid_by(job: Job, batch: Batch) -> tuple[object, ...]:
    """All that a layout depends on beside the templates."""
    items = [(item.in_set, item.copies, item.turns, item.mirror) for item in batch.items]
    area = (job.machine.width, job.machine.height)
    return (
        job.nesting,
        job.printer_edge,
        (job.from_back, job.turn_by),
        job.amount,
        job.sets,
        area,
        job.tolerance,
        batch.stock,
        batch.sheets,
        (batch.spots, job.lay_rest),
        items,
    )


def _worked_by(job: Job, batch: Batch) -> tuple[object, ...]:
    """All that the work on a sheet depends on beside what lies on it."""
    return (
        job.machine,
        job.language,
        job.ordering,
        job.cutting,
        job.align,
        job.tolerance,
        batch.stock,
        job.printer_edge,
        (job.from_back, job.turn_by, job.nesting.margin),
    )


def _sheets(
    job: Job, batch: Batch, differing: Sequence[Sheet], before: int, progress: Progress, memory: Memory
) -> Iterator[SheetOutcome]:
    """Turn sheets that differ into machine files."""
    tail = f"-{batch.stock.name}" if len(job.batches) > 1 else ""
    for count, alike in enumerate(differing, 1):
        laid = replace(alike, number=before + count)
        done = memory(
            "sheet",
            (laid, _worked_by(job, batch)),
            lambda laid=laid: _sheet(job, batch, laid),  # type: ignore[misc]
        )
        told = tuple(_with_time(note, job.machine, batch) for note in laid.notes)
        stem = f"sheet-{laid.number:02d}{tail}"
        # Notes made by working it out stand behind those of laying it out.
        sheet = replace(done.sheet, notes=told + done.sheet.notes)
        yield replace(done, sheet=sheet, files=named(done.files, stem, job.language), stem=stem)
        progress("sheets", count, len(differing))


def _with_time(note: Finding, machine: Machine, batch: Batch) -> Finding:
    """Add to the note on shared cuts the time that the blade would have taken for them."""
    speeds = [tool.speed for tool in machine.tools if Operation.CUT in tool.does]
    if note.code != "shared-cuts" or note.measure is None or not speeds:
        return note
    seconds = note.measure / (speeds[0] * batch.stock.speed_factor)
    return replace(note, problem=f"{note.problem}, about {say_time(seconds)} of cutting saved")


def _sheet(job: Job, batch: Batch, sheet: Sheet) -> SheetOutcome:
    """Order, compensate, write, read back, compare and time one sheet, from both sides where that is asked."""
    machine, placed = set_up(job.machine, batch.stock), placed_lines(sheet).lines
    cutting = replace(
        job.cutting,
        passes=job.cutting.passes or Passes(batch.stock.passes),
        speed_factor=batch.stock.speed_factor,
    )
    front, back = sheet, None
    first: tuple[MachineFile, ...] = ()
    behind = from_back(placed, FROM_BACK[job.from_back])
    if behind.any():
        front, other = parted(sheet, job)
        back, first = _back(job, machine, other, placed, behind, cutting)
    strokes, report = _ordered(job, machine, front, machine.home)
    if job.align:
        matrix = alignment(job).matrix
        strokes, placed = replace(strokes, lines=strokes.lines.transform(matrix)), placed.transform(matrix)
    beside = placed.take(behind) if back is not None else None
    done = worked(
        strokes, job, machine, cutting, beside, sheet=sheet, side="front" if back is not None else ""
    )
    notes = unheld(strokes, bridges_of(machine, job.cutting.bridges), job.tolerance)
    if report.failed:
        notes = (Finding.of("plain-order", _PLAIN.format(report.failed)), *notes)
    return SheetOutcome(
        sheet=replace(sheet, notes=notes),
        stock=batch.stock,
        placed=placed,
        strokes=strokes,
        order=report,
        planned=done.planned,
        read=done.read,
        files=(*first, *done.files),
        duration=done.files[0].duration if len(done.files) == 1 else duration(done.read, machine),
        blade_error=float(max(done.miss, default=0.0)),
        marks=_marks(sheet, job),
        back=back,
    )


def _ordered(
    job: Job, machine: Machine, sheet: Sheet, home: tuple[float, float]
) -> tuple[Strokes, OrderReport]:
    """Put the lines of a sheet into working order."""
    ordering = replace(
        job.ordering,
        home=home,
        tools=tuple(map(frozenset, worked_by(machine, _operations(placed_lines(sheet).lines)))),
        speed=machine.travel_speed,
        top_speed=machine.top_speed,
        acceleration=machine.acceleration,
    )
    return order(sheet, ordering, tolerance=job.tolerance)


def _back(
    job: Job, machine: Machine, sheet: Sheet, placed: Lines, behind: Flags, cutting: Cutting
) -> tuple[BackRun, tuple[MachineFile, ...]]:
    """The run over a sheet with its back up, and its files; none when the front is laid where it was found after it.

    Parameters
    ----------
    job, machine
        How it is worked; the machine as it is set up for the card.
    sheet
        On which only the scores from the back are worked.
    placed, behind
        All lines of the sheet, where the front has them; (m,) flags of those that are scored from the back.
    """
    size, way = (sheet.width, sheet.height), turned_way(machine)
    over, spots = to_back(*size, way), crosses(sheet, job)
    x, y = apply(over, np.array(machine.home)).tolist()
    seen = with_crosses(_ordered(job, machine, sheet, (x, y))[0], spots)
    strokes = turned_strokes(seen, over, machine.home)
    scores = placed.take(behind)
    other = placed.take(~behind).transform(over)
    on_back = worked(strokes, job, machine, cutting, other, sheet=sheet, side="back")
    miss = require_meeting(
        scores,
        seen,
        on_back.planned,
        on_back.read,
        machine,
        cutting,
        size=size,
        way=way,
        within=readback_limit(job.language, machine, job.tolerance),
        tolerance=job.tolerance,
    )
    done = bool(job.align)
    planned, read = on_back.planned, on_back.read
    run = BackRun(scores, strokes, planned, read, duration(read, machine), way, spots, miss, done)
    return run, () if done else on_back.files


def _marks(sheet: Sheet, job: Job) -> Points:
    """Where register marks lie, when a copy on the sheet is printed before it is cut, (n, 2)."""
    if any(sheet.templates[placement.template].artwork is not None for placement in sheet.placements):
        return mark_spots(sheet.width, sheet.height, job.printer_edge, job.unit)
    return np.empty((0, 2))


def _operations(lines: Lines) -> list[Operation]:
    """What is done on a sheet, in a fixed order."""
    return [operation for operation in WORKED if (lines.operation == operation).any()]


def _told(one: Loaded, template: Template, batch: Batch, copies: int) -> TemplateOutcome:
    """What is told of a template."""
    shown = tuple(f for f in one.findings if f.severity is not Severity.NOTE)
    return TemplateOutcome(
        name=template.name,
        source=file_of(one.item),
        copies=copies,
        stock=batch.stock,
        lines=template.lines,
        size=template.size,
        parts=len(template.parts),
        scale_note=one.drawing.scale_note,
        findings=one.findings,
        folds=one.folds,
        divided=template.parts,
        in_set=one.item.in_set,
        drawing=f"{one.item.row} {one.item.path}",
        piece=one.item.only,
        offset=one.corner,
        marked=findings_picture(one.drawing, shown, words=False) if any(f.places for f in shown) else "",
    )
