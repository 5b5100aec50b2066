"""A swing tag with a printed layer, for tests."""

from __future__ import annotations

from tests.svg_text import SPACE

#: 50 x 90 mm at (5, 5) of a page of 60 x 100 mm (y up); a ground of one colour, a dot at (20, 65) of the page.
TAG = f"""<svg {SPACE} width="60mm" height="100mm" viewBox="0 0 60 100">
<g id="print"><rect x="2" y="2" width="56" height="96" fill="#f4c430"/><circle cx="20" cy="35" r="8" fill="#7a4a12"/></g>
<g id="cut" fill="none" stroke="#000"><path d="M5 15 L15 5 H45 L55 15 V95 H5 Z"/></g></svg>"""


def with_print(more: str) -> str:
    """The tag with more on its printed layer."""
    return TAG.replace('<g id="print">', f'<g id="print">{more}')
