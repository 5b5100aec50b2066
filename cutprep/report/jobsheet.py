"""The job sheet: one self-contained page to stand by the machine, and to print."""

from __future__ import annotations

import math
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from markupsafe import Markup

from cutprep.model.findings.finding import Severity, in_words
from cutprep.model.findings.kinds import FindingGroup, by_kind
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.layers import layers_of
from cutprep.profile.stock import Stock
from cutprep.report.cautions import CAUTIONS
from cutprep.report.costs import cost_in_words, cost_of, cost_of_copies
from cutprep.report.hands.drawings import whole_drawings
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.hands.steps import works_of
from cutprep.report.makingsheet import Card, views_of
from cutprep.report.outcome import OF_SHEETS, Outcome
from cutprep.report.page import render
from cutprep.report.pictures.sheet import sheet_marks, style_rules, template_marks
from cutprep.report.sheet_rows import grain_way, sheet_row, texts_on
from cutprep.units import say_area, say_size, say_thin, say_time

#: So many pictures of folded pieces and of sheets stand at the top of the page; the rest is further down.
_MOST_SHOWN = 6
_LANGUAGES = {"hpgl": "HP-GL", "gcode": "G-code", "svg": "SVG, a drawing", "dxf": "DXF, a drawing"}


@dataclass(frozen=True, slots=True)
class StockRow:
    """One card as the page shows it."""

    title: str
    caliper: str
    sheets: str
    grain: str
    cost: str
    note: str
    made: str
    colour: str


def job_sheet(outcome: Outcome, cards: Sequence[Card] | None = None) -> str:
    """Write the job sheet.

    Parameters
    ----------
    outcome
        Of the job.
    cards
        Content of the making sheet where it is known: what it draws of folded pieces is not drawn again.

    Returns
    -------
    str
        A complete HTML document that needs nothing else: no network, no other file.
    """
    clocks = accumulate((s.whole.total * s.runs for s in outcome.sheets), initial=0.0)
    each = cost_of_copies(outcome)
    rows = [sheet_row(outcome, s, clock) for s, clock in zip(outcome.sheets, clocks, strict=False)]
    return render(
        "job-sheet.html",
        title=outcome.title,
        machine=outcome.machine,
        language=_LANGUAGES[outcome.language],
        chords=say_thin(outcome.chord_error, outcome.unit) if outcome.chord_error else "arcs as they are",
        layers=_layers(outcome),
        folded=_folded(outcome, cards),
        first_sheets=rows[:_MOST_SHOWN],
        loading=_loading(outcome),
        texts=_texts(outcome),
        face_down=outcome.face_down,
        scoring=outcome.scoring,
        stops=_stops(outcome),
        total_time=say_time(outcome.seconds),
        over_line=say_time(outcome.over_line) if outcome.over_line else "",
        sheets=rows,
        stocks=[_stock_row(outcome, stock) for stock in outcome.stocks],
        total=_total(outcome),
        spares=[in_words(f, outcome.unit) for f in outcome.findings if f.code in OF_SHEETS],
        sets=outcome.sets,
        copies=outcome.copies,
        runs=outcome.runs,
        templates=[
            (
                mark,
                t.name,
                t.copies,
                say_size(*t.size, outcome.unit),
                t.parts,
                t.scale_note,
                _price(each.get((t.name, t.stock.name), math.nan)),
            )
            for mark, t in zip(template_marks(outcome), outcome.templates, strict=True)
        ],
        **_findings(outcome),
        cautions=CAUTIONS,
        styles=Markup(style_rules()),  # noqa: S704 - our own constant
    )


def _texts(outcome: Outcome) -> list[tuple[str, int, str]]:
    """Every text of a copy with its sheet and its mark, in the order of the alphabet, accents overlooked."""
    found = [
        (text, done.sheet.number, mark)
        for done in outcome.sheets
        for mark, text in texts_on(done, sheet_marks(outcome, done))
    ]
    return sorted(found, key=lambda row: (_without_accents(row[0]), row))


def _without_accents(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not unicodedata.combining(c))


def _layers(outcome: Outcome) -> list[dict[str, str]]:
    """Layers of a drawing for the machine, with what is to be typed in for each; none for other languages."""
    if outcome.language not in DRAWINGS:
        return []
    found: dict[str, dict[str, str]] = {}
    for done in outcome.sheets:
        plans = (done.planned,) if done.back is None else (done.back.planned, done.planned)
        for layer in (one for plan in plans for one in layers_of(plan, outcome.machine)):
            tool = outcome.machine.tool_numbered(layer.tool)
            found.setdefault(
                layer.name,
                {
                    "name": layer.name,
                    "colour": layer.colour,
                    "tool": tool.name if tool is not None else str(layer.tool),
                    "speed": f"{layer.speed:g} mm/s",
                    "force": f"{layer.force:g}" if math.isfinite(layer.force) else "as for this card",
                },
            )
    return list(found.values())


def _findings(outcome: Outcome) -> dict[str, object]:
    """Findings with a picture by template, the others, and remarks."""
    findings = [f for f in outcome.findings if f.severity is not Severity.NOTE]
    unit = outcome.unit
    marked = [
        (t, list(by_kind(f for f in t.findings if f.severity is not Severity.NOTE)))
        for t in outcome.templates
        if t.marked
    ]
    placed = {id(f) for _, kinds in marked for kind in kinds for f in kind.findings}
    others = by_kind(f for f in findings if id(f) not in placed)
    return {
        "findings": [_kind_in_words(kind, unit) for kind in others],
        "marked": [
            (t.name, [_kind_in_words(kind, unit) for kind in kinds], Markup(t.marked))  # noqa: S704
            for t, kinds in marked
        ],
        "notes": [in_words(f, unit) for f in outcome.findings if f.severity is Severity.NOTE],
        "despite": outcome.despite and any(f.severity is Severity.ERROR for f in findings),
    }


def _kind_in_words(kind: FindingGroup, unit: str) -> FindingGroup:
    """Findings of a kind with their lengths in the maker's unit."""
    return replace(kind, findings=tuple(in_words(f, unit) for f in kind.findings))


def _folded(outcome: Outcome, cards: Sequence[Card] | None) -> list[tuple[str, Markup]]:
    """The first templates that fold, as they stand when they are made."""
    found: list[tuple[str, Markup]] = []
    for k, template in enumerate(whole_drawings(outcome.templates)):
        if len(found) >= _MOST_SHOWN or not any(r.hinges for r in template.folds):
            continue
        if cards is None:
            works, _ = works_of(pieces_of(template, outcome.tolerance.gap).shown, outcome.tolerance.coincide)
        found += views_of(works, template.name) if cards is None else cards[k].views
    return found[:_MOST_SHOWN]


def _loading(outcome: Outcome) -> str:
    """In which order cards are loaded: `2 x Honey-yellow card, then 1 x Kraft card`."""
    runs: list[tuple[str, int]] = []
    for done in outcome.sheets:
        if runs and runs[-1][0] == done.stock.title:
            runs[-1] = (done.stock.title, runs[-1][1] + done.runs)
        else:
            runs.append((done.stock.title, done.runs))
    return ", then ".join(f"{count:,} x {title}" for title, count in runs)


def _stock_row(outcome: Outcome, stock: Stock) -> StockRow:
    sheets = [s.sheet for s in outcome.sheets if s.stock.name == stock.name]
    sizes: Counter[tuple[float, float]] = Counter()
    for sheet in sheets:
        sizes[sheet.width, sheet.height] += sheet.runs
    named = {(s.width, s.height): s for s in stock.sheets} | {(s.height, s.width): s for s in stock.sheets}
    needed = []
    for (width, height), count in sizes.items():
        size = named.get((width, height))
        name = f" ({size.name})" if size is not None and size.name != say_size(width, height) else ""
        needed.append(f"{count:,} x {say_size(width, height, outcome.unit)}{name}")
    cost = cost_of(outcome, stock)
    return StockRow(
        title=stock.title,
        caliper=say_thin(stock.caliper, outcome.unit),
        sheets=", ".join(needed),
        grain=_grain(stock),
        cost=_price(cost),
        colour=stock.colour,
        note=stock.note,
        made=", ".join(f"{t.copies:,} x {t.name}" for t in outcome.templates if t.stock.name == stock.name),
    )


def _price(cost: float) -> str:
    return f"{cost:.2f}" if math.isfinite(cost) else ""


def _total(outcome: Outcome) -> str:
    """All card and all cost in one sentence; what has no price is named."""
    area = sum(s.sheet.width * s.sheet.height * s.runs for s in outcome.sheets)
    count = outcome.runs
    text = f"Altogether {count:,} sheet{'s' * (count != 1)}, {say_area(area, outcome.unit)} of card"
    cost = cost_in_words(outcome)
    return f"{text}; {cost}" if cost else f"{text}."


def _grain(stock: Stock) -> str:
    if stock.grain is None:
        return "not stated; lay every sheet the same way round"
    return grain_way(stock)


def _stops(outcome: Outcome) -> bool:
    """Whether a file changes the tool on the way and trusts the machine to stop for it.

    The HP-GL that every cutter reads has no word for a pause: SP asks for the tool, and only some machines with
    one holder wait there.
    """
    return (
        outcome.language == "hpgl"
        and outcome.machine.change_how == "pause"
        and outcome.machine.one_file_for == "sheet"
        and any(
            moves.changes
            for done in outcome.sheets
            for moves in (done.read, *((done.back.read,) if done.back is not None else ()))
        )
    )
