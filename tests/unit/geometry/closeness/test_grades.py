"""Figures in order, whatever their last digits."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.grades import grades


def test_equal_figures_on_either_side_of_a_half_get_one_number() -> None:
    assert grades([12.0625, 3.0, 12.0625 + 1e-9, 40.0], 0.05).tolist() == [1, 0, 1, 2]


def test_an_order_does_not_depend_on_where_the_figures_stand() -> None:
    rng = np.random.default_rng(0)
    figures = np.repeat([1.0, 2.0, 5.0], 4)
    turned = rng.permutation(len(figures))
    assert (grades(figures, 0.1)[turned] == grades(figures[turned] + 1e-12, 0.1)).all()


def test_nothing_has_no_order() -> None:
    assert len(grades([], 1.0)) == 0
