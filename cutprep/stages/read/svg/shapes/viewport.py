"""Viewports: how large the drawing really is, and what a nested one does to coordinates.

Rules: SVG 2, 8.2 "The initial viewport", 8.6 "The viewBox attribute", 8.7 "The preserveAspectRatio
attribute", 7.2 "Intrinsic sizing properties of SVG content" (CSS Images: a missing side follows from the
other and the ratio of the viewBox).
"""

from __future__ import annotations

from typing import NamedTuple

from cutprep.errors import DrawingError
from cutprep.stages.read.svg.shapes.transform import Matrix
from cutprep.stages.read.svg.values import PX, Length, LengthContext, parse_length, parse_numbers
from cutprep.units import MM_PER, unit_name

#: Side of a drawing that states neither a size nor a viewBox; only percentages see it.
_NO_SIZE = 100.0
_ALIGN = {"min": 0.0, "mid": 0.5, "max": 1.0}


class ViewBox(NamedTuple):
    """A rectangle in user units."""

    x: float
    y: float
    width: float
    height: float


class Page(NamedTuple):
    """The outermost viewport.

    Attributes
    ----------
    size
        Width and height, mm; None when the drawing states no size at all.
    matrix
        User units to mm, y up, the origin in the lower left corner of the page (in the upper left one
        when there is no size).
    scale
        What percentages refer to.
    note
        How the size was settled, for the maker.
    assumed
        Nobody named the unit: "px" when the file speaks of px, "nothing" when it names none; else empty.
    stretched
        Width and height are scaled differently.
    named
        The file names a real unit.
    other
        How much larger the drawing would be when fitted to the page by its other side.
    """

    size: tuple[float, float] | None
    matrix: Matrix
    scale: LengthContext
    note: str
    assumed: str
    stretched: bool
    named: bool
    other: float = 1.0


def parse_view_box(text: str | None) -> ViewBox | None:
    """Read a `viewBox`; None when there is none, or it has an error and is ignored."""
    if text is None:
        return None
    numbers, rest = parse_numbers(text)
    if rest or len(numbers) != 4 or numbers[2] < 0 or numbers[3] < 0:
        return None
    return ViewBox(*numbers)


def fit(box: ViewBox, width: float, height: float, aspect: str | None) -> Matrix:
    """Matrix from a viewBox into a viewport at the origin (SVG 2, 8.2 "equivalent transform").

    Parameters
    ----------
    box
        The viewBox, user units.
    width, height
        Of the viewport, user units outside.
    aspect
        `preserveAspectRatio`; None for its usual value.

    Raises
    ------
    ZeroDivisionError
        When the viewBox has no size; it then draws nothing, and the caller looks before.
    """
    sx, sy = width / box.width, height / box.height
    words = (aspect or "").split()
    words = words[1:] if words[:1] == ["defer"] else words
    align = words[0] if words else "xMidYMid"
    if align == "none":
        return (sx, 0.0, 0.0, sy, -box.x * sx, -box.y * sy)
    if len(align) != 8 or align[1:4].lower() not in _ALIGN or align[5:8].lower() not in _ALIGN:
        align = "xMidYMid"
    s = max(sx, sy) if words[1:2] == ["slice"] else min(sx, sy)
    dx = (width - box.width * s) * _ALIGN[align[1:4].lower()]
    dy = (height - box.height * s) * _ALIGN[align[5:8].lower()]
    return (s, 0.0, 0.0, s, dx - box.x * s, dy - box.y * s)


def find_page_size(
    width: str | None, height: str | None, view_box: str | None, aspect: str | None, units: str | None
) -> Page:
    """Find the real size of a drawing.

    Parameters
    ----------
    width, height, view_box, aspect
        Attributes of the outermost element.
    units
        What a number without a unit stands for; None when nobody says.

    Raises
    ------
    DrawingError
        When the page has no area.
    """
    box = parse_view_box(view_box)
    if box is not None and not (box.width and box.height):
        raise DrawingError(
            f"the viewBox '{view_box}' has no size, so nothing of the drawing shows",
            fix="Give the viewBox a width and a height above 0.",
        )
    lengths = [parse_length(text) if text is not None else None for text in (width, height)]
    is_real = any(length is not None and length.is_real for length in lengths)
    asked = unit_name(units) if units else "px"  # a word that is no unit is refused, needed or not
    unit = "px" if is_real else asked
    mm = MM_PER[unit]
    sides = _sides(lengths[0], lengths[1], box, mm)
    note = _say_scale(lengths, is_real, unit, told=units is not None, box=box)
    is_px = any(length is not None and length.unit == "px" for length in lengths)
    assumed = "" if is_real or units else "px" if is_px else "nothing"
    if sides is None:
        return Page(
            None,
            (mm, 0, 0, -mm, 0, 0),
            LengthContext(_NO_SIZE, _NO_SIZE),
            note,
            assumed,
            stretched=False,
            named=is_real,
        )
    w, h = sides
    if not (w > 0 and h > 0):
        raise DrawingError(
            f"the page is {w:g} by {h:g} mm, so nothing of the drawing shows",
            fix="Give width and height a size above 0.",
        )
    m = fit(box, w, h, aspect) if box else (mm, 0.0, 0.0, mm, 0.0, 0.0)
    matrix = (m[0], 0.0, 0.0, -m[3], m[4], h - m[5])
    scale = LengthContext(box.width, box.height) if box else LengthContext(w / mm, h / mm)
    other = w / box.width / m[0] * (h / box.height) / m[3] if box else 1.0
    stretched = abs(m[0] / m[3] - 1) > 0.01
    return Page((w, h), matrix, scale, note, assumed, stretched, is_real, 1.0 if stretched else other)


def _sides(
    width: Length | None, height: Length | None, box: ViewBox | None, mm: float
) -> tuple[float, float] | None:
    """Width and height in mm; None when neither they nor a viewBox say anything."""
    if box is None:
        if width is None or height is None or "%" in {width.unit, height.unit}:
            return None
        around = LengthContext(_NO_SIZE, _NO_SIZE)
    else:
        around = LengthContext(box.width, box.height)
    w = width and (width.mm if width.is_real else around.px(width, "x") * mm)
    h = height and (height.mm if height.is_real else around.px(height, "y") * mm)
    if w is not None and h is not None:
        return w, h
    assert box is not None
    if w is None and h is None:
        return box.width * mm, box.height * mm
    if w is None:
        return (h or 0.0) * box.width / box.height, h or 0.0
    return w, w * box.height / box.width


def _say_scale(
    lengths: list[Length | None], is_real: bool, unit: str, *, told: bool, box: ViewBox | None
) -> str:
    stated = [
        f"{side} {length.value:g}{length.unit}"
        for side, length in zip(("width", "height"), lengths, strict=True)
        if length is not None and length.unit
    ]
    if is_real:
        scaled = " and the viewBox" if box else ""
        return f"real size from the file: {', '.join(stated)}{scaled}"
    names = f"the file gives its size in px ({', '.join(stated)})" if stated else "the file names no unit"
    if told:
        return f"{names}; 1 unit = 1 {unit} = {MM_PER[unit]:.4g} mm, as told"
    return f"{names}; 96 px to the inch assumed (1 px = {PX:.4f} mm)"
