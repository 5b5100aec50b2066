"""A score on the cut layer, where no single panel came loose."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.findings.entry import Severity
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import make
from tests.folding import folded
from tests.kinds.draw import XY, Manner, drawn
from tests.kinds.faults import CUT, instead, split
from tests.kinds.sound import A, D, T, carton
from tests.nets import tuck_end


def _fold(strokes: list) -> tuple[FoldReport, ...]:  # type: ignore[type-arg]
    return fold(drawn(strokes, Manner(), np.random.default_rng(3)), tolerance=Tolerance())


def _cut(strokes: list, p: XY, q: XY) -> list:  # type: ignore[type-arg]
    return instead(strokes, p, q, (CUT, (p, q)))


def test_a_cut_that_parts_a_carton_in_two() -> None:
    reports = _fold(_cut(split(carton()), (A + D, 0), (A + D, T)))
    told = [m for r in reports for m in r.found("cut-for-score")]
    assert told
    assert told[0].severity is Severity.ERROR
    assert told[0].places[0].xy == pytest.approx((A + D, T / 2))
    assert told[0].measure == pytest.approx(T)


def test_a_cut_in_a_handle_that_folds_all_the_same() -> None:
    strokes = split(make("gable box with handle", 502)[0])
    (report,) = _fold(_cut(strokes, (160.5, 73.94789903995459), (160.5, 96.94789903995459)))
    (told,) = report.found("cut-for-score")
    assert told.severity is Severity.WARNING
    assert report.ok


def test_slits_between_flaps_are_meant() -> None:
    assert not folded(tuck_end()).found("cut-for-score")
    assert not any(r.found("cut-for-score") for r in _fold(split(carton())))
