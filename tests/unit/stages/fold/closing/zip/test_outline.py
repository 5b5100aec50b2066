"""The outline of a body: its sides, its corners, what hangs on it."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.fold.closing.zip.outline import CornerRule, outline_of
from tests.folding import part_from
from tests.nets import Sketch, from_faces, gathered, ngon_tray, tray, webbed_tray


def outline(sketch: Sketch, aside: frozenset[int] = frozenset()):
    part = part_from(sketch)
    return part, outline_of(part, frozenset(range(len(part.panels))) - aside)


def flaps(part) -> frozenset[int]:
    return frozenset(k for k, p in enumerate(part.polygons) if p.area < 900)


def test_a_tray_without_its_flaps_has_twelve_sides() -> None:
    part = part_from(tray())
    got = outline_of(part, frozenset(range(9)) - flaps(part))
    assert len(got.sides) == 12
    assert sorted(round(s.length) for s in got.sides) == [30] * 8 + [90] * 2 + [150] * 2
    assert sum(len(s.hung) for s in got.sides) == 4
    inner = [f.angle for f in got.fans if f.angle > 185]
    assert np.isclose(inner, 270).all()
    assert len(inner) == 4


def test_sides_run_counter_clockwise_head_to_tail() -> None:
    _, got = outline(ngon_tray(5))
    for a, b in zip(got.sides, [*got.sides[1:], got.sides[0]], strict=True):
        assert a.tips[1] == b.tips[0]


@pytest.mark.parametrize("sketch", [ngon_tray(6), gathered(), webbed_tray(), tray()])
def test_angles_add_up(sketch: Sketch) -> None:
    """Angles of an n-gon sum up to (n - 2) x 180."""
    _, got = outline(sketch)
    assert np.isclose(sum(f.angle for f in got.fans), 180 * (len(got.fans) - 2))


def test_a_side_split_in_many_is_one_side() -> None:
    s = Sketch().score((0, 0), (0, 40))
    points = [(0, 0), (10, 0.02), (20, -0.03), (30, 0.02), (40, 0), (40, 40), (0, 40)]
    s.cut(*points).cut((0, 0), (-30, 0), (-30, 40), (0, 40))
    _, got = outline(s)
    assert len(got.sides) == 6
    assert np.isclose(sorted(f.angle for f in got.fans), [90] * 4 + [180] * 2).all()


def test_reliefs_are_swallowed_and_corners_stay_square() -> None:
    s = Sketch().score((0, 0), (0, 40))
    s.cut((0, 0), (1, 0), (1, 0.6), (40, 0.6), (40, 40), (0, 40)).cut((0, 0), (-30, 0), (-30, 40), (0, 40))
    _, got = outline(s)
    assert sum(f.angle for f in got.fans) == pytest.approx(180 * (len(got.fans) - 2))
    assert min(side.length for side in got.sides) > 1.5


def test_rounded_corners_become_one_corner() -> None:
    a = np.linspace(np.pi, np.pi / 2, 12)[1:-1]
    round_ = [(4 + 4 * np.cos(t), 36 + 4 * np.sin(t)) for t in a]
    s = Sketch().score((0, 0), (40, 0))
    s.cut((40, 0), (40, 40), (4, 40), *[tuple(map(float, p)) for p in round_[::-1]], (0, 36), (0, 0))
    s.cut((0, 0), (0, -40), (40, -40), (40, 0))
    _, got = outline(s)
    assert sorted(round(f.angle) for f in got.fans) == [90, 90, 90, 90, 180, 180]


def test_a_window_or_slot_makes_no_side() -> None:
    _, plain = outline(tray())
    _, cut = outline(tray().ring((100, 28), (110, 28), (110, 32), (100, 32)))
    assert len(cut.sides) == len(plain.sides)


def test_one_panel_alone() -> None:
    part = part_from(from_faces([[(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]]))
    got = outline_of(part, frozenset({0}))
    assert len(got.sides) == 4


def test_a_card_with_rounded_corners_is_not_levelled_away() -> None:
    """Each half bows out all round from the fold: the straight below it is the fold itself, and would meet the other half's."""
    turns = np.radians(np.arange(0, 91, 15))
    corner = 70 + 10 * np.column_stack((np.cos(turns), np.sin(turns)))
    half = [(80, 0), *map(tuple, corner), *((-x, y) for x, y in corner[::-1]), (-80, 0)]
    s = Sketch().score((-80, 0), (80, 0)).cut(*half).cut(*((x, -y) for x, y in half))
    part = part_from(s)
    got = outline_of(part, frozenset({0, 1}), CornerRule(level=True))
    assert min(f.angle for f in got.fans) > 90
    assert sum(f.angle for f in got.fans) == pytest.approx(180 * (len(got.fans) - 2))
