"""Area, orientation and nesting, with shapely's area beside ours."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutprep.errors import DrawingError
from cutprep.geometry.lines import rings
from cutprep.geometry.lines.rings import depths, parents, signed_area, signed_areas
from cutprep.model.lines import Lines


def square(x: float, y: float, side: float) -> np.ndarray:
    return np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)], dtype=float)


@given(st.integers(3, 40), st.floats(0.5, 100), st.floats(-1e6, 1e6))
def test_area_agrees_with_shapely_far_from_the_origin_too(n: int, r: float, far: float) -> None:
    angles = np.arange(n) * 2 * math.pi / n
    ring = np.column_stack((np.cos(angles) * r, np.sin(angles) * r)) + far
    ring = np.vstack((ring, ring[:1]))
    wanted = shapely.Polygon(ring - ring[0]).area
    assert signed_area(ring) == pytest.approx(wanted, rel=1e-6)
    assert signed_area(ring[::-1]) == pytest.approx(-wanted, rel=1e-6)


def test_rings_in_rings() -> None:
    rings = [square(0, 0, 100), square(10, 10, 20), square(12, 12, 5), square(200, 0, 5), square(60, 60, 10)]
    parent = parents(rings)
    assert parent == [-1, 0, 1, -1, 0]
    assert depths(parent) == [0, 1, 2, 0, 1]


def test_no_rings() -> None:
    assert parents([]) == []


def test_a_crossed_ring_does_no_harm() -> None:
    crossed = np.array([(0, 0), (10, 10), (10, 0), (0, 10), (0, 0)], dtype=float)
    assert parents([crossed, square(-5, -5, 30)]) == [1, -1]


def test_outlines_that_lie_within_each_other_without_end_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each pair of them is work; the maker is told what to do."""
    nested = [square(-k, -k, 5 + 2 * k) for k in range(40)]
    assert parents(nested) == [*range(1, 40), -1]
    assert depths(parents(nested)) == list(range(39, -1, -1))
    assert parents([square(0, 0, 5)] * 5) == [-1, 0, 0, 0, 0]
    monkeypatch.setattr(rings, "_MOST", 100)
    with pytest.raises(DrawingError, match="outlines lie within each other"):
        parents(nested)


def test_areas_of_many_lines_are_those_of_each() -> None:
    """However they lie behind each other, turned either way, far out, and with a line of no area between."""
    lines = Lines.of(
        [square(3, 4, 5), square(1e6, -1e6, 2)[::-1], [(0.0, 0.0), (9.0, 3.0)], square(0, 0, 0.01)]
    )
    assert signed_areas(lines).tolist() == pytest.approx([signed_area(lines.points(i)) for i in range(4)])
    assert signed_areas(lines).tolist() == pytest.approx([25.0, -4.0, 0.0, 1e-4])
    assert signed_areas(Lines.of([])).tolist() == []
