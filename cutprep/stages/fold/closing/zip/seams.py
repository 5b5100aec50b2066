"""Which sides of the body meet: the outline is zipped shut from its inner corners outwards.

At a corner of the outline where the card spans more than a half turn, the two sides beside it
can only meet each other when the corner becomes a corner of a convex box; zipping them brings
their far ends together, where the angles add up, and so on. (Gluing an outline to itself so
that no point gets more than 360 degrees gives exactly one convex body: Alexandrov 1950; Demaine
and O'Rourke, Geometric Folding Algorithms, 2007, chapter 23.)
"""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from cutprep.stages.fold.closing.zip.outline import Fan, Outline, OutlineSide

#: A corner is zipped when the card there spans more than the first and less than the second,
#: degrees; an open rim is 180 give or take the drawing's noise.
STRICT = (185.0, 359.0)
_FLAT_TOO = (170.0, 359.0)
ANY_CORNER = (15.0, 359.0)
#: Many short sides make shallow corners, which noise may overfill.
_NOISY = (185.0, 366.0)
#: What is tried after the strict zip: corners that may be zipped, by how much sides may differ
#: (mm), and whether it counts only when everything closes.
_BOLDER = (
    (_NOISY, 1.0, True),
    (_FLAT_TOO, 1.0, True),
    (ANY_CORNER, 0.5, True),
    (STRICT, 4.0, False),
    (_FLAT_TOO, 4.0, True),
    (STRICT, 10.0, False),
)
#: A leaning tube has at least so many walls.
_LEAST_WALLS = 3
#: No point can have more card round it than this, degrees.
_MOST = 366.0


@dataclass(frozen=True, slots=True)
class Pair:
    """Two sides that meet, by their numbers in the outline."""

    a: int
    b: int
    source: str = "inferred"


@dataclass(frozen=True, slots=True)
class Zipped:
    """An outline with its sides paired.

    Attributes
    ----------
    outline
        The outline.
    pairs
        Sides that meet.
    rims
        Loops of sides that meet nothing.
    rim_fans
        For each rim, the fan before each of its sides.
    cycles
        Fans closed all round: the corners of the body.
    """

    outline: Outline
    pairs: tuple[Pair, ...]
    rims: tuple[tuple[int, ...], ...]
    rim_fans: tuple[tuple[Fan, ...], ...]
    cycles: tuple[Fan, ...]

    @property
    def open_sides(self) -> tuple[int, ...]:
        """Sides that meet nothing."""
        return tuple(s for rim in self.rims for s in rim)

    @property
    def open_length(self) -> float:
        """Length of the rims, mm."""
        return float(sum(self.outline.sides[s].length for s in self.open_sides))

    def side(self, k: int) -> OutlineSide:
        """One side."""
        return self.outline.sides[k]


class Zip:
    """An outline being zipped: links between sides, and the corner before each."""

    def __init__(self, outline: Outline) -> None:
        n = len(outline.sides)
        self.outline = outline
        self.after = [(k + 1) % n for k in range(n)]
        self.before = [(k - 1) % n for k in range(n)]
        self.fan = list(outline.fans)
        self.angle = [f.angle for f in outline.fans]
        self.open = [True] * n
        self.pairs: list[Pair] = []
        self.cycles: list[Fan] = []
        self.lengths = [s.length for s in outline.sides]
        self._panels = [s.panel for s in outline.sides]
        self._rims: list[list[int]] | None = None

    def copy(self) -> Zip:
        """The same, to be zipped another way."""
        other = copy(self)  # a search does it thousands of times: what never changes is shared
        other.after, other.before, other.open = self.after[:], self.before[:], self.open[:]
        other.fan, other.angle = self.fan[:], self.angle[:]
        other.pairs, other.cycles = self.pairs[:], self.cycles[:]
        return other

    def glue(self, i: int, j: int, source: str = "inferred") -> None:
        """Let side i meet side j, the end of one on the start of the other."""
        seam = -1 - len(self.pairs)
        self.pairs.append(Pair(i, j, source))
        self._rims = None
        next_i, next_j, prev_i, prev_j = self.after[i], self.after[j], self.before[i], self.before[j]
        self.open[i] = self.open[j] = False
        if next_i == j:
            self.cycles.append(_closed(self.fan[j], seam))
        if next_j == i:
            self.cycles.append(_closed(self.fan[i], seam))
        far = _chained(self.fan[j], seam, self.fan[next_i]) if next_i != j else None
        near = _chained(self.fan[i], seam, self.fan[next_j]) if next_j != i else None
        if far is not None:
            self._link(prev_j, next_i, far)
        if near is not None:
            self._link(prev_i, next_j, near)

    def _link(self, a: int, b: int, fan: Fan) -> None:
        self.after[a], self.before[b], self.fan[b], self.angle[b] = b, a, fan, fan.angle

    def fits(self, i: int, j: int, slack: float) -> bool:
        """Whether two sides are equally long, within `slack` mm or 1 %, and of two panels.

        A panel is stiff: two of its own sides can't meet.
        """
        if self._panels[i] == self._panels[j]:
            return False
        a, b = self.lengths[i], self.lengths[j]
        return abs(a - b) <= max(slack, 0.01 * max(a, b))

    def may_zip(self, j: int, span: tuple[float, float], slack: float, shut: frozenset[int]) -> bool:
        """Whether the two sides at a corner can be glued to each other.

        Parameters
        ----------
        j
            The side after the corner.
        span
            Least and greatest sum of panel angles at the corner, degrees.
        slack
            By how much the sides may differ in length, mm.
        shut
            Sides that meet nothing.
        """
        if not self.open[j]:
            return False
        i = self.before[j]
        last = self.after[j] == i and i != j  # two sides left: they can only meet each other
        if not (span[0] < self.angle[j] < span[1] or last):
            return False
        if i == j or i in shut or j in shut or not self.fits(i, j, slack):
            return False
        other = 0.0 if last else self.angle[self.after[j]]
        return self.angle[i] + other <= _MOST

    def run(self, span: tuple[float, float], slack: float, shut: frozenset[int]) -> None:
        """Zip at the largest corner that may be, again and again."""
        queue = [self._turn(j) for j in range(len(self.open)) if self.may_zip(j, span, slack, shut)]
        heapify(queue)
        while queue:
            turn = heappop(queue)
            j = turn[1]
            if turn != self._turn(j) or not self.may_zip(j, span, slack, shut):
                continue  # what was so when it came into the queue
            i = self.before[j]
            around = {self.after[i], self.after[j], self.before[i], self.before[j]}
            self.glue(i, j)
            around |= {self.after[k] for k in around} | {self.before[k] for k in around}
            for k in sorted(around):
                if self.may_zip(k, span, slack, shut):
                    heappush(queue, self._turn(k))

    def _turn(self, j: int) -> tuple[float, int]:
        """When a corner's turn comes: the larger the sooner."""
        return -round(self.angle[j], 1), j

    def rims(self) -> list[list[int]]:
        """Loops of sides still open."""
        if self._rims is not None:
            return self._rims
        loops, left = [], self.open[:]
        for first in range(len(left)):
            if not left[first]:
                continue
            loop, k = [], first
            while left[k]:
                left[k] = False
                loop.append(k)
                k = self.after[k]
            loops.append(loop)
        self._rims = loops
        return loops

    def result(self) -> Zipped:
        """What has been zipped."""
        rims = self.rims()
        return Zipped(
            self.outline,
            tuple(self.pairs),
            tuple(tuple(r) for r in rims),
            tuple(tuple(self.fan[k] for k in r) for r in rims),
            tuple(self.cycles),
        )


def _closed(fan: Fan, seam: int) -> Fan:
    return Fan(fan.panels, fan.angles, (*fan.seams, seam))


def _chained(a: Fan, seam: int, b: Fan) -> Fan:
    return Fan(a.panels + b.panels, a.angles + b.angles, (*a.seams, seam, *b.seams))


def zippings(
    outline: Outline,
    *,
    declared: Iterable[tuple[int, int]] = (),
    shut: frozenset[int] = frozenset(),
) -> list[Zipped]:
    """Propose ways of zipping an outline, the most likely first.

    Parameters
    ----------
    declared
        Pairs of sides that are known to meet.
    shut
        Sides that are known to meet nothing.

    Returns
    -------
    list of Zipped
        Strict; with overfull or flat corners too, if that closes everything; with sides that
        differ by up to 4 or 10 mm, if that zips more.
    """
    declared = list(declared)

    def fresh() -> Zip:
        zipper = Zip(outline)
        for i, j in declared:
            zipper.glue(i, j, "declared")
        return zipper

    strict = fresh()
    strict.run(STRICT, 1.0, shut)
    found = [strict.result()]
    if not found[0].rims:
        return found
    sleeve = _with_sleeve(fresh(), shut)
    if sleeve is not None:
        found.append(sleeve)
    for span, slack, whole in _BOLDER:
        other = fresh()
        other.run(STRICT, 1.0, shut)
        other.run(span, slack, shut)
        result = other.result()
        more = len(result.pairs) > max(len(z.pairs) for z in found)
        if more and (not whole or not result.rims):
            found.append(result)
    return found


def _with_sleeve(zipper: Zip, shut: frozenset[int]) -> Zipped | None:
    """Close a sleeve: a side with a flap meets the equal side that leaves two equal rims, or two along the same panels."""
    zipper.run(STRICT, 1.0, shut)
    for i in range(len(zipper.open)):
        if not (zipper.open[i] and zipper.outline.sides[i].hung and i not in shut):
            continue
        runs = _runs_to(zipper, i)
        whole = sum(zipper.lengths[j] for j in runs)
        for j in sorted(runs):
            if j in shut or not zipper.fits(i, j, 1.0):
                continue
            first, second = runs[j], whole - runs[j] - zipper.lengths[j]
            alike = abs(first - second) <= 1.0 or _same_panels(zipper, i, j)
            if runs[j] and zipper.after[j] != i and alike:
                zipper.glue(i, j)
                return zipper.result()
    return None


def _same_panels(zipper: Zip, i: int, j: int) -> bool:
    """Whether the same panels, at least three, lie along both ways from side i to side j: a leaning tube."""
    found = []
    for first, last in ((i, j), (j, i)):
        k, panels = zipper.after[first], set[int]()
        while k != last:
            panels.add(zipper.outline.sides[k].panel)
            k = zipper.after[k]
        found.append(panels)
    return found[0] == found[1] and len(found[0]) >= _LEAST_WALLS


def _runs_to(zipper: Zip, i: int) -> dict[int, float]:
    """The other sides of the loop of side i, and the length of those between."""
    total, k = 0.0, zipper.after[i]
    found = {}
    while k != i:
        found[k] = total
        total += zipper.lengths[k]
        k = zipper.after[k]
    return found
