"""What the job sheet says and draws of a sheet that is scored from the back first: how it is laid, turned over, laid again."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutprep.model.lines import Points
from cutprep.report.outcome import BackRun, MachineFile, SheetOutcome
from cutprep.report.pictures.lettering import SMALL
from cutprep.units import say_length, say_thin, say_time, say_typed

#: Longest side of a card in the picture, its room for words above and below, between both cards, mm in print.
_LONG, _WORDS, _BETWEEN, _EDGE = 26.0, 5.0, 20.0, 4.0
#: A mark may lie so far from its place, mm: what --align-off allows when nothing is said.
_NEAR = 0.5
_DONE = "The run from the back is left out then: it is done."


def running(files: Sequence[MachineFile]) -> tuple[str, ...]:
    """What to do file after file."""
    if len(files) == 1:
        return (f"Run {files[0].name} ({say_time(files[0].duration.total)}).",)
    return tuple(
        f"Put in the {file.tool} and run {file.name} ({say_time(file.duration.total)})." for file in files
    )


def turning_steps(done: SheetOutcome, unit: str) -> tuple[str, ...]:
    """Steps from the card in hands to the last file; none for a sheet that is not turned over.

    Parameters
    ----------
    done
        The sheet.
    unit
        In which lengths are given.
    """
    back = done.back
    if back is None:
        return ()
    first, then = ([file for file in done.files if file.side == side] for side in ("back", "front"))
    if back.done:
        return (
            "What is scored from the back was run before; lay the card as it lay when you measured it, front up.",
            *running(then),
        )
    each = ("Do all of this with one card before you take the next.",) if done.runs > 1 else ()
    turned = _turned(done, back, unit)
    return (*each, _back_up(done, back, unit), *running(first), turned, *running(then), _else(back, unit))


def _far(done: SheetOutcome, back: BackRun, unit: str) -> tuple[str, str, str, str]:
    """The marked edge's name with the front up, where it lies with the back up, how far, and the edge that stays."""
    if back.way == "sideways":
        return "left", "right", say_length(done.sheet.width, unit), "lower"
    return "lower", "upper", say_length(done.sheet.height, unit), "left"


def _back_up(done: SheetOutcome, back: BackRun, unit: str) -> str:
    edge, there, far, stays = _far(done, back, unit)
    size = f"{say_length(done.sheet.width, unit)} x {say_length(done.sheet.height, unit)}"
    if len(back.marks):
        return (
            f"Lay the card with its back up, as the small picture shows: its {there} edge, the heavy one, is the {edge} one of "
            "the front. "
            "The run scores from the back, and cuts four small crosses through the corners."
        )
    return (
        f"Measure the card: the plan counts on {size}. Mark the {edge} edge of its front, the heavy one in the small "
        f"picture. Lay the card with its back up, the marked edge as the {there} one, {far} from where the plan begins "
        f"({'to the right of' if back.way == 'sideways' else 'above'} the lower left corner of the machine's area), and "
        f"the {stays} edge where it always lies."
    )


def _turned(done: SheetOutcome, back: BackRun, unit: str) -> str:
    edge, _, far, stays = _far(done, back, unit)
    like = "sideways, like a page" if back.way == "sideways" else "endways, its upper edge towards you"
    turn = f"With the machine at rest, turn the card over {like}, front up: the heavy edge of the picture comes {_comes(edge)}"
    if not len(back.marks):
        return (
            f"{turn}. Lay it by the marked edge and the {stays} one, the same two as before: by the opposite edge, whatever "
            f"the card is wider or narrower than {far} would shift the scores by as much."
        )
    spots = spots_of("cross", back.marks, unit)
    return (
        f"{turn}. Find the middle of each cross under the tool, with the tool up and hands off the blade. In the plan they "
        f"lie at {spots}. Go on if each lies there within {near(unit)}."
    )


def _comes(edge: str) -> str:
    return "to the left" if edge == "left" else "below"


def spots_of(word: str, marks: Points, unit: str) -> str:
    """Where marks lie in the plan, as `--align` takes it: `mark 1: 9mm,9mm; ...`; marks (n, 2), mm."""
    return "; ".join(f"{word} {k}: {_spot(mark, unit)}" for k, mark in enumerate(marks, 1))


def _spot(mark: Points, unit: str) -> str:
    """A point (2,), mm, as `--align` takes it."""
    return ",".join(say_typed(x, unit) for x in mark.tolist())


def near(unit: str) -> str:
    """How far a mark may lie from its place before the job is prepared again."""
    return say_thin(_NEAR, unit)


def prepare_again(word: str, mark: Points, unit: str) -> str:
    """What to do where marks lie elsewhere, in the middle of a sentence.

    Parameters
    ----------
    word
        What they are.
    mark
        (2,) the first of them in the plan, mm.
    unit
        In which lengths are given.
    """
    return (
        "prepare the same job again into another folder with --places and this job.json, and with --align for each "
        f"{word}, such as --align {_spot(mark, unit)}=X,Y with what you found."
    )


def _else(back: BackRun, unit: str) -> str:
    if len(back.marks):
        return f"If a cross lies elsewhere, {prepare_again('cross', back.marks[0], unit)} {_DONE}"
    return (
        f"If a corner of the turned card lies more than {near(unit)} from where the plan has it, find two to four corners "
        f"under the tool before you run its front, and {prepare_again('corner', np.zeros(2), unit)} {_DONE}"
    )


def turning_picture(back: BackRun, width: float, height: float) -> str:
    """Draw how a sheet is turned over.

    Parameters
    ----------
    back
        How, and by what it is laid.
    width, height
        Of the sheet, mm.

    Returns
    -------
    str
        One SVG element.
    """
    size = _LONG / max(width, height)
    w, h = width * size, height * size
    sideways = back.way == "sideways"
    wide, high = 2 * w + _BETWEEN + 2 * _EDGE, h + _WORDS + 2.0
    second = _EDGE + w + _BETWEEN
    label = f"The card with its back up, then turned over {back.way} with its front up; a heavy bar marks the same edge"
    marks = back.marks * size
    head = (
        f'<svg class="map turning" width="{wide:.1f}mm" height="{high:.1f}mm" viewBox="0 0 {wide:.2f} {high:.2f}" '
        f'role="img" aria-label="{label}">'
    )
    rows = [
        head,
        _card(_EDGE, w, h, "1: back up", marks, edge="right" if sideways else "upper", back=True),
        _card(second, w, h, "2: front up", marks, edge="left" if sideways else "lower", back=False),
        _arrow(_EDGE + w + _BETWEEN / 2, _WORDS + h / 2, sideways=sideways),
        "</svg>",
    ]
    return "".join(rows)


def _card(x: float, w: float, h: float, words: str, marks: Points, *, edge: str, back: bool) -> str:
    """One card, y down, its upper left at x and below the words."""
    y = _WORDS
    bars = {
        "left": f"M{x:.2f} {y:.2f}v{h:.2f}",
        "right": f"M{x + w:.2f} {y:.2f}v{h:.2f}",
        "upper": f"M{x:.2f} {y:.2f}h{w:.2f}",
        "lower": f"M{x:.2f} {y + h:.2f}h{w:.2f}",
    }
    # Crosses lie alike about both middles, so the back shows them where the front does.
    arms = "".join(f"M{x + a - 1:.2f} {y + h - b:.2f}h2m-1 -1v2" for a, b in marks.tolist())
    kind = "free" if back else "sheet-card"
    return (
        f'<rect class="{kind}" x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}"/>'
        + (f'<path class="cut" style="stroke-width:.3" d="{arms}"/>' if arms else "")
        + f'<path class="first" style="stroke-width:1.1" d="{bars[edge]}"/>'
        + f'<text x="{x + w / 2:.2f}" y="{y - 1.6:.2f}" font-size="{SMALL}">{words}</text>'
    )


def _arrow(x: float, y: float, *, sideways: bool) -> str:
    """A bent arrow: over the top from card to card, or over from above to below."""
    if sideways:
        way = f"M{x - 6:.2f} {y + 1:.2f}q6 -8 12 0m-2.4 -.6l2.4 .6l.5 -2.4"
    else:
        way = f"M{x - 1:.2f} {y - 6:.2f}q8 6 0 12m.6 -2.4l-.6 2.4l2.4 .5"
    return (
        f'<path class="arrow" style="stroke-width:.4" d="{way}"/>'
        f'<text x="{x:.2f}" y="{y + 10:.2f}" font-size="{SMALL}">turn over</text>'
    )
