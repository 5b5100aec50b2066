"""The job sheet: one self-contained page to stand by the machine, and to print."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from markupsafe import Markup

from cutprep.model.finding import Finding, Severity, ranked
from cutprep.model.sheet import Sheet
from cutprep.profile.machine import Tool
from cutprep.profile.stock import Stock
from cutprep.report.cautions import CAUTIONS
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.report.page import render
from cutprep.report.sheetmap import LINE_STYLES, legend, sheet_map, style_rules
from cutprep.report.turntable import turntable
from cutprep.units import say_length, say_size, say_time

_LANGUAGES = {"hpgl": "HP-GL", "gcode": "G-code"}


@dataclass(frozen=True, slots=True)
class ToolRow:
    """What one tool does on one sheet, or what else takes time."""

    name: str
    strokes: int | None
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
    file: str
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
    weed: str
    notes: tuple[Finding, ...]


def job_sheet(outcome: Outcome) -> str:
    """Write the job sheet.

    Returns
    -------
    str
        A complete HTML document that needs nothing else: no network, no other file.
    """
    unit = outcome.unit
    clocks = accumulate((s.duration.total for s in outcome.sheets), initial=0.0)
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
        total_time=say_time(outcome.seconds),
        sheets=rows,
        stocks=[_stock_row(outcome, stock) for stock in outcome.stocks],
        sets=outcome.sets,
        copies=outcome.copies,
        templates=[
            (t.name, t.copies, say_size(*t.size, unit), t.parts, t.scale_note) for t in outcome.templates
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
    needed, cost = [], 0.0
    for (width, height), count in sizes.items():
        size = named.get((width, height))
        name = f" ({size.name})" if size is not None and size.name != say_size(width, height) else ""
        needed.append(f"{count} x {say_size(width, height, outcome.unit)}{name}")
        cost += count * size.price if size is not None and size.price is not None else math.nan
    return StockRow(
        title=stock.title,
        caliper=f"{stock.caliper:g} mm",
        sheets=", ".join(needed),
        grain=_grain(stock),
        cost=f"{cost:.2f}" if math.isfinite(cost) else "",
        note=stock.note,
    )


def _grain(stock: Stock) -> str:
    if stock.grain is None:
        return "not stated; lay every sheet the same way round"
    return f"{stock.grain:g} degrees from the sheet's lower edge"


def _sheet_row(outcome: Outcome, done: SheetOutcome, clock: float) -> SheetRow:
    sheet, unit = done.sheet, outcome.unit
    counts: dict[str, set[int]] = {}
    for spot in sheet.placements:
        counts.setdefault(sheet.templates[spot.template].name, set()).add(spot.copy)
    return SheetRow(
        number=sheet.number,
        stock=done.stock.title,
        file=done.file,
        picture=Markup(sheet_map(done)),  # noqa: S704 - holds numbers and our own words only
        copies=", ".join(f"{len(copies)} x {name}" for name, copies in counts.items()),
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
        weed=_weed(sheet),
        notes=sheet.notes,
    )


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
        ToolRow(name, None, length, say_time(seconds), "", "") for name, length, seconds in other if seconds
    ]
    return tuple(rows)


def _range(values: np.ndarray[tuple[int], np.dtype[np.float64]], unit: str) -> str:
    low, high = float(values.min()), float(values.max())
    text = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return f"{text} {unit}".strip()
