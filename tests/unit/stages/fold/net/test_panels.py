"""Panels, and the snapping distance that finds them."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.fold.net.net_lines import pick_net_lines
from cutprep.stages.fold.net.panels import faults_in, find_net, rungs
from cutprep.tolerance import Tolerance
from tests.folding import net_from
from tests.nets import Sketch, arc, roughen, tray

TOLERANCE = Tolerance()


def test_panels_are_ordered_by_size_and_know_their_sides() -> None:
    net = net_from(tray())
    assert len(net.rings) == 9
    areas = [net.polygon(k).area for k in range(9)]
    assert areas == sorted(areas, reverse=True)
    for k, ring in enumerate(net.rings):
        for u, v in zip(ring, (*ring[1:], ring[0]), strict=True):
            assert net.left[u, v] == k


def test_a_window_is_a_hole_and_a_region() -> None:
    net = net_from(
        Sketch().ring((0, 0), (40, 0), (40, 40), (0, 40)).ring((10, 10), (20, 10), (20, 20), (10, 20))
    )
    assert len(net.rings) == 2
    assert len(net.holes[0]) == 1
    assert net.polygon(0).area == 1500
    inner = net.rings[1]
    assert net.left[inner[1], inner[0]] == 0  # round the hole, the outer panel is on the other side


def test_two_lines_that_should_be_one_are_a_sliver() -> None:
    net = net_from(
        Sketch().ring((0, 0), (40, 0), (40, 40), (0, 40)).cut((0, 40), (0, 40.2), (40, 40.2), (40, 40))
    )
    assert len(net.rings) == 1
    assert len(net.slivers) == 1
    assert faults_in(net, 1.6) == 1


def test_a_slit_in_mid_panel_is_no_fault() -> None:
    net = net_from(tray().cut((80, 70), (100, 70)))
    assert faults_in(net, 1.6) == 0


def test_the_rungs_rise_from_coincide_to_gap() -> None:
    assert rungs(TOLERANCE) == (0.05, 0.1, 0.2, 0.3, 0.5, 0.8)
    tight = rungs(Tolerance(coincide=0.2, doubled=0.25, gap=0.4))
    assert tight == (0.2, 0.3, 0.4)  # 2 x coincide is gap already
    assert list(tight) == sorted(set(tight))


def test_a_clean_file_is_never_snapped_by_more_than_coincide() -> None:
    assert find_net(pick_net_lines(tray().drawing()), TOLERANCE).pieces.tolerance == 0.05


@pytest.mark.parametrize("seed", range(6))
def test_a_rough_file_is_snapped_as_far_as_it_needs(seed: int) -> None:
    rough = roughen(tray().drawing(), 0.05, 0.15, np.random.default_rng(seed))
    net = find_net(pick_net_lines(rough), TOLERANCE)
    assert len(net.rings) == 9
    assert 0.05 < net.pieces.tolerance <= 0.5


def test_fine_reliefs_survive() -> None:
    """A relief 0.4 mm deep stays when nothing forces a larger distance."""
    s = Sketch().cut((0, 0), (10, 0), (10, 0.4), (30, 0.4), (30, 0), (40, 0), (40, 40), (0, 40), (0, 0))
    net = find_net(pick_net_lines(s.drawing()), TOLERANCE)
    assert len(net.rings[0]) == 8


def test_small_round_holes_survive() -> None:
    s = tray().cut(*arc((100, 75), (103, 75), 1.5, 12), *arc((103, 75), (100, 75), 1.5, 12)[1:])
    assert len(net_from(s).rings) == 10
