"""Where a line is left uncut on purpose: between the dashes of a perforation, and at bridges."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.findings.places import place_of
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine
from cutprep.stages.blade.cutting import Bridges, Perforation
from cutprep.stages.blade.stretch import reached
from cutprep.stages.blade.track import HeadedPath, wrap

Spans = list[tuple[float, float]]

#: Turns above this are corners that a dash must reach and a bridge must not touch, radians.
_CORNER = np.radians(15.0)


def corner_positions(line: HeadedPath) -> Points:
    """Where one line has its corners, mm along it; its two ends are not counted; (k,)."""
    turn = np.abs(wrap(line.leave - line.arrive))
    return np.asarray(reached(line)[1:-1][turn[1:-1] > _CORNER])


def dashes(line: HeadedPath, pattern: Perforation) -> Spans:
    """Lay the cuts of a perforation along a line.

    From corner to corner the pattern starts and ends with a cut, so that a corner is always
    cut; cuts that meet there are run as one.

    Parameters
    ----------
    line
        One line.
    pattern
        Lengths of cuts and gaps.

    Returns
    -------
    list of tuple
        From where to where, mm along the line, in rising order.
    """
    edges = [0.0, *corner_positions(line).tolist(), float(reached(line)[-1])]
    spans: Spans = []
    for a, b in pairwise(edges):
        gaps = max(0, round((b - a - pattern.cut) / (pattern.cut + pattern.gap)))
        if gaps and b - a - gaps * pattern.gap < (gaps + 1) * pattern.cut / 2.0:
            gaps -= 1  # a long gap more would leave hardly anything of the cuts
        cut = (b - a - gaps * pattern.gap) / (gaps + 1)
        begins = [a + k * (cut + pattern.gap) for k in range(gaps + 1)]
        ends = [begin + cut for begin in begins[:-1]] + [b]
        fresh = list(zip(begins, ends, strict=True))
        if spans:
            fresh[0] = (spans.pop()[0], fresh[0][1])
        spans += fresh
    return spans


def hinge_ends(lines: Lines) -> Points:
    """Ends of all lines along which card folds, (k, 2), mm."""
    rows = np.flatnonzero(np.isin(lines.operation, (Operation.SCORE, Operation.PERFORATE)))
    return lines.xy[np.concatenate((lines.start[rows], lines.start[rows + 1] - 1))]


def held(strokes: Strokes) -> Flags:
    """Which strokes are outlines that are cut through: what bridges hold; (m,)."""
    return np.asarray(strokes.outline & strokes.lines.closed & (strokes.lines.operation == Operation.CUT))


def bridges_of(machine: Machine, bridges: Bridges | None) -> Bridges:
    """The bridges asked for, or those the machine needs."""
    return bridges or (Bridges() if machine.hold_bridges else Bridges(count=0))


def bridge_positions(
    line: HeadedPath, bridges: Bridges, hinges: Points, within: float
) -> tuple[list[float], int]:
    """Find positions for the bridges of a closed line.

    Parameters
    ----------
    line
        One closed line.
    bridges
        What is asked for.
    hinges
        (k, 2) ends of folds, mm.
    within
        A fold this close to the line ends on it, mm.

    Returns
    -------
    positions, wanted
        Their middles, mm along the line in rising order, and how many were asked for.
    """
    length = float(reached(line)[-1])
    count = bridges.wanted(length)
    reach = bridges.width / 2.0 + bridges.clear
    shape = shapely.LineString(line.xy)
    spots = np.atleast_1d(np.asarray(shapely.points(hinges)))
    folds = shapely.line_locate_point(shape, spots[shapely.distance(spots, shape) <= within])
    barred = np.concatenate(([0.0, length], corner_positions(line), folds))
    free_from, positions = 0.0, []
    for k in range(count):
        low, high = k * length / count, (k + 1) * length / count
        spot = _nearest_free((low + high) / 2.0, max(low, free_from), high, barred, reach)
        if spot is not None:
            positions.append(spot)
            free_from = spot + 2.0 * bridges.width
    return positions, count


def _nearest_free(wish: float, low: float, high: float, barred: Points, reach: float) -> float | None:
    """The place nearest to the wished one that keeps its distance from all barred ones."""
    slack = 1.0 + 1e-9  # not a tolerance: rounding
    tried = np.concatenate(([wish], barred - reach * slack, barred + reach * slack))
    tried = tried[(tried >= low) & (tried <= high)]
    clear = np.abs(tried[:, None] - barred[None, :]).min(axis=1, initial=np.inf) >= reach
    tried = tried[clear]
    return float(tried[np.abs(tried - wish).argmin()]) if len(tried) else None


def cut_between(length: float, positions: list[float], width: float, overcut: float) -> Spans:
    """What is cut of a closed line with bridges.

    Parameters
    ----------
    length
        Of the line, mm.
    positions
        Middles of the bridges along it, mm, rising.
    width
        Of a bridge, mm.
    overcut
        How far the line runs past its start, mm.
    """
    begins = [0.0, *(p + width / 2.0 for p in positions)]
    ends = [*(p - width / 2.0 for p in positions), length + overcut]
    return list(zip(begins, ends, strict=True))


def too_few_bridges(lines: Lines, i: int, found: int, wanted: int) -> Findings:
    """Tell that an outline has no room for all its bridges.

    Parameters
    ----------
    lines, i
        The outline among them.
    found, wanted
        How many there are, and were to be.
    """
    if found >= wanted:
        return ()
    return (
        Finding.of(
            code="no-room-for-bridge",
            problem=f"an outline has room for {found} of {wanted} bridges away from corners and folds",
            fix="Ask for fewer or narrower bridges, or hold the sheet on a sticky mat.",
            places=(place_of(lines, i),),
            measure=float(found),
            limit=float(wanted),
            unit="bridges",
        ),
    )
