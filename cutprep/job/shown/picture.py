"""A kind of template flat and folded, side by side in one picture."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from html import escape

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.report.pictures.folded import folded_picture
from cutprep.report.pictures.lettering import SMALL, Labels
from cutprep.report.pictures.panel_letters import SpaceMark
from cutprep.report.pictures.paths import number, path_data
from cutprep.report.pictures.sheet import line_class, style_rules

#: Largest sides of both pictures together and the room around them, mm.
_WIDE, _HIGH, _ROOM = 92.0, 78.0, 5.0


def shown_folded(reports: Sequence[FoldReport]) -> list[FoldReport]:
    """The parts that are shown folded: the first two that fold."""
    return [report for report in reports if report.hinges][:2]


def flat_and_folded(
    title: str,
    drawing: Drawing,
    marked: Sequence[tuple[str, str, Points, Points]],
    reports: Sequence[FoldReport],
    standing: Mapping[int, Sequence[SpaceMark]] | None = None,
    aids: Sequence[Points] = (),
) -> str:
    """Draw a kind flat on the left, folded on the right.

    Parameters
    ----------
    title
        What is seen, for who can't see it.
    drawing
        The flat template.
    marked
        Dimensions: name, letter, and the two ends, (2,) mm each.
    reports
        Of its parts; those of `shown_folded` are shown.
    standing
        Distances on the folded parts, by which of those.
    aids
        Lines that dimensions are measured from and that are not drawn on the card, (n, 2) mm each.

    Returns
    -------
    str
        SVG that stands alone; a dimension's line has its name and its letter as `data-of` and `data-letter`.
    """
    folding = shown_folded(reports)
    low, far = _bounds(drawing, aids)
    width, height = (far - low).tolist()
    size = min(_WIDE / width, _HIGH / height)
    flat, tall = (width * size, height * size)
    labels = Labels()

    def placed(points: Points) -> Points:
        return np.asarray((points - low) * (size, -size) + (_ROOM, tall + _ROOM))

    lines = drawing.lines
    body = [
        f'<path class="{line_class(op, fold)}" d="{path_data(placed(lines.points(i)))}"/>'
        for i, (op, fold) in enumerate(zip(lines.operation.tolist(), lines.fold.tolist(), strict=True))
    ]
    body += [f'<path class="aid" d="{path_data(placed(line))}"/>' for line in aids]
    for name, letter, p, q in marked:
        ends = placed(np.array([p, q]))
        body.append(f'<path class="turned" data-of="{name}" data-letter="{letter}" d="{path_data(ends)}"/>')
        x, y = ends.mean(axis=0).tolist()
        if not labels.put_beside(x, y, letter, size=SMALL * 1.3, name="panel"):
            labels.put(x, y, letter, size=SMALL * 1.3, name="panel")
    wide, right = flat + 2 * _ROOM, 0.0
    each = (tall + 2 * _ROOM) if not folding else max(40.0, (tall + 2 * _ROOM) / len(folding))
    shown = []
    for k, report in enumerate(folding):
        marks = (standing or {}).get(k, ())
        shown.append(
            _within(folded_picture(report, key=f"fold-{k}", marks=marks), wide, k * each, 80.0, each)
        )
        right = 80.0
    high = max(tall + 2 * _ROOM, each * len(folding))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(wide + right)}mm" height="{number(high)}mm" '
        f'viewBox="0 0 {number(wide + right)} {number(high)}" role="img" aria-label="{escape(title)}">'
    )
    style = f"<style>{style_rules()}\n.map path.aid{{stroke:#2a5d80;stroke-width:.3;stroke-dasharray:1 .8}}\n.map path.turned{{stroke:#2a5d80;stroke-width:.9}}</style>"
    card = f'<rect width="{number(wide + right)}" height="{number(high)}" fill="#fffdf8"/>'
    flat_view = [
        '<g class="map">',
        *body,
        *labels.rows,
        "</g>",
    ]  # its styles would take the fill of folded panels away
    return "".join([head, style, card, *flat_view, *shown, "</svg>"])


def _bounds(drawing: Drawing, aids: Sequence[Points]) -> tuple[Points, Points]:
    """Lower left and upper right of what is shown flat, (2,) mm each."""
    every = np.concatenate((np.zeros((1, 2)), np.array([drawing.page or (1.0, 1.0)]), *aids))
    return every.min(axis=0), every.max(axis=0)


def _within(svg: str, x: float, y: float, width: float, height: float) -> str:
    """A picture inside another one, as large as its place allows."""
    title = re.search(r"<title>(.*?)</title>", svg)
    if title is not None:  # the same words stand over it, too long for a small picture
        svg = re.sub(rf"<text[^>]*>{re.escape(title[1])}</text>", "", svg, count=1)
    place = f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}"'
    return re.sub(r"width='[^']*' height='[^']*'", place, svg, count=1)
