"""What holds for the check whatever the drawing: found is what was planted, however it is drawn."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.affine import turn
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from tests.bench.planted import compare
from tests.drawn import LIMITS
from tests.planted import PLANT, drawing


def tally(findings: Findings) -> dict[str, list[float]]:
    """Measures by code; places and words are left out."""
    found: dict[str, list[float]] = {}
    for finding in findings:
        found.setdefault(finding.code, []).append(round(finding.measure or 0.0, 2))
    return {code: sorted(measures) for code, measures in found.items()}


def near(one: dict[str, list[float]], two: dict[str, list[float]]) -> bool:
    """The same codes with the same measures, but for the last hundredths."""
    if {k: len(v) for k, v in one.items()} != {k: len(v) for k, v in two.items()}:
        return False
    return all(np.allclose(one[code], two[code], rtol=0.002, atol=0.03) for code in one)


@pytest.mark.parametrize("kind", sorted(PLANT))
def test_each_kind_is_found_and_nothing_is_invented(kind: str) -> None:
    """Six random drawings with two faults of the kind; the table of a thousand is a benchmark."""
    for seed in range(6):
        sheet, faults = drawing(7_000_000 + seed, plant=(kind, kind), cells=3)
        tales = compare(check(sheet, LIMITS, blade_offset=0.25), faults)[3]
        assert not tales, f"{kind}, seed {7_000_000 + seed}: {tales}"


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), data=st.randoms(use_true_random=False))
def test_order_and_direction_of_lines_don_t_matter(seed: int, data: object) -> None:
    """Shuffled and turned round, a drawing has the same faults."""
    sheet, _ = drawing(seed)
    rng = np.random.default_rng(data.getrandbits(32))
    order = rng.permutation(len(sheet.lines))
    other = Drawing("other", sheet.lines.take(order, rng.random(len(order)) < 0.5))
    assert near(tally(check(sheet, LIMITS)), tally(check(other, LIMITS)))


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    degrees=st.floats(0, 360),
    dx=st.floats(-300, 300),
    dy=st.floats(-300, 300),
)
def test_where_a_drawing_lies_doesn_t_matter(seed: int, degrees: float, dx: float, dy: float) -> None:
    """Moved and turned, a drawing has the same faults."""
    sheet, _ = drawing(seed)
    matrix = turn(degrees)
    matrix[:, 2] = (dx, dy)
    other = Drawing("other", sheet.lines.transform(matrix))
    assert near(tally(check(sheet, LIMITS)), tally(check(other, LIMITS)))


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_where_a_closed_line_starts_doesn_t_matter(seed: int) -> None:
    """Every closed line rolled to another of its vertices."""
    sheet, _ = drawing(seed)
    lines = sheet.lines
    rng = np.random.default_rng(seed)
    rolled = [lines.points(i) for i in range(len(lines))]
    for i in np.flatnonzero(lines.closed).tolist():
        ring = np.roll(rolled[i][:-1], int(rng.integers(len(rolled[i]))), axis=0)
        rolled[i] = np.vstack((ring, ring[:1]))
    other = Lines.of(
        rolled,
        operation=lines.operation.tolist(),
        fold=lines.fold.tolist(),
        source=lines.source.tolist(),
        elements=lines.elements,
    )
    assert near(tally(check(sheet, LIMITS)), tally(check(Drawing("other", other), LIMITS)))


coordinate = st.floats(-50, 50).map(lambda x: round(x, 2))
polyline = st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=6)


@settings(max_examples=70, deadline=None)
@given(
    drawn=st.lists(st.tuples(polyline, st.sampled_from(list(Operation))), max_size=12),
    again=st.lists(st.integers(0, 11), max_size=4),
)
def test_no_drawing_crashes_the_check(drawn: list, again: list[int]) -> None:
    """Scribbles with repeated points, lines without length, copies, and any operation."""
    drawn = drawn + [drawn[k] for k in again if k < len(drawn)]
    lines = Lines.of([points for points, _ in drawn], operation=[int(op) for _, op in drawn])
    found = check(
        Drawing("x", lines, page=(60.0, 60.0)), LIMITS, blade_offset=0.3, sheet=(40, 40), expect=(9, 9)
    )
    assert all(count for count in Counter(f.code for f in found).values())
    assert all(np.isfinite(f.measure) for f in found if f.measure is not None)
