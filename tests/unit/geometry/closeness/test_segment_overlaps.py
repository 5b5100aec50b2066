"""Segments clipped to where they lie beside each other."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.closeness.segment_overlaps import (
    LEAVING,
    cut_back,
    find_segment_overlaps,
    highest_so_far,
    number_runs,
)
from cutprep.model.lines import Lines


def test_a_slanted_neighbour_is_clipped_at_the_limits() -> None:
    """From 0.2 to 0.5 mm at a slope of a tenth: between 2 and 5 mm; on either side when it crosses."""
    lines = Lines.of([[(0, 0), (20, 0)], [(0, 0), (20, 2)]])
    near = neighbours(lines, 1.0, spot=0.1)
    bits = find_segment_overlaps(near, 0.5, 0.2, None)
    assert len(bits) == 1
    assert (bits.low[0], bits.high[0]) == pytest.approx((2, 5))
    assert (bits.off_low[0], bits.off_high[0]) == pytest.approx((0.2, 0.5))
    assert bits.low_other[0] == pytest.approx(np.hypot(2, 0.2))
    assert bits.clip_low[0]
    assert bits.clip_high[0]
    crossing = Lines.of([[(0, 0), (20, 0)], [(0, -1), (20, 1)]])
    assert len(find_segment_overlaps(neighbours(crossing, 1.0, spot=0.1), 0.5, 0.2, None)) == 2
    assert len(find_segment_overlaps(neighbours(crossing, 1.0, spot=0.1), 0.5, 0.0, None)) == 1


def test_steep_neighbours_and_those_further_on_have_no_bits() -> None:
    """A right angle, and a line behind the end of another."""
    lines = Lines.of([[(0, 0), (20, 0)], [(5, 0), (5, 9)], [(20.1, 0), (30, 0)]])
    assert not len(find_segment_overlaps(neighbours(lines, 1.0, spot=0.1), 0.5, 0.0, None))


def test_bits_make_runs_and_passing_ends_are_cut_back() -> None:
    """Ten pieces of a line are one run; a line that leaves it slowly is cut back to where it leaves."""
    comb = [(2.0 * k, 0) for k in range(11)]
    lines = Lines.of([[(0, 0), (20, 0), (40, 0)], [*comb, (40, 1)]])
    near = neighbours(lines, 0.5, spot=0.1)
    bits, run = number_runs(near.segments, find_segment_overlaps(near, 0.1, 0.0, None), 0.1, 0.0)
    assert set(run.tolist()) == {0}
    left, _, passing = cut_back(bits, run, LEAVING)
    assert passing.tolist() == [True]
    assert (len(bits), len(left)) == (11, 10)


def test_the_highest_so_far_starts_anew_in_each_group() -> None:
    """By hand; the last group lies below all before it."""
    value = np.array([1.0, 3, 2, 5, 4, 9, -2, -5, -1])
    group = np.array([0, 0, 0, 1, 1, 2, 3, 3, 3])
    assert highest_so_far(value, group).tolist() == pytest.approx([1, 3, 3, 5, 5, 9, -2, -2, -1])
    assert len(highest_so_far(np.empty(0), np.empty(0, int))) == 0


@pytest.mark.parametrize("turn", [0, 25, 90, 140, 200, 310])
@pytest.mark.parametrize("sense", [1, -1])
def test_bits_on_a_turned_sheet(turn: int, sense: int) -> None:
    """The same two slanted lines in any direction: positions on both and signed distances stay."""
    a = np.radians(turn)
    spin = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
    other = np.array([[2.0, 0.1], [12, 0.4]])[::sense]
    lines = Lines.of([np.array([[0.0, 0], [10, 0]]) @ spin, other @ spin])
    bits = find_segment_overlaps(neighbours(lines, 1.0, spot=0.1), 0.5, 0.0, None)
    assert len(bits) == 1
    assert (bits.low[0], bits.high[0]) == pytest.approx((2, 10))
    assert (bits.off_low[0], bits.off_high[0]) == pytest.approx((0.1, 0.34))
    far = np.hypot(8, 0.24)
    whole = np.hypot(10, 0.3)
    along = (0, far) if sense > 0 else (whole, whole - far)
    assert (bits.low_other[0], bits.high_other[0]) == pytest.approx(along)
    assert not bits.clip_low[0]
    assert not bits.clip_high[0]


@pytest.mark.parametrize("turn", range(0, 360, 30))
def test_ends_that_just_overlap_are_found_in_any_direction(turn: int) -> None:
    """Half a millimetre of two lines of 10 mm, the second beside the end of the first."""
    a = np.radians(turn)
    spin = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
    first, second = np.array([[0.0, 0], [10, 0]]), np.array([[9.5, 0.1], [19.5, 0.1]])
    for p, q in ((first, second), (second, first)):
        bits = find_segment_overlaps(
            neighbours(Lines.of([p @ spin, q @ spin]), 1.0, spot=0.1), 0.5, 0.0, None
        )
        assert len(bits) == 1
        assert bits.high[0] - bits.low[0] == pytest.approx(0.5)
    beyond = Lines.of([first @ spin, (second + np.array([0.6, 0])) @ spin])
    assert len(find_segment_overlaps(neighbours(beyond, 1.0, spot=0.1), 0.5, 0.0, None)) == 0


@pytest.mark.parametrize("backwards", [False, True])
def test_passing_ends_are_cut_back_over_many_bits(backwards: bool) -> None:
    """A line leaves at 1 degree after 20 mm, in pieces of 1 mm: all the pieces that leave go."""
    along = [(x, 0.0) for x in np.arange(0, 41, 1.0)]
    leaving = [(x, max(0.0, x - 20) * np.tan(np.radians(1))) for x in np.arange(0, 41, 1.0)]
    if backwards:
        along, leaving = ([(40 - x, y) for x, y in line] for line in (along, leaving))
        along.sort()
        leaving.sort()
    lines = Lines.of([along, leaving])
    near = neighbours(lines, 0.5, spot=0.1)
    bits, run = number_runs(near.segments, find_segment_overlaps(near, 0.1, 0.0, None), 0.1, 0.0)
    left, _, passing = cut_back(bits, run, LEAVING)
    assert passing.tolist() == [True]
    at = near.segments.at[left.p]
    begin, end = float((at + left.low).min()), float((at + left.high).max())
    assert (begin, end) == pytest.approx((20, 40) if backwards else (0, 20))


def test_what_runs_along_and_what_crosses() -> None:
    """44 degrees run along each other for a moment, 46 cross; whichever way they are drawn."""
    for degrees, count in ((44, 1), (46, 0), (136, 1), (134, 0)):
        a = np.radians(degrees)
        lines = Lines.of([[(0, 0), (20, 0)], [(5, -0.1), (5 + 9 * np.cos(a), -0.1 + 9 * np.sin(a))]])
        assert len(find_segment_overlaps(neighbours(lines, 1.0, spot=0.1), 0.5, 0.0, None)) == count, degrees
