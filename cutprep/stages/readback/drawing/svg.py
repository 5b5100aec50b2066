"""An SVG drawing for a machine: a page in mm, groups of paths, and nothing else.

Whatever could move, hide, scale or repeat a line (transforms, styles, uses, other elements) is no part
of such a drawing, so its rows are compared with what may stand there, sign by sign.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape

_NUMBER = r"-?\d+(?:\.\d+)?"
_HEAD = re.compile(r'<\?xml version="1\.0" encoding="UTF-8"\?>')
_PAGE = re.compile(
    r'<svg xmlns="http://www\.w3\.org/2000/svg" xmlns:c="urn:cutprep" version="1\.1"'
    rf' width="({_NUMBER})mm" height="({_NUMBER})mm" viewBox="0 0 ({_NUMBER}) ({_NUMBER})">'
)
_TITLE = re.compile(r"<title>[^<>]*</title>")
_GROUP = re.compile(
    r'<g id="[^"<>]*" c:label="([^"<>]*)" fill="none" stroke="(#[0-9a-f]{6})" stroke-width="[\d.]+"'
    r' stroke-dasharray="none">'
)
_DATA = re.compile(r'<path d="M([-\d. L]+)(Z?)"/>')

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """One thing that a drawing says.

    Attributes
    ----------
    kind
        "page", "layer", "line", "end" or "other".
    line
        Of the file, from 1.
    name, colour
        Of a layer; or what is not understood.
    spots
        Of a line, mm, y up; of the page its size.
    """

    kind: str
    line: int
    name: str = ""
    colour: str = ""
    spots: tuple[Spot, ...] = ()


def read_svg_rows(text: str) -> Iterator[Drawn]:
    """Read the rows of a drawing; what may not stand there comes as "other"."""
    height, open_groups, ended = None, 0, False
    for number, row in enumerate(text.splitlines(), 1):
        if not row.strip():
            continue
        page, group = _PAGE.fullmatch(row), _GROUP.fullmatch(row)
        if ended:
            yield Drawn("other", number, row[:60])
        elif page is not None and height is None and page[1] == page[3] and page[2] == page[4]:
            height = float(page[2])
            yield Drawn("page", number, spots=((float(page[1]), height),))
        elif group is not None and height is not None and not open_groups:
            open_groups = 1
            yield Drawn("layer", number, unescape(group[1]), group[2])
        elif row == "</g>" and open_groups:
            open_groups = 0
        elif row == "</svg>" and height is not None and not open_groups:
            ended = True
            yield Drawn("end", number)
        elif height is not None and open_groups and (spots := _spots(row, height)) is not None:
            yield Drawn("line", number, spots=spots)
        elif not (number <= 3 and (_HEAD.fullmatch(row) or (height is not None and _TITLE.fullmatch(row)))):
            yield Drawn("other", number, row[:60])


def _spots(row: str, height: float) -> tuple[Spot, ...] | None:
    """Vertices of a path of straight lines, y turned up."""
    match = _DATA.fullmatch(row)
    if match is None:
        return None
    try:
        figures = [float(word) for word in match[1].replace("L", " ").split()]
    except ValueError:
        return None
    if len(figures) < 4 or len(figures) % 2:
        return None
    spots = tuple((x, height - y) for x, y in zip(figures[::2], figures[1::2], strict=True))
    return (*spots, spots[0]) if match[2] else spots
