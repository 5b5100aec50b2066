"""What every chord between two corners of an outline cuts off: area, length round it, and second moment.

All three come from running sums along the outline, so that the chords of a panel cost next to nothing. Two pieces
with the same three figures are taken to be alike, turned over or not.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from cutprep.geometry.lines.pose import DECIMALS
from cutprep.model.folded import FoldReport, Panel
from cutprep.model.lines import Flags, Points

#: Figures that differ by less than the first, mm, or the second, as a share, are the same.
_SAME, _SHARE = 0.15, 0.004  # not a tolerance: a share


#: A vertex this near a side lies on it, mm.
_ON = 0.01
#: A side stays within this of the straight between its corners, or within the snapping distance, mm.
_STRAIGHT = 0.1


def corners_only(report: FoldReport) -> list[Points]:
    """Corners of all panels, (n, 2) each, without the points at which a straight side is drawn in pieces."""
    within = max(_STRAIGHT, report.tolerance_used)
    return [_bends(panel.outline[:-1], within) for panel in report.panels]


def with_breaks(report: FoldReport, xy: Points) -> FoldReport:
    """Put the points at which straight sides are drawn in pieces into the outlines of all panels: a score may have ended there.

    Parameters
    ----------
    xy
        (n, 2) ndarray of float: vertices of the lines that bound panels, mm.
    """
    points = np.unique(xy.round(DECIMALS) + 0.0, axis=0)
    return replace(report, panels=tuple(_broken(panel, points) for panel in report.panels))


def _broken(panel: Panel, points: Points) -> Panel:
    a = panel.outline[:-1]
    low, high = a.min(axis=0) - _ON, a.max(axis=0) + _ON
    near = points[((points >= low) & (points <= high)).all(axis=1)]
    runs = panel.outline[1:] - a
    length = np.hypot(*runs.T)
    to = near[:, None] - a
    along = (to * runs).sum(axis=2) / length
    away = np.abs(to[..., 0] * runs[:, 1] - to[..., 1] * runs[:, 0]) / length
    at, side = np.nonzero((away < _ON) & (along > _ON) & (along < length - _ON))
    order = np.lexsort((along[at, side], side))
    return replace(panel, outline=np.insert(panel.outline, side[order] + 1, near[at[order]], axis=0))


def _bends(ring: Points, within: float) -> Points:
    """Corners where an outline turns."""
    steps, before = np.roll(ring, -1, axis=0) - ring, ring - np.roll(ring, 1, axis=0)
    turns = np.arctan2(_cross(before, steps), (before * steps).sum(axis=1))
    start = int(np.abs(turns).argmax())
    line = shapely.LineString(np.roll(ring, -start, axis=0)[[*range(len(ring)), 0]])
    return np.asarray(shapely.get_coordinates(line.simplify(within, preserve_topology=False))[:-1])


def _cross(a: Points, b: Points) -> Points:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def figures(outline: Points) -> Points:
    """Three lengths that tell an outline, (3,), mm: root of its area, a quarter of its length, fourth root of its moment.

    Parameters
    ----------
    outline
        (n, 2) ndarray of float: corners counter-clockwise, the first not repeated.
    """
    return np.asarray(_figures(*_sums(outline, _next(outline)).sum(axis=0)[:, None])[0])


def cut_off(
    outline: Points,
    one: np.ndarray[tuple[int], np.dtype[np.int64]],
    two: np.ndarray[tuple[int], np.dtype[np.int64]],
) -> tuple[Points, Points]:
    """Figures of both pieces into which chords part an outline, (k, 3) each, mm.

    Parameters
    ----------
    outline
        (n, 2) ndarray of float: corners counter-clockwise, the first not repeated.
    one, two
        (k,) ndarray of int: corners at the ends of the chords, one < two.
    """
    local = outline - outline.mean(axis=0)
    sums = _sums(local, _next(local))
    up_to = np.vstack((np.zeros((1, sums.shape[1])), np.cumsum(sums, axis=0)))
    along = up_to[two] - up_to[one]
    back, forth = _sums(local[two], local[one]), _sums(local[one], local[two])
    return _figures(*(along + back).T), _figures(*(up_to[-1] - along + forth).T)


def _next(outline: Points) -> Points:
    return np.concatenate((outline[1:], outline[:1]))


def _sums(p: Points, q: Points) -> Points:
    """What runs from p to q add to area, first moments, second moment and length, (n, 5)."""
    cross = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    first = (p + q) * cross[:, None]
    second = cross * ((p * p).sum(axis=1) + (p * q).sum(axis=1) + (q * q).sum(axis=1))
    return np.column_stack((cross / 2, first / 6, second / 12, np.hypot(*(q - p).T)))


def _figures(area: Points, x: Points, y: Points, second: Points, length: Points) -> Points:
    size = np.maximum(area, 1e-9)  # not a tolerance: keeps a chord along the outline from dividing by nothing
    moment = np.maximum(second - (x * x + y * y) / size, 0.0)
    return np.column_stack((np.sqrt(size), length / 4, moment**0.25))


def is_among(pieces: Points, known: Points) -> Flags:
    """Which of some figures, (k, 3), stand among others, (m, 3); (k,) bool."""
    if not len(known) or not len(pieces):
        return np.zeros(len(pieces), bool)
    apart = np.abs(pieces[:, None] - known[None])
    same = np.asarray(apart <= np.maximum(_SAME, _SHARE * known)[None])
    return np.asarray(np.any(np.all(same, axis=2), axis=1))


def are_alike(ones: Points, others: Points) -> Flags:
    """Which of some figures are those of another row by row, (k,) bool."""
    return np.asarray((np.abs(ones - others) <= np.maximum(_SAME, _SHARE * ones)).all(axis=1))
