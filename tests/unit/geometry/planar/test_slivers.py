"""Slivers and repeated points."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.planar.slivers import find_slivers, repeated_points
from cutprep.model.lines import Lines
from tests.drawn import LIMITS


@pytest.mark.parametrize(
    ("lines", "slivers"),
    [
        ([[(0, 0), (9, 0)]], [False]),
        ([[(0, 0), (0.2, 0)]], [True]),
        ([[(0, 0), (0, 0)]], [True]),
        ([[(0, 0), (9, 0)], [(9, 0), (9.2, 0)], [(9.2, 0), (15, 0)]], [False, False, False]),
        ([[(0, 0), (9, 0)], [(9, 0), (9.2, 0)]], [False, True]),
        ([[(0, 0), (9, 0)], [(9, 0), (9.03, 0)], [(9.03, 0), (15, 0)]], [False, True, False]),
        ([[(0, 0), (0.05, 0), (0.05, 0.05), (0, 0)]], [True]),
    ],
)
def test_slivers_link_no_others(lines: list, slivers: list[bool]) -> None:
    """A short piece of a chain is none."""
    drawn = Lines.of(lines)
    assert find_slivers(drawn, np.ones(len(drawn), bool), LIMITS).tolist() == slivers
    assert not find_slivers(drawn, np.zeros(len(drawn), bool), LIMITS).any()


def test_points_on_the_point_before_them() -> None:
    """The first point of the next line is none."""
    drawn = Lines.of([[(0, 0), (0, 0), (1, 0)], [(1, 0), (1, 1), (1, 1)]])
    assert repeated_points(drawn, LIMITS).tolist() == [False, True, False, False, False, True]
    assert len(repeated_points(Lines.empty(), LIMITS)) == 0
