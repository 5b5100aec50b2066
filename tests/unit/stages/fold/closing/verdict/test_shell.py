"""What encloses, what lies on it in layers, what sticks out."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.duties import Duty, Fastening
from cutprep.model.folded import FoldReport, Verdict
from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import folded_by, frame_of
from tests.folding import folded, part_from
from tests.nets import Sketch, net_of, ngon_tray, tray, tuck_end

#: The display tray: a blank, and walls of 1 1/8 in.
LENGTH, WIDTH, WALL = 209.55, 146.05, 28.575


def squared(sketch: Sketch, degrees: float = 90.0) -> Judged:
    """Every score of a net folded alike."""
    part = part_from(sketch)
    return judge(folded_by(frame_of(part), np.full(len(part.hinges), degrees)), 1.0)


def display_tray(slits: str) -> Sketch:
    """A blank with two scores each way; each corner slit along its horizontal ("h") or vertical score."""
    s = Sketch(f"display tray {slits}")
    x0, x1, y0, y1 = WALL, LENGTH - WALL, WALL, WIDTH - WALL
    s.ring((0, 0), (LENGTH, 0), (LENGTH, WIDTH), (0, WIDTH))
    s.score((x0, y0), (x1, y0)).score((x0, y1), (x1, y1)).score((x0, y0), (x0, y1)).score((x1, y0), (x1, y1))
    corners = ((x0, y0, 0, 0), (x1, y0, LENGTH, 0), (x1, y1, LENGTH, WIDTH), (x0, y1, 0, WIDTH))
    for slit, (x, y, x_edge, y_edge) in zip(slits, corners, strict=True):
        along, across = ((x_edge, y), (x, y)), ((x, y), (x, y_edge))
        s.cut(*(along if slit == "h" else across))
        s.score(*(across if slit == "h" else along))
    return s


@pytest.mark.parametrize("slits", ["hhhh", "vvvv", "hvhv", "hhvv"])
def test_a_tray_with_square_corner_tabs(slits: str) -> None:
    """152.4 x 88.9 x 28.575 mm whichever way its corners are slit (plain arithmetic)."""
    report: FoldReport = folded(display_tray(slits))
    assert report.verdict is Verdict.OPEN_BOX
    assert report.ok
    assert report.drawn_mm == pytest.approx((152.4, 88.9, 28.575), abs=1e-6)
    assert report.volume_mm3 == pytest.approx(152.4 * 88.9 * 28.575, rel=1e-9)
    assert len(report.flaps) == 4
    for flap in report.flaps:
        assert flap.duty is Duty.GLUE_FLAP
        assert flap.fastening is Fastening.GLUED
        assert flap.layer == 1
        assert flap.target not in {None, flap.on}
        assert report.panels[flap.panel].layer == 1


def test_tabs_are_layers_and_walls_the_shell() -> None:
    judged = squared(tray())
    assert len(judged.shell.panels) == 5
    assert {under for on in judged.shell.layers.values() for under in on} < judged.shell.panels
    assert not judged.shell.extras


def test_a_closed_box_leaves_nothing_open() -> None:
    judged = squared(net_of("cube", 40))
    assert judged.sound
    assert judged.rims == ()
    assert judged.volume == pytest.approx(64000)


def test_a_flat_rim_is_an_opening() -> None:
    (rim,) = squared(ngon_tray(6)).openings
    assert rim.bend < 1e-6
    assert rim.length == pytest.approx(6 * 60)


def test_panels_through_one_another_are_not_sound() -> None:
    judged = squared(ngon_tray(3, 60, 40), 150.0)
    assert [pair[:2] for pair in judged.contacts.crossing] == [(0, 1), (0, 2), (1, 2)]
    assert not judged.sound


@pytest.mark.parametrize("degrees", [20.0, 60.0, 120.0])
def test_a_carton_folded_half_way_is_not_sound(degrees: float) -> None:
    assert not squared(tuck_end(), degrees).sound


def test_the_seen_side_may_be_outside() -> None:
    assert squared(net_of("cube", 40), -90.0).volume == pytest.approx(-64000)
