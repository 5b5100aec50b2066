"""Nets drawn by hand: every room sees the same parts, and each fault is told once."""

from __future__ import annotations

import pytest

from cutprep.model.finding import Severity
from cutprep.stages.check.inspect import check
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
