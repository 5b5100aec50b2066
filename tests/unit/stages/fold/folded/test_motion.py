"""Frames from flat to folded."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.space.hinged import carried, pose
from cutprep.stages.fold.folded.motion import full_tree, hinge_angles
from tests.folding import folded, part_from
from tests.nets import Sketch, gathered, hex_prism, net_of, tray, webbed_tray

NETS = [tray(), webbed_tray(), gathered(), hex_prism(), net_of("dodecahedron", 30)]


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
@pytest.mark.parametrize("fraction", [0.0, 0.3, 0.77, 1.0])
def test_folding_changes_no_panels_shape(sketch: Sketch, fraction: float) -> None:
    report = folded(sketch)
    for panel, corners in zip(report.panels, pose(report, fraction), strict=True):
        flat = panel.outline
        for step in (1, 2):
            a = np.linalg.norm(np.roll(flat[:-1], step, axis=0) - flat[:-1], axis=1)
            b = np.linalg.norm(np.roll(corners[:-1], step, axis=0) - corners[:-1], axis=1)
            assert np.allclose(a, b)


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
@pytest.mark.parametrize("fraction", [0.0, 0.25, 0.5, 1.0])
def test_hinged_panels_stay_together(sketch: Sketch, fraction: float) -> None:
    """At the frames worked out, rings of panels (webs) are closed too."""
    report = folded(sketch)
    for hinge in report.hinges:
        a, b = (carried(report, p, hinge.ends, fraction) for p in (hinge.a, hinge.b))
        assert np.abs(a - b).max() < 1e-6


def test_between_the_frames_webs_tear_by_less_than_a_tenth_of_a_millimetre() -> None:
    report = folded(webbed_tray())
    for fraction in np.linspace(0, 1, 41):
        for hinge in report.hinges:
            a, b = (carried(report, p, hinge.ends, float(fraction)) for p in (hinge.a, hinge.b))
            assert np.abs(a - b).max() < 0.1


def test_an_angle_past_a_full_fold_is_told_from_the_other_side() -> None:
    """FOLD 1.2 has fold angles from -180 to 180 degrees; a search may run past them."""
    part = part_from(tray(bare=True))
    tree = full_tree(part, 0, frozenset(range(len(part.panels))))
    found = hinge_angles(part, tree, {0: 184.5, 1: -190.0, 2: 180.0, 3: -180.0})
    assert found == pytest.approx([-175.5, 170.0, 180.0, -180.0])


def test_flat_is_the_drawing() -> None:
    report = folded(tray())
    for panel, corners in zip(report.panels, pose(report, 0.0), strict=True):
        assert np.allclose(corners[:, :2], panel.outline)
        assert np.allclose(corners[:, 2], 0)


def test_folded_seams_meet() -> None:
    report = folded(hex_prism())
    for mate in report.mates:
        a = carried(report, mate.panel_a, mate.side_a)
        b = carried(report, mate.panel_b, mate.side_b)
        assert np.linalg.norm(a - b, axis=1).max() == pytest.approx(
            mate.gap, abs=1e-7
        )  # folded with rounded corners
        assert mate.gap < 1e-6
