"""Where an outline lost a side to its neighbour, let what is left meet the neighbour end to end.

Two outlines that share a side are two rings before and a ring and a bow after one of them gave the
side up. Split where the bow ends, the ring and the bow are lines that meet at forks, from which
parts with a shared side can be told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.lines.segments import point_at, points_at
from cutprep.geometry.planar.ends.chains import ends
from cutprep.geometry.planar.ends.joints import Reach, find_reach
from cutprep.model.findings.places import place_of
from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.pieces import Piece, moved, over_seam, part_of, replaced
from cutprep.tolerance import Tolerance


def node_remainders(lines: Lines, remainder: Flags, tolerance: Tolerance) -> Change:
    """Split outlines where what is left of others ends on them.

    Parameters
    ----------
    remainder
        (m,) ndarray of bool: what is left of cut outlines that lost a side.
    """
    if not remainder.any():
        return lines, ()
    rings = remainder | (lines.closed & (lines.operation == Operation.CUT))
    rows = np.flatnonzero(np.repeat(remainder & ~lines.closed, 2))
    nearby = neighbours(lines, tolerance.doubled, pick=rings, spot=tolerance.doubled)
    reach = find_reach(lines, rows, rings, nearby, tolerance.doubled)
    length = lines.lengths
    inside = (reach.position > tolerance.coincide) & (
        reach.position < length[reach.line] - tolerance.coincide
    )
    reach = reach.take((inside | lines.closed[reach.line]) & (reach.line != reach.end // 2))
    at = [
        _at_vertex(lines, line, position, tolerance)
        for line, position in zip(reach.line.tolist(), reach.position.tolist(), strict=True)
    ]
    reach = Reach(reach.end, reach.line, np.array(at, np.float64), reach.gap)
    marks: dict[int, list[float]] = defaultdict(list)
    for line, position in zip(reach.line.tolist(), at, strict=True):
        marks[line].append(position)
    made = {i: _split(lines, i, at, tolerance) for i, at in marks.items()}
    made = {i: pieces for i, pieces in made.items() if len(pieces) > 1}
    if not made:
        return lines, ()
    findings = tuple(
        told(
            "split-outline",
            "What is left of an outline ended on another one.",
            f"That one was split there into {len(pieces)} lines; no ink was changed.",
            (place_of(lines, i, point_at(lines.points(i), marks[i][0])),),
            float(len(pieces)),
            unit="lines",
        )
        for i, pieces in sorted(made.items())
    )
    return _snapped(lines, reach.nearest(), made), findings


def _at_vertex(lines: Lines, i: int, position: float, tolerance: Tolerance) -> float:
    """The position of a vertex, if one is as good as there."""
    steps = np.hypot(*np.diff(lines.points(i), axis=0).T)
    run = np.concatenate(([0.0], np.cumsum(steps)))
    nearest = float(run[np.argmin(np.abs(run - position))])
    return nearest if abs(nearest - position) <= tolerance.coincide else position


def _split(lines: Lines, i: int, marks: list[float], tolerance: Tolerance) -> list[Piece]:
    """The pieces of a line between marks; round the seam of a closed one."""
    points = lines.points(i)
    length = float(np.hypot(*np.diff(points, axis=0).T).sum())
    closed = len(points) >= 4 and bool((points[0] == points[-1]).all())
    around = sorted(mark % length if closed else mark for mark in marks)
    at = [m for k, m in enumerate(around) if not k or m - around[k - 1] > tolerance.coincide]
    if not closed:
        edges = [0.0, *at, length]
        return [part_of(lines, i, a, b) for a, b in pairwise(edges)]
    if len(at) < 2:
        return []
    pieces = [part_of(lines, i, a, b) for a, b in pairwise(at)]
    if at[0] == 0.0:
        return [*pieces, part_of(lines, i, at[-1], length)]
    return [*pieces, over_seam(part_of(lines, i, at[-1], length), part_of(lines, i, 0.0, at[0]))]


def _snapped(lines: Lines, reach: Reach, made: Mapping[int, Sequence[Piece]]) -> Lines:
    """Put the pieces in, and move each end to where it lies on the split line."""
    result, _ = replaced(lines, made)
    reach = reach.take(np.isin(reach.line, list(made)))
    targets = points_at(lines, reach.line, reach.position)
    where = {tuple(spot): at for spot, at in zip(ends(lines)[reach.end].tolist(), targets, strict=True)}
    xy = result.xy.copy()
    for row in np.concatenate((result.start[:-1], result.start[1:] - 1)).tolist():
        target = where.get(tuple(result.xy[row].tolist()))
        if target is not None:
            xy[row] = target
    return moved(result, xy)
