"""Ways of closing an outline altogether, the most even ones first.

Zipping the largest corner first closes a corner that yet wants card from elsewhere when a solid's
corners differ: four triangles round a point may be a corner, or four of the five that meet there.
Here both are followed. A closed outline of n sides has n/2 + 1 corners, and what they lack of a
full turn is 720 degrees in all (Descartes; Alexandrov 1950), so the ways can be taken in order of
how evenly they share it, by a best-first search (Hart, Nilsson and Raphael 1968).
"""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count

from cutprep.stages.fold.closing.work import WorkBudget
from cutprep.stages.fold.closing.zip.outline import Outline
from cutprep.stages.fold.closing.zip.seams import STRICT, Zip, Zipped

#: What all corners of a closed body lack of a full turn, degrees.
_LACK = 720.0
#: Sides that meet differ by no more than this, mm, or a hundredth.
_UNEVEN = 0.5
#: Card round a point, degrees, with what noise adds.
_FULL = 361.0
#: Steps of the search where all panels are of the solid, and where some are left out; units of work for each step
#: and side.
MANY_STEPS, FEW_STEPS, _STEP = 2000, 500, 2e-3  # not a tolerance: measured share of a unit


def closed_zips(
    outline: Outline, work: WorkBudget, span: tuple[float, float] = STRICT, most: int = MANY_STEPS
) -> Iterator[Zipped]:
    """Every way to zip an outline shut without a rim, the most even corners first.

    Parameters
    ----------
    outline
        Sides round a body.
    work
        Counts the steps of the search.
    span
        Least and greatest sum of panel angles at a corner that is closed, degrees.
    most
        So many steps at most.
    """
    if len(outline.sides) % 2 or not _pairs_up([s.length for s in outline.sides]):
        return
    number = count()
    ready = [(0.0, 0, next(number), Zip(outline), frozenset[int]())]
    seen = set()
    for _ in range(most):
        if not ready:
            return
        *_, zipper, passed = heappop(ready)
        work.spend(_STEP * len(outline.sides))
        state = (
            frozenset(frozenset((p.a, p.b)) for p in zipper.pairs),
            passed if any(zipper.open) else frozenset(),
        )
        if state in seen:
            continue  # the same sides met in another order
        seen.add(state)
        if not any(zipper.open):
            yield zipper.result()
            continue
        corner = _next_corner(zipper, passed, span)
        if corner is None:
            continue
        zipped = _zipped_at(zipper, corner)
        if zipped is not None:
            rest = passed - _changed(zipper, zipped)
            heappush(ready, (_uneven(zipped), -len(zipped.pairs), next(number), zipped, rest))
        if _takes_more(zipper, corner):
            rest = passed | {corner}
            heappush(ready, (_uneven(zipper), -len(zipper.pairs), next(number), zipper, rest))


def _pairs_up(lengths: list[float]) -> bool:
    """Whether sides can be paired with sides as long."""
    order = sorted(lengths)
    return all(b - a <= max(_UNEVEN, 0.01 * b) for a, b in zip(order[::2], order[1::2], strict=True))


def _next_corner(zipper: Zip, passed: frozenset[int], span: tuple[float, float]) -> int | None:
    """In the shortest loop, the corner with the most card that may be zipped; None if a loop has none."""
    best: tuple[int, float, int] | None = None
    for rim in zipper.rims():
        corners = [j for j in rim if j not in passed and zipper.may_zip(j, span, _UNEVEN, frozenset())]
        if not corners:
            return None
        widest = min(corners, key=lambda j: (-round(zipper.angle[j], 1), j))
        rank = (len(rim), -round(zipper.angle[widest], 1), widest)
        best = rank if best is None else min(best, rank)
    return None if best is None else best[2]


def _zipped_at(zipper: Zip, corner: int) -> Zip | None:
    other = zipper.copy()
    other.glue(other.before[corner], corner)
    for rim in other.rims():
        if len(rim) % 2 or not _pairs_up([other.lengths[k] for k in rim]):
            return None
        if any(other.angle[k] > _FULL for k in rim):
            return None
    return other


def _takes_more(zipper: Zip, corner: int) -> bool:
    """Whether card from another corner of the same loop still goes in beside what is there."""
    least, k = _FULL, zipper.after[corner]
    while k != corner:
        least = min(least, zipper.angle[k])
        k = zipper.after[k]
    return zipper.angle[corner] + least < _FULL


def _changed(before: Zip, after: Zip) -> frozenset[int]:
    """Corners that have got more card, or are gone."""
    return frozenset(k for k in range(len(after.open)) if before.angle[k] != after.angle[k])


def _uneven(zipper: Zip) -> float:
    """Least sum of squares of what the corners lack, once all are closed."""
    lacks = [360.0 - fan.angle for fan in zipper.cycles]
    left = len(zipper.open) // 2 + 1 - len(lacks)
    rest = _LACK - sum(lacks)
    return sum(lack * lack for lack in lacks) + (rest * rest / left if left else 0.0)
