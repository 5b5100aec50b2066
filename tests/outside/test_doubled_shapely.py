"""Doubled length against shapely (GEOS): sum of the lengths less the length of the union.

shapely 2.x, `unary_union` of lines with equal coordinates dissolves what lies on each other
(GEOS 3.9 or newer). The drawings are random; the stretches drawn twice have exactly the coordinates of
what they lie on, so that GEOS sees them, and lie on a fine grid, so that its noding rounds nothing.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS


def doubled_by_cutprep(points: list[np.ndarray]) -> float:
    """Sum of the measures of doubled lines."""
    found = check(Drawing("x", Lines.of(points, operation=Operation.DRAW)), LIMITS)
    return sum(f.measure or 0.0 for f in found if f.code == "doubled-line")


def doubled_by_geos(points: list[np.ndarray]) -> float:
    """Sum of the lengths less the length of the union."""
    lines = [shapely.LineString(p) for p in points]
    return sum(line.length for line in lines) - shapely.union_all(lines).length


def scattered(rng: np.random.Generator, count: int) -> list[np.ndarray]:
    """Polylines of a random walk each, far from each other, with steps of 2 mm or more."""
    lines = []
    for k in range(count):
        steps = rng.integers(4, 40, (rng.integers(2, 8), 2)) / 2 * rng.choice([1, -1], 2)
        lines.append(
            np.vstack(((0, 0), np.cumsum(steps, axis=0))) + np.array((400 * (k % 8), 400 * (k // 8)))
        )
    return lines


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**9), count=st.integers(1, 20))
def test_planted_stretches_are_found_to_half_a_percent(seed: int, count: int) -> None:
    """Runs of whole steps drawn again, in one piece or several, either way, up to three times."""
    rng = np.random.default_rng(seed)
    lines = scattered(rng, count)
    planted = []
    for line in lines:
        for _ in range(rng.integers(0, 3)):
            begin, end = np.sort(rng.choice(len(line), 2, replace=False))
            again = line[begin : end + 1][:: rng.choice([1, -1])]
            if rng.random() < 0.4:
                planted += [again[k : k + 2] for k in range(len(again) - 1)]
            else:
                planted.append(again)
    points = [p for k in rng.permutation(len(lines) + len(planted)) for p in [(lines + planted)[k]]]
    want = doubled_by_geos(points)
    assert doubled_by_cutprep(points) == pytest.approx(want, rel=0.005, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_partly_overlapping_collinear_stretches(seed: int) -> None:
    """Random intervals on a few parallel lines; whole millimetres, so every overlap counts."""
    rng = np.random.default_rng(seed)
    points = []
    for _ in range(rng.integers(2, 40)):
        begin, end = np.sort(rng.choice(60, 2, replace=False))
        y = 3.0 * rng.integers(0, 5)
        points.append(np.array([(begin, y), (end, y)], float)[:: rng.choice([1, -1])])
    assert doubled_by_cutprep(points) == pytest.approx(doubled_by_geos(points), rel=0.005, abs=1e-6)


@pytest.mark.parametrize("degrees", [0, 17, 45])
@pytest.mark.parametrize("kind", ["grid", "honeycomb", "parallels", "boxes", "triangles"])
def test_regular_drawings_have_no_doubles(kind: str, degrees: float) -> None:
    """Drawn once, turned anyhow; GEOS finds no doubled length in the unturned ones either."""
    lines = REGULAR[kind]()
    if not degrees:
        assert doubled_by_geos(lines) == pytest.approx(0, abs=1e-6)
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    found = check(
        Drawing("x", Lines.of([p @ np.array([[c, s], [-s, c]]) for p in lines], operation=Operation.CUT)),
        LIMITS,
    )
    assert not [f for f in found if "double" in f.code]


def _grid() -> list[np.ndarray]:
    lines = [np.array([(0, 5.0 * k), (50, 5.0 * k)]) for k in range(11)]
    return lines + [line[:, ::-1] for line in lines]


def _honeycomb() -> list[np.ndarray]:
    edges = set()
    for i in range(6):
        for j in range(6):
            centre = np.array((np.sqrt(3) * 4 * (i + j / 2), 6 * j))
            turn = np.radians(np.arange(6) * 60 + 30)
            ring = [tuple(np.round(centre + 4 * np.array((np.cos(t), np.sin(t))), 6)) for t in turn]
            edges |= {tuple(sorted((ring[k - 1], ring[k]))) for k in range(6)}
    return [np.array(edge) for edge in sorted(edges)]


def _parallels() -> list[np.ndarray]:
    return [np.array([(0, 0.7 * k), (80, 0.7 * k)]) for k in range(30)]


def _boxes() -> list[np.ndarray]:
    ring = np.array([(0, 0), (6, 0), (6, 6), (0, 6), (0, 0)], float)
    return [ring + np.array((8 * i, 8 * j)) for i in range(6) for j in range(6)]


def _triangles() -> list[np.ndarray]:
    edges = set()
    for i in range(6):
        for j in range(6):
            a, b, c = (
                tuple(np.round((5 * (x + y / 2), 5 * y * np.sqrt(3) / 2), 6))
                for x, y in ((i, j), (i + 1, j), (i, j + 1))
            )
            edges |= {tuple(sorted(pair)) for pair in ((a, b), (b, c), (a, c))}
    return [np.array(edge) for edge in sorted(edges)]


REGULAR = {
    "grid": _grid,
    "honeycomb": _honeycomb,
    "parallels": _parallels,
    "boxes": _boxes,
    "triangles": _triangles,
}
