"""The job sheet: one self-contained page to stand by the machine, and to print."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from markupsafe import Markup

from cutprep.model.finding import Finding, Severity, ranked
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.profile.machine import Tool
from cutprep.profile.stock import Stock
from cutprep.report.cautions import CAUTIONS
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.report.page import render
from cutprep.report.sheetmap import (
    LINE_STYLES,
    MOST_MARKS,
    legend,
    outlines_in_order,
    sheet_map,
    sheet_marks,
    style_rules,
    template_marks,
)
from cutprep.report.turntable import turntable
from cutprep.units import say_length, say_size, say_time

_LANGUAGES = {"hpgl": "HP-GL", "gcode": "G-code"}


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
class StockRow:
    """One card as the page shows it."""

    title: str
    caliper: str
    sheets: str
    grain: str
    cost: str
    note: str


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One sheet as the page shows it."""

    number: int
    stock: str
    files: tuple[str, ...]
    running: tuple[str, ...]
    grain: str
    begin: str
    picture: Markup
    copies: str
    size: str
    time: str
    clock: str
    travel: str
    drawn: str
    tear: str
    utilisation: str
    method: str
    tools: tuple[ToolRow, ...]
    lifts: int
    freed: str
    weed: str
    notes: tuple[Finding, ...]
    reasons: tuple[str, ...]


def job_sheet(outcome: Outcome) -> str:
    """Write the job sheet.

    Returns
    -------
    str
        A complete HTML document that needs nothing else: no network, no other file.
    """
    unit = outcome.unit
    clocks = accumulate((s.duration.total for s in outcome.sheets), initial=0.0)
    marks = template_marks(outcome)
    rows = [_sheet_row(outcome, s, clock) for s, clock in zip(outcome.sheets, clocks, strict=False)]
    findings = [f for f in outcome.findings if f.severity is not Severity.NOTE]
    marked = [
        (t.name, ranked(f for f in t.findings if f.severity is not Severity.NOTE), Markup(t.marked))  # noqa: S704
        for t in outcome.templates
        if t.marked
    ]
    placed = {id(f) for _, found, _ in marked for f in found}
    return render(
        "job-sheet.html",
        title=outcome.title,
        machine=outcome.machine,
        language=_LANGUAGES[outcome.language],
        chords=f"{outcome.chord_error:.3f} mm" if outcome.chord_error else "arcs as they are",
        views=[
            (template.name, Markup(turntable(report, key=f"view-{i}-{k}")))  # noqa: S704 - escapes names itself
            for i, template in enumerate(outcome.templates)
            for k, report in enumerate(template.folds)
            if report.motion is not None and report.hinges
        ],
        scoring=outcome.scoring,
        stops=_stops(outcome),
        total_time=say_time(outcome.seconds),
        sheets=rows,
        stocks=[_stock_row(outcome, stock) for stock in outcome.stocks],
        total=_total(outcome),
        sets=outcome.sets,
        copies=outcome.copies,
        templates=[
            (mark, t.name, t.copies, say_size(*t.size, unit), t.parts, t.scale_note)
            for mark, t in zip(marks, outcome.templates, strict=True)
        ],
        findings=[f for f in findings if id(f) not in placed],
        marked=marked,
        notes=[f for f in outcome.findings if f.severity is Severity.NOTE],
        despite=outcome.despite and any(f.severity is Severity.ERROR for f in findings),
        cautions=CAUTIONS,
        legend=legend(s.strokes.lines for s in outcome.sheets),
        kept_free=any(s.sheet.kept_free for s in outcome.sheets),
        legend_styles=LINE_STYLES,
        styles=Markup(style_rules()),  # noqa: S704 - our own constant
    )


def _stock_row(outcome: Outcome, stock: Stock) -> StockRow:
    sheets = [s.sheet for s in outcome.sheets if s.stock.name == stock.name]
    sizes = Counter((s.width, s.height) for s in sheets)
    named = {(s.width, s.height): s for s in stock.sheets} | {(s.height, s.width): s for s in stock.sheets}
    needed = []
    for (width, height), count in sizes.items():
        size = named.get((width, height))
        name = f" ({size.name})" if size is not None and size.name != say_size(width, height) else ""
        needed.append(f"{count} x {say_size(width, height, outcome.unit)}{name}")
    cost = _cost(outcome, stock)
    return StockRow(
        title=stock.title,
        caliper=f"{stock.caliper:g} mm",
        sheets=", ".join(needed),
        grain=_grain(stock),
        cost=f"{cost:.2f}" if math.isfinite(cost) else "",
        note=stock.note,
    )


def _cost(outcome: Outcome, stock: Stock) -> float:
    """Price of the sheets of one card; nan when a size has none."""
    prices = {(s.width, s.height): s.price for s in stock.sheets}
    prices |= {(height, width): price for (width, height), price in prices.items()}
    found = [
        prices.get((s.sheet.width, s.sheet.height)) for s in outcome.sheets if s.stock.name == stock.name
    ]
    return sum(math.nan if price is None else price for price in found)


def _total(outcome: Outcome) -> str:
    """All card and all cost in one sentence; what has no price is named."""
    area = sum(s.sheet.width * s.sheet.height for s in outcome.sheets) / 1e6
    count = len(outcome.sheets)
    text = f"Altogether {count} sheet{'s' * (count != 1)}, {area:.2f} m2 of card"
    costs = {stock.title: _cost(outcome, stock) for stock in outcome.stocks}
    known = [cost for cost in costs.values() if math.isfinite(cost)]
    if not known:
        return f"{text}."
    free = [title for title, cost in costs.items() if not math.isfinite(cost)]
    without = f", without {' and '.join(free)}, which has no price" if free else ""
    return f"{text}; it costs {sum(known):.2f}{without}."


def _grain(stock: Stock) -> str:
    if stock.grain is None:
        return "not stated; lay every sheet the same way round"
    return _grain_way(stock)


def _grain_way(stock: Stock) -> str:
    """Which way the grain runs on the loaded sheet, with an arrow."""
    if stock.grain is None:
        return "not stated"
    named = {0.0: "\u2194 along the lower edge", 90.0: "\u2195 along the left edge"}
    return named.get(stock.grain, f"{stock.grain:g} degrees from the lower edge")


def _sheet_row(outcome: Outcome, done: SheetOutcome, clock: float) -> SheetRow:
    sheet, unit = done.sheet, outcome.unit
    counts: dict[str, set[int]] = {}
    for spot in sheet.placements:
        counts.setdefault(sheet.templates[spot.template].name, set()).add(spot.copy)
    marks = sheet_marks(outcome, done)
    named = {t.name: f" ({mark})" if mark else "" for t, mark in zip(sheet.templates, marks, strict=True)}
    return SheetRow(
        number=sheet.number,
        stock=done.stock.title,
        files=tuple(file.name for file in done.files),
        running=_running(done),
        grain=_grain_way(done.stock),
        begin=say_time(clock),
        picture=Markup(sheet_map(done, marks=marks, unit=unit)),  # noqa: S704 - numbers and our own words only
        copies=", ".join(f"{len(copies)} x {name}{named[name]}" for name, copies in counts.items()),
        size=say_size(sheet.width, sheet.height, unit),
        time=say_time(done.duration.total),
        clock=f"{say_time(clock)} to {say_time(clock + done.duration.total)}",
        travel=say_length(done.travel, unit),
        drawn=say_length(done.order.drawn.travel, unit),
        tear=f"{done.order.planned.exposure:.0f} (as drawn {done.order.drawn.exposure:.0f})",
        utilisation=f"{100 * sheet.utilisation:.0f} %",
        method=sheet.method,
        tools=_tool_rows(outcome, done),
        lifts=int((np.diff(np.append(False, done.read.down).astype(int)) == 1).sum()),
        freed=_freed(done, marks),
        weed=_weed(sheet),
        notes=sheet.notes,
        reasons=done.strokes.reasons,
    )


def _running(done: SheetOutcome) -> tuple[str, ...]:
    """What to do file after file, where a sheet takes several."""
    if len(done.files) < 2:
        return ()
    return tuple(
        f"Put in the {file.tool} and run {file.name} ({say_time(file.duration.total)})."
        for file in done.files
    )


def _stops(outcome: Outcome) -> bool:
    """Whether a file changes the tool on the way and trusts the machine to stop for it.

    HP-GL has no word for a pause: SP asks for the tool, and only some machines with one holder wait there.
    """
    return (
        outcome.language == "hpgl"
        and outcome.machine.change_how == "pause"
        and any(done.read.changes and len(done.files) < 2 for done in outcome.sheets)
    )


def _freed(done: SheetOutcome, marks: tuple[str, ...]) -> str:
    """In which order the copies come loose, when each has an outline of its own."""
    order = list(dict.fromkeys(place for _, place in outlines_in_order(done) if place is not None))
    spots = [done.sheet.placements[place] for place in order]
    names = list(dict.fromkeys(f"{marks[spot.template]}{spot.copy}" for spot in spots))
    whole = {(spot.template, spot.copy) for spot in done.sheet.placements}
    return ", ".join(names) if 1 < len(names) == len(whole) <= MOST_MARKS else ""


def _weed(sheet: Sheet) -> str:
    """What falls out or has to be pushed out of the parts."""
    holes = 0
    for spot in sheet.placements:
        parts = sheet.templates[spot.template].parts
        holes += sum(len(part.holes) for k, part in enumerate(parts) if spot.part in (None, k))
    if not holes:
        return "nothing inside the parts; the frame around them"
    return f"{holes} inner piece{'s' * (holes > 1)}, and the frame around the parts"


def _tool_rows(outcome: Outcome, done: SheetOutcome) -> tuple[ToolRow, ...]:
    """One row a tool, in the order in which they come."""
    moves = done.read
    work = dict(done.duration.work)
    numbers = list(dict.fromkeys(moves.tool[moves.down].tolist()))
    rows = []
    for number in numbers:
        tool = outcome.machine.tool_numbered(number) or Tool(f"tool {number}", number, ())
        mine = moves.down & (moves.tool == number)
        starts = int((np.diff(np.append(False, mine).astype(int)) == 1).sum())
        force = moves.force[mine & np.isfinite(moves.force)]
        rows.append(
            ToolRow(
                name=f"{tool.number} - {tool.name}",
                strokes=starts,
                passes=_rounds(done, number),
                length=say_length(float(moves.lengths[mine].sum()), outcome.unit),
                time=say_time(work.get(number, 0.0)),
                speed=_range(moves.speed[mine], "mm/s"),
                force=_range(force, "") if len(force) else "as set on the machine",
            )
        )
    took = done.duration
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


def _rounds(done: SheetOutcome, number: int) -> str:
    """How often the tool goes over its lines, from the plan that the file was proved against.

    Of what a tool does only cuts are run several times.
    """
    planned, strokes = done.planned, done.strokes
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
