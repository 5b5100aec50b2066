"""Geometry that the specification itself states: SVG 2 (W3C Candidate Recommendation, 4 October 2018), the
section beside each check; CSS Values and Units 3 for units; CSS Masking 1 and CSS Transforms 1 where named.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from tests.svg_text import SPACE, points, read_body, read_text


def ink(body: str) -> shapely.Geometry:
    """All lines of a body on the page of 60 mm, y down."""
    drawing = read_body(body)
    return shapely.union_all([shapely.LineString(points(drawing, i)) for i in range(len(drawing.lines))])


def assert_same(body: str, other: str, *, within: float = 0.03) -> None:
    """Two bodies draw the same (Hausdorff distance, mm)."""
    a, b = ink(body), ink(other)
    assert shapely.hausdorff_distance(a, b, densify=0.2) <= within


@pytest.mark.parametrize(
    ("path", "same"),
    [
        # 9.3.3: pairs after a moveto are implicit linetos, relative after m.
        ("m 10 10 5 0 0 5", "M10 10L15 10L15 15"),
        # 9.3.1: "M 100 100 L 200 200" and "M100 100L200 200" are the same.
        ("M 10 10 L 20 20", "M10 10L20 20"),
        # 9.3.1: "M 100 200 L 200 100 -100 -200" is "M 100 200 L 200 100 L -100 -200".
        ("M 10 20 L 20 10 5 4", "M10 20L20 10L5 4"),
        # 9.3.4: after closepath the next subpath starts at the initial point of the current one.
        ("M5 5H10V10z L5 20", "M5 5L10 5L10 10L5 5M5 5L5 20"),
        # 9.3.5: H and V are lines along the axes.
        ("M5 5h10v10H3V2", "M5 5L15 5L15 15L3 15L3 2"),
        # 9.3.6: S mirrors the second control point of a C or S before it, else it is the current point.
        ("M5 30C5 20 15 20 15 30S25 40 25 30", "M5 30C5 20 15 20 15 30C15 40 25 40 25 30"),
        ("M5 30S25 40 25 30", "M5 30C5 30 25 40 25 30"),
        ("M5 30Q10 10 15 30S25 40 25 30", "M5 30Q10 10 15 30C15 30 25 40 25 30"),
        # 9.3.7: T mirrors the control point of a Q or T before it, else it is the current point.
        ("M5 30Q10 20 15 30T25 30T35 30", "M5 30Q10 20 15 30Q20 40 25 30Q30 20 35 30"),
        ("M5 30C5 20 15 20 15 30T25 40", "M5 30C5 20 15 20 15 30L25 40"),
        # 9.5.1: an arc between equal points is omitted; with a radius of 0 it is a line; radii lose their sign.
        ("M5 5A9 9 0 0 1 5 5L20 5", "M5 5L20 5"),
        ("M5 5A0 9 0 0 1 20 9", "M5 5L20 9"),
        ("M5 30A-9 -5 0 0 1 20 30", "M5 30A9 5 0 0 1 20 30"),
        # 9.5.1: too small radii are scaled up until there is one solution: a half circle here.
        ("M10 30A1 1 0 0 1 30 30", "M10 30A10 10 0 0 1 30 30"),
        # 9.5.1: any nonzero flag was 1 in SVG 1.1; the grammar of 9.3.9 has only 0 and 1 (the path ends).
        ("M5 5L9 9A5 5 0 2 1 20 20L30 30", "M5 5L9 9"),
        # 9.3.8: angles beyond 360 degrees are taken modulo 360.
        ("M10 30A15 5 390 0 1 30 40", "M10 30A15 5 30 0 1 30 40"),
    ],
)
def test_paths(path: str, same: str) -> None:
    assert_same(f"<path d='{path}'/>", f"<path d='{same}'/>")


@pytest.mark.parametrize(
    ("large", "sweep", "side", "length"),
    [
        # 9.3.8: of the four arcs through two points, `large` picks more than half the ellipse, `sweep` the
        # positive angle (clockwise on the page). Chord 10, radius 5 sqrt 2: quarter or three quarters.
        (0, 1, -1, 0.25), (0, 0, 1, 0.25), (1, 1, -1, 0.75), (1, 0, 1, 0.75),
    ],
)  # fmt: skip
def test_arc_flags(large: int, sweep: int, side: int, length: float) -> None:
    radius = 5 * math.sqrt(2)
    drawing = read_body(f"<path d='M20 30A{radius} {radius} 0 {large} {sweep} 30 30'/>")
    line = points(drawing)
    assert float(drawing.lines.lengths[0]) == pytest.approx(2 * math.pi * radius * length, rel=0.005)
    middle = line[len(line) // 2]
    assert math.copysign(1, middle[1] - 30) == side


def test_arcs_are_on_their_ellipse() -> None:
    """B.2.4: from the ends to the centre; checked by the ellipse's own equation."""
    rx, ry, turn = 12.0, 5.0, math.radians(30)
    line = points(read_body("<path d='M20 30A12 5 30 1 0 28 33'/>"))
    # Fit the centre: all points obey |R(-phi)(p - c) / r| = 1; the conic through them gives c.
    rotation = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    flat = (rotation @ line.T).T / (rx, ry)
    # |q - c|^2 = 1 is linear in c and |c|^2.
    system = np.column_stack((2 * flat, np.ones(len(flat))))
    solved, *_ = np.linalg.lstsq(system, (flat**2).sum(axis=1), rcond=None)
    radius = math.sqrt(solved[2] + solved[0] ** 2 + solved[1] ** 2)
    assert radius == pytest.approx(1.0, abs=1e-9)
    assert np.abs(np.hypot(*(flat - solved[:2]).T) - 1).max() < 1e-9


@pytest.mark.parametrize(
    ("shape", "path"),
    [
        # 10.2: the path equivalent to a rect with rounded corners, as the section lists it.
        ("<rect x='5' y='5' width='20' height='12' rx='3' ry='2'/>",
         "M8 5H22A3 2 0 0 1 25 7V15A3 2 0 0 1 22 17H8A3 2 0 0 1 5 15V7A3 2 0 0 1 8 5z"),
        ("<rect x='5' y='5' width='20' height='12'/>", "M5 5H25V17H5z"),
        # 10.2: radii are clamped to half the sides; a single one stands for both.
        ("<rect x='5' y='5' width='20' height='12' rx='50'/>",
         "M15 5A10 6 0 0 1 15 17A10 6 0 0 1 15 5z"),
        ("<rect x='5' y='5' width='20' height='12' ry='2'/>",
         "M7 5H23A2 2 0 0 1 25 7V15A2 2 0 0 1 23 17H7A2 2 0 0 1 5 15V7A2 2 0 0 1 7 5z"),
        # 10.3 and 10.4: four arcs from (cx + rx, cy), clockwise on the page.
        ("<circle cx='20' cy='20' r='9'/>",
         "M29 20A9 9 0 0 1 20 29A9 9 0 0 1 11 20A9 9 0 0 1 20 11A9 9 0 0 1 29 20z"),
        ("<ellipse cx='20' cy='20' rx='9' ry='4'/>",
         "M29 20A9 4 0 0 1 20 24A9 4 0 0 1 11 20A9 4 0 0 1 20 16A9 4 0 0 1 29 20z"),
        # 10.4: auto is as the other radius.
        ("<ellipse cx='20' cy='20' rx='9'/>",
         "M29 20A9 9 0 0 1 20 29A9 9 0 0 1 11 20A9 9 0 0 1 20 11A9 9 0 0 1 29 20z"),
        # 10.5 to 10.7.
        ("<line x1='5' y1='6' x2='7' y2='30'/>", "M5 6L7 30"),
        ("<polyline points='5,6 7,30 20,20'/>", "M5 6L7 30L20 20"),
        ("<polygon points='5,6 7,30 20,20'/>", "M5 6L7 30L20 20z"),
    ],
)  # fmt: skip
def test_basic_shapes_are_their_equivalent_paths(shape: str, path: str) -> None:
    assert_same(shape, f"<path d='{path}'/>")
    assert read_body(shape).lines.closed.all() == read_body(f"<path d='{path}'/>").lines.closed.all()


@pytest.mark.parametrize(
    ("transform", "matrix"),
    [
        # 8.5 and CSS Transforms 1, 13.1: each function as a matrix.
        ("translate(3 4)", (1, 0, 0, 1, 3, 4)),
        ("translate(3)", (1, 0, 0, 1, 3, 0)),
        ("scale(2 .5)", (2, 0, 0, 0.5, 0, 0)),
        ("scale(2)", (2, 0, 0, 2, 0, 0)),
        ("rotate(30)", (math.cos(math.pi / 6), 0.5, -0.5, math.cos(math.pi / 6), 0, 0)),
        ("skewX(30)", (1, 0, math.tan(math.pi / 6), 1, 0, 0)),
        ("skewY(30)", (1, math.tan(math.pi / 6), 0, 1, 0, 0)),
        ("matrix(1 .2 .3 1.4 5 6)", (1, 0.2, 0.3, 1.4, 5, 6)),
        # rotate(a, x, y) is translate(x, y) rotate(a) translate(-x, -y).
        ("rotate(90 10 20)", (0, 1, -1, 0, 30, 10)),
        # A list applies from the right to the left.
        ("translate(10 0) scale(2)", (2, 0, 0, 2, 10, 0)),
    ],
)
def test_transforms(transform: str, matrix: tuple[float, ...]) -> None:
    a, b, c, d, e, f = matrix
    line = points(read_body(f"<path transform='{transform}' d='M1 2L8 5L3 9'/>"))
    wanted = [(a * x + c * y + e, b * x + d * y + f) for x, y in [(1, 2), (8, 5), (3, 9)]]
    assert line == pytest.approx(np.array(wanted))


@pytest.mark.parametrize(
    ("unit", "mm"),
    # CSS Values and Units 3, 5.2: 1in = 96px = 2.54cm = 72pt = 6pc = 101.6Q.
    [
        ("mm", 1),
        ("cm", 10),
        ("in", 25.4),
        ("pt", 25.4 / 72),
        ("pc", 25.4 / 6),
        ("px", 25.4 / 96),
        ("Q", 0.25),
    ],
)
def test_absolute_units(unit: str, mm: float) -> None:
    text = f"<svg {SPACE} width='8{unit}' height='4{unit}' stroke='red'><path d='M0 0H1'/></svg>"
    assert read_text(text).page == pytest.approx((8 * mm, 4 * mm))
    inner = (
        f"<svg {SPACE} width='90mm' height='90mm' stroke='red'><rect width='8{unit}' height='4{unit}'/></svg>"
    )
    left, bottom, right, top = read_text(inner).lines.bounds
    assert (right - left, top - bottom) == pytest.approx((8 * mm, 4 * mm))


def test_percentages() -> None:
    """8.9: of the width, of the height, and of sqrt((w^2 + h^2) / 2)."""
    text = f"<svg {SPACE} width='40mm' height='30mm' viewBox='0 0 40 30' stroke='red'>"
    box = read_text(f"{text}<rect x='10%' y='10%' width='50%' height='50%'/></svg>").lines.bounds
    assert box == pytest.approx((4, 12, 24, 27))
    ring = read_text(f"{text}<circle cx='50%' cy='50%' r='10%'/></svg>").lines.bounds
    radius = 0.1 * math.sqrt((40**2 + 30**2) / 2)
    assert ring == pytest.approx((20 - radius, 15 - radius, 20 + radius, 15 + radius))


@pytest.mark.parametrize(
    ("align", "left", "top", "scale"),
    [
        # 8.7, with a viewBox of 30 by 40 in a viewport of 30 by 20 (the section's own example has these sizes
        # rotated): meet scales by 0.5 and leaves 15 across, slice by 1 and overhangs by 20 down.
        ("xMinYMin meet", 0, 0, 0.5), ("xMidYMid meet", 7.5, 0, 0.5), ("xMaxYMax meet", 15, 0, 0.5),
        ("xMinYMin slice", 0, 0, 1), ("xMidYMid slice", 0, -10, 1), ("xMaxYMax slice", 0, -20, 1),
    ],
)  # fmt: skip
def test_aspect_ratios(align: str, left: float, top: float, scale: float) -> None:
    body = (
        f"<svg width='30' height='20' viewBox='0 0 30 40' preserveAspectRatio='{align}' overflow='visible'>"
        "<rect width='30' height='40'/></svg>"
    )
    line = points(read_body(body))
    assert line.min(axis=0) == pytest.approx([left, top])
    assert line.max(axis=0) == pytest.approx([left + 30 * scale, top + 40 * scale])


@pytest.mark.parametrize(
    ("body", "same"),
    [
        # 5.6: x and y are a further translation after the transform.
        ("<defs><path id='p' d='M1 1H9'/></defs><use href='#p' x='5' y='6' transform='scale(2)'/>",
         "<path transform='scale(2) translate(5 6)' d='M1 1H9'/>"),
        # 5.6: transforms of the element referred to apply inside.
        ("<defs><path id='p' transform='rotate(30)' d='M1 1H9'/></defs><use href='#p' x='5'/>",
         "<path transform='translate(5) rotate(30)' d='M1 1H9'/>"),
        # 5.5: a symbol is a viewport of its own.
        ("<symbol id='s' viewBox='0 0 10 10'><path d='M1 1H9'/></symbol><use href='#s' x='5' width='20' height='20'/>",
         "<path transform='translate(5) scale(2)' d='M1 1H9'/>"),
        # 5.9: a switch draws its first child whose conditions hold.
        ("<switch><path systemLanguage='xx' d='M0 0H9'/><path d='M0 5H9'/><path d='M0 9H9'/></switch>",
         "<path d='M0 5H9'/>"),
        # CSS Transforms 1, 6: transform-origin moves the origin of the transform.
        ("<path transform='rotate(30)' transform-origin='10 20' d='M10 10H30'/>",
         "<path transform='rotate(30 10 20)' d='M10 10H30'/>"),
        # CSS Masking 1, 5: what lies outside a clip does not show.
        ("<clipPath id='c'><rect x='10' y='0' width='20' height='60'/></clipPath><path clip-path='url(#c)' d='M0 9H60'/>",
         "<path d='M10 9H30'/>"),
    ],
)  # fmt: skip
def test_structure(body: str, same: str) -> None:
    assert_same(body, same)
