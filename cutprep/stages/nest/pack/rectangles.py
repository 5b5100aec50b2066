"""How many sheets rectangles need at least, by dual feasible functions.

A function f on [0, 1] is dual feasible when lengths that sum up to 1 at most have values that do. For two of them the
sum of f(width) g(height) over rectangles, each in sheets, is a bound for the number of sheets (S. P. Fekete and J. Schepers, "A
general framework for bounds for higher-dimensional orthogonal packing problems", Mathematical Methods of Operations
Research 60, 2004, 311-329); it holds the bound L2 of S. Martello and D. Vigo ("Exact solution of the two-dimensional
finite bin packing problem", Management Science 44, 1998, 388-399) for pieces that are not turned. A piece that may be
turned counts with what it counts least. Other shapes are left out, which keeps the bound true.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.nest.item.shape import box_at, fills_its_box
from cutprep.stages.nest.pack.solver import Solver

_Weigh: TypeAlias = Callable[[Points], Points]

#: Parts into which the functions that round divide a sheet; and thresholds that are taken from the pieces.
_PARTS, _THRESHOLDS = range(1, 8), 12
#: Lengths are taken a little shorter, and the sum lower, than rounding could make them.
_SHORTER = 1e-9  # not a tolerance: shares of a sheet have fifteen digits


def by_rectangles(solver: Solver, counts: Sequence[int]) -> int:
    """Sheets that the rectangles among the copies need at least; 0 when there is none.

    Of two rectangles the gap apart, one is at least the gap over the root of 2 beside or above the other: so much
    larger they still don't overlap.
    """
    usable = solver.problem.usable_areas
    more = min(area.gap for area in usable) / math.sqrt(2)
    sheet = np.array([max(area.extent[side] for area in usable) + more for side in (0, 1)])
    kinds = [k for k, count in enumerate(counts) if count and _is_rectangle(solver, k)]
    if not kinds:
        return 0
    ways = [_sides(solver, k) for k in kinds]
    sides = np.array([[own[0], own[-1]] for own in ways])  # (kinds, ways, 2), mm
    share = np.clip((sides + more) / sheet - _SHORTER, 0.0, 1.0)
    number = np.array([counts[k] for k in kinds])
    across, upward = ([weigh(share[..., side]) for weigh in _functions(share)] for side in (0, 1))
    sums = [float(number @ (a * b).min(axis=1)) for a in across for b in upward]
    return math.ceil(max(sums) - _SHORTER * float(number.sum()))


def _is_rectangle(solver: Solver, demand: int) -> bool:
    """Whether a copy is an upright rectangle in every pose, without a window that holds others."""
    shape, poses = solver.problem.shapes[demand], solver.problem.allowed[demand]
    open_inside = solver.problem.nesting.windows and shape.body.area < shape.solid.area
    return not open_inside and all(fills_its_box(shape, pose) for pose in poses)


def _sides(solver: Solver, demand: int) -> list[tuple[float, float]]:
    """Width and height of a rectangle in its poses: two at most that differ, mm."""
    shape = solver.problem.shapes[demand]
    boxes = (box_at(shape, pose) for pose in solver.problem.allowed[demand])
    return sorted({(round(right - left, 6), round(top - bottom, 6)) for left, bottom, right, top in boxes})


def _functions(share: Points) -> list[_Weigh]:
    """Dual feasible functions: the length itself, rounding to parts, and leaving out what is short."""
    short = np.unique(share[share <= 0.5])[::-1][:_THRESHOLDS]
    return [lambda x: x, *map(_rounding, _PARTS), *map(_leaving_out, short.tolist())]


def _rounding(parts: int) -> _Weigh:
    """Rounded down to parts of which one more make a whole: u of Fekete and Schepers; lengths here are never such parts."""
    return lambda x: np.floor((parts + 1) * x) / parts


def _leaving_out(least: float) -> _Weigh:
    """Nothing for what is shorter, all for what leaves no room for it: U of Fekete and Schepers."""
    return lambda x: np.where(x > 1 - least, 1.0, np.where(x < least, 0.0, x))
