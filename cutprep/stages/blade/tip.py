"""Where the tip of a drag knife runs for a given pivot path.

Integrated from the kinematics alone; how the path was planned plays no part here, so that what
is read back from a machine file can be judged by it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from cutprep.errors import ReadbackError
from cutprep.geometry.closeness.farthest import farthest
from cutprep.model.lines import Index, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import WORKED, Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine, Tool
from cutprep.profile.ways import find_way
from cutprep.stages.blade.broken import bridges_of, held
from cutprep.stages.blade.cutting import USUAL, Cutting, pattern_of
from cutprep.stages.blade.followed import TipsFollowed

#: Samples on the tip's path lie this part of the offset apart while the blade turns.
_FINENESS = 6.0
#: Moves whose tip is followed together: as many points as a few MB hold.
_MOVES_AT_ONCE = 2000
#: Points on a wanted line are looked at this far apart, mm: a tip that was down all along can't
#: have left out anything short, one that was lifted can.
_APART, _APART_IN_DASHES = 1.0, 0.1
#: Vertices of a file that are this near to the place sought, beyond the nearest, are as good, mm.
_SAME_PLACE = 0.02
_NOTHING: Points = np.empty((0, 2))
#: Blades that stand this little beside their line (mm at the tip) are not sampled on the way.
_STILL = 5e-4  # not a tolerance: fineness of sampling
#: Beyond this many offsets of straight pull the blade has aligned itself (to exp(-10)).
_SETTLED = 10.0


def headings(pivot: Points, offset: float, heading: float | None = None) -> Points:
    """Heading of the blade at every vertex of a pivot path.

    Parameters
    ----------
    pivot
        (n, 2) vertices, mm.
    offset
        Distance from pivot to tip, above 0, mm.
    heading
        Of the blade at the start, radians; None: it already points along the first move.

    Returns
    -------
    (n,) ndarray of float
        Radians.

    References
    ----------
    d(phi)/ds = sin(alpha - phi)/e; on a straight pull tan(b/2) = tan(b0/2) exp(-s/e) with
    b = alpha - phi, a tractrix (Huygens 1692).
    """
    way, length = _ways(np.diff(pivot, axis=0))
    return np.array(_turned(way, length, offset, heading))


def _ways(step: Points) -> tuple[list[float], list[float]]:
    """Direction of each step, radians, and its length, mm."""
    return np.arctan2(step[:, 1], step[:, 0]).tolist(), np.hypot(step[:, 0], step[:, 1]).tolist()


def _turned(way: list[float], length: list[float], offset: float, heading: float | None) -> list[float]:
    """Heading of the blade before each of some moves, and after the last; see `headings`."""
    first = next((w for w, d in zip(way, length, strict=True) if d > 0), 0.0)
    phi = first if heading is None else heading
    result = [phi]
    for alpha, d in zip(way, length, strict=True):
        if d > 0:
            half = math.remainder(alpha - phi, math.tau) / 2.0
            phi = alpha - 2.0 * math.atan(math.tan(half) * math.exp(-d / offset))
        result.append(phi)
    return result


def tip_samples(begin: Points, end: Points, phi: Points, offset: Points) -> tuple[Points, Index]:
    """Points of the tip's path during straight moves.

    Parameters
    ----------
    begin, end
        (k, 2) of the pivot, mm.
    phi, offset
        (k,) heading of the blade at the start of each, radians, and its offset, mm.

    Returns
    -------
    points, move
        (n, 2) mm, up to the end of each move, and the move that each belongs to.
    """
    step = end - begin
    length = np.hypot(*step.T)
    way = np.arctan2(step[:, 1], step[:, 0])
    beside = np.where(length > 0, np.remainder(way - phi + np.pi, 2.0 * np.pi) - np.pi, 0.0)
    way = phi + beside
    lively = np.where(offset * np.abs(beside) > _STILL, np.minimum(length, _SETTLED * offset), 0.0)
    count = np.ceil(lively * _FINENESS / np.where(offset > 0, offset, 1.0)).astype(np.int64) + 1
    move = np.repeat(np.arange(len(step)), count)
    j = np.arange(len(move)) - np.repeat(np.cumsum(count) - count, count)
    # The last sample of each move is its end; the others share the lively stretch.
    last = j == count[move] - 1
    s = np.where(last, length[move], lively[move] * (j + 1) / np.maximum(count[move] - 1, 1))
    e = offset[move]
    decay = np.exp(-s / np.where(e > 0, e, 1.0))
    turned = way[move] - 2.0 * np.arctan(np.tan(beside[move] / 2.0) * decay)
    unit = step / np.where(length > 0, length, 1.0)[:, None]
    at = begin[move] + unit[move] * s[:, None]
    return at - e[:, None] * np.column_stack((np.cos(turned), np.sin(turned))), move


def blade_error(
    moves: Moves,
    strokes: Strokes,
    machine: Machine,
    cutting: Cutting = USUAL,
    *,
    planned: Moves | None = None,
) -> Points:
    """Greatest distance between the tip's path and the wanted line, stroke by stroke.

    Parameters
    ----------
    moves, strokes, machine, cutting, planned
        As for `follow_tips`.

    Returns
    -------
    (m,) ndarray of float
        mm; infinite for a stroke that is never worked, 0 for one that needs no tool.

    Raises
    ------
    ReadbackError
        When the plan lowers the tool more or less often than the moves do.
    """
    return follow_tips(moves, strokes, machine, cutting, planned=planned).error


def follow_tips(
    moves: Moves,
    strokes: Strokes,
    machine: Machine,
    cutting: Cutting = USUAL,
    *,
    planned: Moves | None = None,
    before: TipsFollowed | None = None,
) -> TipsFollowed:
    """Follow the tip through all moves, and find how far it strays from the wanted lines, stroke by stroke.

    Both ways: nothing is cut beside the line, and nothing of the line is left uncut but what is
    meant to be. A knife that is turned before its first stroke is taken to start 120 degrees off.

    Parameters
    ----------
    moves
        What the machine will do, planned or read back from its file.
    strokes
        What was wanted.
    machine
        Whose tools work it.
    cutting
        As for `compensate`.
    planned
        The plan that `moves` were read back from: it tells which stroke each pen-down run of the
        tool belongs to. None: `moves.stroke` tells.
    before
        What other moves did for the same strokes: where the tip goes the same way, its error is known.

    Raises
    ------
    ReadbackError
        When the plan lowers the tool more or less often than the moves do.
    """
    runs: list[list[slice]] = [[] for _ in range(len(strokes))]
    followed = _runs(moves, planned)
    for rows, stroke in followed:
        if 0 <= stroke < len(runs):
            runs[stroke].append(rows)
    phi, offset = _held(moves, followed, _offsets(followed, moves, strokes, machine, cutting), before)
    error = np.zeros(len(strokes))
    found = TipsFollowed(error, moves.path, phi, offset, tuple(map(tuple, runs)))
    left = np.isin(strokes.lines.operation, WORKED)
    if before is not None:
        known = np.array([found.is_same(before, i) for i in range(len(strokes))], bool)
        error[known], left = before.error[known], left & ~known
    gaps = _gaps(strokes, machine, cutting)
    for block in _blocks(runs, np.flatnonzero(left)):
        tips = _tips(moves, [runs[i] for i in block], phi, offset)
        wanted = [strokes.lines.points(i) for i in block]
        beside = farthest(
            [np.concatenate(paths) if paths else _NOTHING for paths in tips], [[w] for w in wanted]
        )
        # The middle of a gap is half of it away from the cuts beside it.
        close = [_APART if len(paths) < 2 else _APART_IN_DASHES for paths in tips]
        uncut = farthest(list(map(_sampled, wanted, close)), tips) - gaps[block] / 2.0
        error[block] = np.maximum(beside, uncut)
    return found


def _blocks(runs: list[list[slice]], strokes: Index) -> Iterator[list[int]]:
    """Strokes that are looked at together: the tip of a knife leaves some sixty points a move."""
    block: list[int] = []
    held = 0
    for stroke in strokes.tolist():
        block.append(stroke)
        held += sum(part.stop - part.start for part in runs[stroke])
        if held >= _MOVES_AT_ONCE:
            yield block
            block, held = [], 0
    if block:
        yield block


def _offsets(
    runs: list[tuple[slice, int]], moves: Moves, strokes: Strokes, machine: Machine, cutting: Cutting
) -> list[float]:
    """Offset of the blade in each pen-down run, mm; one that is turned before a stroke is turned as for it."""
    figures = cutting.figures(strokes.lines)
    offsets: list[float] = []
    ahead = -1
    for rows, stroke in reversed(runs):
        ahead = stroke if stroke >= 0 else ahead
        tool = machine.tool_numbered(int(moves.tool[rows.start]))
        own = figures[ahead].offset if 0 <= ahead < len(figures) else None
        offsets.append(_offset(tool, cutting.offset if own is None else own))
    return offsets[::-1]


def _held(
    moves: Moves, runs: list[tuple[slice, int]], offsets: list[float], before: TipsFollowed | None
) -> tuple[Points, Points]:
    """Heading of the blade at the begin of each move, radians, and its offset, mm; it keeps its heading while up."""
    path, known = moves.path, dict[int, float]()
    way, length = _ways(np.diff(path, axis=0))
    phi, offset = np.zeros(len(moves)), np.zeros(len(moves))
    turns: Counter[int] = Counter()
    for (rows, stroke), e in zip(runs, offsets, strict=True):
        number, turn = int(moves.tool[rows.start]), turns[stroke]
        turns[stroke] += 1
        if e <= 0:
            continue
        heading = known.get(number)
        if heading is None and stroke < 0:
            heading = float(headings(path[rows.start : rows.start + 2], e)[0]) + math.radians(120.0)
        done = (
            None
            if before is None or heading is None
            else before.turned(stroke, turn, path[rows.start : rows.stop + 1], heading, e)
        )
        if done is not None:
            phi[rows] = done
            last = rows.stop - 1
            known[number] = _turned(way[last : last + 1], length[last : last + 1], e, float(done[-1]))[-1]
        else:
            found = _turned(way[rows], length[rows], e, heading)
            phi[rows], known[number] = found[:-1], found[-1]
        offset[rows] = e
    return phi, offset


def _tips(moves: Moves, runs: list[list[slice]], phi: Points, offset: Points) -> list[list[Points]]:
    """Paths of the tip for each of some strokes."""
    kept = [rows for own in runs for rows in own]
    if not kept:
        return [[] for _ in runs]
    index = np.concatenate([np.arange(rows.start, rows.stop) for rows in kept])
    end, phi, offset = moves.xy[index], phi[index], offset[index]
    begin = np.where((index > 0)[:, None], moves.xy[index - 1], moves.home)
    first = begin - offset[:, None] * np.column_stack((np.cos(phi), np.sin(phi)))
    points, move = tip_samples(begin, end, phi, offset)
    edge = np.searchsorted(move, np.arange(len(index) + 1)).tolist()
    tips: list[list[Points]] = []
    at = 0
    for own in runs:
        tips.append([])
        for rows in own:
            to = at + rows.stop - rows.start
            tips[-1].append(np.vstack((first[at], points[edge[at] : edge[to]])))
            at = to
    return tips


def _offset(tool: Tool | None, blade_offset: float | None) -> float:
    """Offset of a tool, with the one asked for in place of a knife's own."""
    if tool is None:
        return 0.0
    return blade_offset if blade_offset is not None and tool.kind == "knife" else tool.offset


def _gaps(strokes: Strokes, machine: Machine, cutting: Cutting) -> Points:
    """Longest stretch of each stroke that is left uncut on purpose, mm."""
    operations = [Operation(code) for code in np.unique(strokes.lines.operation).tolist() if code in WORKED]
    gaps = np.zeros(len(strokes))
    for operation in operations:
        if find_way(machine, operation).broken:
            gaps[strokes.lines.operation == operation] = pattern_of(operation, cutting.perforation).gap
    bridges = bridges_of(machine, cutting.bridges)
    return np.where(held(strokes) & (bridges.count != 0), bridges.width, gaps)


def _runs(moves: Moves, planned: Moves | None) -> list[tuple[slice, int]]:
    """Stretches with the tool down, and the stroke each one works."""
    found = _pen_down_runs(moves)
    if planned is None:
        return [(part, int(moves.stroke[part.start])) for rows in found for part in _by_stroke(moves, rows)]
    wanted = _pen_down_runs(planned)
    if len(wanted) != len(found):
        raise ReadbackError(
            f"the file lowers the tool {len(found)} times, and the plan {len(wanted)} times",
            fix="Prepare the job again; if that happens again, please report it with the drawing.",
        )
    return [
        (part, int(planned.stroke[plan.start]))
        for rows, whole in zip(found, wanted, strict=True)
        for part, plan in _matched(moves, rows, planned, _by_stroke(planned, whole))
    ]


def _by_stroke(moves: Moves, rows: slice) -> list[slice]:
    """Parts of a pen-down run that work one stroke each."""
    turns = (rows.start + 1 + np.flatnonzero(np.diff(moves.stroke[rows]))).tolist()
    return [slice(a, b) for a, b in pairwise([rows.start, *turns, rows.stop])]


def _matched(moves: Moves, rows: slice, planned: Moves, plans: list[slice]) -> Iterator[tuple[slice, slice]]:
    """Divide a pen-down run of the file where the plan goes over from stroke to stroke."""
    start = rows.start
    for plan in plans[:-1]:
        # The strokes behind need a move each; a file may leave out a move of no length.
        start = min(start, rows.stop - 1)
        left = moves.xy[start : max(rows.stop - 1, start + 1)]
        off = np.hypot(*(left - planned.xy[plan.stop - 1]).T)
        near = np.flatnonzero(off <= off.min() + _SAME_PLACE)
        stop = start + int(near[0]) + 1
        yield slice(start, stop), plan
        start = stop
    yield slice(min(start, rows.stop - 1), rows.stop), plans[-1]


def _pen_down_runs(moves: Moves) -> list[slice]:
    step = np.diff(moves.down.astype(np.int8), prepend=np.int8(0), append=np.int8(0))
    return [
        slice(a, b)
        for a, b in zip(np.flatnonzero(step > 0).tolist(), np.flatnonzero(step < 0).tolist(), strict=True)
    ]


def _sampled(line: Points, apart: float) -> Points:
    """A line's vertices, and points on it no further apart than that."""
    step = np.diff(line, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    if not (length > apart).any():
        return line
    count = np.maximum(np.ceil(length / apart), 1).astype(np.int64)
    row = np.repeat(np.arange(len(step)), count)
    share = (np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)) / count[row]
    return np.vstack((line[row] + step[row] * share[:, None], line[-1:]))
