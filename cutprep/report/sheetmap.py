"""The picture of a sheet: what is cut, scored and drawn where, in which order, with travel.

Every operation has its own dash and width beside its colour, so that the picture reads the
same on a black-and-white printer and for eyes that tell colours differently. Strokes come in
groups in working order, which the job sheet's slider shows one after the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.model.sheet import Sheet
from cutprep.report.outcome import Outcome, SheetOutcome

#: Class of a line to stroke colour, width and dashes in mm. A score dashed and a mountain with two
#: dots is common practice among paper folders, no published source; the colours are our own.
LINE_STYLES: dict[str, tuple[str, float, str]] = {
    "cut": ("#2b2118", 0.55, ""),
    "partial-cut": ("#2b2118", 0.4, "6 1.2"),
    "perforate": ("#00695f", 0.5, "0.6 1.4"),
    "score": ("#8a5300", 0.45, "3 1.5"),
    "valley": ("#8a5300", 0.45, "3 1.5"),
    "mountain": ("#8a5300", 0.45, "4 1 0.5 1 0.5 1"),
    "draw": ("#6b3f8f", 0.3, ""),
    "guide": ("#6f6a63", 0.2, "1 2"),
    "travel": ("#5d6a75", 0.18, "0.4 1.2"),
}
WORDS = {
    "cut": "cut",
    "partial-cut": "cut part deep",
    "perforate": "perforate",
    "score": "score",
    "valley": "score, valley fold",
    "mountain": "score, mountain fold",
    "draw": "draw",
    "travel": "travel, tool up",
}
#: Pictures are for the eye: a fifth of a millimetre on paper can't be told apart at arm's length.
_SIMPLER = 0.05
_MOST_STEPS = 240
#: Room for the scale bar below the sheet, mm.
_BAR = 9.0
#: A stroke is a part's outline when the middles of both are no further apart than this, mm.
_SAME_MIDDLE = 0.5
#: With more outlines than this on a sheet their order is left to the slider.
MOST_MARKS = 60


def line_class(operation: int, fold: int) -> str:
    """Name of the style of a line."""
    if operation == Operation.SCORE and fold:
        return Fold(fold).name.lower()
    return Operation(operation).word


def style_rules() -> str:
    """The styles as CSS, for a page or a picture that stands alone."""
    rows = [".map path{fill:none;stroke-linejoin:round;stroke-linecap:butt}"]
    for name, (colour, width, dash) in LINE_STYLES.items():
        dashes = f";stroke-dasharray:{dash}" if dash else ""
        rows.append(f".map .{name}{{stroke:{colour};stroke-width:{width}{dashes}}}")
    return "\n".join([*rows, _PICTURES])


#: What pictures have beside their lines. Letters have a rim in the card's colour, so that a line below
#: them is interrupted and not rubbed out.
_PICTURES = """\
.map text,.step-picture text{font-family:"DejaVu Sans",Verdana,system-ui,sans-serif;fill:#2b2118;text-anchor:middle;\
paint-order:stroke;stroke:#fffdf8;stroke-width:.6px;stroke-linejoin:round}
.map .free{fill:#e4ded3;stroke:#8d8478;stroke-width:.3;stroke-dasharray:1 1}
.map .begin{fill:#9b1c1c}
.map text.panel{font-weight:700;fill:#2a5d80}
.map text.score-number,.map text.turn{fill:#8a3a00}
.map text.turn{fill:#9b1c1c}
.map .tick{stroke:#8a3a00;stroke-width:.3}
.map .measure,.map .leader{stroke:#2b2118;stroke-width:.2}
.step-picture path{fill:none;stroke-linejoin:round}
.step-picture .card{fill:#f4ead6;stroke:#4a4238;stroke-width:.22}
.step-picture .lit{fill:#f2c35b;stroke:#2b2118;stroke-width:.3}
.step-picture .pale{stroke:#a79c8a;stroke-width:.22}
.step-picture .cut{stroke:#2b2118;stroke-width:.6}
.step-picture .score,.step-picture .valley{stroke:#8a5300;stroke-width:.5;stroke-dasharray:2 1}
.step-picture .mountain{stroke:#8a5300;stroke-width:.5;stroke-dasharray:2.6 .8 .5 .8}
.step-picture .perforate{stroke:#00695f;stroke-width:.5;stroke-dasharray:.5 1}"""


def template_marks(outcome: Outcome) -> tuple[str, ...]:
    """A letter for each template of a job with several, so that copy 1 of one is not copy 1 of another."""
    count = len(outcome.templates)
    return tuple(_letters(i) for i in range(count)) if count > 1 else ("",) * count


def sheet_marks(outcome: Outcome, done: SheetOutcome) -> tuple[str, ...]:
    """The letters of the templates on one sheet, in the sheet's own order."""
    known = {
        (t.name, t.stock.name): mark
        for t, mark in zip(outcome.templates, template_marks(outcome), strict=True)
    }
    return tuple(known.get((t.name, done.stock.name), "") for t in done.sheet.templates)


def _letters(i: int) -> str:
    return ("" if i < 26 else _letters(i // 26 - 1)) + chr(ord("A") + i % 26)


def sheet_map(done: SheetOutcome, *, alone: bool = False, marks: Sequence[str] = (), unit: str = "mm") -> str:
    """Draw a sheet as SVG.

    Parameters
    ----------
    done
        The sheet.
    alone
        The picture stands in a file of its own: styles and namespace are put in.
    marks
        A letter for each template of the sheet, put before the numbers of its copies.
    unit
        Of the bar that shows the scale.

    Returns
    -------
    str
        One SVG element; its coordinates are mm, one to one.
    """
    sheet = done.sheet
    width, height = number(sheet.width), number(sheet.height)
    head = f'<svg class="map" viewBox="-2 -2 {number(sheet.width + 4)} {number(sheet.height + 4 + _BAR)}" role="img"'
    if alone:
        head += (
            f' xmlns="http://www.w3.org/2000/svg" width="{number(sheet.width + 4)}mm"'
            f' height="{number(sheet.height + 4 + _BAR)}mm"'
        )
    label = f"Sheet {sheet.number}: {len(sheet.placements)} copies on {width} by {height} mm"
    parts = [f'{head} aria-label="{label}">']
    if alone:
        parts.append(f"<style>{style_rules()}</style>")
        parts.append('<rect x="-2" y="-2" width="100%" height="100%" fill="#fffdf8"/>')
    parts.append(
        f'<rect x="0" y="0" width="{width}" height="{height}" fill="#fffdf8" stroke="#8d8478" stroke-width="0.4"/>'
    )
    parts.append(f'<g transform="matrix(1 0 0 -1 0 {height})">')
    parts.extend(
        f'<path class="free" d="{path_data(outline)}"><title>kept free</title></path>'
        for outline in sheet.kept_free
    )
    parts.extend(_steps(done))
    parts.append("</g>")
    parts.extend(_numbers(sheet, done.strokes.lines, marks))
    parts.extend(_turns(done))
    parts.append(_scale_bar(sheet, unit))
    if done.stock.grain is not None:
        parts.append(_grain_arrow(sheet, done.stock.grain))
    parts.append("</svg>")
    return "".join(parts)


def legend(lines: Iterable[Lines]) -> list[tuple[str, str]]:
    """Style names and words of the operations that occur, in a fixed order."""
    seen = {"travel"}
    for some in lines:
        seen |= {
            line_class(op, fold) for op, fold in zip(some.operation.tolist(), some.fold.tolist(), strict=True)
        }
    return [(name, word) for name, word in WORDS.items() if name in seen]


def _steps(done: SheetOutcome) -> list[str]:
    """Groups of strokes in working order, each with the travel that leads to it."""
    lines = done.strokes.lines
    count = min(len(lines), _MOST_STEPS)
    at = np.array(done.strokes.home)
    groups = []
    for rows in np.array_split(np.arange(len(lines)), count) if count else []:
        by_class: dict[str, list[str]] = {}
        travel = []
        for i in rows.tolist():
            points = lines.points(i)
            travel.append(f"M{_pair(at)}L{_pair(points[0])}")
            at = points[-1]
            name = line_class(int(lines.operation[i]), int(lines.fold[i]))
            by_class.setdefault(name, []).append(path_data(points))
        body = [f'<path class="travel" d="{"".join(travel)}"/>']
        body += [f'<path class="{name}" d="{"".join(data)}"/>' for name, data in by_class.items()]
        groups.append(f'<g class="step">{"".join(body)}</g>')
    if len(lines):
        groups.append(
            f'<g class="step"><path class="travel" d="M{_pair(at)}L{_pair(done.strokes.home)}"/></g>'
        )
    return groups


def path_data(points: Points) -> str:
    """Path data of one line, simplified for the eye; a closed line ends with Z."""
    if len(points) > 8:
        points = shapely.get_coordinates(shapely.LineString(points).simplify(_SIMPLER))
    closed = len(points) >= 4 and bool((points[0] == points[-1]).all())
    if closed:
        points = points[:-1]
    return f"M{'L'.join(_pair(p) for p in points)}{'Z' if closed else ''}"


def outlines_in_order(done: SheetOutcome) -> list[tuple[Points, int | None]]:
    """Where the cut of each outline begins, in working order, and the placement that it frees."""
    lines = done.strokes.lines
    rows = np.flatnonzero(done.strokes.outline).tolist()
    middles, owners = [], []
    for k, spot in enumerate(done.sheet.placements):
        template = done.sheet.templates[spot.template]
        for i, part in enumerate(template.parts):
            if spot.part in (None, i):
                points = template.lines.points(part.outline) @ spot.matrix[:, :2].T + spot.matrix[:, 2]
                middles.append((points.min(axis=0) + points.max(axis=0)) / 2)
                owners.append(k)
    found: list[tuple[Points, int | None]] = []
    for row in rows:
        points = lines.points(row)
        owner = None
        if middles:
            far = np.hypot(*(np.array(middles) - (points.min(axis=0) + points.max(axis=0)) / 2).T)
            owner = owners[int(far.argmin())] if far.min() < _SAME_MIDDLE else None
        found.append((points[0], owner))
    return found


def _turns(done: SheetOutcome) -> list[str]:
    """A dot where the cut of each outline begins, and its turn, for the picture that stands still."""
    begins = outlines_in_order(done) if int(done.strokes.outline.sum()) <= MOST_MARKS else []
    tall = min(done.sheet.width, done.sheet.height) / 55
    found = []
    for turn, (point, _) in enumerate(begins, 1):
        x, y = float(point[0]), done.sheet.height - float(point[1])
        found.append(
            f'<circle class="begin" cx="{number(x)}" cy="{number(y)}" r="{number(tall * 0.28)}"/>'
            f'<text class="turn" x="{number(x + tall * 0.4)}" y="{number(y - tall * 0.3)}" '
            f'font-size="{number(tall)}">{turn}</text>'
        )
    return found


def _scale_bar(sheet: Sheet, unit: str) -> str:
    """A bar below the sheet that is as long as it says, at whatever size the picture is printed."""
    length, word = (50.8, "2 in") if unit == "in" else (50.0, "50 mm" if unit == "mm" else "5 cm")
    y = sheet.height + _BAR * 0.55
    return (
        f'<path d="M0 {number(y - 1.2)}v2.4M0 {number(y)}H{number(length)}M{number(length)} {number(y - 1.2)}v2.4" '
        'style="stroke:#2b2118;stroke-width:.5"/>'
        f'<text x="{number(length + 2)}" y="{number(y + 1.5)}" font-size="4.5" style="text-anchor:start">{word}</text>'
    )


def _numbers(sheet: Sheet, lines: Lines, marks: Sequence[str]) -> list[str]:
    """Number of each copy on a light ground, sized to be read on paper."""
    if len(sheet.placements) > 400 or not len(lines):
        return []
    found = []
    for spot in sheet.placements:
        template = sheet.templates[spot.template]
        name = f"{marks[spot.template] if marks else ''}{spot.copy}"
        parts = [part for k, part in enumerate(template.parts) if spot.part in (None, k)]
        # A number stands on every part, so that loose strips are told apart as well.
        boxes = [_box(template.lines.points(part.outline)) for part in parts] or [((0.0, 0.0), template.size)]
        for (left, bottom), (w, h) in boxes:
            middle = spot.matrix @ np.array([left + w / 2, bottom + h / 2, 1.0])
            tall = float(np.clip(min(w, h) / 6, 2.0, 9.0))
            x, y = float(middle[0]), sheet.height - float(middle[1])
            wide = tall * 0.68 * len(name) + tall * 0.5
            found.append(
                f'<rect class="halo" x="{number(x - wide / 2)}" y="{number(y - tall * 0.65)}" '
                f'width="{number(wide)}" height="{number(tall * 1.3)}" rx="{number(tall / 4)}"/>'
                f'<text x="{number(x)}" y="{number(y + tall * 0.36)}" font-size="{number(tall)}">{name}</text>'
            )
    return found


def _box(points: Points) -> tuple[tuple[float, float], tuple[float, float]]:
    """Lower left corner and size of what points take up, mm."""
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return (left, bottom), (right - left, top - bottom)


def _grain_arrow(sheet: Sheet, grain: float) -> str:
    """A double arrow along the grain, in the sheet's lower right corner."""
    size = min(sheet.width, sheet.height) / 14
    x, y = sheet.width - size * 0.8, sheet.height - size * 0.8
    head = size * 0.18
    h, t = number(size / 2), number(size / 2 - head)
    return (
        f'<g transform="translate({number(x)} {number(y)}) rotate({number(-grain)})">'
        f'<path d="M-{h} 0H{h}M-{t} -{number(head)}L-{h} 0L-{t} {number(head)}M{t} -{number(head)}L{h} 0L{t} {number(head)}" '
        'style="stroke:#2b2118;stroke-width:.5"/></g>'
        f'<text x="{number(x - size * 0.95)}" y="{number(y + size * 0.1)}" font-size="{number(size * 0.3)}">grain</text>'
    )


def _pair(point: Iterable[float]) -> str:
    x, y = point
    return f"{number(float(x))} {number(float(y))}"


def number(value: float) -> str:
    """Write a coordinate for a picture: two digits at most.

    Raises
    ------
    ValueError
        When it is not finite.
    """
    if not math.isfinite(value):
        raise ValueError("a picture can't hold a coordinate that is not finite")
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"
