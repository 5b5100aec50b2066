"""What a finding says beside its sentence: figure, limit, unit, severity, whether it can be mended, and where it is.

The figures are those of the drawings in tests/examples/drawings.py, which are drawn to them.
"""

from __future__ import annotations

import math

import pytest

from cutprep.model.findings.finding import Mend, Severity
from tests.examples.drawings import DRAWINGS, found

E, W, N = Severity.ERROR, Severity.WARNING, Severity.NOTE
NONE, SAFE, ASK = Mend.NONE, Mend.SAFE, Mend.ASK
TOLD = {
    "doubled-line": (E, 40, 0.5, "mm", SAFE, [(20, 0)] * 2),
    "doubled-across-operations": (E, 60, 0.5, "mm", ASK, [(50, 30)] * 2),
    "near-double": (W, 0.3, 0.6, "mm", NONE, [(60, 50), (59.7, 49.7)]),
    "fold-conflict": (E, 60, 0.5, "mm", NONE, [(50, 30)] * 2),
    "gap": (E, 0.5, 0.05, "mm", SAFE, [(0, 0), (0, 0.5)]),
    "open-outline": (E, 20, 0.8, "mm", NONE, [(0, 0), (0, 20)]),
    "cut-past-outline": (W, 5, 0.1, "mm", SAFE, [(-5, 0), (0, 0)]),
    "unfinished-chain": (W, 40, 3, "mm", NONE, [(120, 0), (160, 0)]),
    "stub": (W, 2, 3, "mm", ASK, [(20, 20)]),
    "dashes": (N, 12, None, "lines", NONE, [(20 + 3.6 * k, 20) for k in range(12)]),
    "self-crossing": (E, 1, 0, "crossings", NONE, [(50, 30)]),
    "crossing-cuts": (E, 2, 0, "crossings", NONE, [(100, 40)] * 2 + [(100, 50)] * 2),
    "cut-across-score": (W, None, 0.1, "mm", NONE, [(50, 30)]),
    "score-past-outline": (W, 2, 0.1, "mm", SAFE, [(50, -2)]),
    "score-over-hole": (W, 2, 0.1, "mm", SAFE, [(50, 22)]),
    "score-short-of-outline": (W, 2, 0.1, "mm", SAFE, [(50, 2)]),
    "score-ends-in-panel": (W, None, 0.1, "mm", NONE, [(50, 25)]),
    "score-near-cut": (W, 1, 1.5, "mm", NONE, [(51, 30), (50, 30)]),
    "thin-strip": (W, 1, 1.5, "mm", NONE, [(20, 30), (21, 30)]),
    "crumb": (W, 0.2, 0.3, "mm", SAFE, [(20, 20)]),
    "repeated-point": (N, 1, 0, "points", SAFE, [(100, 0)]),
    "sharp-inner-corner": (N, math.degrees(2 * math.atan(2 / 50)), 60, "degrees", NONE, [(50, 10)]),
    "hole-too-small": (W, 0.6, 2, "mm", NONE, [(50, 30)]),
    "size": (E, 100 / 130, 1, "ratio", NONE, [(0, 0)]),
    "off-page": (E, 20, 0, "mm", NONE, [(100, 0)]),
    "larger-than-sheet": (W, 50, 0, "mm", NONE, [(0, 0)]),
    "larger-than-machine": (W, 50, 0, "mm", NONE, [(0, 0)]),
    "all-cut": (W, 4, 1, "pieces", NONE, [(20, 30)]),
    "small-part": (N, 1, 0, "parts", NONE, [(124, 30)]),
    "copies-in-drawing": (N, 3, 1, "copies", NONE, [(0, 0), (30, 0), (60, 0)]),
}
#: Chords of a small circle stand for it.
ROUND = 0.02


def test_every_code_of_the_check_is_held() -> None:
    assert set(TOLD) == set(DRAWINGS)


@pytest.mark.parametrize("code", TOLD)
def test_figure_limit_unit_and_places(code: str) -> None:
    severity, measure, limit, unit, mend, places = TOLD[code]
    told = next(f for f in found(code) if f.code == code)
    assert (told.severity, told.unit, told.mend) == (severity, unit, mend)
    assert told.measure == (None if measure is None else pytest.approx(measure, abs=ROUND))
    assert told.limit == (None if limit is None else pytest.approx(limit))
    assert [place.xy for place in told.places] == [pytest.approx(xy, abs=ROUND) for xy in places]


@pytest.mark.parametrize("code", TOLD)
def test_the_sentence_says_the_figure(code: str) -> None:
    """In words that are no code's or enum's: a maker reads it as it stands."""
    told = next(f for f in found(code) if f.code == code)
    assert told.problem
    assert told.fix or told.severity is N
    for word in ("None", "Operation.", "Severity.", "nan"):
        assert word not in told.problem + told.fix


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("larger-than-sheet", "50.0 mm too large for the sheet of the stock of 50.0 x 50.0 mm"),
        ("larger-than-machine", "50.0 mm too large for the machine's area of 50.0 x 50.0 mm"),
        ("doubled-across-operations", "2 lines (cut and score) lie on each other over 60.00 mm"),
        ("cut-past-outline", "A cut runs 5.00 mm past the outline"),
        ("unfinished-chain", "A cut of 40.00 mm lies outside every outline"),
        ("copies-in-drawing", "3 outlines are copies of one"),
    ],
)
def test_what_tells_one_finding_from_another(code: str, words: str) -> None:
    assert words in next(f for f in found(code) if f.code == code).problem
