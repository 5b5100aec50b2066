"""A sheet to strokes: stages first, short travel within them, no torn corners."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import PlanError
from cutprep.geometry.placed import placed_lines
from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport, Tally
from cutprep.progress import Progress, silent
from cutprep.stages.order.entry.starts import begin_at, entry_points
from cutprep.stages.order.ordering import Ordering
from cutprep.stages.order.reasons import reasons
from cutprep.stages.order.tear import exposure
from cutprep.stages.order.tear.pairs import tear_costs
from cutprep.stages.order.tour.instance import EngineError
from cutprep.stages.order.tour.plain import is_order
from cutprep.stages.order.tour.search import NO_COSTS, Route, Search
from cutprep.stages.order.tour.task import Task, task_from
from cutprep.tolerance import ZERO, Tolerance

_HALVINGS = 4
_NEARLY = 1.01  # a first round ends a little longer than the whole search


def plan(
    sheet: Sheet, ordering: Ordering, *, tolerance: Tolerance, progress: Progress = silent
) -> tuple[Strokes, OrderReport]:
    """Put the lines of a sheet into working order, and tell what that saves.

    Parameters
    ----------
    sheet
        With its copies placed.
    ordering
        How it is to be ordered.
    tolerance
        What counts as one point, and as lying on each other.
    progress
        Told of each part of the work.

    Returns
    -------
    Strokes, OrderReport
        Every worked line once: in another order, reversed, begun elsewhere, or joined with one
        that carries on straight. A closed line may begin within one of its segments.

    Raises
    ------
    PlanError
        When no tool does an operation that the sheet needs.
    """
    task = task_from(
        placed_lines(sheet), ordering.home, by_copy=ordering.finish == "copy", tolerance=tolerance
    )
    changes = _tool_changes(task, ordering.tools)
    wish = replace(ordering, seed=_stream(ordering.seed, sheet.number))
    progress("order", 0, 3)
    drawn_strips = exposure.find_strips(task.drawn)
    strips = exposure.strips_of_joined(drawn_strips, task.joined, task.reverse)
    try:
        found = _searched(task, wish, strips, progress)
    except EngineError as fault:  # what breaks down there stops no job; faults of our own pass
        found = _plain(task, wish, str(fault))
    progress("order", 2, 3)
    search, planned = found.search, found.planned
    strokes = _strokes(task, search, planned)
    report = OrderReport(
        drawn=_tally_drawn(task, drawn_strips),
        nearest=_tally(task, found.travel_search, found.nearest, strips),
        travel_only=_tally(task, found.travel_search, found.travel_only, strips),
        planned=_tally(task, search, planned, strips),
        changes=changes,
        method="nearest line next"
        if found.failed
        else f"local search, {ordering.effort}, seed {ordering.seed}",
        failed=found.failed,
    )
    progress("order", 3, 3)
    if ordering.explain:
        strokes = Strokes(
            strokes.lines,
            strokes.stage,
            strokes.part,
            strokes.outline,
            task.home,
            reasons(task, strokes, planned),
        )
    return strokes, report


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """Ways through a task; `failed` says why the search found none."""

    travel_search: Search
    nearest: Route
    travel_only: Route
    search: Search
    planned: Route
    failed: str = ""


def _searched(task: Task, wish: Ordering, strips: exposure.Strips, progress: Progress) -> _Found:
    """Search for an order.

    Raises
    ------
    EngineError
        When the engine breaks down, or what it gives is no order of the lines.
    """
    travel_search, travel_only = _travel_only(task, wish)
    progress("order", 1, 3)
    search, planned = _least_tear(task, wish, travel_search, travel_only, strips)
    found = _Found(travel_search, travel_search.nearest(), travel_only, search, planned)
    for route in (found.nearest, travel_only, planned):
        if not is_order(route.order, task.rank):
            raise EngineError("the search gave back something that is no order of the lines")
    return found


def _plain(task: Task, wish: Ordering, failed: str) -> _Found:
    """Always the nearest line next; closed cuts still begin on runs, not at corners."""
    cuts = task.lines.operation == Operation.CUT
    entries = entry_points(task.lines, cuts & task.lines.closed)
    search = Search(task, entries, wish)
    route = search.plain()
    return _Found(search, route, route, search, route, " ".join(failed.split())[:200])


def _stream(seed: int, number: int) -> int:
    """A seed of its own for this stage and sheet."""
    return int(np.random.SeedSequence([seed, 6, number]).generate_state(1)[0])


def _tool_changes(task: Task, tools: Sequence[Iterable[Operation]]) -> int:
    """Tool changes after the first tool.

    Raises
    ------
    PlanError
        When no tool does an operation.
    """
    if not tools or not len(task):
        return 0
    tool = {op: number for number, does in reversed(list(enumerate(tools))) for op in does}
    missing = [Operation(o) for o in np.unique(task.lines.operation) if Operation(o) not in tool]
    if missing:
        words = ", ".join(op.word for op in missing)
        raise PlanError(
            f"no tool of the machine does: {words}",
            fix="Give a tool of the machine's profile that operation, or place those lines otherwise.",
        )
    by_rank = [tool[Operation(o)] for o in task.lines.operation[np.argsort(task.rank, kind="stable")]]
    return int(np.count_nonzero(np.diff(by_rank)))


def _travel_only(task: Task, wish: Ordering) -> tuple[Search, Route]:
    """The shortest travel, with closed lines begun anywhere."""
    entries = entry_points(task.lines, np.zeros(len(task), bool))
    search = Search(task, entries, wish)
    return search, search.shortest()


def _least_tear(
    task: Task, wish: Ordering, travel_search: Search, travel_only: Route, strips: exposure.Strips
) -> tuple[Search, Route]:
    """Trade travel for tear: closed cuts begin on runs, and order and direction spare the card."""
    cuts = task.lines.operation == Operation.CUT
    if wish.tear_weight == 0 or not cuts.any():
        return travel_search, travel_only
    entries = entry_points(task.lines, cuts & task.lines.closed)
    search = Search(task, entries, wish)
    # A millimetre of travel in the unit of travel: itself, or the time it takes at full speed.
    worth = wish.tear_weight / (wish.speed if wish.metric == "time" else 1.0)
    costs = tear_costs(task, strips, worth)
    route = Route(travel_only.order, entries.first[:-1].copy(), travel_only.back)
    most = travel_search.length(travel_only) * (1 + wish.more_travel)
    for _ in range(_HALVINGS):
        # One round tells whether the weight is far too high.
        planned = search.solve(route, costs, threshold=1.0, most=most * _NEARLY)
        if search.length(planned) <= most:
            return search, planned
        costs = costs.scaled(0.5)
    return search, search.solve(route, NO_COSTS, threshold=1.0)


def _strokes(task: Task, search: Search, route: Route) -> Strokes:
    return Strokes(
        lines=_worked(task, search, route),
        stage=task.stage[route.order],
        part=task.part[route.order],
        outline=task.outline[route.order],
        home=task.home,
    )


def _worked(task: Task, search: Search, route: Route) -> Lines:
    """Lines in working order and direction, begun where they are entered."""
    closed = task.lines.closed
    segment = np.where(closed, search.entries.segment[route.entry], 0)
    share = np.where(closed, search.entries.share[route.entry], 0.0)
    return begin_at(task.lines, segment, share).take(route.order, route.back[route.order])


def _tally(task: Task, search: Search, route: Route, strips: exposure.Strips) -> Tally:
    strokes = _strokes(task, search, route)
    running = exposure.running(strips, route.turn, route.back)
    return _figures(task.lines, strokes, route.turn, (task.inside, task.ring), float(running.sum()))


def _tally_drawn(task: Task, strips: exposure.Strips) -> Tally:
    """Figures of the lines as they were drawn, before any were joined."""
    m = len(task.drawn)
    turn, still = np.arange(m), np.zeros(m, bool)
    running = exposure.running(strips, turn, still)
    strokes = Strokes(task.drawn, np.zeros(m, np.int16), np.full(m, -1), task.drawn_outline, task.home)
    return _figures(task.drawn, strokes, turn, task.drawn_within, float(running.sum()))


def _figures(
    lines: Lines, strokes: Strokes, turn: np.ndarray, within: tuple[np.ndarray, np.ndarray], running: float
) -> Tally:
    return Tally(
        strokes=len(strokes),
        lifts=_lifts(strokes),
        travel=strokes.travel,
        loose=exposure.loose(lines, *within, turn),
        running=running,
        corners=exposure.corner_starts(strokes.lines, strokes.outline),
    )


def _lifts(strokes: Strokes) -> int:
    """Strokes that do not begin, with the same operation, where the one before ended."""
    lines = strokes.lines
    if not len(lines):
        return 0
    heads, tails = lines.xy[lines.start[1:-1]], lines.xy[lines.start[1:-1] - 1]
    # Ends of a placed copy differ by the rounding of sums.
    apart = np.abs(heads - tails).max(axis=1)
    meets: Flags = (apart <= ZERO) & (np.diff(lines.operation) == 0)
    return len(lines) - int(np.count_nonzero(meets))
