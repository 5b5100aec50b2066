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
    lines = drawing.lines
    left, bottom, right, top = lines.bounds
    size = max(right - left, top - bottom, 10.0) / 45
    pad = size * 2
    width, height = right - left + 2 * pad, top - bottom + 2 * pad
    parts = [
        (
            f'<svg class="map" xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
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
