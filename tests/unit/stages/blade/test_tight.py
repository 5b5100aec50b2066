"""Features that the blade can't follow well."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.curves import flatten
from cutprep.model.findings.finding import Severity
from cutprep.model.findings.places import MOST_PLACES
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.stages.blade.tight import tight_features
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


def test_corners_are_paired_on_their_own_line() -> None:
    """Three lines: the middle one has a narrow slot; the last corner of one is none of the next."""
    far = plain([(0, 0), (10, 0), (10, 8)])
    slot = plain([(20, 0), (30, 0), (30, 0.3), (20, 0.3)])
    found = tight_features(lines_of(far, slot, plain([(30.1, 8), (30.1, 0), (40, 0)])), 0.5, TOLERANCE)
    assert [(f.code, len(f.places), f.places[0].xy) for f in found] == [("tight-corners", 1, (30, 0))]


def test_what_is_told_of_tight_places() -> None:
    one = tight_features(lines_of(circle(0.4)), 0.5, TOLERANCE)[0]
    assert "1 curve with a radius down to 0.40 mm is tighter than the blade's offset of 0.5 mm" in one.problem
    two = tight_features(lines_of(circle(0.4), circle(0.3, (60, 60))), 0.5, TOLERANCE)[0]
    assert "2 curves with a radius down to 0.30 mm are tighter" in two.problem
    assert two.measure == pytest.approx(0.3, abs=1e-6)
    assert len(two.places) == 2


def test_corners_on_each_side_of_the_limits() -> None:
    """Turns of 31 degrees are corners and of 29 none; a distance equal to the offset is far enough."""
    for degrees, count in ((31, 1), (29, 0)):
        a, b = np.radians(degrees), np.radians(2 * degrees)
        points = np.cumsum(
            [(0, 0), (10, 0), (0.3 * np.cos(a), 0.3 * np.sin(a)), (9 * np.cos(b), 9 * np.sin(b))], axis=0
        )
        found = tight_features(lines_of(plain(points)), 0.5, TOLERANCE)
        assert [f.code for f in found if f.code == "tight-corners"] == ["tight-corners"] * count
    slot = plain([(0, 0), (10, 0), (10, 0.5), (0, 0.5)])
    assert tight_features(lines_of(slot), 0.5, TOLERANCE) == ()


def test_many_tight_places_are_named_up_to_a_limit() -> None:
    """The tightest first."""
    many = [circle(0.4 - 0.001 * k, (5.0 * k, 50)) for k in range(MOST_PLACES + 5)]
    (found,) = tight_features(lines_of(*many), 0.5, TOLERANCE)
    assert len(found.places) == MOST_PLACES
    assert found.measure == pytest.approx(0.4 - 0.001 * (MOST_PLACES + 4), abs=1e-6)
    assert found.places[0].xy[0] == pytest.approx(5.0 * (MOST_PLACES + 4), abs=0.5)
    assert f"{MOST_PLACES + 5} curves" in found.problem


def test_every_knife_work_counts() -> None:
    for operation in (Operation.CUT, Operation.PARTIAL_CUT, Operation.PERFORATE):
        assert len(tight_features(lines_of(circle(0.2), operation=operation), 0.5, TOLERANCE)) == 1
