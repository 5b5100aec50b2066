"""Copies that are already drawn side by side."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS, Pen, box, circle

ELL = np.array([(0, 0), (30, 0), (30, 10), (12, 10), (12, 25), (0, 25), (0, 0)], float)


def copies(*points: object) -> list[int]:
    """How many copies are noticed, template by template."""
    found = check(Pen().cut(*points).drawing, LIMITS)
    return [int(f.measure or 0) for f in found if f.code == "copies-in-drawing"]


def moved(points: np.ndarray, degrees: float, dx: float, dy: float) -> np.ndarray:
    """Turned and moved."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    made = points @ np.array([[c, s], [-s, c]]) + (dx, dy)
    made[-1] = made[0]
    return made


def test_moved_and_turned_copies_are_counted() -> None:
    """Whatever the start and the direction of the outline."""
    rolled = np.vstack((ELL[2:-1], ELL[:3]))
    assert copies(ELL, moved(ELL, 30, 60, 0), moved(rolled, 90, 120, 0), moved(ELL[::-1], 200, 60, 60)) == [4]


def test_each_template_is_counted_by_itself() -> None:
    """Three of one and two of another; a single one says nothing."""
    drawn = [moved(ELL, 0, 60 * k, 0) for k in range(3)] + [box(60 * k, 60, 20, 30) for k in range(2)]
    assert sorted(copies(*drawn, circle((0, 150), 9))) == [2, 3]


@pytest.mark.parametrize(
    "other",
    [ELL * (-1, 1), ELL * 1.03, ELL * (1.02, 1), np.array([(0, 0), (30, 0), (30, 25), (12, 10), (0, 25), (0, 0)], float)],
    ids=["mirror image", "larger", "stretched", "another"],
)  # fmt: skip
def test_what_is_no_copy(other: np.ndarray) -> None:
    """Mirror images, other sizes, other shapes."""
    assert copies(ELL, other + np.array((80, 0))) == []


def test_holes_are_no_copies() -> None:
    """A lace of holes is one part."""
    holes = [circle((5 * i + 5, 5 * j + 5), 1.5) for i in range(5) for j in range(5)]
    assert copies(box(0, 0, 30, 30), *holes) == []


@pytest.mark.parametrize(("at", "told"), [((20, 20, 20), True), ((20, 26, 32), False), ((20, 23, 26), False)])
def test_parts_whose_notch_lies_elsewhere_are_no_copies(at: tuple[int, ...], told: bool) -> None:
    """All as long and as large: only where the notch is tells them apart."""

    def board(left: float, notch: float) -> list[tuple[float, float]]:
        corners = [
            (0, 0),
            (notch, 0),
            (notch, 3),
            (notch + 6, 3),
            (notch + 6, 0),
            (80, 0),
            (80, 40),
            (0, 40),
            (0, 0),
        ]
        return [(left + x, y) for x, y in corners]

    drawing = Pen().cut(*(board(100 * k, notch) for k, notch in enumerate(at))).drawing
    assert [f.code for f in check(drawing, LIMITS)] == ["copies-in-drawing"] * told
