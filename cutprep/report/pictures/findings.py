"""Where findings are: the drawing with numbered markers, what the markers mean, and close looks at small things.

The numbers are those of the list. Texts are sized for a printed page, as on the pictures of sheets.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from html import escape

import numpy as np
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings, Severity, ranked, sentence
from cutprep.model.lines import Lines
from cutprep.report.pictures.lettering import SMALL, Labels, box_of
from cutprep.report.pictures.paths import number, path_data, paths_data
from cutprep.report.pictures.sheet import line_class, style_rules

#: Marker of each severity: colour of its rim, and its shape, so that colour is never needed.
_MARKS = {
    Severity.ERROR: ("#9b1c1c", "square"),
    Severity.WARNING: ("#8a5300", "circle"),
    Severity.NOTE: ("#5c5145", "diamond"),
}
_MOST_MARKS = 300
#: The picture in print at most, mm; a drawing smaller than this is drawn at real size.
_PAGE = (180.0, 170.0)
#: Findings measured below this, mm, are looked at closely: to the eye they are nothing.
_SMALL_THING = 1.5
#: Size of a close look in print, mm; how many stand below the picture; how much larger at most.
_LENS, _MOST_LENSES, _LARGEST = 34.0, 5, 40
#: Least width of one picture of a pair, in sizes of its text: the legend needs that much.
_PAIR = 32.0
#: The most lines of words below a picture.
_MOST_LINES = 40


def findings_picture(drawing: Drawing, findings: Findings, *, words: bool = True) -> str:
    """Draw a drawing with a marker at each place of each finding.

    Parameters
    ----------
    words
        What is wrong stands below the picture; a page that lists it beside has no need of it.

    Returns
    -------
    str
        An SVG file in mm; errors are squares, warnings circles, notes diamonds.
    """
    size = _size(drawing)
    body, (width, height) = _body(drawing, ranked(findings), round(SMALL / size, 2), words=words)
    return (
        f'<svg class="map" xmlns="http://www.w3.org/2000/svg" width="{number(width * size)}mm" '
        f'height="{number(height * size)}mm" viewBox="0 0 {number(width)} {number(height)}" role="img" '
        f'aria-label="{escape(drawing.name)}: where findings are"><style>{style_rules()}</style>'
        f'<rect width="100%" height="100%" fill="#fffdf8"/>{body}</svg>'
    )


def before_and_after(before: Drawing, findings: Findings, after: Drawing) -> str:
    """Draw a drawing with its findings marked, and beside it the mended one.

    Returns
    -------
    str
        An SVG file; both pictures have the same scale.
    """
    size = _size(before)
    for _ in range(12):  # larger texts make the pair wider, which makes it smaller in print: it settles soon
        small = round(SMALL / size, 2)
        wide = _width(before, small, least=_PAIR if findings else 0.0) + _width(after, small, least=0.0)
        size = min(_size(before), _PAGE[0] / wide)
    left, (w1, h1) = _body(before, ranked(findings), small, words=True, least=_PAIR)
    right, (w2, h2) = _body(after, (), small, words=False)
    width, height, band = w1 + w2, max(h1, h2), 2 * small
    labels = Labels()
    labels.put(w1 / 2, band / 2, "before", size=small)
    labels.put(w1 + w2 / 2, band / 2, "mended", size=small)
    return (
        f'<svg class="map" xmlns="http://www.w3.org/2000/svg" width="{number(width * size)}mm" '
        f'height="{number((height + band) * size)}mm" viewBox="0 0 {number(width)} {number(height + band)}">'
        f"<style>{style_rules()}</style>"
        f'<rect width="100%" height="100%" fill="#fffdf8"/>{"".join(labels.rows)}'
        f'<g transform="translate(0 {number(band)})">{left}</g>'
        f'<g transform="translate({number(w1)} {number(band)})">{right}</g></svg>'
    )


def _size(drawing: Drawing) -> float:
    """How much smaller than the drawing the picture is in print; never larger."""
    left, bottom, right, top = drawing.lines.bounds
    return min(1.0, _PAGE[0] / max(right - left + 16, 1.0), _PAGE[1] / max(top - bottom + 16, 1.0))


def _width(drawing: Drawing, small: float, *, least: float) -> float:
    """Width of a picture, mm of the drawing; `least` in sizes of its text."""
    left, _, right, _ = drawing.lines.bounds
    return max(right - left + 6 * small, least * small)


def _body(
    drawing: Drawing, findings: Findings, small: float, *, words: bool, least: float = 46.0
) -> tuple[str, tuple[float, float]]:
    """What stands in the picture, its smallest text `small`, and its width and height, mm of the drawing."""
    left, bottom, _, top = drawing.lines.bounds
    pad = 3 * small
    width = _width(drawing, small, least=least if findings else 0.0)
    height = top - bottom + 2 * pad
    parts = [f'<g transform="matrix(1 0 0 -1 {number(pad - left)} {number(height - pad + bottom)})">']
    parts += _lines(drawing.lines)
    parts.append("</g>")
    labels = Labels()
    for x, y, severity, text in _marks(findings):
        parts += _mark(labels, x - left + pad, height - (y - bottom + pad), small, severity, text)
    parts += labels.rows
    if findings:
        rows, height = _lenses(drawing, findings, height, small)
        parts += rows
        rows, height = _legend(findings, height, small)
        parts += rows
        if words:
            rows, height = _words(findings, width, height, small)
            parts += rows
    return "".join(parts), (width, height)


def _lines(lines: Lines) -> list[str]:
    codes = zip(lines.operation.tolist(), lines.fold.tolist(), strict=True)
    return [
        f'<path class="{"guide" if operation < 0 else line_class(operation, fold)}" d="{data}"/>'
        for (operation, fold), data in zip(codes, paths_data(lines.xy, lines.start), strict=True)
    ]


def _marks(findings: Findings) -> list[tuple[float, float, Severity, str]]:
    """Places with the numbers of their findings; one marker holds all numbers of one place."""
    spots: dict[tuple[float, float], tuple[Severity, list[int]]] = {}
    for count, finding in enumerate(findings, 1):
        for place in finding.places:
            if place.xy is None:
                continue
            key = (round(place.xy[0], 1), round(place.xy[1], 1))
            _severity, numbers = spots.setdefault(key, (finding.severity, []))
            if count not in numbers:
                numbers.append(count)
    marks = [(x, y, severity, ",".join(map(str, numbers))) for (x, y), (severity, numbers) in spots.items()]
    return marks[:_MOST_MARKS]


def _mark(labels: Labels, x: float, y: float, small: float, severity: Severity, text: str) -> list[str]:
    """A marker with its numbers, moved aside with a thin line when another is there."""
    before = len(labels.taken)
    # The rim needs room as well, so the text is placed as if it were a little longer.
    if not labels.put_beside(x, y, f" {text} ", size=small * 1.35):
        return []
    box = labels.taken[before]
    middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    rows = [row for row in labels.rows if "leader" in row]
    labels.rows[:] = [row for row in labels.rows if "leader" not in row][:-1]
    return [*rows, _shape(*middle, small, severity, len(text)), _text(*middle, text, small)]


def _text(x: float, y: float, text: str, small: float, *, begin: bool = False) -> str:
    style = ' style="text-anchor:start"' if begin else ""
    return f'<text x="{number(x)}" y="{number(y + small * 0.36)}" font-size="{small:g}"{style}>{escape(text)}</text>'


def _shape(x: float, y: float, small: float, severity: Severity, length: int) -> str:
    colour, shape = _MARKS[severity]
    half, high = small * (0.5 + 0.32 * length), small * 0.78
    # As a style, because the sheet's rule that paths have no fill would win over attributes.
    style = f'style="fill:#fffdf8;fill-opacity:.9;stroke:{colour};stroke-width:{number(small / 7)}"'
    if shape == "square":
        box = f'x="{number(x - half)}" y="{number(y - high)}" width="{number(2 * half)}" height="{number(2 * high)}"'
        return f"<rect {box} {style}/>"
    if shape == "circle":
        return f'<ellipse cx="{number(x)}" cy="{number(y)}" rx="{number(half)}" ry="{number(high)}" {style}/>'
    a, b = number(half * 1.3), number(high * 1.35)
    return f'<path d="M{number(x)} {number(y)}m-{a} 0l{a} -{b} {a} {b} -{a} {b}Z" {style}/>'


def _legend(findings: Findings, top: float, small: float) -> tuple[list[str], float]:
    """What the markers mean, for those that occur."""
    rows, x, y = [], 1.5 * small, top + small
    for severity in Severity:
        if any(f.severity is severity for f in findings):
            rows += [_shape(x, y, small, severity, 1), _text(x, y, "1", small)]
            rows.append(_text(x + 1.6 * small, y, severity.value, small, begin=True))
            x += 1.6 * small + box_of(0, 0, severity.value, small)[2] * 2 + 2 * small
    rows.append(_text(x - small, y, "numbers as in the list", small, begin=True))
    return rows, top + 2.4 * small


def _words(findings: Findings, width: float, top: float, small: float) -> tuple[list[str], float]:
    """The findings in words, below the picture."""
    room = max(24, int(width / (0.6 * small)) - 4)
    rows: list[str] = []
    for count, finding in enumerate(findings, 1):
        text = f"{count}  {finding.severity.value}: {sentence(finding.problem)}"
        rows += textwrap.wrap(text, room)
        if len(rows) > _MOST_LINES:
            rows = [*rows[:_MOST_LINES], "... the list has the rest"]
            break
    step = 1.5 * small
    texts = [_text(small, top + (i + 0.5) * step, row, small, begin=True) for i, row in enumerate(rows)]
    return texts, top + (len(rows) + 0.5) * step


def _lenses(drawing: Drawing, findings: Findings, top: float, small: float) -> tuple[list[str], float]:
    """Close looks at places where something less than a millimetre or so is wrong."""
    looks: list[tuple[int, tuple[float, float], float]] = []
    for count, finding in enumerate(findings, 1):
        tiny = finding.unit == "mm" and finding.measure is not None and 0 <= finding.measure < _SMALL_THING
        spot = next((p.xy for p in finding.places if p.xy is not None), None)
        if tiny and spot is not None and len(looks) < _MOST_LENSES:
            looks.append((count, spot, max(finding.measure or 0.0, 0.1)))
    if not looks:
        return [], top
    side = _LENS / SMALL * small
    rows = []
    for i, (count, (x, y), measure) in enumerate(looks):
        larger = int(np.clip(0.25 * _LENS / measure, 2, _LARGEST))
        left = small + i * (side + small)
        rows += close_look(drawing.lines, (x, y), (left, top + small * 0.4), side, larger, small)
        rows.append(
            _text(left + side / 2, top + side + small * 1.4, f"{count}: {larger} times larger", small)
        )
    return rows, top + side + 2.6 * small


def close_look(
    lines: Lines,
    at: tuple[float, float],
    corner: tuple[float, float],
    side: float,
    larger: float,
    small: float,
) -> list[str]:
    """Draw the lines round a place, cut off at a square, so much larger than they are.

    Parameters
    ----------
    lines
        mm.
    at
        The place in the middle, mm.
    corner, side
        Upper left corner of the square in the picture, y down, and its side.
    larger
        How much.
    small
        Size of the picture's smallest text.
    """
    half = side / larger / 2
    window = shapely.box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)
    x, y = corner
    rows = [
        (
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(side)}" height="{number(side)}" '
            f'style="fill:#fffdf8;stroke:#2b2118;stroke-width:{number(small / 10)}"/>'
        )
    ]
    boxes, spot = lines.boxes, np.array(at)
    near = (boxes[:, :2] <= spot + half).all(axis=1) & (boxes[:, 2:] >= spot - half).all(axis=1)
    for line in lines.take(near):
        name = "guide" if line.operation < 0 else line_class(int(line.operation), int(line.fold))
        for part in _clipped(shapely.LineString(line.points), window):
            placed = (part - at) * (larger, -larger) + (x + side / 2, y + side / 2)
            rows.append(f'<path class="{name}" d="{path_data(placed)}"/>')
    return rows


def _clipped(line: shapely.LineString, window: shapely.Polygon) -> Iterable[np.ndarray]:
    for part in shapely.get_parts(line.intersection(window)):
        points = shapely.get_coordinates(part)
        if len(points) > 1:
            yield points
