"""svgelements 1.9.6, where it is right: lengths, colours, matrices, path data, arcs under plain matrices.

Its tree walk is not asked (symbols, viewports, selectors: it differs from the specification there).
"""

from __future__ import annotations

import io

import numpy as np
import pytest
import shapely
import svgelements

from cutprep.stages.read.svg.shapes.transform import parse_transform
from cutprep.stages.read.svg.values import LengthContext, css_colour, parse_length
from tests.svg_text import PAGE, points, read_body, read_text

RNG = np.random.default_rng(5)


@pytest.mark.parametrize(
    "text", ["3mm", "2.5cm", "1in", "7pt", "2pc", "9px", "12", "-4.5mm", "1e2px", ".5in"]
)
def test_lengths(text: str) -> None:
    length = parse_length(text)
    assert length is not None
    assert LengthContext(0, 0).px(length, "x") == pytest.approx(
        float(svgelements.Length(text).value(ppi=96)), rel=1e-5
    )


@pytest.mark.parametrize(
    "text",
    ["red", "darkgoldenrod", "#1a2b3c", "#abc", "rgb(1, 2, 3)", "rgb(10%, 20%, 30%)", "hsl(120, 50%, 40%)"],
)
def test_colours(text: str) -> None:
    ours = css_colour(text)
    theirs = svgelements.Color(text)
    assert ours is not None
    assert ours.colour is not None
    pairs = zip(bytes.fromhex(ours.colour[1:]), (theirs.red, theirs.green, theirs.blue), strict=True)
    assert all(abs(a - b) <= 1 for a, b in pairs)  # one rounds a half up, the other down


@pytest.mark.parametrize(
    "text",
    ["translate(3,4)", "rotate(30)", "rotate(30 5 6)", "scale(2,-1)", "skewX(20)", "skewY(-10)",
     "matrix(1 2 3 4 5 6)", "translate(3) rotate(20) scale(1.5)"],
)  # fmt: skip
def test_matrices(text: str) -> None:
    theirs = svgelements.Matrix(text)
    assert parse_transform(text, None) == pytest.approx(tuple(getattr(theirs, name) for name in "abcdef"))


def random_path(count: int) -> str:
    """Path data of many commands; S and T only after their own kind."""
    pieces = ["M30 30"]
    for _ in range(count):
        n = [f"{v:.2f}" for v in RNG.uniform(-6, 6, 6)]
        kind = RNG.choice(["l", "h", "v", "c", "cs", "q", "qt", "a"])
        if kind == "l":
            pieces.append(f"l{n[0]} {n[1]}")
        elif kind in {"h", "v"}:
            pieces.append(f"{kind}{n[0]}")
        elif kind in {"c", "cs"}:
            pieces.append(f"c{' '.join(n)}" + (f"s{' '.join(n[:4])}" if kind == "cs" else ""))
        elif kind in {"q", "qt"}:
            pieces.append(f"q{' '.join(n[:4])}" + (f"t{' '.join(n[:2])}" if kind == "qt" else ""))
        else:
            flags = RNG.integers(0, 2, 2)
            pieces.append(
                f"a{abs(float(n[0])) + 0.1:.2f} {abs(float(n[1])) + 0.1:.2f} {n[2]} {flags[0]} {flags[1]} {n[3]} {n[4]}"
            )
    return "".join(pieces)


@pytest.mark.parametrize("transform", ["", "rotate(25) scale(1.3)", "translate(4 -3) scale(-1 1)"])
def test_path_data_point_by_point(transform: str) -> None:
    """Points at even steps of every segment of theirs lie on our lines, and our vertices on theirs."""
    text = random_path(60)
    ours = read_body(f"<path transform='{transform}' d='{text}'/>")
    line = shapely.union_all([shapely.LineString(points(ours, i)) for i in range(len(ours.lines))])
    path = svgelements.Path(text) * svgelements.Matrix(transform)
    path.reify()
    dense = [
        np.array([(p.x, p.y) for p in (s.point(t) for t in np.linspace(0, 1, 200))])
        for s in path.segments()[1:]
    ]
    spots = np.concatenate(dense)
    assert shapely.distance(shapely.points(spots), line).max() <= 0.021
    theirs = shapely.union_all([shapely.LineString(each) for each in dense])
    vertices = np.concatenate([points(ours, i) for i in range(len(ours.lines))])
    assert shapely.distance(shapely.points(vertices), theirs).max() < 0.01


def test_a_plain_drawing_as_a_whole() -> None:
    """Groups, styles and shapes as svgelements reads them where nothing hard is asked."""
    text = (
        f"<svg {PAGE}><g id='cut' stroke='red' transform='translate(5 5)'><rect width='20' height='10'/>"
        "<circle cx='30' cy='10' r='4'/></g><g id='score' style='stroke:blue'><path d='M5 30H40'/></g></svg>"
    )
    drawing = read_text(text)
    theirs = svgelements.SVG.parse(io.StringIO(text), ppi=96)
    shapes = [e for e in theirs.elements() if isinstance(e, svgelements.Shape)]
    assert len(shapes) == len(drawing.lines) == 3
    for shape, line in zip(shapes, drawing.lines, strict=True):
        left, top, right, bottom = (v / 96 * 25.4 for v in shape.bbox())
        low, high = line.points.min(axis=0), line.points.max(axis=0)
        assert (*low, *high) == pytest.approx((left, 60 - bottom, right, 60 - top), abs=1e-3)
        assert line.element.colour == shape.stroke.hexrgb
