"""One sheet: as many copies as it holds, a given set of copies, or the last few kept together."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.stages.nest.item.meter import LATTICES, REPORT
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, moved, used_box
from cutprep.stages.nest.item.shape import fills_its_box
from cutprep.stages.nest.pack.five_blocks import five_blocks
from cutprep.stages.nest.pack.greedy import Board, Pull, fill
from cutprep.stages.nest.pack.grid import grid_pattern
from cutprep.stages.nest.pack.irregular import Attempt, pack, vertices
from cutprep.stages.nest.pack.lattice import Lattice, lattice_packing, lattices_for
from cutprep.stages.nest.pack.search import by_area, improve, quick_fill
from cutprep.stages.nest.pack.solver import Solver

#: A sheet may be filled denser than the densest lattice by this factor; sets beyond are not tried.
_BEYOND = 1.03
#: Copies beyond this many are not searched for one by one; the lattice is as good there.
_MANY = 150
#: Where no more copies have room by area, placing them one by one found as many as lattices on 52 of 52 sheets.
_FEW = 10
#: Work of the short search that every single-template pattern gets, whatever the effort, s.
_SHORT = 0.45
#: What fills its box by this share interlocks no better than boxes do; the packer is not asked.
_NEARLY = 0.97
_ONE_BY_ONE = "placed one by one"


def plain(solver: Solver, size: int, demand: int) -> Pattern:
    """The pattern of one demand that holds most copies, by the methods that take next to no time."""
    key = (size, demand)
    if key not in solver.known.plain:
        board = solver.board(size)
        best = grid(solver, size, demand)
        shape, allowed = solver.problem.shapes[demand], solver.problem.allowed[demand]
        blocks = topped_up(board, five_blocks(demand, shape, allowed, board.usable), demand)
        best = _more(solver, size, best, blocks)
        if len(best) <= _MANY:
            best = _more(solver, size, best, Pattern(_first_fill(solver, size, demand)[0], _ONE_BY_ONE))
        solver.known.plain[key] = best
    return solver.known.plain[key]


def fullest(solver: Solver, size: int, demand: int) -> Pattern:
    """The same with the densest lattice and a short search."""
    key = (size, demand)
    if key not in solver.known.dense:
        board, best = solver.board(size), plain(solver, size, demand)
        most = most_by_area(solver, size, demand)
        if _asks_for_lattices(solver, size, demand) and (found := _lattices(solver, demand)):
            solver.meter.spend(LATTICES)
            packed = lattice_packing(board, demand, found)
            best = _more(solver, size, best, topped_up(board, packed, demand))
        if len(best) < most and len(best) <= _MANY:
            start, spent = _first_fill(solver, size, demand)
            until, stream = solver.meter.spent + _SHORT - spent, solver.stream(0, size, demand)
            placements = improve(
                board, solver.problem.only(demand, most), start, stream, until, lambda s: len(s) >= most
            )
            best = _more(solver, size, best, Pattern(tuple(placements), _ONE_BY_ONE))
        solver.known.dense[key] = best
    return solver.known.dense[key]


def _asks_for_lattices(solver: Solver, size: int, demand: int) -> bool:
    """Whether a sheet may hold so many copies, or the effort is such, that lattices are looked for."""
    return most_by_area(solver, size, demand) > _FEW or solver.problem.effort.attempts > 0


def _lattices(solver: Solver, demand: int) -> tuple[Lattice, ...]:
    """The lattices of a demand: they are of the plane, so that the size of the sheet does not matter."""
    known = solver.known.lattices
    if demand not in known:
        known[demand] = lattices_for(solver.board(0), demand)
    return known[demand]


def _first_fill(solver: Solver, size: int, demand: int) -> tuple[tuple[PatternPlacement, ...], float]:
    """As many copies of one demand as are placed without a search, and the work it took, s."""
    key = (size, demand)
    if key not in solver.known.filled:
        begin, counts = solver.meter.spent, solver.problem.only(demand, most_by_area(solver, size, demand))
        placements = tuple(quick_fill(solver.board(size), counts))
        solver.known.filled[key] = placements, solver.meter.spent - begin
    return solver.known.filled[key]


def grid(solver: Solver, size: int, demand: int, *, pairs: bool = True) -> Pattern:
    """The plain grid of one demand.

    Parameters
    ----------
    solver
        The problem at work.
    size, demand
        Number of the sheet's size, and of the demand.
    pairs
        Whether head-to-tail pairs are tried, too.
    """
    key, problem = (size, demand, pairs), solver.problem
    if key not in solver.known.grids:
        shape, allowed, usable = problem.shapes[demand], problem.allowed[demand], problem.usable_areas[size]
        pattern = grid_pattern(demand, shape, allowed, usable, pairs=pairs)
        solver.known.grids[key] = solver.proved(size, pattern)
    return solver.known.grids[key]


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


def mixed(solver: Solver, size: int, counts: Sequence[int], seconds: float = 0.0) -> Pattern:
    """Fill a sheet with as much area as it holds of several demands.

    Parameters
    ----------
    seconds
        Counted work for a search after the first fill, s.
    """
    board = solver.board_for(size, counts)
    capped = [min(n, most_by_area(solver, size, demand)) if n else 0 for demand, n in enumerate(counts)]
    placements = quick_fill(board, capped)
    if seconds:
        until, stream = solver.after(seconds), solver.stream(1, size, *capped)
        placements = improve(board, capped, placements, stream, until, lambda s: len(s) == sum(capped))
    return solver.proved(size, Pattern(tuple(placements), _ONE_BY_ONE))


def reach(
    solver: Solver, size: int, counts: Sequence[int], start: Sequence[PatternPlacement] = ()
) -> Pattern:
    """Try to place exactly these copies on one sheet: by the search, then by the packer.

    Parameters
    ----------
    solver
        The problem at work.
    size
        Number of the sheet's size.
    counts
        Copies of each demand.
    start
        A layout to begin with.

    Returns
    -------
    Pattern
        Empty when they don't fit, or were not found to with the work that is left.
    """
    if not may_fit(solver, size, counts) or not solver.left:
        return Pattern((), "")
    total, board = sum(counts), solver.board_for(size, counts)
    until = solver.after(solver.problem.effort.search * solver.left)
    stream = solver.stream(2, size, *counts)
    placements = improve(board, counts, start, stream, until, lambda s: len(s) >= total)
    if len(placements) >= total:
        pattern = solver.proved(size, Pattern(tuple(placements), f"{_ONE_BY_ONE}, searched"))
        if pattern:
            return pattern
    return _packed(solver, size, counts)


def _packed(solver: Solver, size: int, counts: Sequence[int]) -> Pattern:
    problem, effort = solver.problem, solver.problem.effort
    demands = [demand for demand, count in enumerate(counts) if count]
    if len(demands) == 1 and fills_its_box(
        problem.shapes[demands[0]], problem.allowed[demands[0]][0], _NEARLY
    ):
        return Pattern((), "")
    each = REPORT * sum(counts[k] * vertices(solver.board(size), k) ** 2 for k in demands)
    for attempt in range(effort.attempts if each else 0):
        seed = (problem.nesting.seed + attempt) % 2**32
        most = int(solver.left / each)
        if most < 1:
            break
        result = pack(
            solver.board(size),
            counts,
            seed=seed,
            tries=effort.tries,
            reports=effort.reports,
            most=most,
            far=effort.far,
            progress=solver.tell,
        )
        solver.meter.spend(each * result.work)
        if result.placements:
            words = f"packed irregularly (seed {seed}, {result.reports} steps)"
            return solver.proved(size, Pattern(result.placements, words))
        if not _worth_another_try(solver, result):
            break
    return Pattern((), "")


def _worth_another_try(solver: Solver, result: Attempt) -> bool:
    """Keep what a packer said that broke down or ran out of time; whether another try makes sense."""
    if result.failed:
        solver.known.troubles[f"the irregular packer gave up ({result.why}); the other methods were used"] = (
            None
        )
    elif result.why == "time used up":
        solver.known.troubles["the irregular packer was stopped by time, so another run may differ"] = None
    return not result.failed and result.reports > 0


def compact(solver: Solver, size: int, counts: Sequence[int], known: Sequence[Pattern] = ()) -> Pattern:
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
    board, total = solver.board_for(size, counts), sum(counts)
    trials = [_nearest_few(solver, size, pattern, counts, axis) for pattern in known for axis in (0, 1)]
    for pull in (Pull(270.0), Pull(180.0), Pull(270.0, 0.5), Pull(180.0, 0.5))[: board.pulls]:
        trial = board.fresh()
        fill(trial, by_area(board, counts), pull)
        trials.append(Pattern(tuple(trial.placements), _ONE_BY_ONE))
    whole = [pattern for pattern in trials if len(pattern) == total]
    for pattern in sorted(whole, key=lambda p: used_area(solver, size, p)):
        proved = solver.proved(size, pattern)
        if proved:
            return proved
    return Pattern((), "")


def used_area(solver: Solver, size: int, pattern: Pattern) -> float:
    """Area of the sheet up to the furthest edge used, in the better of the two directions, mm2."""
    board = solver.board(size)
    right = max((p.x + board.box(p.demand, p.pose)[2] for p in pattern.placements), default=0.0)
    top = max((p.y + board.box(p.demand, p.pose)[3] for p in pattern.placements), default=0.0)
    sheet = board.usable.size
    return round(min(right * sheet.height, top * sheet.width), 3)


def may_fit(solver: Solver, size: int, counts: Sequence[int]) -> bool:
    """Whether the area of the copies, widened by half the gap, leaves any hope.

    A sheet is hardly ever filled denser than the whole plane is by the densest lattice.
    """
    usable = solver.problem.usable_areas[size]
    width, height = usable.extent
    there = (width + usable.gap) * (height + usable.gap)
    demands = [demand for demand, count in enumerate(counts) if count]
    densest = max((_densest(solver, size, demand) for demand in demands), default=1.0)
    return sum(counts[demand] * solver.wide_area(demand) for demand in demands) <= densest * there


def _densest(solver: Solver, size: int, demand: int) -> float:
    if demand not in solver.latticed or not _asks_for_lattices(solver, size, demand):
        return 1.0
    shares = [solver.wide_area(demand) / lattice.cell for lattice in _lattices(solver, demand)]
    return min(_BEYOND * max(shares, default=1.0), 1.0)


def most_by_area(solver: Solver, size: int, demand: int) -> int:
    """More copies than this can't lie on a sheet."""
    usable = solver.problem.usable_areas[size]
    width, height = usable.extent
    return int((width + usable.gap) * (height + usable.gap) / solver.wide_area(demand)) + 1


def _more(solver: Solver, size: int, best: Pattern, other: Pattern) -> Pattern:
    """The pattern with more copies, if it is right."""
    if len(other) <= len(best):
        return best
    return solver.proved(size, other) or best


def _nearest_few(solver: Solver, size: int, pattern: Pattern, counts: Sequence[int], axis: int) -> Pattern:
    """Those copies of a pattern that reach least far up (axis 1) or to the right (axis 0)."""
    board = solver.board(size)
    far = {
        placement: (placement.x, placement.y)[axis] + board.box(placement.demand, placement.pose)[2 + axis]
        for placement in pattern.placements
    }
    rest, kept = list(counts), []
    for placement in sorted(pattern.placements, key=lambda s: (round(far[s], 6), s.x, s.y)):
        if rest[placement.demand]:
            rest[placement.demand] -= 1
            kept.append(placement)
    return _to_corner(solver, size, Pattern(tuple(kept), pattern.method))


def _to_corner(solver: Solver, size: int, pattern: Pattern) -> Pattern:
    """Push all copies together to the lower left, unless there are areas to keep out of."""
    usable = solver.problem.usable_areas[size]
    if usable.keep_out or not pattern:
        return pattern
    left, bottom, _, _ = used_box(pattern, solver.problem.shapes)
    return moved(pattern, usable.box[0] - left, usable.box[1] - bottom)
