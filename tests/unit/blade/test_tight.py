"""Features that the blade can't follow well."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.blade.tight import tight_features
from cutprep.geometry import flatten
from cutprep.model.finding import Severity
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.tolerance import Tolerance
from tests.moving import ring

TOLERANCE = Tolerance()


def circle(radius: float, at=(50.0, 50.0)):
    points = flatten.circle(at, radius, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    return points, curved


def lines_of(*items, operation=Operation.CUT) -> Lines:
    return Lines.of([p for p, _ in items], curved=[c for _, c in items], operation=operation)


def plain(points):
    return np.asarray(points, float), np.zeros(len(points), bool)


def test_a_small_circle_is_found() -> None:
    (finding,) = tight_features(lines_of(circle(0.4), circle(3)), 0.5, TOLERANCE)
    assert finding.code == "tight-curve"
    assert finding.severity is Severity.WARNING
    assert finding.measure == pytest.approx(0.4, abs=1e-6)
    assert finding.limit == 0.5
    assert len(finding.places) == 1


def test_a_wider_circle_is_not() -> None:
    assert tight_features(lines_of(circle(0.6)), 0.5, TOLERANCE) == ()


def test_a_narrow_slot_is_found() -> None:
    slot = plain([(0, 0), (10, 0), (10, 0.3), (0, 0.3)])
    (finding,) = tight_features(lines_of(slot), 0.5, TOLERANCE)
    assert finding.code == "tight-corners"
    assert finding.measure == pytest.approx(0.3)
    assert finding.places[0].xy == (10, 0)
    assert "0.30 mm" in finding.problem


def test_corners_across_the_closing_count() -> None:
    """The short side holds the place where the line closes."""
    slot = ring([(0, 0.15), (0, 0), (10, 0), (10, 5), (0.0, 5), (0, 0.3), (1, 0.3), (1, 0.2)])
    found = tight_features(lines_of(plain(slot)), 0.2, TOLERANCE)
    assert [f.code for f in found] == ["tight-corners"]


def test_one_sharp_corner_is_no_tight_feature() -> None:
    assert tight_features(lines_of(plain([(0, 0), (10, 0), (0, 0.1)])), 0.9, TOLERANCE) == ()


def test_without_an_offset_nothing_is_tight() -> None:
    assert tight_features(lines_of(circle(0.2)), 0.0, TOLERANCE) == ()


def test_only_cut_lines_are_looked_at() -> None:
    assert tight_features(lines_of(circle(0.2), operation=Operation.SCORE), 0.5, TOLERANCE) == ()


def test_each_layer_is_told_once() -> None:
    """Two layers with two small circles each: two findings with two places."""
    made = lines_of(circle(0.3), circle(0.2, (60, 50)), circle(0.25, (70, 50)), circle(0.35, (80, 50)))
    lines = Lines.of(
        [made.points(i) for i in range(4)],
        curved=[made.curves(i) for i in range(4)],
        operation=Operation.CUT,
        source=[0, 0, 1, 1],
        elements=(Element(layer="lace"), Element(layer="tag")),
    )
    found = tight_features(lines, 0.4, TOLERANCE)
    assert {f.places[0].layer: round(f.measure or 0, 2) for f in found} == {"lace": 0.2, "tag": 0.25}
    assert [len(f.places) for f in found] == [2, 2]


def test_nothing_drawn() -> None:
    assert tight_features(Lines.empty(), 0.5, TOLERANCE) == ()
