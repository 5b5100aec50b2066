"""The making sheet as a page of cards to pin up, one a template, and as plain text to paste into a tutorial."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from cutprep.model.folded import FoldReport
from cutprep.model.operation import Fold
from cutprep.report.cautions import CAUTIONS
from cutprep.report.hands.assembly.way import FILL, Step
from cutprep.report.hands.behind import scored_behind
from cutprep.report.hands.drawings import card_in_words, whole_drawings
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.hands.ruler import millimetres, scale
from cutprep.report.hands.steps import PieceWork, numbered, works_of
from cutprep.report.hands.table import FoldTable, table_of
from cutprep.report.outcome import Outcome, TemplateOutcome
from cutprep.report.page import render
from cutprep.report.pictures.flat import flat_map, room_on_card
from cutprep.report.pictures.sheet import legend, style_rules
from cutprep.report.pictures.step import done_picture, step_picture
from cutprep.report.pictures.turntable import turntable

#: With more templates than this no parts to turn by hand are put in: the page would be slow.
_MOST_VIEWS = 12

TOGETHER = "Then put the set together"
#: Of a piece that goes with others: a step that fills it is done in their order, before what closes it.
_IN_ITS_TURN = f"{FILL[:-1]}, in the order in which the set comes together (at the end of this sheet)"


@dataclass(frozen=True, slots=True)
class Shown:
    """One step as the page shows it."""

    text: str
    picture: Markup


@dataclass(frozen=True, slots=True)
class Making:
    """One piece as the page shows it."""

    title: str
    alike: int
    blank: str
    picture: Markup
    legend: tuple[tuple[str, str], ...]
    lettered: bool
    inside_up: bool
    table: FoldTable
    steps: tuple[Shown, ...]
    view: Markup
    inside: str
    behind: str


@dataclass(frozen=True, slots=True)
class Card:
    """One template as the page shows it.

    Attributes
    ----------
    views
        Title and picture of each piece that folds, as it stands when it is made.
    pieces
        Its pieces, of very many kinds some.
    rest
        What is said of the others; empty without any.
    joined
        How they come together.
    """

    name: str
    count: str
    stock: str
    views: tuple[tuple[str, Markup], ...]
    pieces: tuple[Making, ...]
    rest: str
    joined: tuple[str, ...]

    @property
    def folded(self) -> Markup:
        """Pictures of the folded pieces, empty when nothing folds."""
        return Markup("").join(picture for _, picture in self.views)


def making_sheet(outcome: Outcome, cards: Sequence[Card] | None = None) -> str:
    """Write the making sheet.

    Parameters
    ----------
    cards
        What `cards_of` worked out, where it was asked before.

    Returns
    -------
    str
        A complete HTML document that needs nothing else.
    """
    return render(
        "making-sheet.html",
        title=outcome.title,
        sets=outcome.sets,
        together=outcome.together,
        together_title=TOGETHER,
        cards=cards_of(outcome) if cards is None else cards,
        cautions=CAUTIONS,
        styles=Markup(style_rules()),  # noqa: S704 - our own constant
    )


def making_text(outcome: Outcome, cards: Sequence[Card] | None = None) -> str:
    """Write the same as plain text."""
    rows = [outcome.title, "=" * len(outcome.title), ""]
    for card in cards_of(outcome) if cards is None else cards:
        rows += [card.name, "-" * len(card.name), "", f"Make {card.count} from {card.stock}.", ""]
        for making in card.pieces:
            if len(card.pieces) > 1:
                rows += [f"{making.title}:", ""]
            rows += [f"Blank: {making.blank}.", *_table_text(making.table), ""]
            rows += [f"{making.behind}.", ""] if making.behind else []
            rows += [*(f"{i}. {step.text}" for i, step in enumerate(making.steps, 1)), ""]
            rows += [f"Inside when done: {making.inside}.", ""] if making.inside else []
        rows += [card.rest, ""] if card.rest else []
        rows += [*card.joined, ""] if card.joined else []
    if outcome.together:
        rows += [TOGETHER, "-" * len(TOGETHER), ""]
        rows += [*(f"{i}. {text}" for i, text in enumerate(outcome.together, 1)), ""]
    rows += ["Cautions", "--------", *(f"{head}: {text}" for head, text in CAUTIONS)]
    return "\n".join(map(_one_line, rows)) + "\n"


def _table_text(table: FoldTable) -> Iterable[str]:
    if table.board:
        yield "Scores along the edges:"
        for row in table.board:
            runs = row.runs[0] if row.runs[0] == row.runs[1] else f"{row.runs[0]} in ({row.runs[1]} mm)"
            yield f"  {row.number}: {row.at[0]} in ({row.at[1]} mm) from the {row.edge} edge, {runs}; {row.fold}"
    if table.slanting:
        yield "Slanting scores, by their ends (from the left, from below):"
    for row in table.slanting:
        yield f"  {row.number}: {row.runs[0]} in, {row.runs[1]} mm; {row.fold}"
    if table.curves:
        yield "Curved scores, by radius, and begin, middle and end (from the left, from below):"
    for row in table.curves:
        yield f"  {row.number}: {row.at[0]} in ({row.at[1]} mm), through {row.runs[0]} in, {row.runs[1]} mm; {row.fold}"
    if table.slots:
        yield "Slots, by their middle:"
    for row in table.slots:
        begin = "left" if row.edge in ("upper", "lower") else "lower"
        yield f"  from the {row.edge} edge, {row.at[0]} in ({row.at[1]} mm) from the {begin} edge, {row.fold}"


def _one_line(text: str) -> str:
    """A row of plain text: a name from a file neither begins a new row nor drives a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)


def cards_of(outcome: Outcome) -> list[Card]:
    """Work out the content for every template."""
    views = len(outcome.templates) <= _MOST_VIEWS
    drawings = whole_drawings(outcome.templates)
    return [_card(outcome, template, f"t{i}", views=views) for i, template in enumerate(drawings)]


def _card(outcome: Outcome, template: TemplateOutcome, key: str, *, views: bool) -> Card:
    pieces = pieces_of(template, outcome.tolerance.gap)
    works, joined = works_of(pieces.shown, outcome.tolerance.coincide)
    return Card(
        name=template.name,
        count=_count(outcome, template),
        stock=card_in_words(template),
        views=views_of(works, template.name),
        pieces=tuple(
            _making(work, f"{key}-{i}", view=views, of_set=bool(outcome.together), fold=outcome.from_back)
            for i, work in enumerate(works)
        ),
        rest=pieces.rest.told() if pieces.rest is not None else "",
        joined=tuple(step.text for step in joined),
    )


def views_of(works: Sequence[PieceWork], name: str) -> tuple[tuple[str, Markup], ...]:
    """Title and picture of the pieces that fold; a template of one piece goes by its own name."""
    pictures = [(f"{name}: {w.title}" if len(works) > 1 else name, done_picture(w)) for w in works]
    return tuple((title, Markup(p)) for title, p in pictures if p)  # noqa: S704 - escapes names itself


def _making(work: PieceWork, key: str, *, view: bool, of_set: bool, fold: Fold) -> Making:
    report = work.piece.folds
    shown, eye = [], 0
    for step in work.steps:
        picture, eye = step_picture(step, work, eye=eye)
        text = step.text.replace(FILL[:-1], _IN_ITS_TURN) if of_set else step.text
        shown.append(Shown(text, Markup(picture)))  # noqa: S704 - numbers and our own words only
    width, height = work.piece.size
    return Making(
        title=work.title,
        alike=work.piece.alike,
        blank=f"{work.across.both(width)} wide, {work.upward.both(height)} high",
        picture=Markup(flat_map(work, limit=room_on_card(work))),  # noqa: S704 - numbers and our own words only
        legend=tuple(row for row in legend([work.piece.lines]) if row[0] != "travel"),
        lettered=bool(work.piece.letters),
        inside_up=report is None or report.inside_up,
        table=table_of(work),
        steps=tuple(shown),
        view=Markup(turntable(report, key=f"view-{key}") if view and report is not None else ""),  # noqa: S704
        inside=_inside(work.built.steps, report),
        behind=_behind(work, fold),
    )


def _behind(work: PieceWork, fold: Fold) -> str:
    """Which scores of a card from the machine come from the back; empty when none do."""
    found = scored_behind(work.rows, work.piece.lines, fold)
    if not found:
        return ""
    which = numbered(found).capitalize()
    return f"{which} of a card from the machine {'is' if len(found) == 1 else 'are'} scored from the back"


def _inside(steps: Sequence[Step], report: FoldReport | None) -> str:
    """Inside sizes, to check one before the rest is made."""
    if report is None or report.inside_mm is None or not steps:
        return ""
    size = report.inside_mm
    inch = " x ".join(scale([v]).inches(v) for v in size)
    return f"{inch} in ({' x '.join(millimetres(v) for v in size)} mm)"


def _count(outcome: Outcome, template: TemplateOutcome) -> str:
    if outcome.sets == 1:
        return str(template.copies)
    spare = template.copies - outcome.sets * template.in_set if template.in_set else 0
    each = template.in_set or template.copies // outcome.sets
    more = f", and {spare} spare" if spare > 0 else ""
    return f"{template.copies} ({each} a set for {outcome.sets} sets{more})"
