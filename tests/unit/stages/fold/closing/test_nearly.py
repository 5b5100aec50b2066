"""All angles said: what misses by an allowance is a box that is off, not a card."""

from __future__ import annotations

import pytest

from cutprep.model.folded import FoldReport, Verdict
from cutprep.stages.fold.declared.file import DeclaredPoint, FoldDeclarations
from tests.folding import folded
from tests.nets import Sketch


def _sleeve(short: float, caliper: float | None) -> FoldReport:
    """A sleeve of 60 and 30 mm, all folds said to be square, its last wall shorter, the one before by half of that."""
    widths = (60.0, 30.0, 60.0 - short / 2, 30.0 - short)
    ends = [sum(widths[: k + 1]) for k in range(4)]
    s = Sketch("sleeve").cut((ends[3], 0), (0, 0), (0, 90), (ends[3], 90))
    s.cut((ends[3], 0), (ends[3] + 12, 4), (ends[3] + 12, 86), (ends[3], 90))
    for x in ends:
        s.score((x, 0), (x, 90))
    square = tuple((DeclaredPoint((x, 45.0)), 90.0) for x in ends)
    return folded(s, declared=FoldDeclarations(angles=square, thickness=caliper))


@pytest.mark.parametrize("caliper", [None, 0.0, 1.0])
def test_an_allowance_that_may_pass_as_play(caliper: float | None) -> None:
    """Drawn for card of 1 mm; it was called a card with nothing to close where the caliper was not told."""
    report = _sleeve(1.0, caliper)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(60 * 29.75 * 90, rel=1e-3)


def test_an_allowance_for_card_that_is_not_told() -> None:
    report = _sleeve(1.5, 0.0)
    assert report.verdict is Verdict.GAP
    assert report.gap == pytest.approx(1.5)
    assert report.found("does-not-close")
    assert not report.ok


def test_what_is_far_off_stays_a_card() -> None:
    assert _sleeve(12.0, 0.0).verdict is Verdict.LEAF
