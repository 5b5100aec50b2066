"""Cuts and folds together as a planar graph: the net whose faces are panels.

Outlines go by cuts alone; panels are parted by folds as well, and a hinge needs every corner of an outline that
lies on a fold. So every vertex counts here, not only ends, and the distance within which things meet may grow
with what the drawing needs.
"""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.neighbours import Neighbours, neighbours
from cutprep.geometry.lines.segments import distance_to, positions
from cutprep.geometry.planar.ends.chains import JoinedChains, follow, nodes, partners
from cutprep.geometry.planar.ends.closing import closed_up
from cutprep.geometry.planar.ends.crossings import Crossings, find_crossings
from cutprep.geometry.planar.ends.joints import find_joints
from cutprep.geometry.planar.graph.graph import Graph
from cutprep.geometry.planar.graph.marks import Touches, net_marks
from cutprep.geometry.planar.graph.noding import build
from cutprep.geometry.planar.plane import Plane
from cutprep.model.lines import Flags, Index, Lines
from cutprep.tolerance import Tolerance

#: A line touches itself only where it has run on for so many times the distance.
_RUN_ON = 8.0
#: Lines that end at one node, and cross no further from it than so many times the distance, are taken to meet there.
_NEEDLE = 25.0


def healed(plane: Plane) -> Lines:
    """The lines with every gap of cuts closed, and then every fold that misses a line by no more than a gap."""
    tolerance = plane.tolerance
    lines = closed_up(plane.lines, plane.joints, plane.gap)
    pick = (plane.cuts | plane.folds) & ~plane.spare
    nearby = neighbours(lines, max(tolerance.doubled, plane.gap), pick=pick, spot=tolerance.doubled)
    return closed_up(lines, find_joints(lines, pick, nearby, tolerance, plane.gap), plane.gap)


def net(lines: Lines, pick: Flags, within: float, tolerance: Tolerance) -> Graph:
    """Build the graph of some lines, whatever their operations.

    Parameters
    ----------
    lines
        m lines, gaps closed.
    pick
        (m,) ndarray of bool: lines that take part.
    within
        Things closer than this are one, mm.

    Returns
    -------
    Graph
        Of lines on each other the one of the strongest operation stays; the other is a twin.
    """
    nearby = neighbours(lines, max(within, tolerance.doubled), pick=pick, spot=within)
    node = nodes(lines, within, pick)
    way = JoinedChains(lines, follow(lines, partners(node)))
    crossings = find_crossings(nearby, pick, pick, way, touch=within)
    crossings = crossings.take(~_in_needles(lines, node, crossings, within))
    return build(
        lines, pick, net_marks(lines, node, _touches(lines, nearby, within), crossings, within), within
    )


def _in_needles(lines: Lines, node: Index, crossings: Crossings, within: float) -> Flags:
    """Which crossings lie on the last steps of two lines that end at one node, (k,).

    Lines that meet at a sharp corner, their ends off a little, cross further from it than ends are drawn together.
    """
    found = np.zeros(len(crossings), bool)
    length = lines.lengths
    run = positions(lines)
    last = np.column_stack((run[lines.start[:-1] + 1], length - run[lines.start[1:] - 2]))
    for one in (0, 1):
        for two in (0, 1):
            same = node[2 * crossings.first + one] == node[2 * crossings.second + two]
            same &= node[2 * crossings.first + one] >= 0
            gone = [
                length[line] - at if end else at
                for line, at, end in (
                    (crossings.first, crossings.at, one),
                    (crossings.second, crossings.at_other, two),
                )
            ]
            near = (gone[0] <= np.minimum(_NEEDLE * within, last[crossings.first, one])) & (
                gone[1] <= np.minimum(_NEEDLE * within, last[crossings.second, two])
            )
            found |= same & near & (np.abs(gone[0] - gone[1]) <= within)
    return found


def _touches(lines: Lines, nearby: Neighbours, within: float) -> Touches:
    """Every vertex that lies on a segment of another line, or of the same line further on."""
    segments = nearby.segments
    run = positions(lines)
    p = np.concatenate((nearby.first, nearby.second, nearby.head))
    q = np.concatenate((nearby.second, nearby.first, nearby.stacked))
    found = []
    for step in (0, 1):
        row = segments.vertex[p] + step
        distance, share = distance_to(lines.xy[row], segments.begin[q], segments.end[q])
        at = segments.at[q] + share * segments.lengths[q]
        keep = distance <= within
        keep &= (segments.line[p] != segments.line[q]) | (np.abs(run[row] - at) > _RUN_ON * within)
        found.append((segments.line[p][keep], run[row][keep], segments.line[q][keep], at[keep]))
    return Touches(*(np.concatenate(column) for column in zip(*found, strict=True)))
