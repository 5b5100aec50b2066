"""Parts, waste and panels that came loose."""

from __future__ import annotations

from cutprep.stages.fold.net.groups import sort_out
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from tests.folding import net_from
from tests.nets import Sketch, ngon_tray, tray


def groups(sketch: Sketch):
    net = net_from(sketch)
    return sort_out(net, parts_of(len(net.rings), hinges_of(net)))


def test_a_window_and_a_slot_over_a_score_are_waste() -> None:
    got = groups(
        tray().ring((80, 60), (100, 60), (100, 80), (80, 80)).ring((100, 28), (110, 28), (110, 32), (100, 32))
    )
    assert [len(p) for p in got.parts] == [9]
    assert len(got.waste) == 2  # the slot's halves hang together by the score drawn through it
    assert got.loose == ()


def test_a_wall_without_score_is_loose() -> None:
    s = ngon_tray(4)
    got = groups(s.cut(*s.take_score(0)))
    assert [len(p) for p in got.parts] == [4]
    assert [len(p) for p, _ in got.loose] == [1]


def test_parts_apart_are_parts() -> None:
    got = groups(tray().ring((300, 0), (340, 0), (340, 40), (300, 40)))
    assert [len(p) for p in got.parts] == [9, 1]


def test_tags_cut_with_one_line_between_are_two_parts() -> None:
    got = groups(Sketch().ring((0, 0), (40, 0), (40, 60), (0, 60)).ring((40, 0), (80, 0), (80, 60), (40, 60)))
    assert [len(p) for p in got.parts] == [1, 1]
    assert got.loose == ()


def test_the_sheet_round_a_net_is_waste() -> None:
    got = groups(tray().ring((-50, -50), (300, -50), (300, 250), (-50, 250)))
    assert [len(p) for p in got.parts] == [9]
    assert len(got.waste) == 1


def test_a_part_drawn_within_a_window_is_a_part() -> None:
    s = (
        tray()
        .ring((80, 60), (130, 60), (130, 110), (80, 110))
        .ring((90, 70), (120, 70), (120, 100), (90, 100))
    )
    got = groups(s)
    assert [len(p) for p in got.parts] == [9, 1]
