"""What the job sheet says of each sheet: what lies on it, what the tools do, in which order copies come free."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from cutprep.model.findings.finding import Finding, in_words
from cutprep.model.lines import Flags
from cutprep.model.moves import Duration, Moves
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Tool
from cutprep.profile.stock import Stock
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.report.pictures.sheet import (
    MOST_MARKS,
    legend,
    outlines_in_order,
    sheet_map,
    sheet_marks,
)
from cutprep.report.pictures.sheet_words import loading, print_size
from cutprep.report.turning import near, prepare_again, running, spots_of, turning_picture, turning_steps
from cutprep.units import in_unit, say_length, say_size, say_time

#: More strokes than this are not explained one by one on paper; job.json has them all.
_MOST_REASONS = 400


@dataclass(frozen=True, slots=True)
class ToolRow:
    """What one tool does on one sheet, or what else takes time."""

    name: str
    strokes: int | None
    passes: str
    length: str
    time: str
    speed: str
    force: str


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One sheet as the page shows it."""

    number: int
    runs: int
    stock: str
    files: tuple[str, ...]
    sides: tuple[str, ...]
    running: tuple[str, ...]
    turning: tuple[str, ...]
    turned: Markup
    printing: tuple[str, ...]
    print_file: str
    grain: str
    begin: str
    picture: Markup
    copies: str
    size: str
    time: str
    over_line: str
    clock: str
    travel: str
    drawn: str
    tear: str
    utilisation: str
    method: str
    tools: tuple[ToolRow, ...]
    lifts: int
    freed: str
    texts: tuple[tuple[str, str], ...]
    weed: str
    print_size: tuple[float, float]
    legend: tuple[tuple[str, str], ...]
    kept_free: bool
    reasons: tuple[str, ...]
    unexplained: int
    notes: tuple[Finding, ...]


def grain_way(stock: Stock) -> str:
    """Which way the grain runs on the loaded sheet, with an arrow."""
    if stock.grain is None:
        return "not stated"
    named = {0.0: "\u2194 along the lower edge", 90.0: "\u2195 along the left edge"}
    return named.get(stock.grain, f"{stock.grain:g} degrees from the lower edge")


def sheet_row(outcome: Outcome, done: SheetOutcome, clock: float) -> SheetRow:
    """Put one sheet into words and a picture; `clock` is when it begins, s."""
    sheet, unit = done.sheet, outcome.unit
    counts: dict[str, set[int]] = {}
    for placement in sheet.placements:
        counts.setdefault(sheet.templates[placement.template].name, set()).add(placement.copy)
    marks = sheet_marks(outcome, done)
    told = loading(outcome.machine, face_down=outcome.face_down)
    reasons = done.strokes.reasons
    named = {t.name: f" ({mark})" if mark else "" for t, mark in zip(sheet.templates, marks, strict=True)}
    return SheetRow(
        number=sheet.number,
        runs=done.runs,
        stock=done.stock.title,
        files=tuple(file.name for file in done.files),
        sides=tuple(file.side for file in done.files),
        running=_running(done),
        turning=turning_steps(done, unit),
        turned=_turned(done),
        printing=_printing(done, unit),
        print_file=done.print_file,
        grain=grain_way(done.stock),
        begin=say_time(clock),
        picture=Markup(sheet_map(done, told=told, marks=marks, unit=unit)),  # noqa: S704 - numbers and our own words
        copies=", ".join(f"{len(copies)} x {name}{named[name]}" for name, copies in counts.items()),
        size=say_size(sheet.width, sheet.height, unit),
        time=say_time(done.whole.total),
        over_line=f"{say_time(done.over_line)} at {outcome.machine.line.speed:,} baud"
        if done.over_line
        else "",
        clock=f"{say_time(clock)} to {say_time(clock + done.whole.total * done.runs)}",
        travel=say_length(done.travel, unit),
        drawn=say_length(done.order.drawn.travel + done.travel - done.read.travel, unit),
        tear=f"{say_length(done.order.planned.exposure, unit)} (as drawn {say_length(done.order.drawn.exposure, unit)})",
        utilisation=f"{100 * sheet.utilisation:.0f} %",
        method=sheet.method,
        tools=_tool_rows(outcome, done),
        lifts=sum(_starts(moves.down) for moves in done.reads),
        freed=_freed(done, marks),
        texts=texts_on(done, marks),
        weed=_weed(sheet),
        print_size=print_size(sheet),
        legend=tuple(legend([done.strokes.lines], behind=done.back is not None)),
        kept_free=bool(sheet.kept_free),
        reasons=tuple(in_unit(reason, unit) for reason in reasons[:_MOST_REASONS]),
        unexplained=max(0, len(reasons) - _MOST_REASONS),
        notes=tuple(in_words(note, unit) for note in sheet.notes),
    )


def _printing(done: SheetOutcome, unit: str) -> tuple[str, ...]:
    """What to do before a printed sheet is cut; nothing when none of it is printed."""
    if not done.print_file:
        return ()
    across, up = np.hypot(*(done.marks[1] - done.marks[0])), np.hypot(*(done.marks[3] - done.marks[0]))
    first = (
        f"Print {done.print_file} on each card at 100 % (\u201cactual size\u201d), not fitted to the page. Then marks 1 and "
        f"2 are {say_length(across, unit)} apart, and marks 1 and 4 {say_length(up, unit)}; if not, print it again."
    )
    then = (
        "Let the print dry. Load the card with mark 1 at the lower left of the picture below, and find the middle of each "
        "mark under the tool, with the tool up: by moving it there, or with a ruler from where the machine counts."
    )
    last = (
        f"In the plan they lie at {spots_of('mark', done.marks, unit)}. If each lies there within {near(unit)}, run the "
        f"machine file. Else {prepare_again('mark', done.marks[0], unit)}"
    )
    return first, then, last


def _starts(flags: Flags) -> int:
    """How often a run of what is true begins."""
    return int((np.diff(np.append(False, flags).astype(int)) == 1).sum())


def _running(done: SheetOutcome) -> tuple[str, ...]:
    """What to do file after file, where a sheet takes several and stays as it lies."""
    return running(done.files) if len(done.files) > 1 and done.back is None else ()


def _turned(done: SheetOutcome) -> Markup:
    """A picture of how the sheet is turned over; nothing where it is not."""
    if done.back is None or done.back.done:
        return Markup("")
    return Markup(turning_picture(done.back, done.sheet.width, done.sheet.height))  # noqa: S704 - numbers and our own words


def _freed(done: SheetOutcome, marks: tuple[str, ...]) -> str:
    """In which order the copies come loose, when each has an outline of its own."""
    order = list(dict.fromkeys(place for _, place in outlines_in_order(done) if place is not None))
    placements = [done.sheet.placements[place] for place in order]
    names = list(dict.fromkeys(f"{marks[placement.template]}{placement.copy}" for placement in placements))
    whole = {(placement.template, placement.copy) for placement in done.sheet.placements}
    return ", ".join(names) if 1 < len(names) == len(whole) <= MOST_MARKS else ""


def texts_on(done: SheetOutcome, marks: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """The mark of each copy that has a text of its own, and the text, in the order of the marks."""
    sheet = done.sheet
    found = {
        (placement.copy, marks[placement.template]): sheet.templates[placement.template].text
        for placement in sheet.placements
        if sheet.templates[placement.template].text
    }
    return tuple((f"{mark}{copy}", text) for (copy, mark), text in sorted(found.items()))


def _weed(sheet: Sheet) -> str:
    """What falls out or has to be pushed out of the parts."""
    holes = 0
    for placement in sheet.placements:
        parts = sheet.templates[placement.template].parts
        holes += sum(len(part.holes) for k, part in enumerate(parts) if placement.part in (None, k))
    if not holes:
        return "nothing inside the parts; the frame around them"
    return f"{holes} inner piece{'s' * (holes > 1)}, and the frame around the parts"


def _tool_rows(outcome: Outcome, done: SheetOutcome) -> tuple[ToolRow, ...]:
    """One row a tool, in the order in which they come, and what else takes time."""
    rows: list[ToolRow] = []
    if done.back is not None and not done.back.done:
        back = done.back
        rows += _worked(outcome, back.read, back.duration, back.planned, back.strokes, "back up: ")
    rows += _worked(outcome, done.read, done.duration, done.planned, done.strokes)
    took = done.whole
    other = (
        ("travel, tool up", say_length(done.travel, outcome.unit), took.travel),
        ("lifting and lowering", "", took.lift),
        ("tool changes", "", took.change),
        ("waiting", "", took.dwell),
    )
    rows += [
        ToolRow(name, None, "", length, say_time(seconds), "", "")
        for name, length, seconds in other
        if seconds
    ]
    return tuple(rows)


def _worked(
    outcome: Outcome, moves: Moves, took: Duration, planned: Moves, strokes: Strokes, before: str = ""
) -> list[ToolRow]:
    """One row for each tool of a side."""
    work = dict(took.work)
    rows = []
    for number in dict.fromkeys(moves.tool[moves.down].tolist()):
        tool = outcome.machine.tool_numbered(number) or Tool(f"tool {number}", number, ())
        mine = moves.down & (moves.tool == number)
        force = moves.force[mine & np.isfinite(moves.force)]
        rows.append(
            ToolRow(
                name=f"{before}{tool.number} - {tool.name}",
                strokes=_starts(mine),
                passes=_rounds(planned, strokes, number),
                length=say_length(float(moves.lengths[mine].sum()), outcome.unit),
                time=say_time(work.get(number, 0.0)),
                speed=_range(moves.speed[mine], "mm/s"),
                force=_range(force, "") if len(force) else "as set on the machine",
            )
        )
    return rows


def _rounds(planned: Moves, strokes: Strokes, number: int) -> str:
    """How often the tool goes over its lines, from the plan that the file was proved against.

    Of what a tool does only cuts are run several times.
    """
    mine = planned.down & (planned.tool == number) & (planned.stroke >= 0)
    rows = np.unique(planned.stroke[mine])
    cuts = rows[strokes.lines.operation[rows] == Operation.CUT]
    drawn = float(strokes.lines.lengths[cuts].sum())
    run = float(planned.lengths[mine & np.isin(planned.stroke, cuts)].sum())
    return str(max(1, round(run / drawn))) if drawn else "1"


def _range(values: np.ndarray[tuple[int], np.dtype[np.float64]], unit: str) -> str:
    low, high = float(values.min()), float(values.max())
    text = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return f"{text} {unit}".strip()
