"""Walls within a room, scores left flat, rims of points: what the verdict leaves out of the size."""

from __future__ import annotations

import math

import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.duties import Duty
from cutprep.model.folded import Verdict
from tests.bench.fold_kinds import case_of
from tests.folding import folded


def drawing(kind: str) -> Drawing:
    return case_of(kind, 1).drawing


def test_a_partition_takes_nothing_from_the_room_and_is_no_wall_of_it() -> None:
    case = case_of("carton with a partition", 1)
    report = folded(case.drawing)
    assert [p.duty for p in report.panels].count(Duty.PARTITION) == 1
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume)
    assert sorted(report.drawn_mm or ()) == pytest.approx(sorted(case.wants[0].inside or ()))


def test_scores_that_a_standing_tray_leaves_flat_are_named_and_make_it_no_sleeve() -> None:
    report = folded(drawing("tray, pre-glued corners"))
    assert report.verdict is Verdict.OPEN_BOX
    assert [f.kind for f in report.features] == ["score that stays flat"] * 4


def test_a_crown_ends_where_its_points_begin() -> None:
    case = case_of("crown", 1)
    report = folded(case.drawing)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume or math.nan)


def test_pages_to_and_fro_close_nothing() -> None:
    assert folded(drawing("concertina album")).verdict is Verdict.LEAF


def test_petals_that_touch_at_their_feet_are_no_crown() -> None:
    assert folded(case_of("petal envelope", 77300).drawing).verdict is Verdict.FOLDED_OVER
