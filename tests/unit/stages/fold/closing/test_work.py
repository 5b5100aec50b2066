"""Work is counted: a search that may spend no more says so, and never says anything else instead."""

from __future__ import annotations

import pytest

from cutprep.limits import Limits
from cutprep.model.folded import Verdict
from cutprep.stages.fold.closing.work import WORK_LIMIT, OutOfWork, WorkBudget
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.nets import Sketch, gathered, hex_prism, tray, tuck_end


def test_work_is_counted_up_to_its_limit() -> None:
    work = WorkBudget(10.0)
    work.spend(6.0)
    work.steps(2, 1000)
    assert 6.0 < work.used < 10.0
    with pytest.raises(OutOfWork, match="10 units"):
        work.spend(5.0)


@pytest.mark.parametrize("sketch", [tray(), tuck_end(), hex_prism(), gathered()], ids=lambda s: s.name)
@pytest.mark.parametrize("allowed", [1.0, 20.0, 60.0, 150.0])
def test_less_work_gives_the_same_verdict_or_none(sketch: Sketch, allowed: float) -> None:
    drawing = sketch.drawing()
    (full,) = fold(drawing, tolerance=Tolerance())
    (short,) = fold(drawing, tolerance=Tolerance(), work=allowed)
    assert short.verdict in {full.verdict, Verdict.NOT_SOLVED}
    if short.verdict is Verdict.NOT_SOLVED:
        (told,) = short.found("not-solved")
        assert f"fold_work = {10 * allowed:.0f} in the job file, --fold-work {10 * allowed:.0f}" in told.fix
        assert not short.ok
        assert short.closes is None
    else:
        assert short.volume_mm3 == full.volume_mm3


def test_the_limit_is_one() -> None:
    assert Limits().fold_work == WORK_LIMIT
