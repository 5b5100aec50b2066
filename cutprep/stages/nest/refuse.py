"""Why a job can't be laid out, said with figures and a way out."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutprep.errors import DoesNotFit, TooFewSheets
from cutprep.stages.nest.item.room import Room
from cutprep.stages.nest.item.shape import box_at
from cutprep.stages.nest.item.want import Pose
from cutprep.stages.nest.lots import Layout
from cutprep.stages.nest.pack.shop import Shop


def refuse_too_large(shop: Shop) -> None:
    """Raise for a template that no sheet has room for in any allowed turn.

    Raises
    ------
    DoesNotFit
        By how much, and which turn or how large a sheet would do.
    """
    for want in range(len(shop.wants)):
        if not any(_fits(shop, want, pose, room) for room in shop.rooms for pose in shop.allowed[want]):
            raise _too_large(shop, want)


def too_few(shop: Shop, layout: Layout, sets: int, unit: Sequence[int]) -> TooFewSheets:
    """Say how much fits on the sheets at hand.

    Parameters
    ----------
    sets, unit
        Largest number of full sets found to fit, and the copies in one set.
    """
    hand = ", ".join(f"{room.size.at_hand} of {room.size.name}" for room in shop.rooms)
    wanted = sum(want.copies for want in shop.wants)
    if len(shop.wants) == 1:
        name = shop.wants[0].template.name
        return TooFewSheets(
            f"the sheets at hand ({hand}) hold {wanted - sum(layout.short)} copies of '{name}'; "
            f"{wanted} are asked for",
            fix=f"Ask for {wanted - sum(layout.short)} copies, or have more sheets at hand.",
        )
    words = " + ".join(f"{n} x '{want.template.name}'" for n, want in zip(unit, shop.wants, strict=True))
    asked = shop.wants[0].copies // max(1, unit[0])
    return TooFewSheets(
        f"the sheets at hand ({hand}) hold {sets} full sets ({words}); {asked} are asked for",
        fix=f"Ask for {sets} sets, or have more sheets at hand." if sets else "Have more sheets at hand.",
    )


def _fits(shop: Shop, want: int, pose: Pose, room: Room) -> bool:
    over = _overshoot(shop, want, pose, room)
    return max(over) <= 1e-9  # not a tolerance: rounding of coordinates


def _overshoot(shop: Shop, want: int, pose: Pose, room: Room) -> tuple[float, float]:
    left, bottom, right, top = box_at(shop.shapes[want], pose)
    width, height = room.extent
    return right - left - width, top - bottom - height


def _too_large(shop: Shop, want: int) -> DoesNotFit:
    pairs = [(pose, room) for room in shop.rooms for pose in shop.allowed[want]]
    pose, room = min(pairs, key=lambda pair: max(_overshoot(shop, want, *pair)))
    over = _overshoot(shop, want, pose, room)
    left, bottom, right, top = box_at(shop.shapes[want], pose)
    sides = [f"{by:.1f} mm in {axis}" for by, axis in zip(over, ("width", "height"), strict=True) if by > 0]
    name = shop.wants[want].template.name
    turned = f" (turned by {pose.turn:g} degrees)" if pose.turn else ""
    return DoesNotFit(
        f"'{name}' is {right - left:.1f} x {top - bottom:.1f} mm{turned}; inside the margin of "
        f"{room.margin:g} mm the sheet {room.size.name} has room for {room.extent[0]:.1f} x "
        f"{room.extent[1]:.1f} mm: too large by {' and '.join(sides)}",
        fix=_way_out(shop, want, right - left, top - bottom, room),
    )


def _way_out(shop: Shop, want: int, width: float, height: float, room: Room) -> str:
    m = room.margin
    for turn in (90, *range(180)):
        if _fits(shop, want, Pose(float(turn)), room):
            word = "quarter" if turn % 90 == 0 else "free"
            return f"It would fit turned by {turn} degrees: allow {word} turns."
    ways = [f"a sheet of at least {width + 2 * m:.1f} x {height + 2 * m:.1f} mm would do"]
    most = min(room.size.width - width, room.size.height - height) / 2
    if most >= 0:
        ways.append(f"so would a margin of {math.floor(most * 10) / 10:g} mm")
    return "; ".join(ways).capitalize() + "."
