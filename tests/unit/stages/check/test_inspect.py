"""The whole check."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.findings.catalogue import CATALOGUE
from cutprep.model.findings.finding import Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.tolerance import Tolerance
from tests.drawn import LIMITS, Pen, box, codes
from tests.planted import drawing


@pytest.mark.parametrize("lines", [[], [[(0, 0), (50, 0)]], [[(5, 5), (5, 5)]], [box(0, 0, 50, 50)]])
@pytest.mark.parametrize("operation", list(Operation))
def test_no_line_or_one_of_any_operation(lines: list, operation: Operation) -> None:
    """Nothing crashes."""
    found = check(
        Drawing("x", Lines.of(lines, operation=operation)), LIMITS, blade_offset=0.3, area=(300, 300)
    )
    assert all(f.code in CATALOGUE for f in found)


def test_guides_and_unplaced_lines_are_left_alone() -> None:
    """Drawn twice, they are nobody's business here."""
    for operation in (Operation.GUIDE, Operation.UNPLACED):
        twice = Lines.of([[(0, 0), (50, 0)]] * 2, operation=operation)
        assert check(Drawing("x", twice), LIMITS) == ()


def test_errors_come_first_and_every_finding_is_complete() -> None:
    """A sentence, a place with its element, and a code of the catalogue."""
    order = [Severity.ERROR, Severity.WARNING, Severity.NOTE]
    for seed in range(30):
        found = check(drawing(seed)[0], LIMITS, blade_offset=0.25)
        assert [order.index(f.severity) for f in found] == sorted(order.index(f.severity) for f in found)
        for finding in found:
            assert finding.code in CATALOGUE
            assert finding.problem.endswith(".")
            assert finding.fix.endswith(".")
            assert finding.places
            assert all(p.xy is not None and p.element and p.line for p in finding.places)


def test_the_tolerance_given_is_used() -> None:
    """Not a global one."""
    pen = Pen().cut(box(0, 0, 30, 20), [(0, 0.15), (30, 0.15)])
    assert codes(pen) == ["near-double"]
    loose = check(pen.drawing, Tolerance(doubled=0.2))
    assert [f.code for f in loose] == ["doubled-line"]


def test_a_line_of_ten_kilometres() -> None:
    """Bounded like any other."""
    long = 1e7
    pen = Pen().cut(box(0, 0, 50, 50)).score([(-long, 25), (long, 25)], [(-long, 25), (long, 25)])
    found = check(pen.drawing, LIMITS)
    doubled = next(f for f in found if f.code == "doubled-line")
    assert doubled.measure == pytest.approx(2 * long)


def test_many_copies_of_one_line_are_one_short_finding() -> None:
    """Twenty thousand, exact and by a shaking hand; a report that names a hundred of them."""
    n = 20_000
    for shake in (0.0, 0.01):
        xy = np.tile([(0.0, 0.0), (50.0, 10.0)], (n, 1))
        xy = xy + np.random.default_rng(1).uniform(-shake, shake, xy.shape)
        start = np.arange(0, 2 * n + 1, 2)
        ones = np.ones(n)
        lines = Lines(xy, start, ones * Operation.DRAW, ones * 0, ones * 0, np.zeros(2 * n, bool))
        found = check(Drawing("x", lines), LIMITS)
        doubled = [f for f in found if f.code == "doubled-line"]
        assert len(doubled) == 1
        assert doubled[0].measure == pytest.approx((n - 1) * np.hypot(50, 10), rel=0.001)
        assert len(doubled[0].places) == 100


def test_thousands_of_findings_are_summed_up_without_losing_length() -> None:
    """The last one holds the rest."""
    boxes = [box(5 * i, 5 * j, 3, 3) for i in range(50) for j in range(50)]
    found = [f for f in check(Pen().ink(*boxes, *boxes).drawing, LIMITS) if f.code == "doubled-line"]
    assert len(found) == 2001
    assert sum(f.measure or 0 for f in found) == pytest.approx(2500 * 12)
    assert "500 more" in found[-1].problem
