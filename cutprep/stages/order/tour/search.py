"""The search for an order: a short tour, and one that tears little at little more travel.

Two steps take turns until neither helps: the order and the directions of open lines are searched
with every closed line entered at one place (engine), then the places are chosen for that order by
dynamic programming (starts). A small job is solved outright.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.order.entry.points import Spots
from cutprep.stages.order.entry.starts import Starts, choose
from cutprep.stages.order.ordering import EFFORTS, Ordering
from cutprep.stages.order.tour.engine import MICRO, Feel, Places, Strain, engine
from cutprep.stages.order.tour.plain import nearest_places
from cutprep.stages.order.tour.task import Task

_FIRST = 1000  # lines
_FEWEST = 60  # lines; a smaller job is searched as long as one of this size
_ROUNDS = 4
_TRIES = 2  # more than one for a small job, whose search may end in a dead end
_MOST_EXACT = 3_000_000  # steps of the exact search
_MOST_LINES = 9  # of one rank in the exact search: tables double with each


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """An order of work.

    Attributes
    ----------
    order
        (m,) ndarray of int: lines in working order.
    place
        (m,) ndarray of int: for each line (not place in the order) the place where it is entered.
    back
        (m,) ndarray of bool: which lines run backwards.
    """

    order: Index
    place: Index
    back: Flags

    @property
    def turn(self) -> Index:
        """Place of each line in the order."""
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
        """Cost of each line in an order, forwards and backwards."""
        late = turn[self.other] < turn[self.line]
        line = self.line[late]
        return (
            np.asarray(np.bincount(line, self.ahead[late], minlength=m), np.float64),
            np.asarray(np.bincount(line, self.back[late], minlength=m), np.float64),
        )


NO_COSTS = Costs(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0), np.zeros(0))


class Search:
    """Searches for ways through one task.

    Parameters
    ----------
    ordering
        With the seed of this stage and sheet.
    """

    def __init__(self, task: Task, places: Starts, ordering: Ordering) -> None:
        self.task, self.places, self.seed = task, places, ordering.seed
        timed = ordering.metric == "time"
        feel = Feel(ordering.speed, ordering.top_speed, ordering.acceleration) if timed else None
        self.feel = feel
        each, further, most = EFFORTS[ordering.effort]
        lines = max(len(task), _FEWEST)
        self.kicks = min(each * min(lines, _FIRST) + further * max(lines - _FIRST, 0), most)
        self.scale = MICRO if feel is None else MICRO * MICRO
        self.home = np.asarray(task.home, np.float64)
        self.open = (places.entry[places.first[:-1]] != places.leave[places.first[:-1]]).any(axis=1)
        self.travel: Callable[[Points], Points] = _length if feel is None else feel.seconds

    def drawn(self) -> Way:
        """Lines as they were drawn."""
        m = len(self.task)
        return Way(np.arange(m), self.places.first[:-1].copy(), np.zeros(m, bool))

    def nearest(self) -> Way:
        """Always the nearest place next, stage by stage."""
        places = self.places
        k = len(places.line)
        away = np.arange(k)
        head = places.first[:-1][self.open]
        away[head], away[head + 1] = head + 1, head
        micro = _micro(places.entry)
        found = engine().nearest(micro, away, places.line, self.task.rank[places.line], _point(self.home))
        return self._entered(found)

    def plain(self) -> Way:
        """The same without the engine."""
        found = nearest_places(self.places, self.task.rank, self.home)
        return self._entered(found)

    def _entered(self, found: Index) -> Way:
        """The way that enters the lines at these places, one after the other."""
        line = self.places.line[found]
        place = np.empty(len(self.task), np.int64)
        place[line] = found
        return Way(line, place, self._backwards(place, np.zeros(len(self.task), bool)))

    def shortest(self) -> Way:
        """Find the shortest travel."""
        if self._is_small(NO_COSTS):
            return self.exact(NO_COSTS)
        start = self.nearest()
        tries = 1 + min(_TRIES, 200 // max(1, len(self.task)))
        ways = [self.improve(start, NO_COSTS, heat=2.0, fresh=True, stream=k) for k in range(tries)]
        return min(ways, key=self.length)

    def improve(
        self,
        way: Way,
        costs: Costs,
        *,
        heat: float,
        fresh: bool = False,
        stream: int = 0,
        most: float = math.inf,
    ) -> Way:
        """Search on from a way.

        Parameters
        ----------
        fresh
            Forget the order, and keep only the places.
        stream
            Number of the try, each with random numbers of its own.
        most
            When the first round leaves the travel longer than this, it is also the last.
        """
        way = best = way if fresh else self._settle_places(way, costs)
        least = self.total(way, costs)
        # Weighing a kick takes longer the more lines lie near each other; the work stays the same.
        pairs = len(costs.line) / max(1, len(self.task))
        kicks = int(self.kicks * (3 / (1 + pairs / 2) if pairs else 1))
        several = len(self.places.line) > int((1 + self.open).sum())
        count = _ROUNDS if several or len(costs.line) else 1
        for number in range(count):
            order, turned, moved = engine().improve(
                self._spots(way),
                None if fresh and number == 0 else way.order,
                back=(way.back & self.open)[way.order],
                kicks=kicks // count,
                seed=self.seed + _ROUNDS * stream + number,
                heat=heat / (number + 1),
                feel=self.feel,
                strain=self._strain(way, costs),
                places=Places(self.places.first, _micro(self.places.entry), way.place) if several else None,
            )
            place, back = (
                np.where(self.open, way.place, moved) if several else way.place.copy(),
                way.back.copy(),
            )
            straight = self.open[order]
            lines = order[straight]
            place[lines] = self.places.first[lines] + turned[straight]
            back[lines] = turned[straight]
            way = self._settle_places(Way(order, place, back), costs)
            total = self.total(way, costs)
            if total < least:
                best, least = way, total
            else:
                way = best
            if number == 0 and self.length(best) > most:
                break
        return best

    def total(self, way: Way, costs: Costs) -> float:
        """Travel and other costs."""
        ahead, back = costs.of(way.turn, len(self.task))
        return self.length(way) + float(np.where(way.back, back, ahead).sum())

    def length(self, way: Way) -> float:
        """Travel in its own unit: mm or s."""
        entry, leave = (column[way.place[way.order]] for column in (self.places.entry, self.places.leave))
        legs = np.vstack((entry, self.home[None])) - np.vstack((self.home[None], leave))
        return float(self.travel(legs).sum())

    def _backwards(self, place: Index, back: Flags) -> Flags:
        """Which lines run backwards: an open line by the end at which it is entered."""
        return np.where(self.open, place != self.places.first[:-1], back)

    def _settle_places(self, way: Way, costs: Costs) -> Way:
        """Choose the best places and directions for an order."""
        m = len(self.task)
        ahead, back = costs.of(way.turn, m)
        own = np.zeros(len(self.places.line))
        head = self.places.first[:-1][self.open]
        own[head], own[head + 1] = ahead[self.open], back[self.open]
        place = choose(self.places, way.order, own, self.home, self.travel)
        return Way(way.order, place, self._backwards(place, np.where(ahead == back, way.back, back < ahead)))

    def _spots(self, way: Way) -> Spots:
        head = np.where(self.open, self.places.first[:-1], way.place)
        tail = np.where(self.open, self.places.first[:-1] + 1, way.place)
        entry = _micro(self.places.entry)
        return Spots(entry[head], entry[tail], self.task.rank, _point(self.home))

    def _strain(self, way: Way, costs: Costs) -> Strain | None:
        if not len(costs.line):
            return None
        m = len(self.task)
        # A closed line keeps its direction while the order is searched.
        ahead = np.where(self.open[costs.line] | ~way.back[costs.line], costs.ahead, costs.back)
        back = np.where(self.open[costs.line], costs.back, ahead)
        one, two = np.minimum(costs.line, costs.other), np.maximum(costs.line, costs.other)
        key, where = np.unique(one * m + two, return_inverse=True)
        columns = np.zeros((4, len(key)), np.int64)
        second = (costs.line > costs.other).astype(np.int64) * 2
        columns[second, where] = np.rint(ahead * self.scale)
        columns[second + 1, where] = np.rint(back * self.scale)
        return Strain(key // m, key % m, *columns)

    # ------------------------------------------------------------------ small jobs
    def _is_small(self, costs: Costs) -> bool:
        if not len(self.task):
            return False
        lines = np.bincount(self.task.rank)
        choices = np.bincount(self.task.rank[self.places.line]) * (2 if len(costs.line) else 1)
        if int(lines.max()) > _MOST_LINES:
            return False
        return int((2**lines * choices**2).sum()) <= _MOST_EXACT

    def exact(self, costs: Costs) -> Way:
        """Solve a small job outright."""
        m = len(self.task)
        table = np.zeros((2, m, m))
        table[0, costs.line, costs.other], table[1, costs.line, costs.other] = costs.ahead, costs.back
        groups, keys = [], []
        for rank in range(int(self.task.rank.max()) + 1):
            group, key = self._group(rank, table, both=bool(len(costs.line)))
            groups.append(group)
            keys.append(key)
        turns = engine().exact(groups, _point(self.home), self.feel)
        picked = [keys[g][c] for g, turn in enumerate(turns) for c in turn]
        place, back = np.empty(m, np.int64), np.zeros(m, bool)
        order = np.array([int(self.places.line[p]) for p, _ in picked], np.int64)
        place[order] = [p for p, _ in picked]
        back[order] = [b for _, b in picked]
        return Way(order, place, self._backwards(place, back))

    def _group(
        self, rank: int, table: Points, *, both: bool
    ) -> tuple[dict[str, Any], list[tuple[int, bool]]]:
        """Choices of one rank for the exact search, and what each of them means."""
        members = np.flatnonzero(self.task.rank == rank)
        earlier = self.task.rank < rank
        keys: list[tuple[int, bool]] = []
        for i in members.tolist():
            for p in range(int(self.places.first[i]), int(self.places.first[i + 1])):
                if self.open[i]:
                    keys.append((p, p != int(self.places.first[i])))
                else:
                    keys += [(p, False), (p, True)] if both else [(p, False)]
        place = np.array([p for p, _ in keys])
        back = np.array([b for _, b in keys], np.int64)
        line = self.places.line[place]
        entry, leave = _micro(self.places.entry[place]), _micro(self.places.leave[place])
        own = np.rint(table[back, line][:, earlier].sum(axis=1) * self.scale)
        after = np.rint(table[back, line][:, members] * self.scale)
        group = {
            "line": (np.searchsorted(members, line) + 1).tolist(),
            "x": entry[:, 0].tolist(),
            "y": entry[:, 1].tolist(),
            "leave_x": leave[:, 0].tolist(),
            "leave_y": leave[:, 1].tolist(),
            "own": own.astype(np.int64).tolist(),
            "after": after.astype(np.int64).tolist(),
        }
        return group, keys

    def solve(self, way: Way, costs: Costs, *, heat: float, most: float = math.inf) -> Way:
        """Find the best order with costs, starting from a way."""
        if self._is_small(costs):
            return self.exact(costs)
        return self.improve(way, costs, heat=heat, most=most)


def _length(legs: Points) -> Points:
    return np.asarray(np.hypot(legs[..., 0], legs[..., 1]))


def _micro(xy: Points) -> Index:
    return np.rint(xy * MICRO).astype(np.int64)


def _point(xy: Points) -> tuple[int, int]:
    x, y = _micro(xy).tolist()
    return x, y
