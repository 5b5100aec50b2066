"""Patterns to sheets: which pattern is laid how many times, on which size of sheet.

A *lot* is a pattern with the number of equal sheets it is used for. Sheets are filled in turn:
the pattern that suits what is still wanted is found once and used for as many equal sheets as it
can be; the last copies are kept together on the smallest sheet that holds them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.pack.sheetful import (
    compact,
    fewest_sheets,
    fullest,
    grid,
    may_fit,
    mixed,
    reach,
    used_area,
)
from cutprep.stages.nest.pack.shop import Shop

#: Sheets that are tried for the last sheet's copies.
_SQUEEZES = 3


@dataclass(frozen=True, slots=True)
class Lot:
    """Equal sheets: size, pattern, how many."""

    size: int
    pattern: Pattern
    times: int


@dataclass(frozen=True, slots=True)
class Layout:
    """All lots, and the copies that found no sheet."""

    lots: tuple[Lot, ...]
    short: tuple[int, ...]

    @property
    def sheets(self) -> int:
        """Number of sheets."""
        return sum(lot.times for lot in self.lots)


#: Finds a pattern for a size of sheet and the copies still wanted.
Filler: TypeAlias = Callable[[Shop, int, Sequence[int]], Pattern]
Cost: TypeAlias = tuple[float, float, float, float, float]


def cost(shop: Shop, layout: Layout) -> Cost:
    """What makes one layout better than another, the weightiest first.

    Copies without a sheet; the price, when every size has one; the number of sheets; their area; the
    area of the last one up to the furthest edge used.
    """
    sizes = [shop.rooms[lot.size].size for lot in layout.lots]
    priced = all(room.size.price is not None for room in shop.rooms)
    price = sum((s.price or 0.0) * lot.times for s, lot in zip(sizes, layout.lots, strict=True))
    area = sum(s.width * s.height * lot.times for s, lot in zip(sizes, layout.lots, strict=True))
    last = layout.lots[-1] if layout.lots else None
    return (
        float(sum(layout.short)),
        price if priced else 0.0,
        float(layout.sheets),
        area,
        used_area(shop, last.size, last.pattern) if last else 0.0,
    )


def grid_layout(shop: Shop) -> Layout:
    """The reference: every template on sheets of its own, in the plain grid."""
    hand = _hand(shop)
    lots: list[Lot] = []
    short = [want.copies for want in shop.wants]
    for want in range(len(shop.wants)):
        _take_alone(shop, want, short, hand, lots, grid)
    return Layout(tuple(lots), tuple(short))


def quick_layout(shop: Shop) -> Layout:
    """The best layout by the methods that take no search."""
    counts = [want.copies for want in shop.wants]
    several = sum(1 for count in counts if count) > 1
    trials = [grid_layout(shop), _alone_then_mixed(shop, counts, together=False)]
    if several:
        trials += [_alone_then_mixed(shop, counts, together=True), in_turn(shop, counts, mixed)]
    return min(trials, key=lambda layout: cost(shop, layout))


def pressed_layout(shop: Shop, layout: Layout) -> Layout:
    """Try to do with fewer sheets, by search and by the packer."""
    counts = [want.copies for want in shop.wants]
    best = layout
    if sum(1 for count in counts if count) == 1:
        while best.sheets > fewest_sheets(shop, counts) and _press(shop, best):
            trial = _alone_then_mixed(shop, counts, together=False)
            best = min(best, trial, key=lambda item: cost(shop, item))
        return best
    if best.sheets > fewest_sheets(shop, counts):
        trial = in_turn(shop, counts, mixed)
        best = min(best, trial, key=lambda item: cost(shop, item))
    if best.sheets > fewest_sheets(shop, counts):
        best = _squeezed(shop, best) or best
    return best


def _squeezed(shop: Shop, layout: Layout) -> Layout | None:
    """Try to spread the last sheet's copies over sheets that are used once; None when some stay."""
    if layout.sheets < 2 or layout.lots[-1].times != 1 or any(layout.short):
        return None
    *lots, last = layout.lots
    pool = list(last.pattern.counts(len(shop.wants)))
    tried = 0
    for k, lot in enumerate(lots):
        counts = lot.pattern.counts(len(shop.wants))
        more = _as_much(shop, lot.size, counts, pool)
        if lot.times != 1 or not any(more) or tried == _SQUEEZES:
            continue
        tried += 1
        wanted = [a + b for a, b in zip(counts, more, strict=True)]
        pattern = reach(shop, lot.size, wanted, lot.pattern.spots)
        if pattern:
            lots[k] = Lot(lot.size, pattern, 1)
            pool = [a - b for a, b in zip(pool, more, strict=True)]
    return None if any(pool) else Layout(tuple(lots), layout.short)


def _as_much(shop: Shop, size: int, counts: Sequence[int], pool: Sequence[int]) -> list[int]:
    """What of a pool may fit onto a sheet beside what lies there, large copies first."""
    more = [0] * len(pool)
    for want in sorted(range(len(pool)), key=lambda w: (-shop.shapes[w].area, w)):
        while more[want] < pool[want]:
            trial = [c + m + (w == want) for w, (c, m) in enumerate(zip(counts, more, strict=True))]
            if not may_fit(shop, size, trial):
                break
            more[want] += 1
    return more


def in_turn(shop: Shop, counts: Sequence[int], filler: Filler, hand: list[int] | None = None) -> Layout:
    """Fill sheet after sheet with what is still wanted."""
    rest = list(counts)
    lots: list[Lot] = []
    hand = _hand(shop) if hand is None else hand
    while any(rest):
        last = _last(shop, rest, hand, [lot.pattern for lot in lots])
        if last is not None:
            hand[last.size] -= 1
            return Layout((*lots, last), (0,) * len(rest))
        lot = _best_lot(shop, rest, hand, filler)
        if lot is None:
            break
        lots.append(lot)
        hand[lot.size] -= lot.times
        for want, count in enumerate(lot.pattern.counts(len(rest))):
            rest[want] -= count * lot.times
        shop.progress("nest", sum(counts) - sum(rest), sum(counts))
    return Layout(tuple(lots), tuple(rest))


def _alone_then_mixed(shop: Shop, counts: Sequence[int], *, together: bool) -> Layout:
    """Full sheets of each template alone; then what is left of all, together or apart."""
    rest, hand = list(counts), _hand(shop)
    lots: list[Lot] = []
    for want in range(len(rest)):
        _take_full(shop, want, rest, hand, lots)
    if together:
        tail = in_turn(shop, rest, mixed, hand)
        return Layout((*lots, *tail.lots), tail.short)
    short = [0] * len(rest)
    for want, count in enumerate(rest):
        tail = in_turn(shop, _only(len(rest), want, count), _full_of(want), hand)
        lots += tail.lots
        short[want] = tail.short[want] if tail.short else 0
    return Layout(tuple(lots), tuple(short))


def _full_of(want: int) -> Filler:
    def filler(shop: Shop, size: int, rest: Sequence[int]) -> Pattern:
        pattern = fullest(shop, size, want)
        return Pattern(pattern.spots[: rest[want]], pattern.method)

    return filler


def _take_full(shop: Shop, want: int, rest: list[int], hand: list[int], lots: list[Lot]) -> None:
    """Use the best pattern of a want for as many whole sheets as there are copies for."""
    while rest[want]:
        options = [(fullest(shop, size, want), size) for size in range(len(hand)) if hand[size] > 0]
        options = [(p, size) for p, size in options if 0 < len(p) <= rest[want]]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(shop, item[1], item[0]))
        times = min(hand[size], rest[want] // len(pattern))
        lots.append(Lot(size, pattern, times))
        rest[want] -= times * len(pattern)
        hand[size] -= times
        shop.progress("nest", times * len(pattern), shop.wants[want].copies)


def _take_alone(
    shop: Shop,
    want: int,
    rest: list[int],
    hand: list[int],
    lots: list[Lot],
    source: Callable[[Shop, int, int], Pattern],
) -> None:
    """Whole sheets of one want, and a last one with the rest."""
    while rest[want]:
        options = [(source(shop, size, want), size) for size in range(len(hand)) if hand[size] > 0]
        options = [(p, size) for p, size in options if p]
        if not options:
            return
        pattern, size = max(options, key=lambda item: _worth(shop, item[1], item[0]))
        if len(pattern) > rest[want]:
            pattern = Pattern(pattern.spots[: rest[want]], pattern.method)
        times = min(hand[size], rest[want] // len(pattern))
        lots.append(Lot(size, pattern, times))
        rest[want] -= times * len(pattern)
        hand[size] -= times


def _best_lot(shop: Shop, rest: Sequence[int], hand: Sequence[int], filler: Filler) -> Lot | None:
    options = [(filler(shop, size, rest), size) for size in range(len(hand)) if hand[size] > 0]
    options = [(pattern, size) for pattern, size in options if pattern]
    if not options:
        return None
    pattern, size = max(options, key=lambda item: _worth(shop, item[1], item[0]))
    counts = pattern.counts(len(rest))
    times = min(have // count for have, count in zip(rest, counts, strict=True) if count)
    return Lot(size, pattern, min(times, hand[size]))


def _last(shop: Shop, rest: Sequence[int], hand: Sequence[int], known: Sequence[Pattern]) -> Lot | None:
    """The rest on one sheet, the cheapest and smallest that holds it, or None."""
    sizes = sorted(
        (size for size in range(len(hand)) if hand[size] > 0),
        key=lambda k: (
            shop.rooms[k].size.price or 0.0,
            shop.rooms[k].size.width * shop.rooms[k].size.height,
            k,
        ),
    )
    hopeful = [size for size in sizes if may_fit(shop, size, rest)]
    wants = [want for want, count in enumerate(rest) if count]
    for size in hopeful:
        own = [fullest(shop, size, wants[0])] if len(wants) == 1 else []
        pattern = compact(shop, size, rest, [*known, *own])
        if pattern:
            return Lot(size, pattern, 1)
    for size in hopeful if len(wants) > 1 else []:
        pattern = reach(shop, size, rest)
        if pattern:
            return Lot(size, pattern, 1)
    return None


def _press(shop: Shop, layout: Layout) -> bool:
    """Find a fuller pattern, such that one sheet less is needed; say whether there is one."""
    want = next(i for i, w in enumerate(shop.wants) if w.copies)
    tally: dict[int, int] = {}
    for lot in layout.lots:
        tally[lot.size] = tally.get(lot.size, 0) + lot.times
    size = max(tally, key=lambda k: (tally[k], -k))
    others = sum(len(lot.pattern) * lot.times for lot in layout.lots if lot.size != size)
    if tally[size] < 2:
        return False
    needed = -int(-(shop.wants[want].copies - others) // (tally[size] - 1))
    have = fullest(shop, size, want)
    if needed <= len(have):
        return False
    pattern = reach(shop, size, _only(len(shop.wants), want, needed), have.spots)
    if pattern:
        shop.full[size, want] = pattern
    return bool(pattern)


def _worth(shop: Shop, size: int, pattern: Pattern) -> tuple[float, float]:
    """Area placed for the price of the sheet (or for one sheet), then for its area."""
    placed = sum(shop.shapes[spot.want].area for spot in pattern.spots)
    sheet = shop.rooms[size].size
    priced = all(room.size.price for room in shop.rooms)
    return placed / (sheet.price or 1.0) if priced else placed, placed / (sheet.width * sheet.height)


def _hand(shop: Shop) -> list[int]:
    endless = 10**9
    return [endless if room.size.at_hand is None else room.size.at_hand for room in shop.rooms]


def _only(length: int, want: int, count: int) -> list[int]:
    return [count if i == want else 0 for i in range(length)]
