"""A sheet to strokes: stages first, short travel within them, no torn corners."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import PlanError
from cutprep.geometry.placed import place
from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport, Tally
from cutprep.progress import Progress, silent
from cutprep.stages.order import exposure
from cutprep.stages.order.engine import EngineError, Feel
from cutprep.stages.order.plain import is_order
from cutprep.stages.order.reasons import reasons
from cutprep.stages.order.search import EFFORT, NO_COSTS, Costs, Search, Way
from cutprep.stages.order.starts import begin_at, starts
from cutprep.stages.order.task import Task, task_from
from cutprep.stages.order.tear import tear_costs
from cutprep.tolerance import Tolerance

#: Millimetres of travel that one millimetre of tear exposure is worth. Chosen by measurement (see
#: docs/ORDER.md): beyond it exposure hardly falls any more, while travel goes on rising.
TEAR_WEIGHT = 5.0
#: How much longer than the shortest travel an order may become for the sake of the card.
MORE_TRAVEL = 0.05
_HALVINGS = 4
_NEARLY = 1.01  # a first round ends a little longer than the whole search
FINISH = ("sheet", "copy")
METRICS = ("length", "time")


@dataclass(frozen=True, slots=True)
class _Wish:
    """How a sheet is to be ordered."""

    seed: int
    effort: str
    tear_weight: float
    more_travel: float
    feel: Feel | None


def order(
    sheet: Sheet,
    *,
    home: tuple[float, float] = (0.0, 0.0),
    tools: Sequence[Iterable[Operation]] = (),
    seed: int = 0,
    effort: str = "normal",
    tear_weight: float = TEAR_WEIGHT,
    more_travel: float = MORE_TRAVEL,
    finish: str = "sheet",
    metric: str = "length",
    speed: float = 300.0,
    top_speed: tuple[float, float] = (400.0, 400.0),
    acceleration: tuple[float, float] = (500.0, 500.0),
    explain: bool = False,
    progress: Progress = silent,
) -> Strokes:
    """Put the lines of a sheet into working order; see `plan` for the parameters."""
    return plan(
        sheet,
        home=home,
        tools=tools,
        seed=seed,
        effort=effort,
        tear_weight=tear_weight,
        more_travel=more_travel,
        finish=finish,
        metric=metric,
        speed=speed,
        top_speed=top_speed,
        acceleration=acceleration,
        explain=explain,
        progress=progress,
    )[0]


def plan(
    sheet: Sheet,
    *,
    home: tuple[float, float] = (0.0, 0.0),
    tools: Sequence[Iterable[Operation]] = (),
    seed: int = 0,
    effort: str = "normal",
    tear_weight: float = TEAR_WEIGHT,
    more_travel: float = MORE_TRAVEL,
    finish: str = "sheet",
    metric: str = "length",
    speed: float = 300.0,
    top_speed: tuple[float, float] = (400.0, 400.0),
    acceleration: tuple[float, float] = (500.0, 500.0),
    explain: bool = False,
    progress: Progress = silent,
) -> tuple[Strokes, OrderReport]:
    """Put the lines of a sheet into working order, and tell what that saves.

    Parameters
    ----------
    home
        Where the tool starts and ends, mm on the sheet.
    tools
        For each tool of the machine, in tool order, the operations it does; empty for a machine
        that does everything with one tool.
    seed, effort
        The same seed and effort ("quick", "normal", "thorough") give the same strokes on any
        machine: work is counted in steps, not in seconds.
    tear_weight
        Travel, mm, that one millimetre of tear exposure is worth; 0 looks at travel alone.
    more_travel
        How much longer than the shortest travel the order may become, as a share; the weight is
        halved until it holds. `math.inf` lets the weight decide alone.
    finish
        "sheet" works each stage over the whole sheet, "copy" finishes each copy before the next.
    metric
        "length" keeps the travel short, "time" the time that it takes with `speed`,
        `top_speed` and `acceleration` (mm/s, and per axis mm/s and mm/s2).
    explain
        Give a reason for the place of each stroke.

    Returns
    -------
    Strokes, OrderReport
        Every worked line once: in another order, reversed, begun elsewhere, or joined with one
        that carries on straight. A closed line may begin within one of its segments.

    Raises
    ------
    ValueError
        For an effort, finish or metric that is not known, or a weight below 0.
    PlanError
        When no tool does an operation that the sheet needs.
    """
    _check(effort, finish, metric, tear_weight)
    task = task_from(place(sheet), home, by_copy=finish == "copy")
    changes = _tool_changes(task, tools)
    feel = Feel(speed, top_speed, acceleration) if metric == "time" else None
    wish = _Wish(_stream(seed, sheet.number), effort, tear_weight, more_travel, feel)
    progress("order", 0, 3)
    strips = exposure.find_strips(task.lines)
    try:
        found = _searched(task, wish, strips, progress)
    except EngineError as fault:  # what breaks down there stops no job; faults of our own pass
        found = _plain(task, wish, str(fault))
    progress("order", 2, 3)
    search, planned = found.search, found.planned
    strokes = _strokes(task, search, planned)
    report = OrderReport(
        drawn=_tally_drawn(task),
        nearest=_tally(task, found.travel_search, found.nearest, strips),
        travel_only=_tally(task, found.travel_search, found.travel_only, strips),
        planned=_tally(task, search, planned, strips),
        changes=changes,
        method="nearest line next" if found.failed else f"local search, {effort}, seed {seed}",
        failed=found.failed,
    )
    progress("order", 3, 3)
    if explain:
        strokes = Strokes(
            strokes.lines, strokes.stage, strokes.part, strokes.outline, home, reasons(task, strokes, planned)
        )
    return strokes, report


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """Ways through a task; `failed` says why the search found none."""

    travel_search: Search
    nearest: Way
    travel_only: Way
    search: Search
    planned: Way
    failed: str = ""


def _searched(task: Task, wish: _Wish, strips: exposure.Strips, progress: Progress) -> _Found:
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
    for way in (found.nearest, travel_only, planned):
        if not is_order(way.order, task.rank):
            raise EngineError("the search gave back something that is no order of the lines")
    return found


def _plain(task: Task, wish: _Wish, failed: str) -> _Found:
    """Always the nearest line next; closed cuts still begin on runs, not at corners."""
    cuts = task.lines.operation == Operation.CUT
    places = starts(task.lines, cuts & task.lines.closed)
    search = Search(task, places, effort=wish.effort, seed=wish.seed, feel=wish.feel)
    way = search.plain()
    return _Found(search, way, way, search, way, " ".join(failed.split())[:200])


def _check(effort: str, finish: str, metric: str, tear_weight: float) -> None:
    for name, value, known in (
        ("effort", effort, tuple(EFFORT)),
        ("finish", finish, FINISH),
        ("metric", metric, METRICS),
    ):
        if value not in known:
            raise ValueError(f"{name} is {value!r}; it must be one of {', '.join(known)}")
    if not tear_weight >= 0:
        raise ValueError(f"tear_weight is {tear_weight!r}; it must be 0 or more")


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


def _travel_only(task: Task, wish: _Wish) -> tuple[Search, Way]:
    """The shortest travel, with closed lines begun anywhere."""
    places = starts(task.lines, np.zeros(len(task), bool))
    search = Search(task, places, effort=wish.effort, seed=wish.seed, feel=wish.feel)
    return search, search.shortest()


def _least_tear(
    task: Task, wish: _Wish, travel_search: Search, travel_only: Way, strips: exposure.Strips
) -> tuple[Search, Way]:
    """Trade travel for tear: closed cuts begin on runs, and order and direction spare the card."""
    cuts = task.lines.operation == Operation.CUT
    if wish.tear_weight == 0 or not cuts.any():
        return travel_search, travel_only
    places = starts(task.lines, cuts & task.lines.closed)
    search = Search(task, places, effort=wish.effort, seed=wish.seed, feel=wish.feel)
    # A millimetre of travel in the unit of travel: itself, or the time it takes at full speed.
    worth = wish.tear_weight / (wish.feel.speed if wish.feel else 1.0)
    costs = tear_costs(task, strips, worth)
    way = Way(travel_only.order, places.first[:-1].copy(), travel_only.back)
    most = travel_search.length(travel_only) * (1 + wish.more_travel)
    for _ in range(_HALVINGS):
        # One round tells whether the weight is far too high.
        planned = search.solve(way, costs, heat=1.0, most=most * _NEARLY)
        if search.length(planned) <= most:
            return search, planned
        costs = costs.scaled(0.5)
    return search, search.solve(way, NO_COSTS, heat=1.0)


def _strokes(task: Task, search: Search, way: Way) -> Strokes:
    return Strokes(
        lines=_worked(task, search, way),
        stage=task.stage[way.order],
        part=task.part[way.order],
        outline=task.outline[way.order],
        home=task.home,
    )


def _worked(task: Task, search: Search, way: Way) -> Lines:
    """Lines in working order and direction, begun where they are entered."""
    closed = task.lines.closed
    segment = np.where(closed, search.places.segment[way.place], 0)
    share = np.where(closed, search.places.share[way.place], 0.0)
    return begin_at(task.lines, segment, share).take(way.order, way.back[way.order])


def _tally(task: Task, search: Search, way: Way, strips: exposure.Strips) -> Tally:
    strokes = _strokes(task, search, way)
    running = exposure.running(strips, way.turn, way.back)
    return _figures(task.lines, strokes, way.turn, (task.inside, task.ring), float(running.sum()))


def _tally_drawn(task: Task) -> Tally:
    """Figures of the lines as they were drawn, before any were joined."""
    m = len(task.drawn)
    turn, still = np.arange(m), np.zeros(m, bool)
    running = exposure.running(exposure.find_strips(task.drawn), turn, still)
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
    meets: Flags = (apart <= Tolerance().zero) & (np.diff(lines.operation) == 0)
    return len(lines) - int(np.count_nonzero(meets))


__all__ = ["FINISH", "METRICS", "NO_COSTS", "TEAR_WEIGHT", "Costs", "order", "plan"]
