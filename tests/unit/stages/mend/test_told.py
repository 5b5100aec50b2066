"""What mending says that it did: figure, limit, unit and place of each change.

The figures are those of the drawings in tests/examples/mending.py, which are drawn to them.
"""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Mend, Severity
from tests.drawn import LIMITS
from tests.examples.mending import EXAMPLES

#: Code to figure, limit, unit, places, and what the sentence says was done.
TOLD = {
    "removed-double": (40, 0.1, "mm", [(0, 0)] * 2, "lay on 1 other line over 40.00 mm. It was taken out."),
    "removed-under": (60, 0.1, "mm", [(50, 0)] * 2, "A score line of 60.00 mm lay on 1 other line"),
    "split-outline": (2, None, "lines", [(100, 0)], "was split there into 2 lines; no ink was changed"),
    "removed-crumb": (0.2, 0.3, "mm", [(20, 20)], "A line was only 0.20 mm long. It was taken out."),
    "removed-stub": (2, 3, "mm", [(20, 20)], "A cut of 2.00 mm stood alone. It was taken out."),
    "removed-points": (1, LIMITS.zero, "points", [(0, 0)], "It was taken out; no line looks different."),
    "joined-lines": (2, 0.05, "lines", [(0, 0), (100, 60)], "They are one closed line now."),
    "closed-gap": (0.5, 0.8, "mm", [(0, 0), (0, 0.5)], "missed each other by 0.50 mm. They were brought"),
    "trimmed-cut": (5, 12, "mm", [(-5, 0)], "A cut ran 5.00 mm past the outline. It was trimmed"),
    "trimmed-score": (2, 12, "mm", [(50, -2)], "2.00 mm past a line. It was trimmed to that line."),
    "extended-score": (2, 12, "mm", [(50, 2)], "2.00 mm short of a line. It was carried on to that line."),
    "straightened": (1, 0.05, "points", [(0, 0)], "It was taken out; the run is straight now."),
    "rejoined-arc": (
        2,
        None,
        "pieces",
        [(20, 50)],
        "An arc was drawn in 2 pieces. It is one smooth run now.",
    ),
    "left-as-wished": (
        2,
        0.05,
        "lines",
        [(0, 0), (100, 60)],
        "met end to end. It stays as drawn, as you said (joined-lines).",
    ),
    "nothing-to-leave": (None, None, "mm", [(30, 12.5)], "but nothing of the kind would be mended there."),
    "left-as-drawn": (60, 0.1, "mm", [(50, 30)] * 2, "Cut and score lie on each other over 60.00 mm."),
}


def test_every_code_of_mending_is_held() -> None:
    assert set(TOLD) == set(EXAMPLES)


@pytest.mark.parametrize("code", TOLD)
def test_figure_limit_unit_places_and_what_was_done(code: str) -> None:
    measure, limit, unit, places, words = TOLD[code]
    told = next(f for f in EXAMPLES[code]() if f.code == code)
    assert told.measure == (None if measure is None else pytest.approx(measure))
    assert told.limit == (None if limit is None else pytest.approx(limit))
    assert (told.unit, told.mend) == (unit, Mend.NONE)
    assert told.severity is (
        Severity.WARNING if code in ("left-as-drawn", "nothing-to-leave") else Severity.NOTE
    )
    assert [place.xy for place in told.places] == [pytest.approx(xy) for xy in places]
    assert words in f"{told.problem} {told.fix}"
