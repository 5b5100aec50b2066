"""Ribs that stand up in a box, and handles that go over it."""

from __future__ import annotations

from collections import Counter

import pytest

from cutprep.model.duties import Duty
from cutprep.model.folded import Verdict
from tests.bench.fold_kinds import case_of
from tests.folding import folded


def test_two_strips_between_two_bases_stand_up_as_a_divider() -> None:
    case = case_of("tray with a ridge", 92600)  # no direction is drawn
    report = folded(case.drawing)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume)
    turned = Counter(round(h.angle) for h in report.hinges)
    assert turned[-180] == 1


def test_a_strip_from_one_wall_goes_over_the_room_and_down_on_the_other() -> None:
    case = case_of("basket, handle in one", 0)
    report = folded(case.drawing)
    assert report.verdict is Verdict.OPEN_BOX
    assert sorted(report.drawn_mm or ()) == pytest.approx(sorted(case.wants[0].inside or ()))
    assert [p.duty for p in report.panels].count(Duty.HANDLE) == 3
    assert not report.messages


def test_corners_cut_off_walls_by_slanting_scores_stay_flat() -> None:
    case = case_of("tray, pre-glued corners", 0)
    report = folded(case.drawing)
    assert sorted(report.drawn_mm or ()) == pytest.approx(sorted(case.wants[0].inside or ()))
    assert [f.kind for f in report.features] == ["score that stays flat"] * 4


def test_where_nothing_meets_nothing_is_said_of_flaps() -> None:
    report = folded(case_of("star in relief", 81234).drawing)
    assert report.verdict is Verdict.CANNOT_INFER
    assert {m.code for m in report.messages} == {"cannot-infer"}
