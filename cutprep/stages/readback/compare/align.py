"""Lay two sequences of strokes beside each other, so that one that was lost tells of itself alone.

Strokes that agree get the same *kind*. The longest run of kinds that comes in the same order in
both, each counted by how often it came before, holds the two together (a longest increasing
subsequence: Schensted, *Longest increasing and decreasing subsequences*, Canad. J. Math. 13,
1961); what lies between two held ones is laid out in the same way, by itself, until nothing in it
agrees. What is left over on both sides is moved when its kind is left over on the other side too,
else it is paired with what lies nearest. The work grows as n log n with the strokes.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter, defaultdict, deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from cutprep.stages.readback.compare.runs import Stroke

#: Left-over strokes between two held ones are paired by distance up to so many pairs, else in order.
_MOST_PAIRS = 40_000
_AROUND = tuple((x, y) for x in (-1, 0, 1) for y in (-1, 0, 1))


@dataclass(slots=True)
class StrokeMatch:
    """Which strokes of a plan and a file belong together; indices into both.

    Attributes
    ----------
    same
        In step, and alike.
    moved
        Alike, but at another place of the order.
    changed
        In step, but not alike.
    missing
        Only in the plan.
    extra
        Only in the file: (index in the plan before which it stands, its own).
    """

    same: list[tuple[int, int]] = field(default_factory=list)
    moved: list[tuple[int, int]] = field(default_factory=list)
    changed: list[tuple[int, int]] = field(default_factory=list)
    missing: list[int] = field(default_factory=list)
    extra: list[tuple[int, int]] = field(default_factory=list)

    def shifted(self, by: int) -> StrokeMatch:
        """The same for sequences with so many more strokes before."""
        pairs = (self.same, self.moved, self.changed, self.extra)
        same, moved, changed, extra = ([(i + by, j + by) for i, j in found] for found in pairs)
        return StrokeMatch(same, moved, changed, [i + by for i in self.missing], extra)


def kinds_of(
    wanted: Sequence[Stroke],
    got: Sequence[Stroke],
    within: float,
    agree: Callable[[Stroke, Stroke], bool],
) -> tuple[list[int], list[int]]:
    """Number strokes so that those that agree have the same number.

    Parameters
    ----------
    within
        Strokes that agree begin no further apart, mm.
    agree
        Whether a stroke of the plan and another one agree.

    Returns
    -------
    tuple
        A number for each of `wanted` and of `got`; what agrees with none has a negative one.
    """
    models: dict[tuple[int, int], list[int]] = defaultdict(list)
    known: dict[bytes, int] = {}

    def find(stroke: Stroke, key: bytes, x: int, y: int) -> int | None:
        if key not in known:
            near = (k for dx, dy in _AROUND for k in models.get((x + dx, y + dy), ()))
            alike = min((k for k in near if agree(wanted[k], stroke)), default=None)
            if alike is None:
                return None
            known[key] = alike
        return known[key]

    kinds: tuple[list[int], list[int]] = ([], [])
    for side, strokes in enumerate((wanted, got)):
        for number, stroke in enumerate(strokes):
            key = stroke.points.tobytes() + stroke.curved.tobytes()
            x, y = (math.floor(value / within) for value in stroke.points[0].tolist())
            kind = find(stroke, key, x, y)
            if kind is None and not side:
                kind = known[key] = number
                models[x, y].append(number)
            kinds[side].append(-1 - number if kind is None else kind)
    return kinds


def align(wanted: Sequence[int], got: Sequence[int], distance: Callable[[int, int], float]) -> StrokeMatch:
    """Align two sequences of kinds.

    Parameters
    ----------
    wanted, got
        Kinds, as `kinds_of` gives them.
    distance
        How far stroke i of the plan lies from stroke j of the file, mm; pairs what is left over.

    Returns
    -------
    StrokeMatch
        Each index once.
    """
    found = StrokeMatch()
    rests: list[tuple[int, int, int, int]] = []
    gaps = [(0, len(wanted), 0, len(got))]
    while gaps:
        a, b, c, d = gaps.pop()
        held = _held(wanted[a:b], got[c:d])
        if not held:
            rests.append((a, b, c, d))
            continue
        at, to = a, c
        for i, j in [*((a + i, c + j) for i, j in held), (b, d)]:
            if i > at or j > to:
                gaps.append((at, i, to, j))
            at, to = i + 1, j + 1
        found.same += ((a + i, c + j) for i, j in held)
    rests.sort()
    _take_moved(found, wanted, got, rests)
    gone, come = {i for i, _ in found.moved}, {j for _, j in found.moved}
    for a, b, c, d in rests:
        left, right = (
            [k for k in range(*span) if k not in off] for span, off in (((a, b), gone), ((c, d), come))
        )
        pairs = _paired(left, right, distance)
        found.changed += pairs
        taken = {i for i, _ in pairs}, {j for _, j in pairs}
        found.missing += (i for i in left if i not in taken[0])
        found.extra += ((b, j) for j in right if j not in taken[1])
    found.same.sort()
    return found


def _held(wanted: Sequence[int], got: Sequence[int]) -> list[tuple[int, int]]:
    """The longest common run in order, of kinds counted by how often they came before."""
    seen: Counter[int] = Counter()
    where: dict[tuple[int, int], int] = {}
    for i, kind in enumerate(wanted):
        where[kind, seen[kind]] = i
        seen[kind] += 1
    seen.clear()
    pairs = []
    for j, kind in enumerate(got):
        i = where.get((kind, seen[kind]), -1)
        seen[kind] += 1
        if i >= 0:
            pairs.append((i, j))
    return _rising(pairs)


def _rising(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The longest part of pairs, in order of their second, of which the first rises too."""
    ends: list[int] = []  # the least end of a run of each length
    holder: list[int] = []  # the pair that gives it
    before: list[int] = []
    for k, (i, _) in enumerate(pairs):
        length = bisect_left(ends, i)
        before.append(holder[length - 1] if length else -1)
        ends[length : length + 1] = [i]
        holder[length : length + 1] = [k]
    run = []
    k = holder[-1] if holder else -1
    while k >= 0:
        run.append(pairs[k])
        k = before[k]
    return run[::-1]


def _take_moved(
    found: StrokeMatch, wanted: Sequence[int], got: Sequence[int], rests: Sequence[tuple[int, int, int, int]]
) -> None:
    """Pair what is left over in one place with its like that is left over in another."""
    lost: dict[int, deque[int]] = defaultdict(deque)
    for a, b, _, _ in rests:
        for i in range(a, b):
            lost[wanted[i]].append(i)
    for _, _, c, d in rests:
        found.moved += ((lost[got[j]].popleft(), j) for j in range(c, d) if lost.get(got[j]))
    found.moved.sort()


def _paired(
    left: Sequence[int], right: Sequence[int], distance: Callable[[int, int], float]
) -> list[tuple[int, int]]:
    """As many pairs as can be, in order, with the least distance in all."""
    few, many = (left, right) if len(left) <= len(right) else (right, left)
    spare = len(many) - len(few)
    if not few or not spare or len(few) * len(many) > _MOST_PAIRS:
        return list(zip(left, right, strict=False))
    turned = few is right
    #: cost[s]: of the pairs so far with s of the many passed over; took[k][s] of which s were passed before.
    cost = [0.0] * (spare + 1)
    took: list[list[int]] = []
    for k, one in enumerate(few):
        row, best, chosen = [], math.inf, 0
        for s in range(spare + 1):
            if cost[s] < best:
                best, chosen = cost[s], s
            other = many[k + s]
            row.append((best + (distance(other, one) if turned else distance(one, other)), chosen))
        cost = [value for value, _ in row]
        took.append([chosen for _, chosen in row])
    s = min(range(spare + 1), key=cost.__getitem__)
    pairs = []
    for k in reversed(range(len(few))):
        pairs.append((many[k + s], few[k]) if turned else (few[k], many[k + s]))
        s = took[k][s]
    return pairs[::-1]
