"""A plan or a mended drawing as plain SVG: real size in mm, one group a layer.

The page is in mm by its width and height and by its view box, so that one user unit is one
millimetre whatever a reader takes a pixel for (SVG 2, 8.2). Only groups and paths: no styles,
no scripts, no dates.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from html import escape

import numpy as np

from cutprep.geometry.curves.arcs import FittedSpan
from cutprep.model.lines import Lines, Points
from cutprep.model.text import CAPITAL, TextPlace
from cutprep.stages.write.curves import pieces_of
from cutprep.stages.write.layer_style import LayerStyle, by_layer
from cutprep.stages.write.plain_text import number

#: Digits after the point: a tenth of a micrometre, so that reading gives the same lines again.
_DIGITS = 4
#: What a value between quotes says otherwise (XML 1.0, 2.3 and 3.3.3). The library's own module for it loads all of HTTP.
_IN_QUOTES = str.maketrans({'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"})
#: Characters that XML 1.0 (2.2) does not allow at all.
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(
    lines: Lines,
    *,
    page: tuple[float, float] | None = None,
    title: str = "",
    keep: bool = False,
    arcs: bool = False,
    texts: Sequence[TextPlace] = (),
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
    arcs
        Say flattened arcs as arcs again (within 0.0025 mm at every vertex); else every vertex is kept.
    texts
        Places for words of each copy.

    Returns
    -------
    str
        The file; the same lines give the same text.
    """
    width, height = page or _page_of(lines)
    size = f'width="{number(width, _DIGITS)}mm" height="{number(height, _DIGITS)}mm" viewBox="0 0 {number(width, _DIGITS)} {number(height, _DIGITS)}"'
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:c="urn:cutprep" version="1.1" {size}>',
    ]
    if title:
        rows.append(f"<title>{escape(_plain(title), quote=False)}</title>")
    used: set[str] = set()
    for layer, members in by_layer(lines, keep=keep).items():
        chain = [name for name in layer.split("/") if name]
        common = members[0][1]
        rows += [f"<g{_names(name, used)}{_look(common) if name is chain[-1] else ''}>" for name in chain]
        if not chain:
            rows.append(f"<g{_look(common)}>")
        rows += [
            f"<path{_own(lines, i, style, common, used, keep)}{_data(lines, i, height, arcs)}/>"
            for i, style in members
        ]
        rows += ["</g>"] * max(len(chain), 1)
    rows += [_text(place, height, used) for place in texts]
    rows.append("</svg>")
    return "\n".join(rows) + "\n"


def _text(place: TextPlace, height: float, used: set[str]) -> str:
    """A place for words, in a group of its layer's name."""
    x, y = place.at[0], height - place.at[1]
    turned = f' transform="rotate({number(-place.turn, _DIGITS)} {number(x, _DIGITS)} {number(y, _DIGITS)})"'
    colour = place.element.colour or "#000000"
    return (
        f'<g{_names(place.element.layer or "draw", used)}><text x="{number(x, _DIGITS)}" y="{number(y, _DIGITS)}" '
        f'font-size="{number(place.height / CAPITAL, _DIGITS)}" font-family="sans-serif" text-anchor="{place.anchor}" '
        f'fill="{colour}"{turned if place.turn else ""}>{escape(_plain(place.words), quote=False)}</text></g>'
    )


def _own(lines: Lines, i: int, style: LayerStyle, common: LayerStyle, used: set[str], keep: bool) -> str:
    """Attributes in which a path differs from its group."""
    element = lines.element(i)
    named = ""
    if keep and (element.label or element.ident):
        named = _names(element.label or element.ident, used)
    if keep and element.filled:
        return f'{named} fill="{style.colour}" stroke="none"'
    return named + (_look(style) if style != common else "")


def _look(style: LayerStyle) -> str:
    dash = " ".join(number(d, _DIGITS) for d in style.dash) or "none"
    return f' fill="none" stroke="{style.colour}" stroke-width="{number(style.width, _DIGITS)}" stroke-dasharray="{dash}"'


def _names(name: str, used: set[str]) -> str:
    """An id that XML allows and nothing else has, and the name itself as a label."""
    plain, stem = fit_name(name)
    ident = next(name for name in _numbered(stem) if name not in used)
    used.add(ident)
    return f' id="{ident}" c:label="{escape(plain, quote=False).translate(_IN_QUOTES)}"'


def fit_name(name: str) -> tuple[str, str]:
    """What becomes of a name in an SVG file: the label, and the id but for the number that makes it its own."""
    plain = _plain(name)
    stem = re.sub(r"[^\w.-]+", "-", plain).strip("-") or "layer"
    return plain, stem if stem[0].isalpha() or stem[0] == "_" else f"n-{stem}"


def _numbered(stem: str) -> Iterator[str]:
    yield stem
    n = 2
    while True:
        yield f"{stem}-{n}"
        n += 1


def _data(lines: Lines, i: int, height: float, arcs: bool) -> str:
    """Path data; neighbours that rounding makes equal are said once."""
    points = lines.points(i)
    turned = np.column_stack((points[:, 0], height - points[:, 1]))
    xy: Points = np.asarray(np.round(turned, _DIGITS) + 0.0, dtype=np.float64)  # + 0.0: no minus zero
    kept = np.ones(len(xy), bool)
    kept[1:] = (xy[1:] != xy[:-1]).any(axis=1)
    if kept.sum() < 2:
        kept[:] = True
    xy, curved = xy[kept], lines.curves(i)[kept]
    closed = bool(lines.closed[i]) and len(xy) > 3
    words = "".join(
        _arc(xy, piece) if piece.centre else _straight(xy, piece, closed)
        for piece in pieces_of(xy, curved, arcs=arcs)
    )
    return f' d="M{_pair(xy[0])}{words}{"Z" if closed else ""}"'


def _straight(xy: Points, piece: FittedSpan, closed: bool) -> str:
    """Chords; the last one of a closed line is the closing itself."""
    last = piece.last - (closed and piece.last == len(xy) - 1)
    spots = [_pair(spot) for spot in xy[piece.first + 1 : last + 1]]
    return f"L{' '.join(spots)}" if spots else ""


def _arc(xy: Points, piece: FittedSpan) -> str:
    """An arc; its sweep is told in SVG's own axes, y down, where positive turns clockwise."""
    assert piece.centre is not None
    radius = float(np.hypot(*(xy[piece.first] - piece.centre)))
    large, clockwise = int(abs(piece.sweep) > np.pi), int(piece.sweep > 0)
    return f"A{radius:.6g} {radius:.6g} 0 {large} {clockwise} {_pair(xy[piece.last])}"


def _pair(spot: Points) -> str:
    return f"{number(float(spot[0]), _DIGITS)} {number(float(spot[1]), _DIGITS)}"


def _page_of(lines: Lines) -> tuple[float, float]:
    """A page from the origin around all lines, at least 1 mm."""
    _, _, right, top = lines.bounds
    return max(right, 1.0), max(top, 1.0)


def _plain(text: str) -> str:
    return _NOT_XML.sub("", text)
