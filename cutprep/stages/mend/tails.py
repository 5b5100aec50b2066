"""Trim cuts that run past the outline they bound."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from cutprep.geometry.planar.plane import Plane
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import place_of
from cutprep.model.findings.telling import tell
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.leave import NO_CHANGE, Leaving, left_alone
from cutprep.stages.mend.pieces import Piece, part_of, replaced


def trim_tails(plane: Plane, trim: float, leave: Leaving = NO_CHANGE) -> Change:
    """Cut tails off at the outline, if they are no longer than a limit."""
    lines, graph, tails = plane.lines, plane.graph, plane.overruns
    tails = tails.take(tails.length <= trim)
    if not len(tails):
        return lines, ()
    left = leave.named(("trimmed-cut",), tails.tip)
    going = tails.take(~left)
    lost: dict[int, list[int]] = defaultdict(list)
    for k in going.edge.tolist():
        lost[int(graph.line[k])].append(k)
    made = {line: _left(plane, line, sorted(edges)) for line, edges in sorted(lost.items())}

    def say(k: int) -> Finding:
        where = "the outline" if tails.outside[k] else "a corner of the outline into the card"
        return told(
            "trimmed-cut",
            f"A cut ran {tails.length[k]:.2f} mm past {where}.",
            "It was trimmed to the outline.",
            (place_of(lines, int(tails.line[k]), tails.tip[k]),),
            float(tails.length[k]),
            trim,
        )

    alone = left_alone(np.flatnonzero(left).tolist(), say)
    if not made:
        return lines, alone
    return replaced(lines, made)[0], (*tell(np.flatnonzero(~left).tolist(), say), *alone)


def _left(plane: Plane, line: int, edges: list[int]) -> list[Piece]:
    """What stays of a line between the tails at its ends."""
    graph, length = plane.graph, float(plane.lengths[line])
    begin, end = 0.0, length
    first = last = -1
    for k in edges:
        if graph.begin[k] <= begin:
            begin, first = float(graph.end[k]), int(graph.nodes[k, 1])
    for k in reversed(edges):
        if graph.end[k] >= end:
            end, last = float(graph.begin[k]), int(graph.nodes[k, 0])
    if end - begin <= plane.tolerance.coincide:
        return []
    points, curved = part_of(plane.lines, line, begin, end)
    points = points.copy()
    if first >= 0:
        points[0] = graph.xy[first]
    if last >= 0:
        points[-1] = graph.xy[last]
    return [(points, curved)]
