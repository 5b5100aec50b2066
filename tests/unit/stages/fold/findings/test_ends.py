"""Ends of many sides against their walls, gussets with a score that is off, a score that an end lacks."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from cutprep.model.folded import FoldReport
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.kinds.draw import Manner, Net, drawn
from tests.kinds.faults import split, without
from tests.kinds.sound import SIDE, TALL, H, L, W, carton, hexagon, webbed


def _fold(strokes: list, turn: float = 0.0) -> FoldReport:  # type: ignore[type-arg]
    drawing = drawn(strokes, Manner(turn=turn), np.random.default_rng(5), "net")
    return fold(drawing, tolerance=Tolerance())[0]


@pytest.mark.parametrize("net", [hexagon, webbed, carton])
def test_a_sound_net_is_told_nothing(net: Callable[[], Net]) -> None:
    report = _fold(split(net()), 33.0)
    assert not report.found("side-length")
    assert not report.found("gusset-askew")
    assert not report.found("score-missing")


def test_a_narrow_wall_under_two_ends() -> None:
    (told,) = _fold(split(hexagon(narrow=2.0))).found("side-length")
    assert told.measure == pytest.approx(2.0)
    assert "shorter" in told.problem
    assert all(4 * SIDE <= p.xy[0] <= 5 * SIDE for p in told.places if p.xy)


def test_ends_that_are_too_large_are_told_instead_of_their_flaps() -> None:
    report = _fold(split(hexagon(cap=1.05 * SIDE)))
    told = report.found("side-length")
    assert len(told) == 2
    assert all("longer" in m.problem for m in told)
    assert not report.found("flap-wide")


def test_a_gusset_whose_middle_score_is_off() -> None:
    report = _fold(split(webbed(8.0)))
    (told,) = report.found("gusset-askew")
    assert told.places[0].xy is not None
    x, y = told.places[0].xy
    assert L <= x <= L + H
    assert W <= y <= W + H
    want = np.degrees(np.arctan2(H, H - 8.0))
    assert told.measure == pytest.approx(2 * want - 90.0, abs=1e-6)


def test_an_end_that_lacks_its_score() -> None:
    report = _fold(without(split(hexagon()), (2 * SIDE, TALL), (3 * SIDE, TALL)))
    (told,) = report.found("score-missing")
    assert told.places[0].xy == pytest.approx((2.5 * SIDE, TALL))
    assert not report.ok


def test_flaps_that_overlap_on_one_end_are_told_once() -> None:
    report = _fold(split(carton(dusts=35.0)))
    assert len(report.found("flap-overlap")) == 2  # one an end
