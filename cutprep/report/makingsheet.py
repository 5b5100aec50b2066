"""The making sheet as a page, and as plain text to paste into a tutorial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from cutprep.model.folded import FoldReport, Verdict
from cutprep.model.operation import Fold, Operation
from cutprep.report.cautions import CAUTIONS
from cutprep.report.flatmap import flat_map
from cutprep.report.fold_data import glueing
from cutprep.report.folded_picture import folding_frames
from cutprep.report.making import (
    ScoreRow,
    board_numbers,
    both_units,
    inches,
    millimetres,
    panel_letters,
    score_rows,
    slotted,
)
from cutprep.report.outcome import Outcome, TemplateOutcome
from cutprep.report.page import render
from cutprep.report.sheetmap import LINE_STYLES, legend, style_rules
from cutprep.report.turntable import turntable

_FOLDS = {
    Fold.VALLEY: "valley (towards you)",
    Fold.MOUNTAIN: "mountain (away from you)",
    Fold.UNSAID: "fold",
}


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One row of the table of scores."""

    name: str
    where: str
    runs: str
    fold: str
    edge: str
    at: tuple[str, str]
    spans: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Making:
    """One template as the making sheet shows it."""

    name: str
    count: str
    stock: str
    blank: str
    picture: Markup
    lettered: bool
    folded: tuple[Markup, ...]
    views: tuple[Markup, ...]
    board: tuple[BoardRow, ...]
    slanting: tuple[BoardRow, ...]
    steps: tuple[str, ...]


def making_sheet(outcome: Outcome, made: Sequence[Making] | None = None) -> str:
    """Write the making sheet.

    Parameters
    ----------
    made
        What `makings` worked out, where it was asked before.

    Returns
    -------
    str
        A complete HTML document that needs nothing else.
    """
    return render(
        "making-sheet.html",
        title=outcome.title,
        sets=outcome.sets,
        makings=makings(outcome) if made is None else made,
        cautions=CAUTIONS,
        legend=[(n, w) for n, w in legend(t.lines for t in outcome.templates) if n != "travel"],
        legend_styles=LINE_STYLES,
        styles=Markup(style_rules()),  # noqa: S704 - our own constant
    )


def making_text(outcome: Outcome, made: Sequence[Making] | None = None) -> str:
    """Write the same as plain text."""
    rows = [outcome.title, "=" * len(outcome.title), ""]
    for making in makings(outcome) if made is None else made:
        rows += [
            making.name,
            "-" * len(making.name),
            "",
            f"Make {making.count} from {making.stock}.",
            f"Blank: {making.blank}.",
        ]
        if making.board:
            rows += ["", "Scores, measured from the edge of the blank:"]
            rows += [f"  {b.name}: {b.where}; {b.runs}; {b.fold}" for b in making.board]
        if making.slanting:
            rows += ["", "Slanting scores, by their ends (from the left, from below):"]
            rows += [f"  {b.name}: {b.runs}; {b.fold}" for b in making.slanting]
        rows += ["", *(f"{i}. {step}" for i, step in enumerate(making.steps, 1)), ""]
    rows += ["Cautions", "--------", *(f"{head}: {text}" for head, text in CAUTIONS)]
    return "\n".join(map(_one_line, rows)) + "\n"


def _one_line(text: str) -> str:
    """A row of plain text: a name from a file neither begins a new row nor drives a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)


def makings(outcome: Outcome) -> list[Making]:
    """Work out the content for every template."""
    return [_making(outcome, template, f"t{i}") for i, template in enumerate(outcome.templates)]


def _making(outcome: Outcome, template: TemplateOutcome, key: str) -> Making:
    shown = [report for report in template.folds if report.motion is not None and report.hinges]
    rows = score_rows(template.lines, outcome.tolerance.coincide)
    named = list(zip(rows, board_numbers(rows), strict=True))
    width, height = template.size
    return Making(
        name=template.name,
        count=_count(outcome, template),
        stock=template.stock.title,
        blank=f"{both_units(width)} wide, {both_units(height)} high",
        picture=Markup(  # noqa: S704 - numbers and our own words only
            flat_map(
                template.lines,
                rows,
                letters=panel_letters(template.folds, template.lines, outcome.tolerance.gap),
            )
        ),
        lettered=bool(shown),
        folded=tuple(_frames(report, f"{key}-{i}") for i, report in enumerate(shown)),
        views=tuple(Markup(turntable(report, key=f"view-{key}-{i}")) for i, report in enumerate(shown)),  # noqa: S704
        board=tuple(_board_row(row, name, width, height) for row, name in named if row.ends is None),
        slanting=tuple(_slanting_row(row, name) for row, name in named if row.ends is not None),
        steps=_steps(template, rows),
    )


def _frames(report: FoldReport, key: str) -> Markup:
    return Markup(folding_frames(report, key=f"frames-{key}"))  # noqa: S704 - escapes the part's name itself


def _count(outcome: Outcome, template: TemplateOutcome) -> str:
    if outcome.sets == 1:
        return str(template.copies)
    return f"{template.copies} ({template.copies / outcome.sets:g} a set, {outcome.sets} sets)"


def _board_row(row: ScoreRow, name: str, width: float, height: float) -> BoardRow:
    other = height if row.edge == "left" else width
    across = "from below" if row.edge == "left" else "from the left"
    whole = len(row.spans) == 1 and row.spans[0][0] < 1 and row.spans[0][1] > other - 1
    runs = (
        "all the way"
        if whole
        else " and ".join(f"{both_units(a)} to {both_units(b)} {across}" for a, b in row.spans)
    )
    spans = (
        ("all the way", "all the way")
        if whole
        else (
            "; ".join(f"{inches(a)} to {inches(b)}" for a, b in row.spans),
            "; ".join(f"{millimetres(a)} to {millimetres(b)}" for a, b in row.spans),
        )
    )
    return BoardRow(
        name,
        f"{both_units(row.at)} from the {row.edge} edge",
        runs,
        _fold(row),
        row.edge,
        (inches(row.at), millimetres(row.at)),
        spans,
    )


def _slanting_row(row: ScoreRow, name: str) -> BoardRow:
    assert row.ends is not None
    a, b = (f"({both_units(x)}, {both_units(y)})" for x, y in row.ends)
    spans = tuple(" to ".join(f"{say(x)}, {say(y)}" for x, y in row.ends) for say in (inches, millimetres))
    return BoardRow(name, "", f"{a} to {b}", _fold(row), "", ("", ""), (spans[0], spans[1]))


def _fold(row: ScoreRow) -> str:
    return f"{_FOLDS[row.fold]}{', perforated' if row.perforated else ''}"


def _steps(template: TemplateOutcome, rows: tuple[ScoreRow, ...]) -> tuple[str, ...]:
    """What to do, in order; scoring comes before cutting, so that nothing shifts."""
    lines = template.lines
    width, height = template.size
    steps = [
        f"Cut a blank of {both_units(width)} by {both_units(height)}, or let the machine cut the whole sheet."
    ]
    if rows:
        parallel = any(row.ends is None for row in rows)
        board = " Set the board to each distance of the table." if parallel else ""
        slanting = any(row.ends is not None for row in rows)
        ruler = " Score the slanting lines along a ruler from end to end." if slanting else ""
        steps.append(f"Score all dashed lines first, while the card lies flat and whole.{board}{ruler}")
    holes = int((lines.closed & (lines.operation == Operation.CUT)).sum()) - template.parts
    if holes > 0:
        steps.append(f"Cut the {holes} inner opening{'s' * (holes > 1)} before the outline.")
    steps.append("Cut the outline along the solid lines.")
    folds = {row.fold for row in rows}
    if Fold.VALLEY in folds:
        steps.append(
            "Fold every valley towards you and crease it with a bone folder, then let it spring back."
        )
    if Fold.MOUNTAIN in folds:
        steps.append("Fold every mountain away from you in the same way.")
    if Fold.UNSAID in folds:
        steps.append("Fold every score and crease it with a bone folder, then let it spring back.")
    for report in template.folds:
        whose = f"{report.name}: " if len(template.folds) > 1 and report.hinges else ""
        steps += [f"{whose}{step}" for step in glueing(report)]
        if report.verdict is Verdict.CURVED:
            steps.append(
                f"{whose}The curved scores bend the card: press them in little by little, and fold one by hand "
                "before you make the rest."
            )
    if slotted(lines):
        steps.append("Push the strips into each other, each slot over the slot of the strip that crosses it.")
    elif template.parts > 1:
        steps.append(f"Put the {template.parts} parts of each copy together.")
    return tuple(steps)
