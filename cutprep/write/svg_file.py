"""A plan or a mended drawing as plain SVG: real size in mm, one group a layer.

The page is in mm by its width and height and by its view box, so that one user unit is one
millimetre whatever a reader takes a pixel for (SVG 2, 8.2). Only groups and paths: no styles,
no scripts, no dates.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from cutprep.model.lines import Lines, Points
from cutprep.write.ink import Ink, by_layer

#: Digits after the point: a tenth of a micrometre, so that reading gives the same lines again.
_DIGITS = 4
#: Characters that XML 1.0 (2.2) does not allow at all.
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(
    lines: Lines, *, page: tuple[float, float] | None = None, title: str = "", keep: bool = False
) -> str:
    """Write lines as SVG.

    Parameters
    ----------
    lines
        mm, y up.
    page
        Width and height, mm; None for what the lines need.
    title
        Name of the drawing.
    keep
        Keep the elements' own layers, colours, dashes and names; else layers by operation.

    Returns
    -------
    str
        The file; the same lines give the same text.
    """
    width, height = page or _page_of(lines)
    size = f'width="{_number(width)}mm" height="{_number(height)}mm" viewBox="0 0 {_number(width)} {_number(height)}"'
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:c="urn:cutprep" version="1.1" {size}>',
    ]
    if title:
        rows.append(f"<title>{escape(_plain(title))}</title>")
    used: set[str] = set()
    for layer, members in by_layer(lines, keep=keep).items():
        chain = [name for name in layer.split("/") if name]
        common = members[0][1]
        rows += [f"<g{_names(name, used)}{_look(common) if name is chain[-1] else ''}>" for name in chain]
        if not chain:
            rows.append(f"<g{_look(common)}>")
        rows += [_path(lines, i, ink, common, height, used, keep) for i, ink in members]
        rows += ["</g>"] * max(len(chain), 1)
    rows.append("</svg>")
    return "\n".join(rows) + "\n"


def _path(lines: Lines, i: int, ink: Ink, common: Ink, height: float, used: set[str], keep: bool) -> str:
    named = ""
    element = lines.element(i)
    if keep and (element.label or element.ident):
        named = _names(element.label or element.ident, used)
    other = _look(ink) if ink != common else ""
    if keep and element.filled:
        other = f' fill="{ink.colour}" stroke="none"'
    return f'<path{named}{other} d="{_data(lines.points(i), bool(lines.closed[i]), height)}"/>'


def _look(ink: Ink) -> str:
    dash = " ".join(_number(d) for d in ink.dash) or "none"
    return f' fill="none" stroke="{ink.colour}" stroke-width="{_number(ink.width)}" stroke-dasharray="{dash}"'


def _names(name: str, used: set[str]) -> str:
    """An id that XML allows and nothing else has, and the name itself as a label."""
    plain = _plain(name)
    stem = re.sub(r"[^\w.-]+", "-", plain).strip("-") or "layer"
    stem = stem if stem[0].isalpha() or stem[0] == "_" else f"n-{stem}"
    ident = next(name for name in _numbered(stem) if name not in used)
    used.add(ident)
    return f' id="{ident}" c:label={quoteattr(plain)}'


def _numbered(stem: str) -> Iterator[str]:
    yield stem
    n = 2
    while True:
        yield f"{stem}-{n}"
        n += 1


def _data(points: Points, closed: bool, height: float) -> str:
    """Path data; neighbours that rounding makes equal are said once."""
    xy = np.round(np.column_stack((points[:, 0], height - points[:, 1])), _DIGITS) + 0.0
    kept = np.ones(len(xy), bool)
    kept[1:] = (xy[1:] != xy[:-1]).any(axis=1)
    if kept.sum() > 1:
        xy = xy[kept]
    if closed and len(xy) > 3:
        xy = xy[:-1]
    else:
        closed = False
    spots = [f"{_number(x)} {_number(y)}" for x, y in xy.tolist()]
    return f"M{spots[0]}L{' '.join(spots[1:])}{'Z' if closed else ''}"


def _page_of(lines: Lines) -> tuple[float, float]:
    """A page from the origin around all lines, at least 1 mm."""
    _, _, right, top = lines.bounds
    return max(right, 1.0), max(top, 1.0)


def _number(value: float) -> str:
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _plain(text: str) -> str:
    return _NOT_XML.sub("", text)
