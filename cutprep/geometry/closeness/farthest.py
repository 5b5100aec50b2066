"""How far groups of points lie from lines of their own, many small groups at once.

Objects of a geometry library for each point and line take longer to make than to measure, and ten times the memory
of their coordinates; here the chords of many lines are laid side by side as columns, and only long lines get an index.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from cutprep.geometry.closeness.chords import FEW, bounds, chords_of, squared
from cutprep.geometry.closeness.long_lines import farthest_from_long
from cutprep.model.lines import Index, Points

#: With more pairs of a point and a chord than this, chords are searched by an index (measured: the break-even).
_MANY = 20_000
#: Pairs of a point and a chord that are worked out together: columns that a processor's cache holds.
_AT_ONCE = 100_000
#: So often the point with the greatest bound of its group is worked out, before all that may still lie further off.
_TURNS = 4
_Row: TypeAlias = tuple[Points, Points]


def farthest(points: Sequence[Points], lines: Sequence[Sequence[Points]]) -> Points:
    """Greatest distance of each group of points to the lines of the same number.

    Parameters
    ----------
    points
        Groups of (n, 2) points, mm.
    lines
        For each group lines of (k, 2) vertices, mm.

    Returns
    -------
    (m,) ndarray of float
        mm; infinite for a group without lines, 0 for one without points.
    """
    result = np.array([math.inf if len(group) else 0.0 for group in points])
    alike: dict[tuple[int, int], list[tuple[int, _Row]]] = {}
    for i, (group, near) in enumerate(zip(points, lines, strict=True)):
        if not len(group) or not near:
            continue
        chords = chords_of(near[0]) if len(near) == 1 else np.concatenate(list(map(chords_of, near)))
        if len(group) * len(chords) > _MANY:
            result[i] = farthest_from_long(group, chords)
        else:
            shape = _padded(len(group)), _padded(len(chords))
            alike.setdefault(shape, []).append((i, (group, chords)))
    for shape, rows in alike.items():
        _measure_alike(shape, rows, result)
    return result


def _padded(count: int) -> int:
    """The next of a few sizes, at most a quarter larger: lines of nearly as many chords are worked out together."""
    step = 1 << max(0, count.bit_length() - 3)
    return -(-count // step) * step


def _measure_alike(shape: tuple[int, int], rows: Sequence[tuple[int, _Row]], result: Points) -> None:
    """Measure groups of so many points and chords each; the last of them stands in for those that miss."""
    n, k = shape
    most = max(1, _AT_ONCE // (n * k))
    for first in range(0, len(rows), most):
        some = rows[first : first + most]
        points, chords = np.empty((len(some), n, 2)), np.empty((len(some), k, 4))
        for row, (_, (group, own)) in enumerate(some):
            points[row, : len(group)], points[row, len(group) :] = group, group[-1]
            chords[row, : len(own)], chords[row, len(own) :] = own, own[-1]
        result[[i for i, _ in some]] = np.sqrt(_largest(points, chords))


def _largest(points: Points, chords: Points) -> Points:
    """Greatest squared distance of the points of each row (g, n, 2) to its chords (g, k, 4), (g,) mm2."""
    bound = bounds(points, chords)
    if chords.shape[1] <= FEW:
        return np.asarray(bound.max(axis=1))
    most = np.zeros(len(bound))
    row = np.arange(len(bound))
    for _ in range(_TURNS):
        top = bound[row].argmax(axis=1)
        open_yet = bound[row, top] > most[row]
        row, top = row[open_yet], top[open_yet]
        _raise(most, points, chords, row, top)
        bound[row, top] = 0.0
    _raise(most, points, chords, *np.nonzero(bound > most[:, None]))
    return most


def _raise(most: Points, points: Points, chords: Points, row: Index, place: Index) -> None:
    """Work out the squared distances of some points, and raise the greatest of their rows to them."""
    step = max(1, _AT_ONCE // chords.shape[1])
    for begin in range(0, len(row), step):
        part, pick = row[begin : begin + step], place[begin : begin + step]
        found = squared(points[part, pick, None], chords[part]).min(axis=1)
        np.maximum.at(most, part, found)
