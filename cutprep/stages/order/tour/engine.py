"""The door to the search for short tours, which is written in Lua.

Why Lua: the search has to weigh millions of small moves, counts its work in steps so that the
same job gives the same bytes on any machine, and must not make a newcomer install a compiler or
200 MB of one. LuaJIT comes in a wheel of 2 MB and runs such loops some fifty times faster than
Python does; where it is missing, plain Lua gives the same answer more slowly. Compiled solvers
that were measured stop by the clock, and so repeat nothing.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cutprep.errors import PlanError
from cutprep.model.lines import Index, Points
from cutprep.stages.order.entry.points import LineEnds, NumberedPoints

# Of the dialects that come in the wheel, the quickest that is there.
_DIALECTS = ("luajit21", "luajit20", "lua55", "lua54", "lua53", "lua52", "lua51")
# More room for compiled traces than the default: when it runs out, all are thrown away, and what is
# compiled then stays slow.
_ROOM = "jit.opt.start('maxtrace=60000', 'maxrecord=8000', 'maxside=500', 'maxmcode=65536', 'sizemcode=512')"
NEAR_POINTS = 10
_SPAN = 100  # longest block that a kick moves, in points
MICRO = 1000.0  # micrometres in a millimetre
_NO_ORDER = "the search gave back something that is no order of the lines"


class EngineError(PlanError):
    """The engine is not there, broke down, or gave back no order; the plain order stands in for it."""


@dataclass(frozen=True, slots=True)
class MotionLimits:
    """Limits of the machine, for travel measured in time.

    Attributes
    ----------
    speed
        Speed of travel, mm/s.
    top_speed, acceleration
        Of each axis, mm/s and mm/s2.
    """

    speed: float
    top_speed: tuple[float, float]
    acceleration: tuple[float, float]

    def seconds(self, legs: Points) -> Points:
        """Time of straight moves from rest to rest, for (..., 2) legs in mm."""
        across = np.abs(legs)
        length = np.hypot(across[..., 0], across[..., 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(length > 0, length, 1.0)[..., None] / across
            top = np.minimum(self.speed, (np.asarray(self.top_speed) * share).min(axis=-1))
            push = (np.asarray(self.acceleration) * share).min(axis=-1)
            trapezoid = np.where(
                length * push >= top * top, length / top + top / push, 2 * np.sqrt(length / push)
            )
        return np.where(length > 0, trapezoid, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class PairCosts:
    """Costs that hang on order and direction, for pairs of lines.

    Attributes
    ----------
    one, two
        (p,) ndarray of int: the lines of each pair, one < two.
    one_ahead, one_back
        (p,) ndarray of int: cost of line `one`, worked forwards or backwards, after `two`.
    two_ahead, two_back
        The same for line `two` after `one`.
    """

    one: Index
    two: Index
    one_ahead: Index
    one_back: Index
    two_ahead: Index
    two_back: Index

    def __len__(self) -> int:
        return len(self.one)


@dataclass(frozen=True, slots=True, eq=False)
class MovableEntries:
    """Where closed lines may be entered, for a search that may move them.

    Attributes
    ----------
    first
        (m + 1,) ndarray of int: line i has the entry points first[i]:first[i + 1].
    xy
        (k, 2) ndarray of int: whole micrometres.
    at
        (m,) ndarray of int: the entry point of each line now.
    """

    first: Index
    xy: Index
    at: Index


class Engine:
    """The search, loaded once."""

    def __init__(self, dialect: str) -> None:
        library = importlib.import_module(f"lupa.{dialect}")
        runtime = library.LuaRuntime(unpack_returned_tuples=True)
        if dialect.startswith("luajit"):
            runtime.execute(_ROOM)
        self.dialect = dialect
        self._faults = (library.LuaError, MemoryError)
        self._table: Callable[..., Any] = runtime.table_from
        self._near, self._exact = (runtime.execute(_source(name)) for name in ("near", "exact"))
        self._load: Callable[[], Any] = lambda: runtime.execute(_source("tour"))
        self._tours: dict[tuple[bool, ...], Any] = {}

    def _tour(self, *kind: bool) -> Any:
        """The search, loaded once for each kind of job.

        LuaJIT compiles what a job takes most often, down to the last branch. A job of another kind
        takes other branches, and in functions compiled for the first it is ten times slower.
        """
        if kind not in self._tours:
            self._tours[kind] = self._load()
        return self._tours[kind]

    def _ask(self, function: Callable[..., Any], *given: Any) -> Any:
        """Call one of the engine's functions.

        Raises
        ------
        EngineError
            When it breaks down.
        """
        try:
            return function(*given)
        except self._faults as fault:
            raise EngineError(f"{type(fault).__name__}: {fault}") from None

    def improve(
        self,
        spots: LineEnds,
        order: ArrayLike | None,
        *,
        kicks: int,
        seed: int,
        threshold: float,
        back: ArrayLike | None = None,
        limits: MotionLimits | None = None,
        pair_costs: PairCosts | None = None,
        entries: MovableEntries | None = None,
    ) -> tuple[Index, NDArray[np.bool_], Index]:
        """Shorten a tour, or find one where none is given.

        Parameters
        ----------
        order, back
            (m,) lines in working order, and which of them run backwards.
        kicks
            How much work is done.
        threshold
            How much worse than before a kick may end at first, in mean steps.

        Returns
        -------
        order
            (m,) ndarray of int: lines in working order.
        back
            (m,) ndarray of bool: for each of them whether it runs backwards.
        entry
            (m,) ndarray of int: for each line its entry point, as far as `entries` were given.

        Raises
        ------
        EngineError
            When the search breaks down, or gives back no tour.
        """
        points = NumberedPoints.of(spots)
        job = points.job(self._table)
        job["near"] = self._ask(self._near.lists, points.n, job.x, job.y, job.rank, job.mate, NEAR_POINTS)
        job["k"] = NEAR_POINTS
        if order is None:
            job["tour"] = self._ask(
                self._near.greedy, points.n, job.x, job.y, job.rank, job.mate, NEAR_POINTS
            )
        else:
            job["tour"] = self._table(points.walk(order, back))
        job["kicks"], job["seed"], job["span"], job["heat"] = kicks, seed, _SPAN, threshold
        if limits is not None:
            job["feel"] = self._limits(limits)
        if pair_costs is not None and not len(pair_costs):
            pair_costs = None
        if pair_costs is not None:
            job["strain"] = self._pair_costs(points, pair_costs)
        first = np.zeros(0, np.int64)
        if entries is not None:
            job["places"], first = self._entries(points, entries)
        closed = points.closed
        search = self._tour(
            bool(closed.any()),
            bool(closed.all()),
            limits is not None,
            pair_costs is not None,
            entries is not None,
        )
        kept, settled = _two(self._ask(search.improve, job))
        walk = _column(kept, points.n)
        if not (np.bincount(np.clip(walk, 0, points.n), minlength=points.n + 1)[1:] == 1).all():
            raise EngineError(_NO_ORDER)
        order, turned = points.lines_of(walk)
        if entries is None:
            return order, turned, np.zeros(0, np.int64)
        entry = np.empty(points.n + 1, np.int64)
        entry[walk] = _column(settled, points.n)
        return order, turned, entry[points.first] - 1 - first + entries.first[:-1]

    def nearest(self, entry: Index, leave: Index, owner: Index, rank: Index, home: tuple[int, int]) -> Index:
        """Take always the nearest point next.

        Parameters
        ----------
        entry
            (k, 2) ndarray of int: points at which lines can be entered.
        leave
            (k,) ndarray of int: the point at which the line is left then.
        owner, rank
            (k,) ndarray of int: the line of each point, and its rank.

        Returns
        -------
        (m,) ndarray of int
            The points at which the lines are entered, in working order.

        Raises
        ------
        EngineError
            When the engine breaks down, or does not enter each line once.
        """
        found = self._ask(
            self._near.walk,
            len(entry),
            self._table(entry[:, 0].tolist()),
            self._table(entry[:, 1].tolist()),
            self._table(rank.tolist()),
            self._table((owner + 1).tolist()),
            self._table((leave + 1).tolist()),
            *home,
        )
        lines = int(owner.max(initial=-1)) + 1
        walk = _column(found, lines) - 1
        inside = (walk >= 0) & (walk < len(entry))
        if not inside.all() or len(np.unique(owner[walk])) < lines:
            raise EngineError(_NO_ORDER)
        return walk

    def exact(
        self, groups: Sequence[dict[str, Any]], home: tuple[int, int], limits: MotionLimits | None
    ) -> list[list[int]]:
        """Find the best order of a small job.

        Parameters
        ----------
        groups
            One for each rank: lists `line` (from 1), `x`, `y`, `leave_x`, `leave_y`, `own`, and
            `after` (a list of lists), with one entry a choice.

        Returns
        -------
        list of list of int
            For each rank its choices, from 0, in working order.

        Raises
        ------
        EngineError
            When the engine breaks down, or does not take each line once.
        """
        tables = self._table([self._table(group, recursive=True) for group in groups])
        measure = self._ask(self._tour().measure, self._limits(limits) if limits else None)
        _, turns = _two(self._ask(self._exact, tables, measure, *home))
        found = []
        for number, group in enumerate(groups, 1):
            lines = np.array(group["line"], np.int64)
            turn = _column(turns[number], len(np.unique(lines)))[::-1] - 1
            if not ((turn >= 0) & (turn < len(lines))).all() or len(np.unique(lines[turn])) < len(turn):
                raise EngineError(_NO_ORDER)
            found.append(turn.tolist())
        return found

    def _limits(self, limits: MotionLimits) -> Any:
        (top_x, top_y), (ax, ay) = limits.top_speed, limits.acceleration
        columns = {"speed": limits.speed, "top_x": top_x, "top_y": top_y, "ax": ax, "ay": ay}
        return self._table({name: value * MICRO for name, value in columns.items()})

    def _entries(self, points: NumberedPoints, entries: MovableEntries) -> tuple[Any, Index]:
        """MovableEntries by point; home and the points of open lines have one each, where they are."""
        single = points.closed
        spread = np.repeat(single, np.diff(entries.first))
        counts = np.ones(points.n, np.int64)
        counts[points.first[single] - 1] = np.diff(entries.first)[single]
        first = np.concatenate(([0], np.cumsum(counts)))
        xy = np.repeat(points.xy[1:], counts, axis=0)
        movable = np.zeros(points.n, bool)
        movable[points.first[single] - 1] = True
        xy[np.repeat(movable, counts)] = entries.xy[spread]
        at = first[:-1].copy()
        at[points.first[single] - 1] += (entries.at - entries.first[:-1])[single]
        columns = {"from": first, "x": xy[:, 0] - 1, "y": xy[:, 1] - 1, "at": at}
        table = self._table({name: self._table((column + 1).tolist()) for name, column in columns.items()})
        return table, first[points.first - 1]

    def _pair_costs(self, points: NumberedPoints, pair_costs: PairCosts) -> Any:
        m = len(points.first)
        u = np.concatenate((pair_costs.one, pair_costs.two))
        v = np.concatenate((pair_costs.two, pair_costs.one))
        turn = np.lexsort((v, u))
        uf = np.concatenate((pair_costs.one_ahead, pair_costs.two_ahead))
        ub = np.concatenate((pair_costs.one_back, pair_costs.two_back))
        vf = np.concatenate((pair_costs.two_ahead, pair_costs.one_ahead))
        vb = np.concatenate((pair_costs.two_back, pair_costs.one_back))
        counts = np.bincount(u, minlength=m)
        line = np.zeros(points.n + 1, np.int64)
        line[points.first], line[points.second] = np.arange(1, m + 1), np.arange(1, m + 1)
        busy = np.flatnonzero(counts) + 1
        columns = {
            "line": line[1:],
            "first": points.first,
            "second": points.second,
            "from": np.concatenate(([1], 1 + np.cumsum(counts))),
            "other": v[turn] + 1,
            "uf": uf[turn],
            "ub": ub[turn],
            "vf": vf[turn],
            "vb": vb[turn],
            "lines": busy,
        }
        table = self._table({name: self._table(column.tolist()) for name, column in columns.items()})
        table["count"], table["m"] = len(busy), m
        return table


def _two(answer: Any) -> tuple[Any, Any]:
    """What a function of two results gave back.

    Raises
    ------
    EngineError
        When there are not two.
    """
    if not isinstance(answer, tuple) or len(answer) != 2:
        raise EngineError("the search gave back nothing")
    return answer


def _column(table: Any, n: int) -> Index:
    """The whole numbers 1 to n of a Lua table.

    Raises
    ------
    EngineError
        When it holds something else.
    """
    try:
        return np.array([table[i] for i in range(1, n + 1)], np.int64)
    except (TypeError, ValueError, OverflowError, LookupError):
        raise EngineError("the search gave back something that is no list of numbers") from None


def _source(name: str) -> str:
    return files("cutprep.stages.order.tour").joinpath(f"{name}.lua").read_text(encoding="utf-8")


@cache
def engine() -> Engine:
    """The search in the quickest dialect that is installed.

    Raises
    ------
    EngineError
        When none is, or it can't be loaded.
    """
    try:
        for dialect in _DIALECTS:
            if importlib.util.find_spec(f"lupa.{dialect}") is not None:
                return Engine(dialect)
    except ImportError as fault:
        raise EngineError(f"{fault}") from None
    raise EngineError("lupa brings no Lua on this machine")
