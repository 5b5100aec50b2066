"""Flaps measured."""

from __future__ import annotations

import pytest

from tests.folding import codes_of, folded
from tests.nets import from_faces, hex_prism, tray, tuck_end


def test_depth_and_overhang() -> None:
    report = folded(tray(reach=100))
    assert {round(f.depth, 6) for f in report.flaps} == {100.0}
    assert {round(f.overhang, 6) for f in report.flaps} == {10.0}


def test_a_good_flap_has_no_overhang() -> None:
    report = folded(tray())
    assert max(f.overhang for f in report.flaps) < 1e-9
    assert not report.messages


@pytest.mark.parametrize(("reach", "found"), [(44, False), (48, True)])
def test_opposite_flaps_meet_on_the_wall_between(reach: float, found: bool) -> None:
    """A wall of 90 has room for two flaps of 45."""
    assert ("flap-overlap" in codes_of(folded(tray(reach=reach)))) is found


def test_the_overlap_is_the_area() -> None:
    report = folded(tray(reach=50, taper=5))
    (one, two) = report.found("flap-overlap")
    # 10 mm long; 20 mm wide at both tips (tapered from 30 by 5 on each side over 50)
    assert one.measure == pytest.approx(2 * (20 + 21) / 2 * 5, rel=1e-6)
    assert two.measure == pytest.approx(one.measure)


def test_a_tuck_flap_may_slide_over_the_tabs_that_hold_the_wall() -> None:
    """A lid on the back wall, its tuck flap inside the front, where the tabs of both side walls are glued."""

    def face(x: float, y: float, width: float, height: float) -> list[tuple[float, float]]:
        return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]

    body = [face(30, 90, 90, 60), face(30, 60, 90, 30), face(30, 0, 90, 60), face(30, 150, 90, 30)]
    sides = [face(0, 90, 30, 60), face(120, 90, 30, 60)]
    tabs = [
        [(x, y), (x + 30, y), (x + 26, y + d), (x + 4, y + d)]
        for x in (0, 120)
        for y, d in ((150, 12), (90, -12))
    ]
    tuck = [(30, 0), (33, -12), (117, -12), (120, 0)]
    report = folded(from_faces([*body, *sides, *tabs, tuck]))
    assert report.closes
    assert not report.found("flap-overlap")


def test_a_tuck_flap_as_wide_as_the_room_is_tight_only_in_thick_card() -> None:
    assert not folded(tuck_end(taper=0)).found("tuck-tight")
    (first, _) = folded(tuck_end(taper=0), thickness=0.4).found("tuck-tight")
    assert first.measure == pytest.approx(60)
    assert first.limit == pytest.approx(59.6)


def test_a_tapered_tuck_flap_and_a_glue_flap_are_not_tight() -> None:
    assert not folded(tuck_end(), thickness=0.4).found("tuck-tight")
    assert not folded(hex_prism(), thickness=0.4).found("tuck-tight")
