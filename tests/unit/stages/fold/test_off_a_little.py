"""Drawings whose ends are off by up to a twentieth of a millimetre, and others that one kind of reading misled."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of, judge


@pytest.mark.parametrize(
    ("kind", "seed", "noise"),
    [
        ("sleeve, thumb cuts", 311, 0.05),  # chords of the notch, some long enough to count as open, some not
        (
            "convex solid by lot",
            73915,
            0.05,
        ),  # two lines that meet at 4 degrees cross 0.9 mm before their ends
        ("corner bookmark", 311, 0.05),  # with one more score its layers bulge to a solid 0.5 mm thick
        ("vase of five walls", 73911, 0.05),  # dashes, the last of a row half a millimetre long
        (
            "pot cut aslant",
            88123,
            0.05,
        ),  # four walls as wide and a glue flap are no hollow wall with its foot
        (
            "pyramid",
            240491,
            0.05,
        ),  # two scores end on one another, 0.4 mm before the corner that both were meant to reach
        ("cone cup, many-sided", 240491, 0.05),  # no end panel holds its four walls
        ("carton, auto bottom", 1, 0.0),  # glued corners that reach beyond one panel but lie under another
        (
            "tray, doubled partition",
            240355,
            0.0,
        ),  # both halves would close on one another, its ridge unfolded
        ("letter Z", 21, 0.0),  # the end of a stroke is no top of a doubled wall
        ("factory", 10, 0.0),  # slopes that face one way with a step between are no hollow wall
        ("castle tower", 7, 0.0),  # battlements are no cut-off corners, its top is open
    ],
)
def test_what_it_folds_to(kind: str, seed: int, noise: float) -> None:
    """Verdict, number of panels and size are worked out beside the drawing, and no error is found."""
    case = case_of(kind, seed)
    case = case_of(kind, seed, replace(case.manner, noise=noise))
    reports = fold(case.drawing, tolerance=Tolerance())
    assert judge(reports, case.wants, rough=noise > 0) == "right"
    assert all(report.ok for report in reports)
