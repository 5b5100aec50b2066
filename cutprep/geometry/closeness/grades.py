"""Putting figures in order so that rounding decides nothing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutprep.model.lines import Index, Points


def grades(values: Sequence[float] | Points, within: float) -> Index:
    """Number figures from the smallest up; those that lie close together get one number.

    Rounding would part two equal figures that lie on either side of a half.

    Parameters
    ----------
    values
        (n,) figures.
    within
        Neighbours that differ by no more are equal.

    Returns
    -------
    (n,) ndarray of int
    """
    figures = np.asarray(values, np.float64)
    order = np.argsort(figures, kind="stable")
    steps = np.diff(figures[order], prepend=figures[order[:1]]) > within
    found = np.empty(len(figures), np.int64)
    found[order] = np.cumsum(steps)
    return found
