"""Where findings are: the drawing with numbered markers, the numbers being those of the list."""

from __future__ import annotations

from html import escape

from cutprep.model.drawing import Drawing
from cutprep.model.finding import Findings, Severity, ranked
from cutprep.report.sheetmap import line_class, number, path_data, style_rules

#: Marker of each severity: colour of its rim, and its shape, so that colour is never needed.
_MARKS = {
    Severity.ERROR: ("#9b1c1c", "square"),
    Severity.WARNING: ("#8a5300", "circle"),
    Severity.NOTE: ("#5c5145", "diamond"),
}
_MOST_MARKS = 300


def findings_picture(drawing: Drawing, findings: Findings) -> str:
    """Draw a drawing with a marker at each place of each finding.

    Returns
    -------
    str
        An SVG file in mm; errors are squares, warnings circles, notes diamonds.
    """
    return _picture(drawing, findings, "mm")


def _picture(drawing: Drawing, findings: Findings, unit: str) -> str:
    """The picture, its size in a unit, or in the user units of a picture around it."""
    lines = drawing.lines
    left, bottom, _, _ = lines.bounds
    size, pad = _pad_of(drawing)
    width, height = _size_of(drawing)
    parts = [
        (
            f'<svg class="map" xmlns="http://www.w3.org/2000/svg" width="{number(width)}{unit}" height="{number(height)}{unit}" '
            f'viewBox="0 0 {number(width)} {number(height)}" role="img" aria-label="{escape(drawing.name)}: where findings are">'
        ),
        f"<style>{style_rules()}</style>",
        '<rect width="100%" height="100%" fill="#fffdf8"/>',
        f'<g transform="matrix(1 0 0 -1 {number(pad - left)} {number(height - pad + bottom)})">',
    ]
    for line in lines:
        name = "guide" if line.operation < 0 else line_class(int(line.operation), int(line.fold))
        parts.append(f'<path class="{name}" d="{path_data(line.points)}"/>')
    parts.append("</g>")
    for x, y, severity, text in _marks(ranked(findings)):
        parts.append(_mark(x - left + pad, height - (y - bottom + pad), size, severity, text))
    parts.append("</svg>")
    return "".join(parts)


def before_and_after(before: Drawing, findings: Findings, after: Drawing) -> str:
    """Draw a drawing with its findings marked, and beside it the mended one.

    Returns
    -------
    str
        An SVG file; both pictures have the same scale.
    """
    left, right = (_picture(d, f, "") for d, f in ((before, findings), (after, ())))
    (w1, h1), (w2, h2) = (_size_of(d) for d in (before, after))
    width, height, band = w1 + w2, max(h1, h2), max(w1, h1) / 20
    words = "".join(
        f'<text x="{number(x)}" y="{number(band * 0.7)}" font-size="{number(band * 0.5)}" '
        f'font-family="system-ui,sans-serif" text-anchor="middle" fill="#2b2118">{word}</text>'
        for x, word in ((w1 / 2, "before"), (w1 + w2 / 2, "mended"))
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height + band)}mm" '
        f'viewBox="0 0 {number(width)} {number(height + band)}"><rect width="100%" height="100%" fill="#fffdf8"/>'
        f'{words}<svg x="0" y="{number(band)}" width="{number(w1)}" height="{number(h1)}">{left}</svg>'
        f'<svg x="{number(w1)}" y="{number(band)}" width="{number(w2)}" height="{number(h2)}">{right}</svg></svg>'
    )


def _pad_of(drawing: Drawing) -> tuple[float, float]:
    """Size of a marker, and the border round the drawing that leaves room for it, mm."""
    left, bottom, right, top = drawing.lines.bounds
    size = max(right - left, top - bottom, 10.0) / 45
    return size, size * 2


def _size_of(drawing: Drawing) -> tuple[float, float]:
    left, bottom, right, top = drawing.lines.bounds
    _, pad = _pad_of(drawing)
    return right - left + 2 * pad, top - bottom + 2 * pad


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


def _mark(x: float, y: float, size: float, severity: Severity, text: str) -> str:
    colour, shape = _MARKS[severity]
    half = size * (0.55 + 0.28 * len(text))
    # As a style, because the sheet's rule that paths have no fill would win over attributes.
    style = f'style="fill:#fffdf8;fill-opacity:.9;stroke:{colour};stroke-width:{number(size / 7)}"'
    body = {
        "square": f'<rect x="{number(x - half)}" y="{number(y - size * 0.8)}" width="{number(2 * half)}" height="{number(size * 1.6)}" {style}/>',
        "circle": f'<ellipse cx="{number(x)}" cy="{number(y)}" rx="{number(half)}" ry="{number(size * 0.9)}" {style}/>',
        "diamond": f'<path d="M{number(x - half * 1.4)} {number(y)}L{number(x)} {number(y - size * 1.2)}L{number(x + half * 1.4)} {number(y)}'
        f'L{number(x)} {number(y + size * 1.2)}Z" {style}/>',
    }[shape]
    return (
        f'{body}<text x="{number(x)}" y="{number(y + size * 0.36)}" font-size="{number(size)}">{text}</text>'
    )
