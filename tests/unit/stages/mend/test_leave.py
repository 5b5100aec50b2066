"""A change that she does not want is not made, and all the others are."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.model.findings.finding import Findings
from cutprep.stages.mend.change import made, wished
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import LEAVABLE, Left, Mending
from tests.drawn import LIMITS, Pen
from tests.examples.drawings import CARD, DRAWINGS, FOLD

FAULTY = {
    "removed-double": DRAWINGS["doubled-line"],
    "removed-under": Pen().cut(CARD, FOLD).score(FOLD).drawing,
    "removed-crumb": DRAWINGS["crumb"],
    "removed-stub": Pen().cut(CARD, [(20, 20), (22, 20)]).drawing,
    "removed-points": DRAWINGS["repeated-point"],
    "joined-lines": Pen().cut(CARD[:3], CARD[2:]).drawing,
    "closed-gap": DRAWINGS["gap"],
    "trimmed-cut": DRAWINGS["cut-past-outline"],
    "trimmed-score": DRAWINGS["score-past-outline"],
    "extended-score": DRAWINGS["score-short-of-outline"],
}
_HOW = {"removed-under": {"keep": "cut"}, "removed-stub": {"ask": frozenset({"stubs"})}}


def _spot(code: str, changes: Findings) -> Left:
    place = next(f for f in changes if f.code == code).places[0].xy
    assert place is not None
    return Left(code, place)


def test_every_change_that_is_made_unasked_can_be_left() -> None:
    assert set(FAULTY) == set(LEAVABLE)


@pytest.mark.parametrize("code", FAULTY)
def test_what_is_left_stays_as_drawn(code: str) -> None:
    drawing, how = FAULTY[code], _HOW.get(code, {})
    _, changes = mend(drawing, LIMITS, Mending(**how))  # type: ignore[arg-type]
    unwanted = _spot(code, changes)
    after, told = mend(drawing, LIMITS, Mending(leave=(unwanted,), **how))  # type: ignore[arg-type]
    assert unwanted not in [Left(f.code, f.places[0].xy) for f in made(told) if f.code in LEAVABLE]  # type: ignore[arg-type]
    assert [f.code for f in wished(told)] == ["left-as-wished"]
    if [f.code for f in made(changes)] == [code]:
        assert after is drawing


def test_the_others_are_made_all_the_same() -> None:
    two = Pen().cut([(0, 0), (60, 0), (60, 40), (0, 40), (0, 0.4)], [(80, 0), (120, 0), (120, 40), (80, 0.4)])
    _, changes = mend(two.drawing, LIMITS)
    gaps = [f for f in changes if f.code == "closed-gap"]
    assert len(gaps) == 2
    after, told = mend(two.drawing, LIMITS, Mending(leave=(_spot("closed-gap", changes),)))
    assert [f.code for f in made(told)].count("closed-gap") == 1
    assert np.count_nonzero(after.lines.closed) == 1


def test_what_meets_nothing_is_told() -> None:
    far = Left("closed-gap", (500.0, 0.0))
    _, told = mend(DRAWINGS["gap"], LIMITS, Mending(leave=(far,)))
    assert [f.code for f in wished(told)] == ["nothing-to-leave"]


def test_a_code_that_is_none_of_them_is_refused() -> None:
    with pytest.raises(JobError, match="'split-outline' is nothing"):
        Left("split-outline", (0.0, 0.0))
