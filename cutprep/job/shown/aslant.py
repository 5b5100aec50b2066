"""Where a dimension lies that no two corners show: diameters and radii, card beside a hole, the depth of a slanted flap."""

from __future__ import annotations

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation

#: Distances that grow alike differ by less, mm; an arc is drawn in chords.
_SAME = 1e-6  # not a tolerance: rounding of coordinates
_CHORD = 0.03
#: Of lace with hundreds of cells the first ones show it.
_MOST = 60
#: Sides whose directions differ by less (sine) are parallel.
_PARALLEL = 1e-6  # not a tolerance: rounding of coordinates


def across_boxes(drawing: Drawing, other: Drawing, value: float, more: float) -> tuple[Points, Points] | None:
    """Two sides of the boxes round lines and round arcs: a diameter, the radius of an arc, card beside a hole.

    Parameters
    ----------
    drawing, other
        The kind, and the kind with more of the dimension.
    value, more
        The dimension, and how much more, mm.

    Returns
    -------
    tuple of (2,) ndarray of float, or None
        The ends, mm; None where no two show it.
    """
    before, after = (_boxes(d.lines)[:_MOST] for d in (drawing, other))
    count = min(len(before), len(after))
    before, after = before[:count], after[:count]
    found: list[tuple[tuple[bool, float], Points, Points]] = []
    for axis in (0, 1):
        at, then = (np.concatenate((b[:, axis], b[:, axis + 2])) for b in (before, after))
        middle = np.tile((before[:, 1 - axis] + before[:, 3 - axis]) / 2, 2)
        i, j = np.triu_indices(2 * count, 1)
        was, now = np.abs(at[j] - at[i]), np.abs(then[j] - then[i])
        aside = np.abs(middle[j] - middle[i])
        for k in np.flatnonzero(
            (np.abs(now - was - more) < _CHORD) & (np.abs(was - value) < _CHORD)
        ).tolist():
            one, two = int(i[k]), int(j[k])
            ends = np.empty((2, 2))
            ends[:, axis] = at[one], at[two]
            ends[:, 1 - axis] = middle[max(one, two, key=lambda row: row % count)]
            found.append(((one % count != two % count, float(aside[k])), ends[0], ends[1]))
    return min(found, key=lambda row: row[0])[1:] if found else None


def _boxes(lines: Lines) -> Points:
    """Left, bottom, right, top of every line, then of every run of an arc within a line, (n, 4)."""
    found = [np.asarray(lines.boxes)]
    for i in range(min(len(lines), _MOST)):
        rows = slice(int(lines.start[i]), int(lines.start[i + 1]))
        xy, curved = lines.xy[rows], lines.curved[rows]
        ends = np.flatnonzero(np.diff(np.concatenate(([False], curved, [False])).astype(np.int8)))
        runs = [xy[max(a - 1, 0) : b + 1] for a, b in ends.reshape(-1, 2).tolist() if b - a < len(xy)]
        found += [np.concatenate((run.min(axis=0), run.max(axis=0)))[None] for run in runs]
    boxes = np.concatenate(found)
    # Runs come first where there are few lines, so that they are not cut off behind a lace.
    return boxes if len(lines) <= _MOST else boxes[: len(lines)]


def from_folds(drawing: Drawing, other: Drawing, value: float, more: float) -> tuple[Points, Points] | None:
    """From a fold square to a free side that runs along with it: the depth of a flap that hangs aslant.

    Parameters
    ----------
    drawing, other, value, more
        As for `across_boxes`; both drawings have as many points.

    Returns
    -------
    tuple of (2,) ndarray of float, or None
        On the fold and on the free side, mm; None where no two show it.
    """
    folds = _sides(drawing.lines, drawing.lines.operation == Operation.SCORE)
    free = _sides(drawing.lines, drawing.lines.operation == Operation.CUT)
    best: tuple[float, Points, Points] | None = None
    for a, b in folds.tolist():
        p, q = drawing.lines.xy[[a, b]]
        along = (q - p) / np.hypot(*(q - p))
        for c, d in free.tolist():
            r, s = drawing.lines.xy[[c, d]]
            side = (s - r) / np.hypot(*(s - r))
            if abs(along[0] * side[1] - along[1] * side[0]) > _PARALLEL:
                continue
            was, now = _apart(drawing.lines.xy, (a, b, c)), _apart(other.lines.xy, (a, b, c))
            if abs(was - value) > _SAME or abs(now - was - more) > _SAME:
                continue
            middle = (r + s) / 2
            foot = p + float((middle - p) @ along) * along
            off = float(np.hypot(*(foot - (p + q) / 2)))
            if best is None or off < best[0]:
                best = off, foot, middle
    return best[1:] if best is not None else None


def _apart(xy: Points, rows: tuple[int, int, int]) -> float:
    """How far a point lies from the line through two others, mm."""
    p, q, r = xy[list(rows)]
    return abs(float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))) / float(
        np.hypot(*(q - p))
    )


def _sides(lines: Lines, which: Flags) -> Points:
    """Rows of both ends of every straight side of some lines, (n, 2)."""
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    rows = np.flatnonzero(owner[:-1] == owner[1:])
    straight = ~(lines.curved[rows] | lines.curved[rows + 1]) & which[owner[rows]]
    long = np.hypot(*(lines.xy[rows + 1] - lines.xy[rows]).T) > _CHORD
    keep = rows[straight & long][: 4 * _MOST]
    return np.column_stack((keep, keep + 1))
