"""Flaps and gussets in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.geometry.space.hinged import pose
from cutprep.model.folded import Role, Verdict
from tests.folding import angles_of, folded
from tests.nets import Sketch, gathered, hex_prism, tray, tuck_end, webbed_tray


@pytest.mark.parametrize("sketch", [tray(), tuck_end(), hex_prism()])
def test_a_folded_flap_lies_in_the_plane_of_its_target(sketch: Sketch) -> None:
    report = folded(sketch)
    corners = pose(report)
    assert report.flaps
    for flap in report.flaps:
        target = corners[flap.target]
        normal = np.cross(target[1] - target[0], target[2] - target[1])
        normal /= np.linalg.norm(normal)
        assert np.abs((corners[flap.panel] - target[0]) @ normal).max() < 1e-6


def test_webs_fold_inside_half_way_between_the_walls() -> None:
    """Half angle (180 + rho) / 2, rho the fold from wall to wall; the middle folds back by 180."""
    report = folded(webbed_tray())
    wall = math.degrees(math.acos(7 / 40))  # the walls lean out by 7 over a slant of 40
    assert {round(wall, 2), 134.12, -180.0} == angles_of(report)
    assert sum(p.role is Role.GUSSET for p in report.panels) == 8


def outwards() -> Sketch:
    s = webbed_tray()
    for k, (a, b) in enumerate(s.scores):
        web = (abs(a[0]), abs(a[1])) == (50, 35) and (abs(b[0]), abs(b[1])) != (50, 35)
        diagonal = abs((abs(b[0]) - 50) - (abs(b[1]) - 35)) < 1e-6
        s.folds[k] = -1 if web and not diagonal else 1
    return s


def test_webs_drawn_as_mountains_fold_outside() -> None:
    """Half angle -(180 - rho) / 2."""
    report = folded(outwards())
    assert report.verdict is Verdict.OPEN_BOX
    assert angles_of(report) == {79.92, -45.88, 180.0}
    assert not report.messages


def test_the_gathered_bottom() -> None:
    report = folded(gathered())
    assert {90.0, round(math.degrees(math.asin(25 / 35)), 2)} < angles_of(report)
    assert len(report.gussets) == 5


def test_halves_of_a_gusset_lie_on_one_another() -> None:
    report = folded(webbed_tray())
    corners = pose(report)
    for gusset in report.gussets:
        a, b = corners[gusset.half_a], corners[gusset.half_b]
        normal = np.cross(a[1] - a[0], a[2] - a[1])
        normal /= np.linalg.norm(normal)
        assert np.abs((b - a[0]) @ normal).max() < 1e-6
