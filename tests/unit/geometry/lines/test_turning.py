"""Turning angles and corners."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.lines.turning import corners, turns


def test_turns_of_a_square_and_of_its_reverse() -> None:
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)], dtype=float)
    assert turns(square).tolist() == pytest.approx([90] * 5)
    assert turns(square[::-1]).tolist() == pytest.approx([-90] * 5)


def test_an_open_line_turns_by_nothing_at_its_ends() -> None:
    line = np.array([(0, 0), (1, 0), (2, 1), (1, 0)], dtype=float)
    assert np.abs(turns(line)).tolist() == pytest.approx([0, 45, 180, 0])


def test_a_step_of_no_length_turns_by_nothing() -> None:
    line = np.array([(0, 0), (1, 0), (1, 0), (1, 1)], dtype=float)
    assert turns(line).tolist() == pytest.approx([0, 0, 90, 0])
    assert turns(np.zeros((4, 2))).tolist() == [0, 0, 0, 0]


def test_a_vertex_within_a_curve_is_no_corner() -> None:
    line = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)
    flags = np.array([False, True, False, False])
    assert corners(line, flags, 30).tolist() == [False, False, True, False]
