"""However an affine map is split over nested inserts, the same lines come out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from cutprep.geometry.affine import compose, scale, shift, turn
from tests.dxf_text import Entity, block, drawing, entity, insert, line, read_text

number = st.floats(-50, 50).map(lambda v: round(v, 3))
factor = st.floats(0.2, 4).map(lambda v: round(v, 3))
sign = st.sampled_from((-1.0, 1.0))
angle = st.one_of(
    st.sampled_from((0.0, 90.0, 180.0, 270.0, 45.0)), st.floats(-360, 360).map(lambda v: round(v, 4))
)


@st.composite
def placements(draw: st.DrawFn) -> tuple[float, float, float, float, float, float, float]:
    """Insertion point, scales, rotation, base point of the block."""
    sx, sy = draw(factor) * draw(sign), draw(factor) * draw(sign)
    return draw(number), draw(number), sx, sy, draw(angle), draw(number), draw(number)


CONTENT = [
    line(0, 0, 7, 3, layer="0"),
    entity("CIRCLE", (8, "0"), (10, 2), (20, -1), (40, 4)),
    entity("ARC", (8, "0"), (10, 2), (20, -1), (40, 6), (50, 20), (51, 250)),
    entity("LWPOLYLINE", (8, "0"), (70, 1), (10, 0), (20, 0), (42, 0.7), (10, 9), (20, 1), (42, -1.3), (10, 5), (20, 8)),
    entity("ELLIPSE", (8, "0"), (10, 1), (20, 2), (11, 5), (21, 2), (40, 0.3), (41, 0.5), (42, 4)),
    entity(
        "SPLINE", (8, "0"), (71, 3), *((40, k) for k in (0, 0, 0, 0, 1, 1, 1, 1)), *((41, w) for w in (1, 2, 0.5, 1)),
        *(p for x, y in ((0, 0), (3, 9), (6, -4), (9, 5)) for p in ((10, x), (20, y), (30, 0))),
    ),
]  # fmt: skip


def _matrix(p: tuple[float, ...]) -> np.ndarray:
    x, y, sx, sy, degrees, base_x, base_y = p
    return compose(shift(x, y), turn(degrees), scale(sx, sy), shift(-base_x, -base_y))


def _nested(chain: list[tuple[float, ...]]) -> str:
    """The content inside as many blocks as there are placements, innermost first."""
    blocks, inner = [], CONTENT
    for depth, (x, y, sx, sy, degrees, base_x, base_y) in enumerate(chain):
        blocks.append(block(f"b{depth}", *inner, base=(base_x, base_y)))
        inner = [insert(f"b{depth}", x, y, (41, sx), (42, sy), (50, degrees))]
    return drawing(*inner, blocks=blocks)


@settings(max_examples=15, deadline=None)
@given(st.lists(placements(), min_size=1, max_size=4))
def test_any_chain_of_inserts_is_one_matrix(chain: list[tuple[float, ...]]) -> None:
    whole = compose(*(_matrix(p) for p in reversed(chain)))
    got = read_text(_nested(chain)).lines
    fine = read_text(drawing(*CONTENT), sagitta=0.0005).lines.transform(whole)
    assert len(got) == len(fine) == len(CONTENT)
    size = np.abs(fine.xy).max() + 1
    for i in range(len(got)):
        a, b = got.points(i), fine.points(i)
        assert np.allclose(a[[0, -1]], b[[0, -1]], atol=1e-12 * size)
        # Points lie on the curve itself, so only the fine reading's own chords stand between.
        assert _stray(a, b) < 1e-9 * size + 0.0005 * np.linalg.norm(whole[:, :2], 2) * 1.01
        assert _stray(b, a) < 0.02 + 1e-9 * size
        assert got.closed[i] == fine.closed[i]


def _stray(points: np.ndarray, polyline: np.ndarray) -> float:
    """Largest distance of points from a polyline; brute force."""
    a, d = polyline[:-1], np.diff(polyline, axis=0)
    worst = 0.0
    for p in points:
        t = np.clip(((p - a) * d).sum(axis=1) / (d * d).sum(axis=1), 0, 1)
        worst = max(worst, float(np.hypot(*(a + t[:, None] * d - p).T).min()))
    return worst


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 6), st.integers(1, 6), number, number, angle, placements())
def test_an_array_is_its_single_inserts(
    columns: int, rows: int, dx: float, dy: float, degrees: float, place: tuple[float, ...]
) -> None:
    x, y, sx, sy, _, base_x, base_y = place
    tab = block("tab", *CONTENT[:2], base=(base_x, base_y))
    look = [(41, sx), (42, sy), (50, degrees)]
    grid = [(70, columns), (71, rows), (44, dx), (45, dy)]
    together = read_text(drawing(insert("tab", x, y, *look, *grid), blocks=[tab])).lines
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    cells = {(i * dx, j * dy) for i in range(columns if dx else 1) for j in range(rows if dy else 1)}
    apart: list[Entity] = [insert("tab", x + u * c - v * s, y + u * s + v * c, *look) for u, v in cells]
    alone = read_text(drawing(*apart, blocks=[tab])).lines
    assert len(together) == len(alone)
    assert np.array(together.bounds) == pytest.approx(np.array(alone.bounds), abs=1e-9)
    assert _same_cloud(together.xy, alone.xy)


def _same_cloud(a: np.ndarray, b: np.ndarray) -> bool:
    """Every vertex of one has one of the other within 1e-6."""
    return all(bool((cKDTree(q).query(p)[0] < 1e-6).all()) for p, q in ((a, b), (b, a)))
