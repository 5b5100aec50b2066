"""What holds for mending whatever the drawing: nothing lost, nothing moved too far, nothing left to mend."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Mend
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from tests.asserting import assert_same_ink
from tests.drawn import LIMITS
from tests.planted import PLANT, drawing
from tests.promises import CODES, mendable, spoilt, unkept

DOUBLES = tuple(name for name in sorted(PLANT) if name.startswith(("double", "triple")))


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), keep=st.sampled_from(["report", "cut", "score", "outline"]))
def test_mending_a_mended_drawing_changes_nothing(seed: int, keep: str) -> None:
    """Not a line, not a report."""
    once, _ = mend(drawing(seed)[0], LIMITS, Mending(keep=keep))
    twice, changes = mend(once, LIMITS, Mending(keep=keep))
    assert twice.lines is once.lines
    assert {change.code for change in changes} <= {"left-as-drawn"}


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_nothing_is_left_that_mending_cures(seed: int) -> None:
    """No finding that says it can be mended safely."""
    done, _ = mend(drawing(seed)[0], LIMITS)
    assert not [f for f in check(done, LIMITS, blade_offset=0.25) if f.mend is Mend.SAFE]


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6), kinds=st.lists(st.sampled_from(DOUBLES), min_size=1, max_size=3))
def test_removing_doubles_keeps_the_ink(seed: int, kinds: list[str]) -> None:
    """By operation: the same set of points within the distance of doubled lines (Hausdorff)."""
    sheet, _ = drawing(seed, plant=tuple(kinds), cells=len(kinds) + 1)
    done, _ = mend(sheet, LIMITS)
    for operation in np.unique(sheet.lines.operation):
        before, after = (lines.take(lines.operation == operation) for lines in (sheet.lines, done.lines))
        assert_same_ink(after, before, within=LIMITS.doubled)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_ink_moves_by_no_more_than_the_limits(seed: int) -> None:
    """Whatever is mended, slivers apart: ink appears or goes no further than gap and trim allow."""
    sheet, _ = drawing(seed)
    done, _ = mend(sheet, LIMITS)
    drawn = sheet.lines.take(sheet.lines.lengths >= LIMITS.sliver)
    before, after = (
        shapely.union_all([shapely.LineString(lines.points(i)) for i in range(len(lines))])
        for lines in (drawn, done.lines)
    )
    assert shapely.hausdorff_distance(before, after, densify=0.02) <= LIMITS.near_run + LIMITS.gap


@pytest.mark.parametrize("seed", range(12))
def test_the_length_left_is_that_of_the_union(seed: int) -> None:
    """On a grid, where GEOS knows the union exactly: stretches drawn over and over."""
    rng = np.random.default_rng(seed)
    lines = []
    for _ in range(60):
        along, at = rng.integers(0, 2), 5 * rng.integers(0, 8)
        begin, end = np.sort(rng.choice(40, 2, replace=False))
        a, b = np.array([(begin, at), (end, at)], float)[:: rng.choice([1, -1])]
        lines.append(np.array([a, b])[:, :: 1 if along else -1])
    drawn = Drawing("grid", Lines.of(lines, operation=Operation.SCORE))
    done, _ = mend(drawn, LIMITS, Mending(trim=0))
    union = shapely.union_all([shapely.LineString(points) for points in lines])
    assert done.lines.lengths.sum() == pytest.approx(union.length, abs=1e-6)
    assert_same_ink(done.lines, drawn.lines, within=1e-9)


coordinate = st.floats(-20, 20).map(lambda x: round(x, 1))
polyline = st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=5)


@settings(max_examples=60, deadline=None)
@given(
    drawn=st.lists(st.tuples(polyline, st.sampled_from(list(Operation))), max_size=10),
    again=st.lists(st.integers(0, 9), max_size=4),
    keep=st.sampled_from(["report", "cut", "score", "outline"]),
)
def test_scribbles_are_mended_without_harm(drawn: list, again: list[int], keep: str) -> None:
    """No crash; guides untouched; ink of a scribble stays within what the limits allow."""
    drawn = drawn + [drawn[k] for k in again if k < len(drawn)]
    lines = Lines.of([points for points, _ in drawn], operation=[int(op) for _, op in drawn])
    done, _ = mend(
        Drawing("x", lines), LIMITS, Mending(keep=keep, ask=frozenset({"arcs", "straighten", "stubs"}))
    )
    guides = [
        [o.points(i).tolist() for i in np.flatnonzero(o.operation <= Operation.GUIDE)]
        for o in (lines, done.lines)
    ]
    assert guides[0] == guides[1]


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("code", CODES)
def test_what_a_finding_promises_mending_does(code: str, seed: int) -> None:
    """Check, mend, check again; twenty of each by `python -m tests.bench.handmade promises`."""
    assert mendable(check(spoilt(code, seed), LIMITS), code)
    assert unkept(code, seed) == []
