"""Patterns to sheets: which pattern is laid how many times, on which size of sheet.

A *pattern run* is a pattern with the number of equal sheets it is used for. Sheets are filled in
turn: the pattern that suits what is still wanted is found once and used for as many equal sheets
as it can be; the last copies are kept together on the smallest sheet that holds them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

import numpy as np

from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.pack.greedy import Board
from cutprep.stages.nest.pack.single_sheet import (
    compact,
    fullest,
    grid,
    may_fit,
    mixed,
    most_by_area,
    reach,
    used_area,
)
from cutprep.stages.nest.pack.solver import Solver


@dataclass(frozen=True, slots=True)
class PatternRun:
    """Equal sheets: size, pattern, how many."""

    size: int
    pattern: Pattern
    times: int


@dataclass(frozen=True, slots=True)
class Layout:
    """All pattern runs, and the copies that found no sheet."""

    runs: tuple[PatternRun, ...]
    short: tuple[int, ...]

    @property
    def sheets(self) -> int:
        """Number of sheets."""
        return sum(run.times for run in self.runs)


#: Finds a pattern for a size of sheet and the copies still wanted.
Filler: TypeAlias = Callable[[Solver, int, Sequence[int]], Pattern]
#: Finds the pattern of one demand for a size of sheet.
Source: TypeAlias = Callable[[Solver, int, int], Pattern]
Cost: TypeAlias = tuple[float, float, float, float, float]


def cost(solver: Solver, layout: Layout) -> Cost:
    """What makes one layout better than another, the weightiest first.

    Copies without a sheet; the price, when every size has one; the number of sheets; their area; the
    area of the last one up to the furthest edge used.
    """
    areas = solver.problem.usable_areas
    sizes = [areas[run.size].size for run in layout.runs]
    priced = all(usable.size.price is not None for usable in areas)
    price = sum((s.price or 0.0) * run.times for s, run in zip(sizes, layout.runs, strict=True))
    area = sum(s.width * s.height * run.times for s, run in zip(sizes, layout.runs, strict=True))
    last = layout.runs[-1] if layout.runs else None
    return (
        float(sum(layout.short)),
        price if priced else 0.0,
        float(layout.sheets),
        area,
        used_area(solver, last.size, last.pattern) if last else 0.0,
    )


def cheapest(solver: Solver, *layouts: Layout) -> Layout:
    """The best of several layouts; of equal ones the first."""
    return min(layouts, key=lambda layout: cost(solver, layout))


def lone_layout(solver: Solver, counts: Sequence[int]) -> Layout | None:
    """A single copy in a corner of the cheapest and smallest sheet: nothing is searched; None when it fits none."""
    demand = next(k for k, count in enumerate(counts) if count)
    hand = _hand(solver)
    for size in sorted(range(len(hand)), key=partial(_smallness, solver)):
        found = _cornered(solver.board(size), demand) if hand[size] else []
        for pattern in sorted(found, key=lambda p: used_area(solver, size, p)):
            proved = solver.proved(size, pattern)
            if proved:
                return Layout((PatternRun(size, proved, 1),), (0,) * len(counts))
    return None


def _cornered(board: Board, demand: int) -> Iterator[Pattern]:
    """A copy as low and then as far left as it can lie, for each of its poses."""
    for pose in board.allowed[demand]:
        corners = board.corners(demand, pose)
        if len(corners):
            x, y = corners[np.lexsort((corners[:, 0], np.round(corners[:, 1], 6)))[0]]
            yield Pattern((PatternPlacement(demand, pose, float(x), float(y)),), "one copy")


def grid_layout(solver: Solver) -> Layout:
    """The reference: every template on sheets of its own, in the plain grid."""
    hand = _hand(solver)
    runs: list[PatternRun] = []
    short = solver.problem.copies
    for demand in range(len(short)):
        _take_alone(solver, demand, short, hand, runs)
    return Layout(tuple(runs), tuple(short))


def quick_layout(solver: Solver, counts: Sequence[int], source: Source = fullest) -> Layout:
    """The best layout by the methods that take no search.

    Parameters
    ----------
    source
        `plain` for what takes next to no time, `fullest` for lattices as well.
    """
    if sum(1 for count in counts if count) == 1:
        return _alone_then_mixed(solver, counts, source, together=False)
    trials = [in_turn(solver, counts, mixed, source)]
    if any(_may_fill(solver, demand, count) for demand, count in enumerate(counts)):
        trials.append(_alone_then_mixed(solver, counts, source, together=True))
    if _fewest_alone(solver, counts) <= min(trial.sheets for trial in trials):
        trials.append(_alone_then_mixed(solver, counts, source, together=False))
    return cheapest(solver, *trials)


def with_lattices(solver: Solver) -> Solver:
    """The same at work, where lattices are looked for: of what may fill a sheet alone, and has no-fit polygons."""
    counts = solver.problem.copies
    alone = sum(1 for count in counts if count) == 1
    full = [
        demand for demand, count in enumerate(counts) if count and (alone or _may_fill(solver, demand, count))
    ]
    return replace(solver, latticed=frozenset([] if solver.by_cells(counts) else full))


def searched_layout(solver: Solver, counts: Sequence[int]) -> Layout:
    """Sheets filled in turn, each with a search."""
    effort = solver.problem.effort
    return in_turn(
        solver, counts, partial(mixed, seconds=effort.search * effort.seconds), fullest, reaching=True
    )


def in_turn(
    solver: Solver,
    counts: Sequence[int],
    filler: Filler,
    source: Source = fullest,
    hand: list[int] | None = None,
    *,
    reaching: bool = False,
) -> Layout:
    """Fill sheet after sheet with what is still wanted.

    Parameters
    ----------
    hand
        Sheets of each size at hand; what is used is taken off.
    reaching
        Search for a sheet that holds all the rest.
    """
    rest = list(counts)
    runs: list[PatternRun] = []
    hand = _hand(solver) if hand is None else hand
    while any(rest):
        last = _last(solver, rest, hand, [run.pattern for run in runs], source, reaching=reaching)
        if last is not None:
            hand[last.size] -= 1
            return Layout((*runs, last), (0,) * len(rest))
        run = _best_run(solver, rest, hand, filler)
        if run is None:
            break
        runs.append(run)
        hand[run.size] -= run.times
        for demand, count in enumerate(run.pattern.counts(len(rest))):
            rest[demand] -= count * run.times
        solver.tell("nest", sum(counts) - sum(rest), sum(counts))
    return Layout(tuple(runs), tuple(rest))


def _alone_then_mixed(solver: Solver, counts: Sequence[int], source: Source, *, together: bool) -> Layout:
    """Full sheets of each template alone; then what is left of all, together or apart."""
    rest, hand = list(counts), _hand(solver)
    runs: list[PatternRun] = []
    for demand, count in enumerate(counts):
        if _may_fill(solver, demand, count):
            _take_full(solver, demand, rest, hand, runs, source)
    if together:
        tail = in_turn(solver, rest, mixed, source, hand)
        return Layout((*runs, *tail.runs), tail.short)
    short = [0] * len(rest)
    for demand, count in enumerate(rest):
        if count:
            only = solver.problem.only(demand, count)
            tail = in_turn(solver, only, _full_of(demand, source), source, hand)
            runs += tail.runs
            short[demand] = tail.short[demand]
    return Layout(tuple(runs), tuple(short))


def _may_fill(solver: Solver, demand: int, count: int) -> bool:
    """Whether there may be enough copies for a whole sheet of them: it holds the grid at least."""
    if count < 2:
        return False
    return any(count >= len(grid(solver, size, demand)) for size in range(len(solver.problem.usable_areas)))


def _fewest_alone(solver: Solver, counts: Sequence[int]) -> int:
    """Fewer sheets than this won't do, by area, when templates do not share them."""
    sizes = range(len(solver.problem.usable_areas))
    return sum(
        -(-count // max(most_by_area(solver, size, demand) for size in sizes))
        for demand, count in enumerate(counts)
        if count
    )


def _full_of(demand: int, source: Source) -> Filler:
    def filler(solver: Solver, size: int, rest: Sequence[int]) -> Pattern:
        pattern = source(solver, size, demand)
        return Pattern(pattern.placements[: rest[demand]], pattern.method)

    return filler


def _take_full(
    solver: Solver,
    demand: int,
    rest: list[int],
    hand: list[int],
    runs: list[PatternRun],
    source: Source,
) -> None:
    """Use the best pattern of a demand for as many whole sheets as there are copies for."""
    while rest[demand]:
        options = [(source(solver, size, demand), size) for size in range(len(hand)) if hand[size] > 0]
        options = [(p, size) for p, size in options if 0 < len(p) <= rest[demand]]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(solver, item[1], item[0]))
        times = min(hand[size], rest[demand] // len(pattern))
        runs.append(PatternRun(size, pattern, times))
        rest[demand] -= times * len(pattern)
        hand[size] -= times
        solver.tell("nest", times * len(pattern), solver.problem.demands[demand].copies)


def _take_alone(
    solver: Solver, demand: int, rest: list[int], hand: list[int], runs: list[PatternRun]
) -> None:
    """Whole sheets of one demand in the plain grid, and a last one with the rest."""
    while rest[demand]:
        several = rest[demand] > 1
        options = [
            (grid(solver, size, demand, pairs=several), size) for size in range(len(hand)) if hand[size] > 0
        ]
        options = [(p, size) for p, size in options if p]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(solver, item[1], item[0]))
        if len(pattern) > rest[demand]:
            pattern = Pattern(pattern.placements[: rest[demand]], pattern.method)
        times = min(hand[size], rest[demand] // len(pattern))
        runs.append(PatternRun(size, pattern, times))
        rest[demand] -= times * len(pattern)
        hand[size] -= times


def _best_run(solver: Solver, rest: Sequence[int], hand: Sequence[int], filler: Filler) -> PatternRun | None:
    options = [(filler(solver, size, rest), size) for size in range(len(hand)) if hand[size] > 0]
    options = [(pattern, size) for pattern, size in options if pattern]
    if not options:
        return None
    pattern, size = max(options, key=lambda item: _worth(solver, item[1], item[0]))
    counts = pattern.counts(len(rest))
    times = min(have // count for have, count in zip(rest, counts, strict=True) if count)
    return PatternRun(size, pattern, min(times, hand[size]))


def _last(
    solver: Solver,
    rest: Sequence[int],
    hand: Sequence[int],
    known: Sequence[Pattern],
    source: Source,
    *,
    reaching: bool,
) -> PatternRun | None:
    """The rest on one sheet, the cheapest and smallest that holds it, or None."""
    sizes = sorted((size for size in range(len(hand)) if hand[size] > 0), key=partial(_smallness, solver))
    hopeful = [size for size in sizes if may_fit(solver, size, rest)]
    demands = [demand for demand, count in enumerate(rest) if count]
    for size in hopeful:
        own = [source(solver, size, demands[0])] if len(demands) == 1 else []
        pattern = compact(solver, size, rest, [*known, *own])
        if pattern:
            return PatternRun(size, pattern, 1)
    for size in hopeful if reaching and len(demands) > 1 else []:
        pattern = reach(solver, size, rest)
        if pattern:
            return PatternRun(size, pattern, 1)
    return None


def _smallness(solver: Solver, size: int) -> tuple[float, float, int]:
    sheet = solver.problem.usable_areas[size].size
    return sheet.price or 0.0, sheet.width * sheet.height, size


def _worth(solver: Solver, size: int, pattern: Pattern) -> tuple[float, float]:
    """Area placed for the price of the sheet (or for one sheet), then for its area."""
    problem = solver.problem
    placed = sum(problem.shapes[placement.demand].area for placement in pattern.placements)
    sheet = problem.usable_areas[size].size
    priced = all(usable.size.price for usable in problem.usable_areas)
    return placed / (sheet.price or 1.0) if priced else placed, placed / (sheet.width * sheet.height)


def _hand(solver: Solver) -> list[int]:
    endless = 10**9
    sizes = [usable.size for usable in solver.problem.usable_areas]
    return [endless if size.at_hand is None else size.at_hand for size in sizes]
