"""Nets drawn by hand: every room sees the same parts, and each fault is told once."""

from __future__ import annotations

import pytest
import shapely

from cutprep.model.findings.finding import Mend, Severity
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from tests.drawn import Pen, box
from tests.handmade import LIMITS, differences, handmade, mistold

#: 300 others are counted by `python -m tests.bench.handmade`.
SEEDS = range(1_000, 1_016)


@pytest.mark.parametrize("seed", SEEDS)
def test_all_rooms_agree_and_each_fault_is_told_once(seed: int) -> None:
    drawing, truth, faults = handmade(seed)
    assert differences(drawing, truth, within=LIMITS.doubled) == []
    assert mistold(check(drawing, LIMITS), faults) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_net_says_nothing(seed: int) -> None:
    drawing, _, faults = handmade(seed, spoil=False)
    assert not faults
    assert [f for f in check(drawing, LIMITS) if f.severity is not Severity.NOTE] == []


@pytest.mark.parametrize(
    "strokes",
    [
        [[(-2, 0), (60, 0)], [(50, -10), (50, 33)], [(55, 30), (-3, 30)], [(0, 36), (0, -5)]],
        [[(0, 0), (50, 0)], [(0, 30), (50, 30)], [(0, -9), (0, 40)], [(50, -9), (50, 40)]],
        [[(-20, 0), (70, 0)], [(-20, 30), (70, 30)], [(0, -20), (0, 50)], [(50, -20), (50, 50)]],
        [[(0, 0), (50, 0), (50, 30), (0, 30), (0, -2)]],
    ],
    ids=["corners run over", "sides end on longer lines", "a hash of four lines", "a path past its start"],
)
def test_one_part_in_all_rooms(strokes: list) -> None:
    drawing = Pen().cut(*strokes).drawing
    truth = [shapely.box(0, 0, 50, 30)]
    assert differences(drawing, truth, within=LIMITS.coincide) == []
    found = [f for f in check(drawing, LIMITS) if f.severity is not Severity.NOTE]
    assert {f.code for f in found} == {"cut-past-outline"}


def test_what_is_too_long_to_be_trimmed_unasked_says_with_which_option_it_is() -> None:
    """And with it mending does what was said."""
    drawing = Pen().cut(box(0, 0, 50, 30)).score([(20, 0), (20, 70)]).drawing
    (found,) = [f for f in check(drawing, LIMITS) if f.severity is not Severity.NOTE]
    assert found.mend is Mend.ASK
    assert "--trim 40mm" in found.fix
    mended, _ = mend(drawing, LIMITS, Mending(trim=40.0))
    assert [f for f in check(mended, LIMITS) if f.severity is not Severity.NOTE] == []
