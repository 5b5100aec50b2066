"""Hinges: straight, curved, bent; the parts they hold together."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cutprep.model.operation import Fold
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from tests.folding import net_from
from tests.nets import Sketch, arc, pillow, tray


def card(*score: tuple[float, float], **options: object) -> Sketch:
    s = Sketch().ring((0, 0), (100, 0), (100, 60), (0, 60))
    return s.score(*score, **options)  # type: ignore[arg-type]


def test_a_straight_score() -> None:
    (hinge,) = hinges_of(net_from(card((50, 0), (50, 60), fold=-1, layer="mountain 80")))
    assert (hinge.a, hinge.b, hinge.kind) == (0, 1, "straight")
    assert hinge.length == hinge.joined == 60
    assert hinge.fold is Fold.MOUNTAIN
    assert hinge.declared == -80.0


def test_b_lies_left_of_the_run() -> None:
    net = net_from(card((30, 0), (30, 60)))
    (hinge,) = hinges_of(net)
    along = hinge.ends[1] - hinge.ends[0]
    away = np.array(net.polygon(hinge.b).centroid.coords[0]) - hinge.ends[0]
    assert along[0] * away[1] - along[1] * away[0] > 0


def test_a_slot_leaves_one_hinge_joined_along_less() -> None:
    (hinge,) = hinges_of(net_from(card((50, 0), (50, 60)).ring((45, 20), (55, 20), (55, 30), (45, 30))))[:1]
    assert hinge.length == 60
    assert hinge.joined == 50


def test_a_curve_is_told_by_the_chain_whole_or_in_pieces() -> None:
    points = arc((50, 0), (50, 60), 8)
    (whole,) = hinges_of(net_from(card(*points)))
    s = Sketch().ring((0, 0), (100, 0), (100, 60), (0, 60))
    for p, q in pairwise(points):
        s.score(p, q)
    (pieces,) = hinges_of(net_from(s))
    assert whole.kind == pieces.kind == "curved"
    assert abs(whole.bow - 8) < 0.01


def test_a_bend_is_bent() -> None:
    (hinge,) = hinges_of(net_from(card((50, 0), (56, 30), (50, 60))))
    assert hinge.kind == "bent"


def test_a_touch_of_less_than_a_millimetre_is_no_hinge() -> None:
    s = Sketch().ring((0, 0), (10, 0), (10, 10), (0, 10)).ring((10, 9.5), (20, 9.5), (20, 20), (10, 20))
    s.score((10, 9.5), (10, 10))
    assert hinges_of(net_from(s)) == ()


def test_parts_hang_together_the_largest_first() -> None:
    s = tray()
    s.ring((300, 0), (340, 0), (340, 40), (300, 40))
    net = net_from(s)
    parts = parts_of(len(net.rings), hinges_of(net))
    assert [len(p) for p in parts] == [9, 1]


def test_the_pillow_has_four_curves() -> None:
    kinds = [h.kind for h in hinges_of(net_from(pillow()))]
    assert kinds.count("curved") == 4
