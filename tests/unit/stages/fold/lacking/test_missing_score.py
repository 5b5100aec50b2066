"""A score that is missing is told with its ends, and nothing else is."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from cutprep.job.api import check
from cutprep.model.drawing import Drawing
from cutprep.model.findings.entry import Severity
from cutprep.model.folded import Verdict
from cutprep.stages.fold.lacking.missing_score import lines_of
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of
from tests.bench.fold_kinds import make as made
from tests.folding import codes_of
from tests.kinds.draw import Manner, Net, drawn
from tests.kinds.faults import along, plus, split, without
from tests.kinds.sound import A, D, H, L, T, W, carton, square_tray, tray


def _drawn(strokes: list) -> Drawing:  # type: ignore[type-arg]
    return drawn(strokes, Manner(), np.random.default_rng(3))


@pytest.mark.parametrize(
    ("make", "p", "q"),
    [
        (tray, (0, 0), (L, 0)),
        (tray, (0, 0), (0, W)),
        (carton, (0, T), (A, T)),
        (carton, (A, 0), (A, T)),
        (carton, (A + D, 0), (A + D, T)),
    ],
)
def test_a_missing_score_is_told_with_its_ends_and_nothing_else(
    make: Callable[[], Net], p: tuple[float, float], q: tuple[float, float]
) -> None:
    strokes = without(split(make()), p, q)
    (report,) = fold(_drawn(strokes), tolerance=Tolerance())
    assert codes_of(report) == ["score-missing"]
    _, *ends = [p.xy for p in report.messages[0].places]
    assert sorted(ends) == [pytest.approx(e, abs=0.1) for e in sorted((p, q))]
    assert not report.ok


def test_of_two_parts_the_one_that_lacks_a_score_is_told() -> None:
    both = without(split(square_tray()), (0, 0), (0, -H)) + split(tray().shifted(400, 0))
    reports = fold(_drawn(both), tolerance=Tolerance())
    told = [r for r in reports if r.found("score-missing")]
    assert len(told) == 1
    assert told[0].found("score-missing")[0].places[0].xy == pytest.approx((0, -H / 2), abs=0.1)
    other = next(r for r in reports if r is not told[0])
    assert other.ok
    assert len(lines_of(_drawn(both), other).lines) < len(both)


def test_of_an_envelope_the_flap_without_its_score_is_warned_of() -> None:
    """Its other flaps make a mere card without it; that they lie over one another with it does not speak against it."""
    net, _ = made("envelope, four flaps", 2)
    p, q = (0.0, 0.0), (float(net.panels[0][:, 0].max()), 0.0)
    (report,) = fold(_drawn(without(split(net), p, q)), tolerance=Tolerance())
    (told,) = report.found("score-missing")
    assert told.severity is Severity.WARNING
    assert told.places[0].xy == pytest.approx((q[0] / 2, 0), abs=0.1)


def test_a_part_that_folds_up_all_the_same_is_warned_of() -> None:
    """An end flap that goes straight on encloses as much; the marks of its score are all there."""
    (report,) = fold(_drawn(without(split(carton()), (A, T), (A + D, T))), tolerance=Tolerance())
    (told,) = report.found("score-missing")
    assert told.severity in {Severity.WARNING, Severity.ERROR}
    assert told.places[0].xy == pytest.approx(along((A, T), (A + D, T), 0.5), abs=0.1)


def test_a_second_line_over_a_score_is_the_checks_business() -> None:
    """Only one cause is told: no score is looked for while the drawing has an error."""
    strokes = plus(split(tray()), 5, (0, 0), (L, 0))
    reports = fold(_drawn(strokes), tolerance=Tolerance(), faults=check(_drawn(strokes)))
    assert not any(r.found("score-missing") for r in reports)


@pytest.mark.parametrize("kind", ["drawer-and-sleeve", "star-box", "pyramid"])
def test_no_score_is_missing_between_holes_that_relieve_the_card(kind: str) -> None:
    drawing = KINDS[kind].from_words({"relief": "0.8mm"})
    reports = fold(drawing, thickness=0.3, tolerance=Tolerance())
    assert not any(report.found("score-missing") for report in reports)


def test_what_folds_in_two_ways_lacks_no_score() -> None:
    """A sleeve of uneven walls may be one of three walls with two flaps: that is told, not an error."""
    (report,) = fold(case_of("sleeve, uneven walls", 240355).drawing, tolerance=Tolerance())
    assert report.verdict is Verdict.TWO_WAYS
    assert not report.found("score-missing")
