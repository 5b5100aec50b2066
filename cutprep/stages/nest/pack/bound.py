"""How many sheets are needed at least, whatever the layout: by area, by rectangles, by large copies that can't share one.

That no three copies fit is shown by cells: origins of copies lie in small squares, two squares agree when some shift
between them is outside the no-fit polygon, and where no three agree with each other, no three copies do. Bounds of
bin packing that count large items (S. Martello and P. Toth, "Lower bounds and reduction procedures for the bin packing
problem", Discrete Applied Mathematics 28, 1990, 59-70) rest on the same thought, with lengths in place of shapes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
import shapely

from cutprep.model.lines import Flags, Index
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.meter import CELLS
from cutprep.stages.nest.pack.rectangles import by_rectangles
from cutprep.stages.nest.pack.solver import Solver

#: Kinds larger than this share of the largest sheet are looked at pair by pair, and no more than so many.
_LARGE = 0.2
_MOST_KINDS = 6
#: Cells along the longer side of where an origin may lie, coarse to fine; and most cells in all poses.
_FINENESS = (4, 8, 16)
_MOST_CELLS = 1600


def fewest_sheets(solver: Solver, counts: Sequence[int]) -> int:
    """No layout needs fewer sheets than this."""
    least = max(1, by_area(solver, counts), by_rectangles(solver, counts), by_pairs(solver, counts))
    return max(least, by_threes(solver, counts, least))


def by_area(solver: Solver, counts: Sequence[int]) -> int:
    """Area of the copies widened by half the gap, over that of the largest sheet widened by the gap."""
    there = _largest(solver)
    needed = sum(n * solver.wide_area(demand) for demand, n in enumerate(counts) if n)
    return -int(-needed // there)


def by_pairs(solver: Solver, counts: Sequence[int]) -> int:
    """Copies of which no two can lie on one sheet, or 0 when there is nothing to show."""
    large = [k for k, n in enumerate(counts) if n and solver.wide_area(k) > _LARGE * _largest(solver)]
    if not large or len(large) > _MOST_KINDS:
        return 0
    for one, other in combinations_with_replacement(large, 2):
        if (one != other or counts[one] > 1) and _can_share(solver, one, other):
            return 0
    return sum(counts[k] for k in large)


def by_threes(solver: Solver, counts: Sequence[int], least: int = 0) -> int:
    """Half of the copies of which no three can lie on one sheet, or 0 when there is nothing to show.

    Parameters
    ----------
    least
        A bound that is known; what can't exceed it is not worked out.
    """
    large = [k for k, n in enumerate(counts) if n and solver.wide_area(k) > _LARGE * _largest(solver)]
    half = -(-sum(counts[k] for k in large) // 2)
    if half <= least or len(large) > 2:
        return 0
    sizes = range(len(solver.problem.usable_areas))
    return half if all(_no_three(solver, size, large) for size in sizes) else 0


@dataclass(frozen=True, slots=True, eq=False)
class _Squares:
    """Squares in which the origin of a copy may lie: of which copy, and where the first of them begins, mm."""

    demand: int
    pose: Pose
    corner: tuple[float, float]
    index: Index


def _no_three(solver: Solver, size: int, large: Sequence[int]) -> bool:
    """Whether cells show that no three of these copies fit on a sheet."""
    for across in _FINENESS:
        side, cells = _cells(solver, size, large, across)
        total = sum(len(some.index) for some in cells)
        if total > _MOST_CELLS:
            return False
        solver.meter.spend(CELLS * total * total)
        agree = np.zeros((total, total), bool)
        edges = np.concatenate(([0], np.cumsum([len(some.index) for some in cells]))).tolist()
        for i, one in enumerate(cells):
            for j, other in enumerate(cells):
                agree[edges[i] : edges[i + 1], edges[j] : edges[j + 1]] = _agree(solver, one, other, side)
        agree &= agree.T
        common = agree.astype(np.float32)
        if not ((common @ common > 0) & agree).any():
            return True
    return False


def _cells(solver: Solver, size: int, large: Sequence[int], across: int) -> tuple[float, list[_Squares]]:
    """The side of the squares, mm, and the squares of each copy in each pose."""
    board, regions = solver.board(size), []
    for demand in large:
        for pose in solver.problem.allowed[demand]:
            region = board.start(demand, pose)
            if not region.is_empty:
                regions.append((demand, pose, region))
    boxes = [region.bounds for _, _, region in regions]
    longest = max((max(right - left, top - bottom) for left, bottom, right, top in boxes), default=0.0)
    side = max(longest / across, 1.0)
    found = []
    for (demand, pose, region), (left, bottom, right, top) in zip(regions, boxes, strict=True):
        columns, rows = int((right - left) / side) + 1, int((top - bottom) / side) + 1
        index = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1).reshape(-1, 2)
        low = np.array([left, bottom]) + side * index
        there = shapely.intersects(region, shapely.box(*low.T, *(low + side).T))
        found.append(_Squares(demand, pose, (left, bottom), index[there]))
    return side, found


def _agree(solver: Solver, one: _Squares, other: _Squares, side: float) -> Flags:
    """Which squares of two copies hold origins a possible shift apart, (n, m)."""
    steps = other.index[None] - one.index[:, None]
    unlike, which = np.unique(steps.reshape(-1, 2), axis=0, return_inverse=True)
    middle = np.array(other.corner) - one.corner + side * unlike
    shifts = shapely.box(*(middle - side).T, *(middle + side).T)
    forbidden = solver.known.nofit.polygon(one.demand, one.pose, other.demand, other.pose)
    shapely.prepare(forbidden)
    return np.asarray(~shapely.covers(forbidden, shifts)[which.ravel()].reshape(steps.shape[:2]))


def _can_share(solver: Solver, one: int, other: int) -> bool:
    """Whether two copies fit on some sheet together: not all shifts between them lie in the no-fit polygon."""
    allowed = solver.problem.allowed
    for size in range(len(solver.problem.usable_areas)):
        board = solver.board(size)
        for pose in allowed[one]:
            for turned in allowed[other]:
                first, second = board.start(one, pose), board.start(other, turned)
                if first.is_empty or second.is_empty:
                    continue
                a, b = first.bounds, second.bounds
                shifts = shapely.box(b[0] - a[2], b[1] - a[3], b[2] - a[0], b[3] - a[1])
                if not solver.known.nofit.polygon(one, pose, other, turned).covers(shifts):
                    return True
    return False


def _largest(solver: Solver) -> float:
    return max((r.extent[0] + r.gap) * (r.extent[1] + r.gap) for r in solver.problem.usable_areas)
