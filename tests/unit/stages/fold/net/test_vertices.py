"""Vertices inside the card."""

from __future__ import annotations

import math

import pytest

from cutprep.model.folded import Verdict
from cutprep.stages.fold.declared.file import Expect, FoldDeclarations
from cutprep.stages.fold.net.hinges import hinges_of
from cutprep.stages.fold.net.net_lines import pick_net_lines, with_rows_joined
from cutprep.stages.fold.net.panels import find_net
from cutprep.stages.fold.net.part import part_of
from cutprep.stages.fold.net.vertices import CANNOT, MAY, WONT, corners_of, judge
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of
from tests.folding import codes_of, folded
from tests.kinds.draw import Manner
from tests.nets import Sketch, webbed_tray

V, M = 1, -1


@pytest.mark.parametrize(
    ("sectors", "folds", "alternating", "word"),
    [
        ((90, 45, 90, 135), (V, V, V, M), 0, MAY),
        ((90, 45, 80, 145), (V, V, V, M), 20, WONT),
        ((60,) * 6, (V, M, V, M, V, V), 0, MAY),
        ((60,) * 6, (V, M, V, M, V, M), 0, WONT),
        ((60,) * 6, (V, V, V, V, M, M), 0, MAY),  # both rules hold, layers were not looked at
        ((90,) * 4, (0, 0, 0, 0), 0, MAY),
    ],
)
def test_flat_folding(
    sectors: tuple[float, ...], folds: tuple[int, ...], alternating: float, word: str
) -> None:
    got = judge(sectors, folds)
    assert got[0] == pytest.approx(alternating)
    assert got[2] == word


def test_a_score_is_seen_whole_where_its_ends_are_a_little_off() -> None:
    """At a vertex of eight scores whose ends are off by 0.02 mm a score begins with a splinter that points anywhere."""
    case = case_of("pattern of squares and diagonals", 70000, Manner(noise=0.02))
    net = find_net(with_rows_joined(pick_net_lines(case.drawing)), Tolerance())
    corners = corners_of(part_of(net, list(range(len(net.rings))), hinges_of(net)))
    assert len(corners) == 9
    assert {c.word for c in corners} == {MAY}


def test_odd_never_folds_flat_and_three_not_at_all() -> None:
    assert judge((72,) * 5, (V,) * 5)[2] == WONT
    assert judge((120,) * 3, (V,) * 3)[2] == CANNOT


def star(*angles: float) -> Sketch:
    """A disc of card with scores from its middle."""
    s = Sketch("star")
    ends = [(40 * math.cos(math.radians(a)), 40 * math.sin(math.radians(a))) for a in angles]
    return_ = s.ring(*ends)
    for end in ends:
        return_.score((0, 0), end)
    return return_


def test_three_scores_that_meet_cannot_fold() -> None:
    report = folded(star(0, 120, 240))
    assert report.verdict is Verdict.CANNOT_FOLD
    (finding,) = report.found("rigid-vertex")
    assert finding.places[0].xy == pytest.approx((0, 0), abs=1e-6)


def test_a_web_corner_is_told_but_no_fault() -> None:
    report = folded(webbed_tray())
    assert [c.degree for c in report.corners] == [5] * 4
    assert all(c.word == WONT for c in report.corners)
    assert not report.messages


def test_it_is_a_fault_when_the_part_is_to_lie_flat() -> None:
    report = folded(webbed_tray(), declared=FoldDeclarations(expect=Expect(folds_flat=True)))
    assert codes_of(report).count("not-flat-foldable") == 4
    assert not report.ok
