"""Patterns to sheets: which pattern is laid how many times, on which size of sheet.

A *pattern run* is a pattern with the number of equal sheets it is used for. Sheets are filled in turn:
the pattern that suits what is still wanted is found once and used for as many equal sheets as it
can be; the last copies are kept together on the smallest sheet that holds them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.pack.problem import Problem
from cutprep.stages.nest.pack.single_sheet import (
    compact,
    fewest_sheets,
    fullest,
    grid,
    may_fit,
    mixed,
    reach,
    used_area,
)

#: Sheets that are tried for the last sheet's copies.
_ELIMINATIONS = 3


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
Filler: TypeAlias = Callable[[Problem, int, Sequence[int]], Pattern]
Cost: TypeAlias = tuple[float, float, float, float, float]


def cost(problem: Problem, layout: Layout) -> Cost:
    """What makes one layout better than another, the weightiest first.

    Copies without a sheet; the price, when every size has one; the number of sheets; their area; the
    area of the last one up to the furthest edge used.
    """
    sizes = [problem.usable_areas[run.size].size for run in layout.runs]
    priced = all(usable.size.price is not None for usable in problem.usable_areas)
    price = sum((s.price or 0.0) * run.times for s, run in zip(sizes, layout.runs, strict=True))
    area = sum(s.width * s.height * run.times for s, run in zip(sizes, layout.runs, strict=True))
    last = layout.runs[-1] if layout.runs else None
    return (
        float(sum(layout.short)),
        price if priced else 0.0,
        float(layout.sheets),
        area,
        used_area(problem, last.size, last.pattern) if last else 0.0,
    )


def grid_layout(problem: Problem) -> Layout:
    """The reference: every template on sheets of its own, in the plain grid."""
    hand = _hand(problem)
    runs: list[PatternRun] = []
    short = [demand.copies for demand in problem.demands]
    for demand in range(len(problem.demands)):
        _take_alone(problem, demand, short, hand, runs, grid)
    return Layout(tuple(runs), tuple(short))


def quick_layout(problem: Problem) -> Layout:
    """The best layout by the methods that take no search."""
    counts = [demand.copies for demand in problem.demands]
    several = sum(1 for count in counts if count) > 1
    trials = [grid_layout(problem), _alone_then_mixed(problem, counts, together=False)]
    if several:
        trials += [_alone_then_mixed(problem, counts, together=True), in_turn(problem, counts, mixed)]
    return min(trials, key=lambda layout: cost(problem, layout))


def with_sheets_eliminated(problem: Problem, layout: Layout) -> Layout:
    """Try to do with fewer sheets, by search and by the packer."""
    counts = [demand.copies for demand in problem.demands]
    best = layout
    if sum(1 for count in counts if count) == 1:
        while best.sheets > fewest_sheets(problem, counts) and _with_a_fuller_pattern(problem, best):
            trial = _alone_then_mixed(problem, counts, together=False)
            best = min(best, trial, key=lambda item: cost(problem, item))
        return best
    if best.sheets > fewest_sheets(problem, counts):
        trial = in_turn(problem, counts, mixed)
        best = min(best, trial, key=lambda item: cost(problem, item))
    if best.sheets > fewest_sheets(problem, counts):
        best = _last_sheet_eliminated(problem, best) or best
    return best


def _last_sheet_eliminated(problem: Problem, layout: Layout) -> Layout | None:
    """Try to spread the last sheet's copies over sheets that are used once; None when some stay."""
    if layout.sheets < 2 or layout.runs[-1].times != 1 or any(layout.short):
        return None
    *runs, last = layout.runs
    pool = list(last.pattern.counts(len(problem.demands)))
    tried = 0
    for k, run in enumerate(runs):
        counts = run.pattern.counts(len(problem.demands))
        more = _as_much(problem, run.size, counts, pool)
        if run.times != 1 or not any(more) or tried == _ELIMINATIONS:
            continue
        tried += 1
        wanted = [a + b for a, b in zip(counts, more, strict=True)]
        pattern = reach(problem, run.size, wanted, run.pattern.placements)
        if pattern:
            runs[k] = PatternRun(run.size, pattern, 1)
            pool = [a - b for a, b in zip(pool, more, strict=True)]
    return None if any(pool) else Layout(tuple(runs), layout.short)


def _as_much(problem: Problem, size: int, counts: Sequence[int], pool: Sequence[int]) -> list[int]:
    """What of a pool may fit onto a sheet beside what lies there, large copies first."""
    more = [0] * len(pool)
    for demand in sorted(range(len(pool)), key=lambda w: (-problem.shapes[w].area, w)):
        while more[demand] < pool[demand]:
            trial = [c + m + (w == demand) for w, (c, m) in enumerate(zip(counts, more, strict=True))]
            if not may_fit(problem, size, trial):
                break
            more[demand] += 1
    return more


def in_turn(problem: Problem, counts: Sequence[int], filler: Filler, hand: list[int] | None = None) -> Layout:
    """Fill sheet after sheet with what is still wanted."""
    rest = list(counts)
    runs: list[PatternRun] = []
    hand = _hand(problem) if hand is None else hand
    while any(rest):
        last = _last(problem, rest, hand, [run.pattern for run in runs])
        if last is not None:
            hand[last.size] -= 1
            return Layout((*runs, last), (0,) * len(rest))
        run = _best_run(problem, rest, hand, filler)
        if run is None:
            break
        runs.append(run)
        hand[run.size] -= run.times
        for demand, count in enumerate(run.pattern.counts(len(rest))):
            rest[demand] -= count * run.times
        problem.progress("nest", sum(counts) - sum(rest), sum(counts))
    return Layout(tuple(runs), tuple(rest))


def _alone_then_mixed(problem: Problem, counts: Sequence[int], *, together: bool) -> Layout:
    """Full sheets of each template alone; then what is left of all, together or apart."""
    rest, hand = list(counts), _hand(problem)
    runs: list[PatternRun] = []
    for demand in range(len(rest)):
        _take_full(problem, demand, rest, hand, runs)
    if together:
        tail = in_turn(problem, rest, mixed, hand)
        return Layout((*runs, *tail.runs), tail.short)
    short = [0] * len(rest)
    for demand, count in enumerate(rest):
        tail = in_turn(problem, _only(len(rest), demand, count), _full_of(demand), hand)
        runs += tail.runs
        short[demand] = tail.short[demand] if tail.short else 0
    return Layout(tuple(runs), tuple(short))


def _full_of(demand: int) -> Filler:
    def filler(problem: Problem, size: int, rest: Sequence[int]) -> Pattern:
        pattern = fullest(problem, size, demand)
        return Pattern(pattern.placements[: rest[demand]], pattern.method)

    return filler


def _take_full(
    problem: Problem, demand: int, rest: list[int], hand: list[int], runs: list[PatternRun]
) -> None:
    """Use the best pattern of a demand for as many whole sheets as there are copies for."""
    while rest[demand]:
        options = [(fullest(problem, size, demand), size) for size in range(len(hand)) if hand[size] > 0]
        options = [(p, size) for p, size in options if 0 < len(p) <= rest[demand]]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(problem, item[1], item[0]))
        times = min(hand[size], rest[demand] // len(pattern))
        runs.append(PatternRun(size, pattern, times))
        rest[demand] -= times * len(pattern)
        hand[size] -= times
        problem.progress("nest", times * len(pattern), problem.demands[demand].copies)


def _take_alone(
    problem: Problem,
    demand: int,
    rest: list[int],
    hand: list[int],
    runs: list[PatternRun],
    source: Callable[[Problem, int, int], Pattern],
) -> None:
    """Whole sheets of one demand, and a last one with the rest."""
    while rest[demand]:
        options = [(source(problem, size, demand), size) for size in range(len(hand)) if hand[size] > 0]
        options = [(p, size) for p, size in options if p]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(problem, item[1], item[0]))
        if len(pattern) > rest[demand]:
            pattern = Pattern(pattern.placements[: rest[demand]], pattern.method)
        times = min(hand[size], rest[demand] // len(pattern))
        runs.append(PatternRun(size, pattern, times))
        rest[demand] -= times * len(pattern)
        hand[size] -= times


def _best_run(
    problem: Problem, rest: Sequence[int], hand: Sequence[int], filler: Filler
) -> PatternRun | None:
    options = [(filler(problem, size, rest), size) for size in range(len(hand)) if hand[size] > 0]
    options = [(pattern, size) for pattern, size in options if pattern]
    if not options:
        return None
    pattern, size = max(options, key=lambda item: _worth(problem, item[1], item[0]))
    counts = pattern.counts(len(rest))
    times = min(have // count for have, count in zip(rest, counts, strict=True) if count)
    return PatternRun(size, pattern, min(times, hand[size]))


def _last(
    problem: Problem, rest: Sequence[int], hand: Sequence[int], known: Sequence[Pattern]
) -> PatternRun | None:
    """The rest on one sheet, the cheapest and smallest that holds it, or None."""
    sizes = sorted(
        (size for size in range(len(hand)) if hand[size] > 0),
        key=lambda k: (
            problem.usable_areas[k].size.price or 0.0,
            problem.usable_areas[k].size.width * problem.usable_areas[k].size.height,
            k,
        ),
    )
    hopeful = [size for size in sizes if may_fit(problem, size, rest)]
    demands = [demand for demand, count in enumerate(rest) if count]
    for size in hopeful:
        own = [fullest(problem, size, demands[0])] if len(demands) == 1 else []
        pattern = compact(problem, size, rest, [*known, *own])
        if pattern:
            return PatternRun(size, pattern, 1)
    for size in hopeful if len(demands) > 1 else []:
        pattern = reach(problem, size, rest)
        if pattern:
            return PatternRun(size, pattern, 1)
    return None


def _with_a_fuller_pattern(problem: Problem, layout: Layout) -> bool:
    """Find a fuller pattern, such that one sheet less is needed; say whether there is one."""
    demand = next(i for i, w in enumerate(problem.demands) if w.copies)
    tally: dict[int, int] = {}
    for run in layout.runs:
        tally[run.size] = tally.get(run.size, 0) + run.times
    size = max(tally, key=lambda k: (tally[k], -k))
    others = sum(len(run.pattern) * run.times for run in layout.runs if run.size != size)
    if tally[size] < 2:
        return False
    needed = -int(-(problem.demands[demand].copies - others) // (tally[size] - 1))
    have = fullest(problem, size, demand)
    if needed <= len(have):
        return False
    pattern = reach(problem, size, _only(len(problem.demands), demand, needed), have.placements)
    if pattern:
        problem.full[size, demand] = pattern
    return bool(pattern)


def _worth(problem: Problem, size: int, pattern: Pattern) -> tuple[float, float]:
    """Area placed for the price of the sheet (or for one sheet), then for its area."""
    placed = sum(problem.shapes[placement.demand].area for placement in pattern.placements)
    sheet = problem.usable_areas[size].size
    priced = all(usable.size.price for usable in problem.usable_areas)
    return placed / (sheet.price or 1.0) if priced else placed, placed / (sheet.width * sheet.height)


def _hand(problem: Problem) -> list[int]:
    endless = 10**9
    return [
        endless if usable.size.at_hand is None else usable.size.at_hand for usable in problem.usable_areas
    ]


def _only(length: int, demand: int, count: int) -> list[int]:
    return [count if i == demand else 0 for i in range(length)]
