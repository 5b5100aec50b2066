"""One sheet: as many copies as it holds, a given set of copies, or the last few kept together."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from cutprep.stages.nest.item.pattern import Pattern, Spot, moved, used_box
from cutprep.stages.nest.item.shape import fills_its_box
from cutprep.stages.nest.pack.blocks import block_pattern
from cutprep.stages.nest.pack.greedy import Board, Pull, fill
from cutprep.stages.nest.pack.grid import grid_pattern
from cutprep.stages.nest.pack.interlock import interlocked
from cutprep.stages.nest.pack.irregular import Attempt, pack
from cutprep.stages.nest.pack.search import Budget, by_area, improve, quick_fill
from cutprep.stages.nest.pack.shop import Shop

#: A sheet may be filled denser than the densest lattice by this factor; sets beyond are not tried.
_BEYOND = 1.03
#: Copies beyond this many are not searched for one by one; the lattice is as good there.
_MANY = 150
#: Work of the short search that every single-template pattern gets, whatever the effort.
_SHORT = 1_500
#: What fills its box by this share interlocks no better than boxes do; the packer is not asked.
_NEARLY = 0.97


def fullest(shop: Shop, size: int, want: int) -> Pattern:
    """The pattern of one want that holds most copies, by the methods that take no search."""
    key = (size, want)
    if key not in shop.full:
        board = shop.board(size)
        best = grid(shop, size, want)
        shape, allowed = shop.shapes[want], shop.allowed[want]
        for pattern in (
            block_pattern(want, shape, allowed, board.room),
            interlocked(board, want),
        ):
            best = _more(shop, size, best, topped_up(board, pattern, want))
        if len(best) <= _MANY:
            counts = _only(shop, want, _most(shop, size, want))
            spots = improve(
                board, counts, quick_fill(board, counts), shop.stream(), Budget(_SHORT), lambda _: False
            )
            best = _more(shop, size, best, Pattern(tuple(spots), "placed one by one"))
        shop.full[key] = best
    return shop.full[key]


def grid(shop: Shop, size: int, want: int) -> Pattern:
    """The plain grid of one want."""
    key = (size, want)
    if key not in shop.grids:
        pattern = grid_pattern(want, shop.shapes[want], shop.allowed[want], shop.rooms[size])
        shop.grids[key] = shop.proved(size, pattern) if pattern else pattern
    return shop.grids[key]


def topped_up(board: Board, pattern: Pattern, want: int) -> Pattern:
    """Add copies where a regular pattern has left room at the edges."""
    if not pattern:
        return pattern
    trial = board.fresh()
    trial.spots = list(pattern.spots)
    fill(trial, [want] * (len(pattern) + 8), Pull(225.0))
    if len(trial.spots) == len(pattern):
        return pattern
    return Pattern(tuple(trial.spots), f"{pattern.method}, filled up at the edges")


def mixed(shop: Shop, size: int, counts: Sequence[int]) -> Pattern:
    """Fill a sheet with as much area as it holds of several wants."""
    board = shop.board(size)
    capped = [min(count, _most(shop, size, want)) for want, count in enumerate(counts)]
    spots = quick_fill(board, capped)
    if shop.effort.search:
        budget = Budget(shop.effort.search)
        spots = improve(board, capped, spots, shop.stream(), budget, lambda s: len(s) == sum(capped))
    return shop.proved(size, Pattern(tuple(spots), "placed one by one"))


def reach(shop: Shop, size: int, counts: Sequence[int], start: Sequence[Spot] = ()) -> Pattern:
    """Try to place exactly these copies on one sheet: by the search, then by the packer.

    Returns
    -------
    Pattern
        Empty when they don't fit, or were not found to.
    """
    key = (size, tuple(counts))
    if not may_fit(shop, size, counts) or not shop.effort.search:
        return Pattern((), "")
    if key not in shop.tried:
        shop.tried[key] = _reached(shop, size, counts, start)
    return shop.tried[key]


def _reached(shop: Shop, size: int, counts: Sequence[int], start: Sequence[Spot]) -> Pattern:
    total, board = sum(counts), shop.board(size)
    budget = Budget(shop.effort.search)
    spots = improve(board, counts, start, shop.stream(), budget, lambda s: len(s) >= total)
    if len(spots) >= total:
        pattern = shop.proved(size, Pattern(tuple(spots), "placed one by one, searched"))
        if pattern:
            return pattern
    return _packed(shop, size, counts)


def _packed(shop: Shop, size: int, counts: Sequence[int]) -> Pattern:
    wants = [want for want, count in enumerate(counts) if count]
    if len(wants) == 1 and fills_its_box(shop.shapes[wants[0]], shop.allowed[wants[0]][0], _NEARLY):
        return Pattern((), "")
    for attempt in range(shop.effort.attempts):
        seed = (shop.nesting.seed + attempt) % 2**32
        result = pack(
            shop.board(size),
            counts,
            seed=seed,
            tries=shop.effort.tries,
            reports=shop.effort.reports,
            far=shop.effort.far,
            progress=shop.progress,
        )
        if result.spots:
            words = f"packed irregularly (seed {seed}, {result.reports} steps)"
            return shop.proved(size, Pattern(result.spots, words))
        if not _tell_failure(shop, result):
            break
    return Pattern((), "")


def _tell_failure(shop: Shop, result: Attempt) -> bool:
    """Note a packer that broke down or ran out of time; say whether another try makes sense."""
    if result.failed:
        shop.note(f"the irregular packer gave up ({result.why}); the other methods were used")
    elif result.why == "time used up":
        shop.note("the irregular packer was stopped by time, so another run may differ")
    return not result.failed and result.reports > 0


def compact(shop: Shop, size: int, counts: Sequence[int], known: Sequence[Pattern]) -> Pattern:
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
    board, total = shop.board(size), sum(counts)
    trials = [_nearest_few(shop, size, pattern, counts, axis) for pattern in known for axis in (0, 1)]
    for pull in (Pull(270.0), Pull(180.0), Pull(270.0, 0.5), Pull(180.0, 0.5)):
        trial = board.fresh()
        fill(trial, by_area(board, counts), pull)
        trials.append(Pattern(tuple(trial.spots), "placed one by one"))
    whole = [pattern for pattern in trials if len(pattern) == total]
    for pattern in sorted(whole, key=lambda p: used_area(shop, size, p)):
        if shop.proved(size, pattern):
            return pattern
    return Pattern((), "")


def used_area(shop: Shop, size: int, pattern: Pattern) -> float:
    """Area of the sheet up to the furthest edge used, in the better of the two directions, mm2."""
    _, _, right, top = used_box(pattern, shop.shapes)
    sheet = shop.rooms[size].size
    return round(min(right * sheet.height, top * sheet.width), 3)


def may_fit(shop: Shop, size: int, counts: Sequence[int]) -> bool:
    """Whether the area of the copies, widened by half the gap, leaves any hope.

    A sheet is hardly ever filled denser than the whole plane is by the densest lattice.
    """
    room = shop.rooms[size]
    width, height = room.extent
    there = (width + room.gap) * (height + room.gap)
    wants = [want for want, count in enumerate(counts) if count]
    densest = max((_densest(shop, size, want) for want in wants), default=1.0)
    return sum(counts[want] * _wide_area(shop, want) for want in wants) <= densest * there


def _densest(shop: Shop, size: int, want: int) -> float:
    cell = shop.board(size).cells.get(want)
    dense = 1.0 if cell is None else _BEYOND * _wide_area(shop, want) / cell
    return min(dense, 1.0)


def fewest_sheets(shop: Shop, counts: Sequence[int]) -> int:
    """No layout needs fewer sheets than this, by area."""
    there = max((r.extent[0] + r.gap) * (r.extent[1] + r.gap) for r in shop.rooms)
    needed = sum(n * _wide_area(shop, want) for want, n in enumerate(counts))
    return max(1, -int(-needed // there))


def _wide_area(shop: Shop, want: int) -> float:
    shape, gap = shop.shapes[want], shop.nofit.gap
    taken = shape.body if shop.nesting.windows else shape.solid
    return float(shapely.area(shapely.buffer(taken, gap / 2, quad_segs=4)))


def _most(shop: Shop, size: int, want: int) -> int:
    """More copies than this can't lie on a sheet."""
    width, height = shop.rooms[size].extent
    gap = shop.rooms[size].gap
    return int((width + gap) * (height + gap) / _wide_area(shop, want)) + 1


def _only(shop: Shop, want: int, count: int) -> list[int]:
    return [count if i == want else 0 for i in range(len(shop.wants))]


def _more(shop: Shop, size: int, best: Pattern, other: Pattern) -> Pattern:
    """The pattern with more copies, if it is right."""
    if len(other) <= len(best):
        return best
    return shop.proved(size, other) or best


def _nearest_few(shop: Shop, size: int, pattern: Pattern, counts: Sequence[int], axis: int) -> Pattern:
    """Those copies of a pattern that reach least far up (axis 1) or to the right (axis 0)."""
    board = shop.board(size)
    far = {spot: (spot.x, spot.y)[axis] + board.box(spot.want, spot.pose)[2 + axis] for spot in pattern.spots}
    rest, kept = list(counts), []
    for spot in sorted(pattern.spots, key=lambda s: (round(far[s], 6), s.x, s.y)):
        if rest[spot.want]:
            rest[spot.want] -= 1
            kept.append(spot)
    return _to_corner(shop, size, Pattern(tuple(kept), pattern.method))


def _to_corner(shop: Shop, size: int, pattern: Pattern) -> Pattern:
    """Push all copies together to the lower left, unless there are areas to keep out of."""
    room = shop.rooms[size]
    if room.keep_out or not pattern:
        return pattern
    left, bottom, _, _ = used_box(pattern, shop.shapes)
    return moved(pattern, room.box[0] - left, room.box[1] - bottom)
