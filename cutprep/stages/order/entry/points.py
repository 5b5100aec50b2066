"""Lines as the search sees them, and as numbered points: two ends for an open line, one for a closed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cutprep.model.lines import Index


@dataclass(frozen=True, slots=True, eq=False)
class LineEnds:
    """Lines as the search sees them: two ends each, in whole micrometres.

    Attributes
    ----------
    head, tail
        (m, 2) ndarray of int: where each line is entered and left; equal for a closed line.
    rank
        (m,) ndarray of int: lines are worked by rising rank.
    home
        Where the tool starts and ends, whole micrometres.
    """

    head: Index
    tail: Index
    rank: Index
    home: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class NumberedPoints:
    """Home as point 1, then one point for a closed line and two for an open one.

    Attributes
    ----------
    xy
        (n + 1, 2) ndarray of int: whole micrometres; row 0 is not used.
    rank, mate, owner
        (n + 1,) ndarray of int: rank, other end (0 for none) and line (-1 for home) of each point.
    first, second
        (m,) ndarray of int: the points of each line; equal for a closed line.
    """

    xy: Index
    rank: Index
    mate: Index
    first: Index
    second: Index
    owner: Index

    @classmethod
    def of(cls, ends: LineEnds) -> NumberedPoints:
        """Number the points of some lines."""
        m = len(ends.head)
        two = (ends.head != ends.tail).any(axis=1)
        first = 2 + np.concatenate(([0], np.cumsum(1 + two)))[:m].astype(np.int64)
        second = first + two
        n = 1 + m + int(two.sum())
        xy = np.empty((n + 1, 2), np.int64)
        xy[1] = ends.home
        xy[first], xy[second] = ends.head, ends.tail
        rank, mate, owner = (np.zeros(n + 1, np.int64) for _ in range(3))
        rank[1], owner[1] = -1, -1
        rank[first] = rank[second] = ends.rank
        owner[first] = owner[second] = np.arange(m)
        mate[first[two]], mate[second[two]] = second[two], first[two]
        return cls(xy, rank, mate, first, second, owner)

    @property
    def n(self) -> int:
        """Number of points."""
        return len(self.rank) - 1

    @property
    def closed(self) -> NDArray[np.bool_]:
        """Which lines have one point, (m,)."""
        return np.asarray(self.first == self.second)

    def walk(self, order: ArrayLike, back: ArrayLike | None) -> list[int]:
        """Points in the order in which the tour comes by."""
        lines = np.asarray(order, np.int64)
        turned = np.zeros(len(lines), bool) if back is None else np.asarray(back, bool)
        pairs = np.column_stack((self.first[lines], self.second[lines]))
        pairs[turned] = pairs[turned, ::-1]
        single = pairs[:, 0] == pairs[:, 1]
        flat = pairs.ravel()
        keep = np.ones(len(flat), bool)
        keep[1::2] = ~single
        return [1, *flat[keep].tolist()]

    def lines_of(self, tour: Index) -> tuple[Index, NDArray[np.bool_]]:
        """Lines in working order, and which of them run backwards; (m,) each."""
        owner = self.owner[tour]
        entered = np.ones(len(tour), bool)
        entered[1:] = owner[1:] != owner[:-1]
        entered[0] = False
        order = owner[entered]
        return order, tour[entered] != self.first[order]
