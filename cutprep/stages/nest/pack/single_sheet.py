"""One sheet: as many copies as it holds, a given set of copies, or the last few kept together."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, moved, used_box
from cutprep.stages.nest.item.shape import fills_its_box
from cutprep.stages.nest.pack.five_blocks import five_blocks
from cutprep.stages.nest.pack.greedy import Board, Pull, fill
from cutprep.stages.nest.pack.grid import grid_pattern
from cutprep.stages.nest.pack.irregular import Attempt, pack
from cutprep.stages.nest.pack.lattice import lattice_packing
from cutprep.stages.nest.pack.problem import Problem
from cutprep.stages.nest.pack.search import Budget, by_area, improve, quick_fill

#: A sheet may be filled denser than the densest lattice by this factor; sets beyond are not tried.
_BEYOND = 1.03
#: Copies beyond this many are not searched for one by one; the lattice is as good there.
_MANY = 150
#: Work of the short search that every single-template pattern gets, whatever the effort.
_SHORT = 1_500
#: What fills its box by this share interlocks no better than boxes do; the packer is not asked.
_NEARLY = 0.97


def fullest(problem: Problem, size: int, demand: int) -> Pattern:
    """The pattern of one demand that holds most copies, by the methods that take no search."""
    key = (size, demand)
    if key not in problem.full:
        board = problem.board(size)
        best = grid(problem, size, demand)
        shape, allowed = problem.shapes[demand], problem.allowed[demand]
        for pattern in (
            five_blocks(demand, shape, allowed, board.usable),
            lattice_packing(board, demand),
        ):
            best = _more(problem, size, best, topped_up(board, pattern, demand))
        if len(best) <= _MANY:
            counts = _only(problem, demand, _most(problem, size, demand))
            placements = improve(
                board, counts, quick_fill(board, counts), problem.stream(), Budget(_SHORT), lambda _: False
            )
            best = _more(problem, size, best, Pattern(tuple(placements), "placed one by one"))
        problem.full[key] = best
    return problem.full[key]


def grid(problem: Problem, size: int, demand: int) -> Pattern:
    """The plain grid of one demand."""
    key = (size, demand)
    if key not in problem.grids:
        pattern = grid_pattern(
            demand, problem.shapes[demand], problem.allowed[demand], problem.usable_areas[size]
        )
        problem.grids[key] = problem.proved(size, pattern) if pattern else pattern
    return problem.grids[key]


def topped_up(board: Board, pattern: Pattern, demand: int) -> Pattern:
    """Add copies where a regular pattern has left room at the edges."""
    if not pattern:
        return pattern
    trial = board.fresh()
    trial.placements = list(pattern.placements)
    fill(trial, [demand] * (len(pattern) + 8), Pull(225.0))
    if len(trial.placements) == len(pattern):
        return pattern
    return Pattern(tuple(trial.placements), f"{pattern.method}, filled up at the edges")


def mixed(problem: Problem, size: int, counts: Sequence[int]) -> Pattern:
    """Fill a sheet with as much area as it holds of several demands."""
    board = problem.board(size)
    capped = [min(count, _most(problem, size, demand)) for demand, count in enumerate(counts)]
    placements = quick_fill(board, capped)
    if problem.effort.search:
        budget = Budget(problem.effort.search)
        placements = improve(
            board, capped, placements, problem.stream(), budget, lambda s: len(s) == sum(capped)
        )
    return problem.proved(size, Pattern(tuple(placements), "placed one by one"))


def reach(
    problem: Problem, size: int, counts: Sequence[int], start: Sequence[PatternPlacement] = ()
) -> Pattern:
    """Try to place exactly these copies on one sheet: by the search, then by the packer.

    Returns
    -------
    Pattern
        Empty when they don't fit, or were not found to.
    """
    key = (size, tuple(counts))
    if not may_fit(problem, size, counts) or not problem.effort.search:
        return Pattern((), "")
    if key not in problem.tried:
        problem.tried[key] = _reached(problem, size, counts, start)
    return problem.tried[key]


def _reached(
    problem: Problem, size: int, counts: Sequence[int], start: Sequence[PatternPlacement]
) -> Pattern:
    total, board = sum(counts), problem.board(size)
    budget = Budget(problem.effort.search)
    placements = improve(board, counts, start, problem.stream(), budget, lambda s: len(s) >= total)
    if len(placements) >= total:
        pattern = problem.proved(size, Pattern(tuple(placements), "placed one by one, searched"))
        if pattern:
            return pattern
    return _packed(problem, size, counts)


def _packed(problem: Problem, size: int, counts: Sequence[int]) -> Pattern:
    demands = [demand for demand, count in enumerate(counts) if count]
    if len(demands) == 1 and fills_its_box(
        problem.shapes[demands[0]], problem.allowed[demands[0]][0], _NEARLY
    ):
        return Pattern((), "")
    for attempt in range(problem.effort.attempts):
        seed = (problem.nesting.seed + attempt) % 2**32
        result = pack(
            problem.board(size),
            counts,
            seed=seed,
            tries=problem.effort.tries,
            reports=problem.effort.reports,
            far=problem.effort.far,
            progress=problem.progress,
        )
        if result.placements:
            words = f"packed irregularly (seed {seed}, {result.reports} steps)"
            return problem.proved(size, Pattern(result.placements, words))
        if not _tell_failure(problem, result):
            break
    return Pattern((), "")


def _tell_failure(problem: Problem, result: Attempt) -> bool:
    """Note a packer that broke down or ran out of time; say whether another try makes sense."""
    if result.failed:
        problem.note(f"the irregular packer gave up ({result.why}); the other methods were used")
    elif result.why == "time used up":
        problem.note("the irregular packer was stopped by time, so another run may differ")
    return not result.failed and result.reports > 0


def compact(problem: Problem, size: int, counts: Sequence[int], known: Sequence[Pattern]) -> Pattern:
    """Place the last copies so that they use the least of the sheet, up to the furthest edge used.

    Parameters
    ----------
    known
        Patterns whose first copies from below or from the left are tried as well.

    Returns
    -------
    Pattern
        Empty when the copies don't fit on one sheet.
    """
    board, total = problem.board(size), sum(counts)
    trials = [_nearest_few(problem, size, pattern, counts, axis) for pattern in known for axis in (0, 1)]
    for pull in (Pull(270.0), Pull(180.0), Pull(270.0, 0.5), Pull(180.0, 0.5)):
        trial = board.fresh()
        fill(trial, by_area(board, counts), pull)
        trials.append(Pattern(tuple(trial.placements), "placed one by one"))
    whole = [pattern for pattern in trials if len(pattern) == total]
    for pattern in sorted(whole, key=lambda p: used_area(problem, size, p)):
        if problem.proved(size, pattern):
            return pattern
    return Pattern((), "")


def used_area(problem: Problem, size: int, pattern: Pattern) -> float:
    """Area of the sheet up to the furthest edge used, in the better of the two directions, mm2."""
    _, _, right, top = used_box(pattern, problem.shapes)
    sheet = problem.usable_areas[size].size
    return round(min(right * sheet.height, top * sheet.width), 3)


def may_fit(problem: Problem, size: int, counts: Sequence[int]) -> bool:
    """Whether the area of the copies, widened by half the gap, leaves any hope.

    A sheet is hardly ever filled denser than the whole plane is by the densest lattice.
    """
    usable = problem.usable_areas[size]
    width, height = usable.extent
    there = (width + usable.gap) * (height + usable.gap)
    demands = [demand for demand, count in enumerate(counts) if count]
    densest = max((_densest(problem, size, demand) for demand in demands), default=1.0)
    return sum(counts[demand] * _wide_area(problem, demand) for demand in demands) <= densest * there


def _densest(problem: Problem, size: int, demand: int) -> float:
    cell = problem.board(size).cells.get(demand)
    dense = 1.0 if cell is None else _BEYOND * _wide_area(problem, demand) / cell
    return min(dense, 1.0)


def fewest_sheets(problem: Problem, counts: Sequence[int]) -> int:
    """No layout needs fewer sheets than this, by area."""
    there = max((r.extent[0] + r.gap) * (r.extent[1] + r.gap) for r in problem.usable_areas)
    needed = sum(n * _wide_area(problem, demand) for demand, n in enumerate(counts))
    return max(1, -int(-needed // there))


def _wide_area(problem: Problem, demand: int) -> float:
    shape, gap = problem.shapes[demand], problem.nofit.gap
    taken = shape.body if problem.nesting.windows else shape.solid
    return float(shapely.area(shapely.buffer(taken, gap / 2, quad_segs=4)))


def _most(problem: Problem, size: int, demand: int) -> int:
    """More copies than this can't lie on a sheet."""
    width, height = problem.usable_areas[size].extent
    gap = problem.usable_areas[size].gap
    return int((width + gap) * (height + gap) / _wide_area(problem, demand)) + 1


def _only(problem: Problem, demand: int, count: int) -> list[int]:
    return [count if i == demand else 0 for i in range(len(problem.demands))]


def _more(problem: Problem, size: int, best: Pattern, other: Pattern) -> Pattern:
    """The pattern with more copies, if it is right."""
    if len(other) <= len(best):
        return best
    return problem.proved(size, other) or best


def _nearest_few(problem: Problem, size: int, pattern: Pattern, counts: Sequence[int], axis: int) -> Pattern:
    """Those copies of a pattern that reach least far up (axis 1) or to the right (axis 0)."""
    board = problem.board(size)
    far = {
        placement: (placement.x, placement.y)[axis] + board.box(placement.demand, placement.pose)[2 + axis]
        for placement in pattern.placements
    }
    rest, kept = list(counts), []
    for placement in sorted(pattern.placements, key=lambda s: (round(far[s], 6), s.x, s.y)):
        if rest[placement.demand]:
            rest[placement.demand] -= 1
            kept.append(placement)
    return _to_corner(problem, size, Pattern(tuple(kept), pattern.method))


def _to_corner(problem: Problem, size: int, pattern: Pattern) -> Pattern:
    """Push all copies together to the lower left, unless there are areas to keep out of."""
    usable = problem.usable_areas[size]
    if usable.keep_out or not pattern:
        return pattern
    left, bottom, _, _ = used_box(pattern, problem.shapes)
    return moved(pattern, usable.box[0] - left, usable.box[1] - bottom)
