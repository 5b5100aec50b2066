"""The class sheet: what a teacher lays out for each place, and the steps, without the machine's part.

For two ways of working: students score and cut by hand, or are handed pieces that are cut and
scored already and begin by folding.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from cutprep.report.cautions import CAUTIONS
from cutprep.report.hands.assembly.way import Do, Step
from cutprep.report.hands.drawings import card_in_words, whole_drawings
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.hands.steps import PieceWork, works_of
from cutprep.report.hands.table import FoldTable, table_of
from cutprep.report.outcome import Outcome, TemplateOutcome
from cutprep.report.page import render
from cutprep.report.pictures.flat import flat_map, room_on_card
from cutprep.report.pictures.sheet import style_rules
from cutprep.report.pictures.step import done_picture, step_picture
from cutprep.units import plural

#: What hands need for each kind of step; common practice, no published source.
_TOOLS = {
    Do.BLANK: ("pencil", "ruler", "scissors"),
    Do.SCORE: ("scoring board or ruler", "bone folder or empty ballpoint pen"),
    Do.OPENINGS: ("craft knife with steel rule and cutting mat",),
    Do.OUTLINE: ("scissors",),
    Do.CREASE: ("bone folder or empty ballpoint pen",),
    Do.GLUE: ("glue stick or double-sided tape",),
    Do.TAPE: ("clear tape",),
    Do.STICKER: ("one sticker a piece",),
    Do.TIE: ("30 cm (12 in) of ribbon a piece",),
}
_CURVES = "compass, or the template to trace"
#: Steps that a machine does.
_CUTTING = (Do.BLANK, Do.SCORE, Do.OPENINGS, Do.OUTLINE)


@dataclass(frozen=True, slots=True)
class Share:
    """One template as each place gets it."""

    name: str
    card: str
    each: str
    altogether: str
    spare: str


@dataclass(frozen=True, slots=True)
class Lesson:
    """One piece as the class makes it; `begin` is the number of the step that ready-cut pieces begin with."""

    title: str
    folded: Markup
    picture: Markup
    table: FoldTable
    steps: tuple[tuple[str, Markup], ...]
    begin: int


def class_sheet(outcome: Outcome) -> str:
    """Write the class sheet for `outcome.students` students.

    Returns
    -------
    str
        A complete HTML document that needs nothing else.
    """
    drawings = whole_drawings(outcome.templates)
    apart = [pieces_of(template, outcome.tolerance.gap) for template in drawings]
    works = [
        (template, *works_of(pieces.shown, outcome.tolerance.coincide))
        for template, pieces in zip(drawings, apart, strict=True)
    ]
    steps = [step for _, made, joined in works for step in (*(s for w in made for s in w.steps), *joined)]
    curved = any(row.kind == "curve" for _, made, _ in works for w in made for row in w.rows)
    return render(
        "class-sheet.html",
        title=outcome.title,
        students=plural(outcome.students, "student"),
        places=[_place(outcome, template) for template in drawings],
        short=[t.name for t in drawings if t.copies < outcome.students],
        blanks=[blank for template, made, _ in works for blank in _blanks(outcome, template, made)],
        rest=[pieces.rest.told() for pieces in apart if pieces.rest is not None],
        sheets=_sheets(outcome),
        by_hand=_tools(steps, (_CURVES,) if curved else ()),
        ready_cut=_tools([s for s in steps if s.do not in _CUTTING], ()),
        lessons=[
            (template.name, [_lesson(template, w, len(made)) for w in made], [s.text for s in joined])
            for template, made, joined in works
        ],
        cautions=CAUTIONS,
        styles=Markup(style_rules()),  # noqa: S704 - our own constant
    )


def _place(outcome: Outcome, template: TemplateOutcome) -> Share:
    each, spare = divmod(template.copies, outcome.students)
    return Share(
        name=template.name,
        card=card_in_words(template),
        each=str(each),
        altogether=str(template.copies),
        spare=str(spare) if each else "-",
    )


def _sheets(outcome: Outcome) -> list[str]:
    """Sheets of each card that a machine cuts for the class."""
    counts: Counter[str] = Counter()
    for done in outcome.sheets:
        counts[done.stock.title] += done.runs
    return [f"{plural(count, 'sheet')} of {title}" for title, count in counts.items()]


def _blanks(outcome: Outcome, template: TemplateOutcome, works: Iterable[PieceWork]) -> list[str]:
    """Blanks to cut by hand, for all places and one for the teacher to show."""
    each = max(1, template.copies // outcome.students)
    found = []
    for work in works:
        width, height = work.piece.size
        count = (each * outcome.students + 1) * work.piece.alike
        found.append(
            f"{plural(count, 'blank')} for {template.name}"
            f"{'' if work.title == template.name else f', {work.title}'}: {work.across.both(width)} by "
            f"{work.upward.both(height)}, of {template.stock.title}"
        )
    return found


def _tools(steps: Iterable[Step], more: tuple[str, ...]) -> list[str]:
    """Tools of some steps, each once, in the order in which they are needed."""
    return list(dict.fromkeys([tool for step in steps for tool in _TOOLS.get(step.do, ())] + list(more)))


def _lesson(template: TemplateOutcome, work: PieceWork, pieces: int) -> Lesson:
    shown, eye = [], 0
    for step in work.steps:
        picture, eye = step_picture(step, work, eye=eye)
        shown.append((step.text, Markup(picture)))  # noqa: S704 - numbers and our own words only
    cutting = sum(step.do in _CUTTING for step in work.steps)
    return Lesson(
        title=f"{template.name}: {work.title}" if pieces > 1 else template.name,
        folded=Markup(done_picture(work)),  # noqa: S704 - escapes names itself
        picture=Markup(flat_map(work, limit=room_on_card(work))),  # noqa: S704 - numbers and our own words only
        table=table_of(work),
        steps=tuple(shown),
        begin=cutting + 1 if cutting < len(work.steps) else 0,
    )
