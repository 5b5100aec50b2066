"""Basic shapes as segments.

Rules: SVG 2, chapter 10 "Basic Shapes", with the equivalent paths it gives for each; 7.11 "The x, y,
width, height ... properties": `auto` and missing values. A value in error is as if it were not there.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from cutprep.stages.read.svg.shapes.path import CLOSE, LINE, MOVE, SPAN, Trace, trace_path
from cutprep.stages.read.svg.values import Axis, LengthContext, parse_length, parse_numbers

_QUARTER = math.pi / 2
Get = Callable[[str], "str | None"]


class Sizes:
    """Reads the lengths of one shape, and remembers which were in error.

    Parameters
    ----------
    get
        Gives the text of an attribute or property.
    scale
        What relative lengths refer to.
    """

    def __init__(self, get: Get, scale: LengthContext) -> None:
        self.get = get
        self.scale = scale
        self.faults: list[str] = []

    def text(self, name: str) -> str | None:
        """The text of an attribute as it stands."""
        return self.get(name)

    def optional(self, name: str, axis: Axis, *, least: float = -math.inf) -> float | None:
        """A length, or None when it is missing, `auto`, or in error."""
        text = self.get(name)
        if text is None or text.strip().lower() == "auto":
            return None
        length = parse_length(text)
        value = self.scale.px(length, axis) if length else math.nan
        if not value >= least:
            self.faults.append(f"{name}='{text[:20]}'")
            return None
        return value

    def length(self, name: str, axis: Axis) -> float:
        """A length; 0 when it is missing or in error."""
        value = self.optional(name, axis)
        return 0.0 if value is None else value


def _polyline(points: list[float], *, closed: bool) -> Trace:
    count = len(points) // 2
    if count < 1:
        return Trace(b"", [])
    kinds = bytes([MOVE]) + bytes([LINE]) * (count - 1)
    if closed:
        return Trace(kinds + bytes([CLOSE]), [*points, *points[:2]])
    return Trace(kinds, points)


def trace_rect(sizes: Sizes) -> Trace:
    """A rectangle, with rounded corners when it has radii (10.2)."""
    x, y = sizes.length("x", "x"), sizes.length("y", "y")
    w, h = sizes.optional("width", "x", least=0) or 0.0, sizes.optional("height", "y", least=0) or 0.0
    rx, ry = sizes.optional("rx", "x", least=0), sizes.optional("ry", "y", least=0)
    if not (w > 0 and h > 0):
        return Trace(b"", [])
    rx, ry = (ry if rx is None else rx) or 0.0, (rx if ry is None else ry) or 0.0
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if not (rx > 0 and ry > 0):
        return _polyline([x, y, x + w, y, x + w, y + h, x, y + h], closed=True)
    args: list[float] = [x + rx, y]
    kinds = [MOVE]
    corners = (
        (x + w - rx, y, x + w - rx, y + ry, -_QUARTER, x + w, y + ry),
        (x + w, y + h - ry, x + w - rx, y + h - ry, 0.0, x + w - rx, y + h),
        (x + rx, y + h, x + rx, y + h - ry, _QUARTER, x, y + h - ry),
        (x, y + ry, x + rx, y + ry, 2 * _QUARTER, x + rx, y),
    )
    for to_x, to_y, cx, cy, begin, end_x, end_y in corners:
        kinds += [LINE, SPAN]
        args += [to_x, to_y, cx, cy, rx, ry, begin, _QUARTER, end_x, end_y]
    return Trace(bytes([*kinds, CLOSE]), [*args, x + rx, y])


def _oval(cx: float, cy: float, rx: float, ry: float) -> Trace:
    if not (rx > 0 and ry > 0):
        return Trace(b"", [])
    args = [cx + rx, cy]
    ends = ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy))
    for i, end in enumerate(ends):
        args += [cx, cy, rx, ry, i * _QUARTER, _QUARTER, *end]
    return Trace(bytes([MOVE, SPAN, SPAN, SPAN, SPAN]), args)


def trace_circle(sizes: Sizes) -> Trace:
    """A circle, from its rightmost point towards y (10.3)."""
    r = sizes.optional("r", "o", least=0) or 0.0
    return _oval(sizes.length("cx", "x"), sizes.length("cy", "y"), r, r)


def trace_ellipse(sizes: Sizes) -> Trace:
    """An ellipse; a missing radius is as the other (10.4)."""
    rx, ry = sizes.optional("rx", "x", least=0), sizes.optional("ry", "y", least=0)
    rx, ry = ry if rx is None else rx, rx if ry is None else ry
    return _oval(sizes.length("cx", "x"), sizes.length("cy", "y"), rx or 0.0, ry or 0.0)


def trace_line(sizes: Sizes) -> Trace:
    """A straight line (10.5)."""
    x1, y1 = sizes.length("x1", "x"), sizes.length("y1", "y")
    return _polyline([x1, y1, sizes.length("x2", "x"), sizes.length("y2", "y")], closed=False)


def _points(sizes: Sizes, *, closed: bool) -> Trace:
    text = sizes.text("points")
    if text is None:
        return Trace(b"", [])
    numbers, rest = parse_numbers(text)
    odd = len(numbers) % 2
    fault = f"the list of points ends before '{rest[:8]}'" if rest else "the list of points has an odd count"
    trace = _polyline(numbers[: len(numbers) - odd], closed=closed)
    return trace._replace(fault=fault) if rest or odd else trace


def trace_polyline(sizes: Sizes) -> Trace:
    """A polyline, up to the first error (10.6)."""
    return _points(sizes, closed=False)


def trace_polygon(sizes: Sizes) -> Trace:
    """A polygon, up to the first error (10.7)."""
    return _points(sizes, closed=True)


def trace_data(sizes: Sizes) -> Trace:
    """A path."""
    text = sizes.text("d")
    return trace_path(text) if text and text.strip() not in {"", "none"} else Trace(b"", [])


TRACERS: dict[str, Callable[[Sizes], Trace]] = {
    "path": trace_data,
    "rect": trace_rect,
    "circle": trace_circle,
    "ellipse": trace_ellipse,
    "line": trace_line,
    "polyline": trace_polyline,
    "polygon": trace_polygon,
}
