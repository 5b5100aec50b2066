"""Which way of closing is taken when several meet."""

from __future__ import annotations

import pytest

from cutprep.model.folded import Verdict
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of


@pytest.mark.parametrize("seed", [75000, 1])
def test_a_slightly_leaning_box_with_glue_flaps_is_no_dented_upright_one(seed: int) -> None:
    """Walls that lean by 5 degrees meet exactly in a dented box too, with 106 % of the volume."""
    case = case_of("frustum, glue flaps", seed)
    (report,) = fold(case.drawing, tolerance=Tolerance())
    assert report.ok
    assert report.concavity < 1e-6
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume, rel=1e-6)


def test_a_bowl_whose_rim_happens_to_meet_too_is_told_both_ways() -> None:
    """Square base, eight triangles: the sides of its rim meet in pairs, exactly, with 44 % of the bowl's volume."""
    case = case_of("bowl of triangles", 91700)
    (report,) = fold(case.drawing, tolerance=Tolerance())
    assert report.verdict is Verdict.TWO_WAYS
    assert not report.ok
    assert report.alternatives[0].verdict is Verdict.CLOSED
    assert report.alternatives[1].volume_mm3 == pytest.approx(case.wants[0].volume)
    assert report.drawn_mm is None


def test_of_a_wall_and_a_flap_as_wide_the_one_that_narrows_lies_on_the_other() -> None:
    """Walls of 2.5, 1, 2.5 and 0.5 in with a flap of 0.5 in are no triangle with two flaps."""
    (report,) = fold(case_of("tube, last wall half", 0).drawing, tolerance=Tolerance())
    assert report.verdict is Verdict.MOVABLE
    assert [len(report.flaps), len(report.mates)] == [1, 1]
