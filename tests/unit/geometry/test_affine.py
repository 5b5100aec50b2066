"""Matrices compose, invert, and turn exactly."""

from __future__ import annotations

import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutprep.geometry import affine
from cutprep.geometry.affine import (
    apply,
    compose,
    invert,
    quarter_turn,
    scale,
    shift,
    stretch,
    turn,
)

entries = st.floats(-50, 50)


@given(st.lists(entries, min_size=6, max_size=6), st.lists(entries, min_size=2, max_size=2))
def test_an_inverse_takes_back(values: list[float], point: list[float]) -> None:
    m = np.array(values).reshape(2, 3)
    if abs(np.linalg.det(m[:, :2])) < 1e-3:
        return
    assert apply(invert(m), apply(m, point)) == pytest.approx(point, abs=1e-5)
    assert compose(m, invert(m)) == pytest.approx(np.eye(2, 3), abs=1e-6)


def test_the_last_matrix_is_applied_first() -> None:
    assert apply(compose(shift(10, 0), scale(2)), [1, 1]).tolist() == [12.0, 2.0]


def test_quarter_turns_are_whole_numbers() -> None:
    assert turn(270).tolist() == quarter_turn(3).tolist() == [[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]]
    assert turn(30)[1, 0] == pytest.approx(0.5)


def test_a_flat_matrix_has_no_inverse() -> None:
    with pytest.raises(ValueError, match="inverted"):
        invert(scale(1, 0))


def test_stretch_is_the_first_singular_value() -> None:
    assert stretch(scale(2, 3)) == pytest.approx(3)
    assert stretch(turn(37)) == pytest.approx(1)


def test_the_tour_in_the_docstring_runs() -> None:
    assert doctest.testmod(affine).failed == 0
