"""What is to be ordered: the worked lines of a sheet with everything that binds their order."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.placed import Placed
from cutprep.model.lines import Flags, Index, Lines, Sources
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.join import join, kinds
from cutprep.stages.order.entry.points import LineEnds
from cutprep.stages.order.entry.stages import OUTLINES, stage
from cutprep.stages.order.tour import engine
from cutprep.stages.order.tour.instance import EngineError
from cutprep.stages.order.tour.plain import is_order
from cutprep.stages.order.tour.values import MICRO
from cutprep.tolerance import Tolerance

_STAGES = OUTLINES + 1


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Lines to be ordered; all columns have one entry a line.

    Attributes
    ----------
    lines
        Worked lines, those that carry on straight joined.
    drawn
        Worked lines as they were drawn.
    stage
        (m,) ndarray of int16: stage number; counted through copy by copy when each is finished.
    rank
        (m,) ndarray of int64: work goes by rising rank.
    part, outline, copy
        Placed part, whether the line is its outline, and the placement it belongs to.
    inside, ring
        (p,) ndarray of int64: the cut `inside` lies in the closed cut `ring`.
    joined, reverse
        (d,) ndarray: for each line as drawn the line it became part of, and whether it runs backwards there.
    drawn_outline, drawn_within
        Outline flags, and `inside` and `ring`, of the lines as drawn.
    home
        Where the tool starts and ends, mm.
    touch
        A mark that comes this near a cut touches it, mm.
    """

    lines: Lines
    drawn: Lines
    stage: NDArray[np.int16]
    rank: Index
    part: Sources
    outline: Flags
    copy: Sources
    inside: Index
    ring: Index
    joined: Index
    reverse: Flags
    drawn_outline: Flags
    drawn_within: tuple[Index, Index]
    home: tuple[float, float]
    touch: float

    def __len__(self) -> int:
        return len(self.lines)


def task_from(placed: Placed, home: tuple[float, float], *, by_copy: bool, tolerance: Tolerance) -> Task:
    """Gather what is to be ordered.

    Parameters
    ----------
    placed
        The lines of a sheet as they lie.
    home
        Where the tool starts and ends, mm.
    by_copy
        Finish one copy after the other.
    tolerance
        Its `zero` is what counts as one point.
    """
    staged = stage(placed)
    drawn = placed.lines.take(staged.rows)
    part, outline = placed.part[staged.rows], placed.outline[staged.rows]
    copy = placed.placement[staged.rows]
    kind = kinds(drawn.operation, drawn.fold, part, outline, copy, staged.rank)
    joined = join(drawn, kind, tolerance.zero)
    lead = joined.lead
    pairs = np.unique(np.column_stack((joined.of[staged.inside], joined.of[staged.ring])), axis=0)
    task = Task(
        lines=joined.lines,
        drawn=drawn,
        stage=staged.stage[lead].astype(np.int16),
        rank=_dense(staged.rank[lead]),
        part=part[lead],
        outline=outline[lead],
        copy=copy[lead],
        inside=pairs[:, 0],
        ring=pairs[:, 1],
        joined=joined.of,
        reverse=joined.reverse,
        drawn_outline=outline,
        drawn_within=(staged.inside, staged.ring),
        home=home,
        touch=tolerance.coincide,
    )
    return _copy_by_copy(task) if by_copy else task


def _dense(values: Index) -> Index:
    return np.asarray(np.unique(values, return_inverse=True)[1], np.int64)


def precedence(task: Task) -> dict[tuple[int, int], str]:
    """Say what must come before what, from containment and touch.

    A cut comes before the ring around it, every line of a part before the part's outline, and
    whatever is drawn, scored, perforated or part-cut before a cut that it touches.

    Returns
    -------
    dict
        (line, a line after it) to why.
    """
    bonds = dict.fromkeys(zip(task.inside.tolist(), task.ring.tolist(), strict=True), "lies inside")
    last = task.outline & (task.part >= 0)
    outlines: dict[int, list[int]] = {}
    for i in np.flatnonzero(last).tolist():
        outlines.setdefault(int(task.part[i]), []).append(i)
    for i in np.flatnonzero(~last & (task.part >= 0)).tolist():
        bonds |= {(i, o): "on the part" for o in outlines.get(int(task.part[i]), ())}
    before, after = _touching(task.lines, task.touch)
    return bonds | dict.fromkeys(zip(before.tolist(), after.tolist(), strict=True), "touches the cut")


def _touching(lines: Lines, within: float) -> tuple[Index, Index]:
    """Lines that don't part the card, and the cuts that they touch."""
    cut = lines.operation == Operation.CUT
    cuts, marks = np.flatnonzero(cut), np.flatnonzero(~cut)
    if not (len(cuts) and len(marks)):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    shapes = [shapely.LineString(lines.points(i)) for i in range(len(lines))]
    tree = shapely.STRtree([shapes[i] for i in cuts])
    near = [shapes[i] for i in marks]
    one, two = tree.query(near, predicate="dwithin", distance=within)
    return marks[one], cuts[two]


def _copy_by_copy(task: Task) -> Task:
    """Rank copies one after the other: short travel between them, nested ones first."""
    position = _copy_order(task)[task.copy]
    width = int(task.rank.max(initial=0)) + 1
    return replace(
        task,
        stage=(position * _STAGES + task.stage).astype(np.int16),
        rank=_dense(position * width + task.rank),
    )


def _copy_order(task: Task) -> Index:
    """Place of each copy in the work; the last entry (index -1) is for shared cuts, which wait."""
    import networkx as nx

    copies = int(task.copy.max(initial=-1)) + 1
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(copies))
    a, b = task.copy[task.inside], task.copy[task.ring]
    other = (a != b) & (a >= 0) & (b >= 0)
    graph.add_edges_from(zip(a[other].tolist(), b[other].tolist(), strict=True))
    position = np.zeros(copies, np.int64)
    if copies:
        position[_round_trip(task, copies)] = np.arange(copies)
    groups = nx.condensation(graph)
    members = {
        g: sorted(data["members"], key=lambda c: int(position[c])) for g, data in groups.nodes(data=True)
    }
    result = np.full(copies + 1, copies, np.int64)
    count = 0
    for group in nx.lexicographical_topological_sort(groups, key=lambda g: int(position[members[g][0]])):
        for copy in members[group]:
            result[copy] = count
            count += 1
    return result


def _round_trip(task: Task, copies: int) -> Index:
    """Copies in the order of a short tour through their middles."""
    low, high = np.full((copies, 2), np.inf), np.full((copies, 2), -np.inf)
    owner = np.repeat(task.copy, task.lines.counts)
    inside = owner >= 0
    np.minimum.at(low, owner[inside], task.lines.xy[inside])
    np.maximum.at(high, owner[inside], task.lines.xy[inside])
    empty = ~np.isfinite(low).all(axis=1)
    low[empty] = high[empty] = task.home
    middle = np.rint((low + high) / 2 * MICRO).astype(np.int64)
    home = (round(task.home[0] * MICRO), round(task.home[1] * MICRO))
    ends = LineEnds(middle, middle, np.zeros(copies, np.int64), home)
    try:
        order = engine.improve(ends, None, kicks=60 * copies, seed=0, threshold=1.0)[0]
    except EngineError:  # the search after this one tells of it
        return np.arange(copies)
    return order if is_order(order, np.zeros(copies, np.int64)) else np.arange(copies)
