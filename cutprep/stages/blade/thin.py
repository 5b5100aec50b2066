"""Leaving out places that the blade's error budget doesn't need.

A place may go when it lies near the straight way between those that stay, and comes in its turn along that way: both
ways can then be walked at once, never back, and never further apart than that (their Fréchet distance is at most as
large; Alt and Godau 1995). Whether the tip's error stays within its bound is for `tip` to say, by integration.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.curves.arcs import recover_arcs
from cutprep.model.lines import Flags, Index, Points
from cutprep.model.moves import Moves

_COLUMNS = ("xy", "down", "tool", "speed", "force", "stroke", "curved")


def thinned(moves: Moves, near: float, *, arcs: bool = False, whole: Collection[int] = ()) -> Moves:
    """Leave out the places that are not needed.

    Parameters
    ----------
    moves
        As planned, mm.
    near
        How far a place that is left out may lie from the way without it, mm.
    arcs
        The file says arcs: places on them stay, as one instruction says them all.
    whole
        Strokes that keep all their places.

    Returns
    -------
    Moves
        With the same strokes, each between the same places.
    """
    keep = _needed(moves, near, arcs=arcs) | np.isin(moves.stroke, list(whole))
    return replace(moves, **{name: getattr(moves, name)[keep] for name in _COLUMNS})


def _needed(moves: Moves, near: float, *, arcs: bool) -> Flags:
    """(k,) which moves stay."""
    spans = _spans(moves)
    if arcs:
        spans = _straight(moves.path, spans)
    spans = spans[spans[:, 1] - spans[:, 0] > 1]
    keep = np.ones(len(moves) + 1, bool)
    if len(spans):
        counts = spans[:, 1] - spans[:, 0] + 1
        line = np.repeat(np.arange(len(spans)), counts)
        place = np.arange(len(line)) - np.repeat(np.cumsum(counts) - counts - spans[:, 0], counts)
        keep[place] = _simplified(moves.path, place, line, near)
    return keep[1:]


def _spans(moves: Moves) -> Index:
    """(m, 2) first and last place of each stretch that is worked alike with the tool down, as rows of the path."""
    both = moves.down[1:] & moves.down[:-1]
    alike = both & (moves.tool[1:] == moves.tool[:-1]) & (moves.stroke[1:] == moves.stroke[:-1])
    alike &= moves.speed[1:] == moves.speed[:-1]
    alike &= (moves.force[1:] == moves.force[:-1]) | (np.isnan(moves.force[1:]) & np.isnan(moves.force[:-1]))
    edges = np.concatenate(([0], 1 + np.flatnonzero(~alike), [len(moves)]))
    first, last = edges[:-1], edges[1:]
    worked = moves.down[first] & (moves.stroke[first] >= 0)
    return np.column_stack((first, last))[worked].astype(np.int64)


def _straight(path: Points, spans: Index) -> Index:
    """The parts of spans that are no arcs."""
    parts = [
        (a + piece.first, a + piece.last)
        for a, b in spans.tolist()
        if b - a > 1
        for piece in recover_arcs(path[a : b + 1])
        if piece.centre is None
    ]
    return np.array(parts, np.int64).reshape(-1, 2)


def _simplified(path: Points, place: Index, line: Index, near: float) -> Flags:
    """Which of some places stay, by Douglas and Peucker (1973), each that goes proved to lie near and in its turn.

    Parameters
    ----------
    path
        (n, 2) mm.
    place, line
        (r,) rows of the path, and the line that each belongs to.
    near
        mm.
    """
    spots = np.column_stack((path[place], np.arange(len(place))))
    shorter = shapely.simplify(shapely.linestrings(spots, indices=line), near, preserve_topology=False)
    keep = np.zeros(len(place), bool)
    keep[shapely.get_coordinates(shorter, include_z=True)[:, 2].astype(np.int64)] = True
    ends = np.append(True, np.diff(line) != 0)
    keep |= ends | np.append(ends[1:], True)
    chord = np.cumsum(keep) - 1  # of each place: the kept one at which its chord begins
    kept = np.flatnonzero(keep)
    a, b = (path[place[kept[np.minimum(chord + k, len(kept) - 1)]]] for k in (0, 1))
    wrong = np.unique(chord[~keep & _out_of_line(path[place], a, b, keep, near)])
    return keep | np.isin(chord, wrong)


def _out_of_line(xy: Points, a: Points, b: Points, keep: NDArray[np.bool_], near: float) -> Flags:
    """(r,) whether a place lies too far from its chord, or does not come in its turn along it."""
    way = b - a
    length = np.hypot(way[:, 0], way[:, 1])
    unit = way / np.where(length > 0, length, 1.0)[:, None]
    off = xy - a
    along = np.where(keep, 0.0, (off * unit).sum(axis=1))
    beside = np.abs(off[:, 0] * unit[:, 1] - off[:, 1] * unit[:, 0])
    back = np.append(False, np.diff(along) < 0) & ~keep
    return np.asarray((beside > near) | (along > length) | (along < 0) | back)
