"""What the search is told beside the lines: limits of the machine, costs of pairs, entry points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Index, Points

MICRO = 1000.0  # micrometres in a millimetre


@dataclass(frozen=True, slots=True)
class MotionLimits:
    """Limits of the machine, for travel measured in time.

    Attributes
    ----------
    speed
        Speed of travel, mm/s.
    top_speed, acceleration
        Of each axis, mm/s and mm/s2.
    """

    speed: float
    top_speed: tuple[float, float]
    acceleration: tuple[float, float]

    def seconds(self, legs: Points) -> Points:
        """Time of straight moves from rest to rest, (n,) for (n, 2) legs in mm, or of more dimensions likewise."""
        across = np.abs(legs)
        length = np.hypot(across[..., 0], across[..., 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(length > 0, length, 1.0)[..., None] / across
            top = np.minimum(self.speed, (np.asarray(self.top_speed) * share).min(axis=-1))
            push = (np.asarray(self.acceleration) * share).min(axis=-1)
            trapezoid = np.where(
                length * push >= top * top, length / top + top / push, 2 * np.sqrt(length / push)
            )
        return np.where(length > 0, trapezoid, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class PairCosts:
    """Costs that hang on order and direction, for pairs of lines.

    Attributes
    ----------
    one, two
        (p,) ndarray of int: the lines of each pair, one < two.
    one_ahead, one_back
        (p,) ndarray of int: cost of line `one`, worked forwards or backwards, after `two`.
    two_ahead, two_back
        The same for line `two` after `one`.
    """

    one: Index
    two: Index
    one_ahead: Index
    one_back: Index
    two_ahead: Index
    two_back: Index

    def __len__(self) -> int:
        return len(self.one)


@dataclass(frozen=True, slots=True, eq=False)
class MovableEntries:
    """Where closed lines may be entered, for a search that may move them.

    Attributes
    ----------
    first
        (m + 1,) ndarray of int: line i has the entry points first[i]:first[i + 1].
    xy
        (k, 2) ndarray of int: whole micrometres.
    at
        (m,) ndarray of int: the entry point of each line now.
    """

    first: Index
    xy: Index
    at: Index
