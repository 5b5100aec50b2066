"""How many sheets are needed at least, whatever the layout: by area, and by copies that can't share a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations_with_replacement

import shapely

from cutprep.stages.nest.pack.solver import Solver

#: Kinds larger than this share of the largest sheet are looked at pair by pair, and no more than so many.
_LARGE = 0.2
_MOST_KINDS = 6


def fewest_sheets(solver: Solver, counts: Sequence[int]) -> int:
    """No layout needs fewer sheets than this."""
    return max(1, by_area(solver, counts), by_pairs(solver, counts))


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
