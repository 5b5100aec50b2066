"""Values of attributes and properties: numbers, lengths, paints.

Rules: SVG 2, chapter 8 "Coordinate Systems, Transformations and Units", 8.9 "Units"; CSS Values and
Units 3, section 5 "Distance Units" (units are case-insensitive there, and blanks may stand round a
value); SVG 2, chapter 13 "Painting", 13.2 "Specifying paint".
"""

from __future__ import annotations

import math
import re
from collections.abc import Container
from functools import lru_cache
from typing import Literal, NamedTuple

import tinycss2.color4

from cutprep.units import MM_PER

PX = MM_PER["px"]
_NUMBER_TEXT = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER_TEXT})\s*([a-zA-Z]+|%)?\s*")
_NUMBER = re.compile(_NUMBER_TEXT)
#: CSS Color 4, 5.2 "The RGB Hexadecimal Notations", those without alpha.
_HEX = re.compile(r"#(?:[0-9a-fA-F]{3}){1,2}")
_COMMA = re.compile(r"\s*(,?)\s*")
_URL = re.compile(r"""\s*url\(\s*(?:"([^"]*)"|'([^']*)'|([^)"'\s]*))\s*\)\s*(.*)""", re.DOTALL)
#: Lengths in px that need no context.
_ABSOLUTE = {unit: mm / PX for unit, mm in MM_PER.items() if unit not in {"m", "ft"}}
#: Units that need the font or the viewport.
_RELATIVE = ("%", "em", "ex")
#: An x-height is taken as half an em where no font is at hand (CSS Values and Units 3, 5.1.1).
_HALF_EM = 0.5

Axis = Literal["x", "y", "o"]


class Length(NamedTuple):
    """A number and its unit in lower case; no unit is px."""

    value: float
    unit: str

    @property
    def is_real(self) -> bool:
        """Whether the unit says how large it is on the mat; px says so only by convention."""
        return self.unit in _ABSOLUTE and self.unit != "px"

    @property
    def mm(self) -> float:
        """A real length in mm."""
        return self.value * MM_PER[self.unit]


#: Font size where nothing is said, user units: `medium` in browsers; the specification leaves it to them.
MEDIUM = 16.0


class LengthContext(NamedTuple):
    """What relative lengths refer to: nearest viewport and font size, user units."""

    width: float
    height: float
    font: float = MEDIUM

    def px(self, length: Length, axis: Axis) -> float:
        """Resolve a length; `axis` says which side of the viewport a percentage refers to."""
        if length.unit == "":
            return length.value
        if length.unit == "%":
            # SVG 2, 8.9: percentages that are neither widths nor heights refer to the diagonal / sqrt 2.
            side = {
                "x": self.width,
                "y": self.height,
                "o": math.hypot(self.width, self.height) / math.sqrt(2),
            }
            return length.value / 100 * side[axis]
        if length.unit in _RELATIVE:
            return length.value * self.font * (_HALF_EM if length.unit == "ex" else 1.0)
        return length.value * _ABSOLUTE[length.unit]


@lru_cache(maxsize=4096)
def parse_length(text: str) -> Length | None:
    """Read a length; None when it is none, or its unit is not known."""
    found = _LENGTH.fullmatch(text)
    if found is None:
        return None
    value, unit = float(found[1]), (found[2] or "").lower()
    if not math.isfinite(value) or (unit and unit not in _ABSOLUTE and unit not in _RELATIVE):
        return None
    return Length(value, unit)


def parse_number(text: str) -> float | None:
    """Read a plain number or a percentage of 1; None when it is neither."""
    length = parse_length(text)
    if length is None or length.unit not in {"", "%"}:
        return None
    return length.value / 100 if length.unit == "%" else length.value


def parse_numbers(text: str) -> tuple[list[float], str]:
    """Read a list of numbers with commas or blanks between, as in `points` and `viewBox`.

    Returns
    -------
    numbers
        Those before the first error.
    rest
        What follows from the error on; empty when the text is right.
    """
    numbers: list[float] = []
    at = len(text) - len(text.lstrip())
    while found := _NUMBER.match(text, at):
        value = float(found[0])
        if not math.isfinite(value):
            break
        numbers.append(value)
        comma = _COMMA.match(text, found.end())
        at = comma.end() if comma else found.end()
    return numbers, text[at:].strip()


def parse_lengths(text: str) -> list[Length] | None:
    """Read a list of lengths, as in `stroke-dasharray`; None when one of them is none."""
    lengths = [parse_length(piece) for piece in re.split(r"\s*,\s*|\s+", text.strip()) if piece]
    return None if None in lengths else [length for length in lengths if length is not None]


class Paint(NamedTuple):
    """What a stroke or a fill is painted with.

    Attributes
    ----------
    seen
        Whether it leaves any colour at all.
    colour
        "#rrggbb", or None for a gradient or pattern.
    """

    seen: bool
    colour: str | None = None


NO_PAINT = Paint(seen=False)
BLACK = Paint(seen=True, colour="#000000")


def parse_url(text: str) -> tuple[str, str] | None:
    """Split `url(#name) fallback`; None when the text is no url.

    Returns
    -------
    name
        What stands behind the `#`; empty when it refers to another file.
    rest
        What follows the url.
    """
    found = _URL.fullmatch(text)
    if found is None:
        return None
    target = (found[1] or found[2] or found[3] or "").strip()
    return (target[1:] if target.startswith("#") else "", found[4].strip())


@lru_cache(maxsize=4096)
def css_colour(text: str) -> Paint | None:
    """Read a colour; None when it is none. `currentcolor` is the caller's business."""
    plain = text.strip().partition(" icc-color")[0]
    if _HEX.fullmatch(plain):  # most colours of drawings, and thirty times as quick as by the library
        digits = plain[1:].lower()
        return Paint(True, f"#{digits if len(digits) == 6 else ''.join(digit * 2 for digit in digits)}")
    colour = tinycss2.color4.parse_color(plain)
    if colour is None or isinstance(colour, str):
        return None
    try:
        red, green, blue = colour.to("srgb").coordinates
    except NotImplementedError:  # a colour space that is only named
        return Paint(seen=bool(colour.alpha > 0))
    parts = (round(min(max(part or 0.0, 0.0), 1.0) * 255) for part in (red, green, blue))
    return Paint(bool(colour.alpha > 0), "#{:02x}{:02x}{:02x}".format(*parts))


def parse_paint(text: str, current: Paint, servers: Container[str]) -> Paint | None:
    """Read a paint.

    Parameters
    ----------
    text
        Value of `stroke` or `fill`.
    current
        What `currentcolor` means here.
    servers
        Ids of the gradients and patterns there are.

    Returns
    -------
    Paint or None
        None when the text is no paint.
    """
    word = text.strip().lower()
    if word == "none":
        return NO_PAINT
    if word == "currentcolor":
        return current
    url = parse_url(text) if word.startswith("url(") else None
    if url is None:
        return css_colour(text)
    name, fallback = url
    if name in servers:
        return Paint(seen=True)
    # 13.2: without its server and without a fallback the paint is none.
    return parse_paint(fallback, current, servers) if fallback else NO_PAINT
