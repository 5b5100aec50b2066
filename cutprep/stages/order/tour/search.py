"""The search for an order: a short tour, and one that tears little at little more travel.

Two steps take turns until neither helps: the order and the directions of open lines are searched
with every closed line entered at one point (engine), then the entry points are chosen for that order by
dynamic programming (engine). A small job is solved outright.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.order.entry.points import LineEnds
from cutprep.stages.order.entry.starts import EntryPoints
from cutprep.stages.order.ordering import EFFORTS, Ordering
from cutprep.stages.order.tour import engine
from cutprep.stages.order.tour.plain import nearest_entries
from cutprep.stages.order.tour.task import Task
from cutprep.stages.order.tour.values import MICRO, MotionLimits, MovableEntries, PairCosts

_FEWEST = 60  # lines; a smaller job is searched as long as one of this size
_ROUNDS = 4
_TRIES = 2  # more than one for a small job, whose search may end in a dead end
_MOST_EXACT = 3_000_000  # steps of the exact search
_MOST_LINES = 9  # of one rank in the exact search: tables double with each


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """An order of work.

    Attributes
    ----------
    order
        (m,) ndarray of int: lines in working order.
    entry
        (m,) ndarray of int: for each line (not place in the order) the place where it is entered.
    back
        (m,) ndarray of bool: which lines run backwards.
    """

    order: Index
    entry: Index
    back: Flags

    @property
    def turn(self) -> Index:
        """Position of each line in the order, (m,)."""
        result = np.empty(len(self.order), np.int64)
        result[self.order] = np.arange(len(self.order))
        return result


@dataclass(frozen=True, slots=True, eq=False)
class Costs:
    """What the order costs beside travel: for pairs of lines, in the unit of travel.

    Attributes
    ----------
    line, other
        (p,) ndarray of int: `line` is worked after `other`.
    ahead, back
        (p,) ndarray of float: cost when `line` runs forwards, and backwards.
    """

    line: Index
    other: Index
    ahead: Points
    back: Points

    def scaled(self, by: float) -> Costs:
        """The same costs, weighed otherwise."""
        return Costs(self.line, self.other, self.ahead * by, self.back * by)

    def of(self, turn: Index, m: int) -> tuple[Points, Points]:
        """Cost of each line in an order, forwards and backwards, (m,) each; `turn` (m,) is the position of each line."""
        late = turn[self.other] < turn[self.line]
        line = self.line[late]
        return (
            np.asarray(np.bincount(line, self.ahead[late], minlength=m), np.float64),
            np.asarray(np.bincount(line, self.back[late], minlength=m), np.float64),
        )


NO_COSTS = Costs(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0), np.zeros(0))


class Search:
    """Searches for routes through one task.

    Parameters
    ----------
    ordering
        With the seed of this stage and sheet.
    """

    def __init__(self, task: Task, entries: EntryPoints, ordering: Ordering) -> None:
        self.task, self.entries, self.seed = task, entries, ordering.seed
        timed = ordering.metric == "time"
        limits = MotionLimits(ordering.speed, ordering.top_speed, ordering.acceleration) if timed else None
        self.limits = limits
        self.kicks = EFFORTS[ordering.effort].of(max(len(task), _FEWEST))
        self.scale = MICRO if limits is None else MICRO * MICRO
        self.home = np.asarray(task.home, np.float64)
        self.open = (entries.entry[entries.first[:-1]] != entries.leave[entries.first[:-1]]).any(axis=1)
        self.travel: Callable[[Points], Points] = _length if limits is None else limits.seconds

    def drawn(self) -> Route:
        """Lines as they were drawn."""
        m = len(self.task)
        return Route(np.arange(m), self.entries.first[:-1].copy(), np.zeros(m, bool))

    def nearest(self) -> Route:
        """Always the nearest entry point next, stage by stage."""
        entries = self.entries
        k = len(entries.line)
        away = np.arange(k)
        head = entries.first[:-1][self.open]
        away[head], away[head + 1] = head + 1, head
        micro = _micro(entries.entry)
        found = engine.nearest(micro, away, entries.line, self.task.rank[entries.line], _point(self.home))
        return self._entered(found)

    def plain(self) -> Route:
        """The same without the engine."""
        found = nearest_entries(self.entries, self.task.rank, self.home)
        return self._entered(found)

    def _entered(self, found: Index) -> Route:
        """The route that enters the lines at these points, one after the other."""
        line = self.entries.line[found]
        entry = np.empty(len(self.task), np.int64)
        entry[line] = found
        return Route(line, entry, self._backwards(entry, np.zeros(len(self.task), bool)))

    def shortest(self) -> Route:
        """Find the shortest travel."""
        if self._is_small(NO_COSTS):
            return self.exact(NO_COSTS)
        start = self.nearest()
        tries = 1 + min(_TRIES, 200 // max(1, len(self.task)))
        routes = [self.improve(start, NO_COSTS, threshold=2.0, fresh=True, stream=k) for k in range(tries)]
        return min(routes, key=self.length)

    def improve(
        self,
        route: Route,
        costs: Costs,
        *,
        threshold: float,
        fresh: bool = False,
        stream: int = 0,
        most: float = math.inf,
    ) -> Route:
        """Improve a route by local search with random restarts of small parts (kicks).

        Parameters
        ----------
        fresh
            Start from a greedy tour instead; only the entry points of the route are used.
        stream
            Number of the try, each with random numbers of its own.
        most
            When the first round leaves the travel longer than this, it is also the last.
        """
        route = best = route if fresh else self._choose_entries(route, costs)
        least = self.total(route, costs)
        # Weighing a kick takes longer the more lines lie near each other; the work stays the same.
        pairs = len(costs.line) / max(1, len(self.task))
        kicks = int(self.kicks * (3 / (1 + pairs / 2) if pairs else 1))
        several = len(self.entries.line) > int((1 + self.open).sum())
        count = _ROUNDS if several or len(costs.line) else 1
        for number in range(count):
            order, turned = engine.improve(
                self._line_ends(route),
                None if fresh and number == 0 else route.order,
                back=(route.back & self.open)[route.order],
                kicks=kicks // count,
                seed=self.seed + _ROUNDS * stream + number,
                threshold=threshold / (number + 1),
                limits=self.limits,
                pair_costs=self._pair_costs(route, costs),
                entries=MovableEntries(self.entries.first, _micro(self.entries.entry), route.entry)
                if several
                else None,
            )
            entry, back = route.entry.copy(), route.back.copy()
            straight = self.open[order]
            lines = order[straight]
            entry[lines] = self.entries.first[lines] + turned[straight]
            back[lines] = turned[straight]
            route = self._choose_entries(Route(order, entry, back), costs)
            total = self.total(route, costs)
            if total < least:
                best, least = route, total
            else:
                route = best
            if number == 0 and self.length(best) > most:
                break
        return best

    def total(self, route: Route, costs: Costs) -> float:
        """Travel and other costs."""
        ahead, back = costs.of(route.turn, len(self.task))
        return self.length(route) + float(np.where(route.back, back, ahead).sum())

    def length(self, route: Route) -> float:
        """Travel in its own unit: mm or s."""
        entry, leave = (
            column[route.entry[route.order]] for column in (self.entries.entry, self.entries.leave)
        )
        legs = np.vstack((entry, self.home[None])) - np.vstack((self.home[None], leave))
        return float(self.travel(legs).sum())

    def _backwards(self, entry: Index, back: Flags) -> Flags:
        """Which lines run backwards: an open line by the end at which it is entered."""
        return np.where(self.open, entry != self.entries.first[:-1], back)

    def _choose_entries(self, route: Route, costs: Costs) -> Route:
        """Choose the best entries and directions for an order."""
        m = len(self.task)
        ahead, back = costs.of(route.turn, m)
        own = np.zeros(len(self.entries.line))
        head = self.entries.first[:-1][self.open]
        own[head], own[head + 1] = ahead[self.open], back[self.open]
        entry = engine.choose(self.entries, route.order, own, self.home, self.limits)
        return Route(
            route.order, entry, self._backwards(entry, np.where(ahead == back, route.back, back < ahead))
        )

    def _line_ends(self, route: Route) -> LineEnds:
        head = np.where(self.open, self.entries.first[:-1], route.entry)
        tail = np.where(self.open, self.entries.first[:-1] + 1, route.entry)
        entry = _micro(self.entries.entry)
        return LineEnds(entry[head], entry[tail], self.task.rank, _point(self.home))

    def _pair_costs(self, route: Route, costs: Costs) -> PairCosts | None:
        if not len(costs.line):
            return None
        m = len(self.task)
        # A closed line keeps its direction while the order is searched.
        ahead = np.where(self.open[costs.line] | ~route.back[costs.line], costs.ahead, costs.back)
        back = np.where(self.open[costs.line], costs.back, ahead)
        one, two = np.minimum(costs.line, costs.other), np.maximum(costs.line, costs.other)
        key, where = np.unique(one * m + two, return_inverse=True)
        columns = np.zeros((4, len(key)), np.int64)
        second = (costs.line > costs.other).astype(np.int64) * 2
        columns[second, where] = np.rint(ahead * self.scale)
        columns[second + 1, where] = np.rint(back * self.scale)
        return PairCosts(key // m, key % m, *columns)

    # ------------------------------------------------------------------ small jobs
    def _is_small(self, costs: Costs) -> bool:
        if not len(self.task):
            return False
        lines = np.bincount(self.task.rank)
        choices = np.bincount(self.task.rank[self.entries.line]) * (2 if len(costs.line) else 1)
        if int(lines.max()) > _MOST_LINES:
            return False
        return int((2**lines * choices**2).sum()) <= _MOST_EXACT

    def exact(self, costs: Costs) -> Route:
        """Solve a small job outright."""
        m = len(self.task)
        table = np.zeros((2, m, m))
        table[0, costs.line, costs.other], table[1, costs.line, costs.other] = costs.ahead, costs.back
        ranks = range(int(self.task.rank.max()) + 1)
        choices, keys = zip(
            *(self._choices(rank, table, both=bool(len(costs.line))) for rank in ranks), strict=True
        )
        turns = engine.exact(choices, _point(self.home), self.limits)
        picked = [keys[g][c] for g, turn in enumerate(turns) for c in turn.tolist()]
        entry, back = np.empty(m, np.int64), np.zeros(m, bool)
        order = np.array([int(self.entries.line[p]) for p, _ in picked], np.int64)
        entry[order] = [p for p, _ in picked]
        back[order] = [b for _, b in picked]
        return Route(order, entry, self._backwards(entry, back))

    def _choices(
        self, rank: int, table: Points, *, both: bool
    ) -> tuple[engine.Choices, list[tuple[int, bool]]]:
        """Choices of one rank for the exact search, and what each of them means."""
        members = np.flatnonzero(self.task.rank == rank)
        earlier = self.task.rank < rank
        keys: list[tuple[int, bool]] = []
        for i in members.tolist():
            for p in range(int(self.entries.first[i]), int(self.entries.first[i + 1])):
                if self.open[i]:
                    keys.append((p, p != int(self.entries.first[i])))
                else:
                    keys += [(p, False), (p, True)] if both else [(p, False)]
        entry = np.array([p for p, _ in keys])
        back = np.array([b for _, b in keys], np.int64)
        line = self.entries.line[entry]
        own = table[back, line][:, earlier].sum(axis=1)
        after = table[back, line][:, members]
        choices = engine.Choices(
            line=np.searchsorted(members, line),
            entry=_micro(self.entries.entry[entry]),
            leave=_micro(self.entries.leave[entry]),
            own=np.rint(own * self.scale).astype(np.int64),
            after=np.rint(after * self.scale).astype(np.int64),
        )
        return choices, keys

    def solve(self, route: Route, costs: Costs, *, threshold: float, most: float = math.inf) -> Route:
        """Find the best order with costs, starting from a route.

        Parameters
        ----------
        route
            To begin with.
        costs
            Of pairs of lines, beside travel.
        threshold
            How much worse than before a kick may end at first, in mean steps.
        most
            As for `improve`.
        """
        if self._is_small(costs):
            return self.exact(costs)
        return self.improve(route, costs, threshold=threshold, most=most)


def _length(legs: Points) -> Points:
    return np.asarray(np.hypot(legs[..., 0], legs[..., 1]))


def _micro(xy: Points) -> Index:
    return np.rint(xy * MICRO).astype(np.int64)


def _point(xy: Points) -> tuple[int, int]:
    x, y = _micro(xy).tolist()
    return x, y
