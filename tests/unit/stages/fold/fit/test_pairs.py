"""Pieces that fit one another.

The figures are worked out by hand. A tray drawn L x W in card of caliper t, with glue flaps on its
short walls: outside L + t by W + t, inside L - 3 t by W - t, for the flaps take a layer each.
"""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.model.findings.entry import Severity
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.fit.case import case_of
from cutprep.stages.fold.fit.pairs import Fit, fit, fit_contents, found_fits
from cutprep.stages.fold.fit.tell import Wanted, fit_finding, parse_wanted, size_of, told
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.folding import folded
from tests.nets import Sketch, beside, ngon_tray, pillow, sleeve, tray, tuck_end, webbed_tray
from tests.nets import swing_tag as tag


def lid(over_length: float, over_width: float, height: float = 15) -> Sketch:
    """A lid for the tray of 150 x 90, so much larger."""
    return tray(150 + over_length + 2 * height, 90 + over_width + 2 * height, height, 2)


def made(sketch: Sketch, t: float) -> FoldReport:
    return folded(sketch, thickness=t)


@pytest.mark.parametrize("t", [0.0, 0.3, 0.42, 1.0])
def test_a_tray_as_a_case(t: float) -> None:
    case = case_of(made(tray(), t))
    assert case is not None
    assert np.ptp(case.outer, axis=0) == pytest.approx((150 + t, 90 + t), abs=1e-5)
    assert np.ptp(case.inner, axis=0) == pytest.approx((150 - 3 * t, 90 - t), abs=1e-9)
    assert (case.height_in, case.height_out) == pytest.approx((30 - t / 2, 30 + t / 2))
    assert (case.floor, case.roof, case.tube) == (True, False, False)


@pytest.mark.parametrize("t", [0.0, 0.42, 1.0])
@pytest.mark.parametrize("more", [-2.0, 0.0, 2.5])
def test_a_lid_over_its_base(t: float, more: float) -> None:
    got = fit(made(lid(more, more), t), made(tray(), t))
    assert got.way == "over"
    assert got.along == pytest.approx(more - 4 * t, abs=1e-5)
    assert got.across == pytest.approx(more - 2 * t, abs=1e-5)
    assert got.clearance == pytest.approx((more - 4 * t) / 2, abs=1e-5)
    assert got.fits is (more - 4 * t >= 0)
    assert got.above == pytest.approx(15 - t / 2 - (30 + t / 2))


def test_a_lid_is_turned_to_where_it_fits() -> None:
    """The same lid drawn upright."""
    turned = tray(90 + 3 + 30, 150 + 3 + 30, 15, 2)
    got = fit(made(turned, 0.0), made(tray(), 0.0))
    assert (got.along, got.across) == pytest.approx((3, 3), abs=1e-5)


def test_many_sided_lids() -> None:
    """Between parallel sides of a hexagon: side times the root of 3; apothem of a pentagon: side / (2 tan 36)."""
    six = fit(made(ngon_tray(6, 62, 10), 0.5), made(ngon_tray(6, 60, 20), 0.5))
    assert six.along == six.across == pytest.approx(2 * 3**0.5 - 2 * 0.5, abs=1e-4)
    five = fit(made(ngon_tray(5, 62, 10), 0.5), made(ngon_tray(5, 60, 20), 0.5))
    assert five.clearance == pytest.approx(2 / (2 * np.tan(np.pi / 5)) - 0.5, abs=1e-4)


def test_a_drawer_in_its_sleeve() -> None:
    """Across: its walls. Up: the drawer stands t / 2 below its floor's score, the sleeve's walls take t;
    the glue flap of the sleeve takes a layer more on one wide side's neighbour."""
    t = 0.5
    got = fit(made(sleeve(92, 32, 150), t), made(tray(), t))
    assert got.way == "into"
    assert sorted((got.along, got.across)) == pytest.approx(
        sorted((92 - 2 * t - (90 + t), 32 - t - (30 + t / 2))), abs=1e-5
    )
    assert got.above == pytest.approx(150 - (150 + t))
    assert not fit(made(sleeve(90, 30, 150), t), made(tray(), t)).fits


def test_a_box_in_a_box_and_contents() -> None:
    t = 0.4
    inner = fit(made(tray(), t), made(tuck_end(60, 30, 85), t))
    assert inner.fits
    got = fit_contents(made(tray(), t), (140, 80, 40))
    assert (got.along, got.across) == pytest.approx((150 - 3 * t - 140, 90 - t - 80))
    assert got.above == pytest.approx(30 - t / 2 - 40)


def test_a_divider_in_a_tray() -> None:
    """A strip with a lug at each end is a caliper longer than the way between its scores."""
    t = 0.5
    strip = Sketch("divider").ring(
        (-12, 0), (89, 0), (101, 0), (101, 28), (89, 28), (0, 28), (-12, 28), (-12, 0)
    )
    strip.score((0, 0), (0, 28)).score((89, 0), (89, 28))
    got = fit(made(tray(), t), made(strip, t))
    assert got.way == "into"
    assert got.along == pytest.approx(90 - t - (89 + t))
    assert got.above == pytest.approx(30 - t / 2 - 28)


def test_what_has_no_known_size() -> None:
    with pytest.raises(JobError, match="not known"):
        fit(folded(pillow()), folded(tray()))
    assert told(Wanted("a", "b"), folded(pillow()), folded(tray())).code == "fit-unknown"


def pairs(*sketches: Sketch, t: float = 0.0) -> list[tuple[str, float | None, Severity]]:
    reports = fold(beside(*sketches), thickness=t, tolerance=Tolerance())
    return [
        (m.code, None if m.measure is None else round(m.measure, 3), m.severity)
        for r in reports
        for m in r.messages
        if m.code.startswith("fit")
    ]


def test_pairs_are_found() -> None:
    assert pairs(tray(), lid(2, 2), t=0.42) == [("fit", round((2 - 4 * 0.42) / 2, 3), Severity.NOTE)]
    assert pairs(tray(), lid(2, 2), t=1.0) == [("fit-too-small", -2.0, Severity.WARNING)]
    assert pairs(tray(), lid(-2, -2)) == [("fit-too-small", -2.0, Severity.WARNING)]
    # What would be told as 0.0 mm too small is none; a tenth is.
    assert pairs(tray(), lid(-0.04, -0.04)) == [("fit", -0.02, Severity.NOTE)]
    assert pairs(tray(), lid(-0.06, -0.06)) == [("fit-too-small", -0.06, Severity.WARNING)]
    assert pairs(tray(), sleeve(92, 32, 150), t=0.5) == [("fit", 0.25, Severity.NOTE)]


def test_what_is_no_pair_is_left_alone() -> None:
    assert not pairs(tray(), tray(), t=0.5)  # copies
    assert not pairs(tray(), lid(30, 30), t=0.5)
    assert not pairs(tray(), tuck_end(), t=0.5)
    assert not pairs(tray(), webbed_tray(), t=0.5)
    assert not pairs(tray(), tag())
    assert not found_fits([folded(tray())])


def test_words() -> None:
    over = Fit("lid", "base", "over", 0.3, 1.0, -15.0, 0.42, 1)
    assert fit_finding(over, declared=False).problem == (
        "'lid' goes over 'base' with 0.15 mm on each side along its length and 0.50 mm on each side along its width, "
        "and leaves 15.0 mm of it uncovered, in card of 0.42 mm with a layer glued inside"
    )
    small = Fit("lid", "base", "over", -0.6, 0.2, -15.0, 1.0, 1)
    finding = fit_finding(small, declared=True)
    assert finding.severity is Severity.ERROR
    assert (
        finding.problem
        == "'lid' is 0.6 mm along its length too small to go over 'base', in card of 1 mm with a layer glued inside"
    )
    tight = fit_finding(Fit("box", "jar", "into", 0.4, 0.4, 2.0, 0.0, 0), declared=True, least=0.5)
    assert (tight.code, tight.limit) == ("fit-tight", 0.5)
    assert (
        "0.20 mm of room on each side to take 'jar', in card of no thickness; 0.5 mm are wanted"
        in tight.problem
    )


def test_what_the_maker_may_write() -> None:
    assert parse_wanted("2 over 1") == Wanted("2", "1")
    assert parse_wanted(" 1 in 2 ") == Wanted("2", "1")
    assert parse_wanted("40x40x60mm in 1") == Wanted("1", (40, 40, 60))
    assert size_of("1 x 2 x 3 in") == pytest.approx((25.4, 50.8, 76.2))
    assert size_of("lid.svg") is None
    with pytest.raises(JobError, match="what goes where"):
        parse_wanted("lid and base")
