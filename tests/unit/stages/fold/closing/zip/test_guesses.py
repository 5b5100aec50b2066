"""Flaps, gussets: what is proposed."""

from __future__ import annotations

import pytest

from cutprep.stages.fold.closing.zip.guesses import guesses, leaves_of, likely_flaps, pleats_of
from tests.folding import part_from
from tests.nets import Sketch, drum, gathered, hex_prism, net_of, ngon_tray, tray, tuck_end, webbed_tray


@pytest.mark.parametrize(
    ("sketch", "flaps"), [(tray(), 4), (hex_prism(), 11), (tuck_end(), 7), (ngon_tray(5), 0)]
)
def test_likely_flaps(sketch: Sketch, flaps: int) -> None:
    assert len(likely_flaps(part_from(sketch))) == flaps


def test_a_leaf_knows_its_depth_and_hinge() -> None:
    part = part_from(tray(reach=20))
    flaps = [leaf for leaf in leaves_of(part) if leaf.narrows]
    assert len(flaps) == 4
    assert {round(leaf.depth, 6) for leaf in flaps} == {20.0}
    assert {round(leaf.length, 6) for leaf in flaps} == {30.0}
    assert all(part.hinges[leaf.hinge].other(leaf.panel) == leaf.on for leaf in flaps)


def test_webbed_corners_are_four_pleats() -> None:
    pleats = pleats_of(part_from(webbed_tray()))
    assert len(pleats) == 4
    assert all(p.half_b is not None and p.middle is not None for p in pleats)


def test_a_gathered_bottom_has_three_pleats_and_two_halves_at_the_seam() -> None:
    pleats = pleats_of(part_from(gathered()))
    assert sum(p.half_b is not None for p in pleats) == 3
    assert sum(p.half_b is None for p in pleats) == 2


@pytest.mark.parametrize("sketch", [tray(), tuck_end(), hex_prism(), drum(12)])
def test_boxes_without_webs_have_no_pleats(sketch: Sketch) -> None:
    assert pleats_of(part_from(sketch)) == ()


def test_guesses_do_not_repeat_and_obey_what_is_known() -> None:
    part = part_from(tray())
    all_ = list(guesses(part, {}))
    assert len(set(all_)) == len(all_)
    flap = next(iter(likely_flaps(part)))
    assert all(flap in g.flaps for g in guesses(part, {flap: True}))
    assert all(flap not in g.flaps for g in guesses(part, {flap: False}))


def test_the_first_guess_of_a_solid_is_right() -> None:
    first = next(iter(guesses(part_from(net_of("icosahedron", 40)), {})))
    assert first.flaps == frozenset()
