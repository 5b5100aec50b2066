"""What is wanted: a template, how many copies, and how they may be turned."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from cutprep.errors import GrainConflict, PlanError
from cutprep.model.part import Template
from cutprep.stages.nest.nesting import USUAL_TURNS, Turns

_ANGLES: dict[str, tuple[float, ...]] = {
    "never": (0.0,),
    "half": (0.0, 180.0),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "free": tuple(15.0 * i for i in range(24)),
}
#: A fold within this many degrees of the grain folds along it; common practice, no published source.
GRAIN_SLACK = 5.0


@dataclass(frozen=True, slots=True)
class Demand:
    """Copies of one template.

    Attributes
    ----------
    template
        What is copied.
    copies
        How many.
    turns
        Turns allowed on the sheet: none (for card with a pattern that has an up), half turns, quarter
        turns, or any.
    mirror
        Whether copies may be turned over.
    apart
        Whether the parts of a copy may lie apart from each other, anywhere on any sheet. Otherwise
        they keep the places that they have in the template.
    """

    template: Template
    copies: int
    turns: Turns = USUAL_TURNS
    mirror: bool = False
    apart: bool = False

    def __post_init__(self) -> None:
        if self.turns not in _ANGLES:
            raise ValueError(f"turns is {self.turns!r}; it must be one of {', '.join(_ANGLES)}")
        if self.copies < 0:
            raise ValueError(f"copies is {self.copies}; it can't be below 0")


@dataclass(frozen=True, slots=True, order=True)
class Pose:
    """How a copy lies: turned by degrees counter-clockwise, after it was mirrored or not."""

    turn: float = 0.0
    mirror: bool = False


def poses(demand: Demand, grain: float | None) -> tuple[Pose, ...]:
    """Which ways a copy may lie.

    Parameters
    ----------
    demand
        Its turns `free` give steps of 15 degrees, or with a grain the two turns that keep it.
    grain
        Direction of the stock's grain on the sheet, degrees from x, or None.

    Raises
    ------
    GrainConflict
        When no allowed turn brings the main folds along the grain.
    """
    sides = (False, True) if demand.mirror else (False,)
    if grain is None or demand.template.grain is None:
        return tuple(Pose(angle, side) for side in sides for angle in _ANGLES[demand.turns])
    kept = [
        pose
        for side in sides
        for pose in (_along(demand, grain, side) if demand.turns == "free" else _listed(demand, side))
        if keeps_grain(demand.template, pose, grain)
    ]
    if not kept:
        raise _conflict(demand, grain)
    return tuple(kept)


def keeps_grain(template: Template, pose: Pose, grain: float | None) -> bool:
    """Whether the template's main folds run along the grain in this pose."""
    if grain is None or template.grain is None:
        return True
    return _off_line(_fold_direction(template.grain, pose) - grain) <= GRAIN_SLACK


def is_allowed(demand: Demand, pose: Pose, grain: float | None) -> bool:
    """Whether a copy may lie this way; half and quarter turns are meant exactly."""
    turned = demand.turns == "free" or pose.turn % 360.0 in _ANGLES[demand.turns]
    return turned and (demand.mirror or not pose.mirror) and keeps_grain(demand.template, pose, grain)


def pieces(demand: Demand) -> tuple[tuple[Demand, int | None], ...]:
    """What is placed as one: the whole template, or each of its parts.

    Returns
    -------
    tuple of (Demand, part)
        A demand for each piece, and the number of the part or None for the whole. Lines that belong to
        no part keep the parts together.
    """
    template = demand.template
    if not demand.apart or len(template.parts) < 2 or template.loose:
        return ((demand, None),)
    return tuple(
        (replace(demand, template=replace(template, name=_part_name(template, k), parts=(part,))), k)
        for k, part in enumerate(template.parts)
    )


def _part_name(template: Template, part: int) -> str:
    return f"{template.name}, {template.parts[part].name or f'part {part + 1}'}"


def require_copies(demands: tuple[Demand, ...]) -> None:
    """Refuse a job in which nothing is wanted.

    Raises
    ------
    PlanError
        When there is no template, or the copies sum up to none.
    """
    if not sum(demand.copies for demand in demands):
        raise PlanError("no copies are wanted", fix="Ask for at least one copy.")


def _fold_direction(grain: float, pose: Pose) -> float:
    return (180.0 - grain if pose.mirror else grain) + pose.turn


def _off_line(degrees: float) -> float:
    """Angle between two directions without sense, 0 to 90."""
    return abs((degrees + 90.0) % 180.0 - 90.0)


def _listed(demand: Demand, mirror: bool) -> list[Pose]:
    return [Pose(angle, mirror) for angle in _ANGLES[demand.turns]]


def _along(demand: Demand, grain: float, mirror: bool) -> list[Pose]:
    assert demand.template.grain is not None
    turn = (grain - _fold_direction(demand.template.grain, Pose(0.0, mirror))) % 180.0
    return [Pose(turn, mirror), Pose(turn + 180.0, mirror)]


def _conflict(demand: Demand, grain: float) -> GrainConflict:
    assert demand.template.grain is not None
    need = (grain - demand.template.grain) % 180.0
    quarter = math.isclose(need % 90.0, 0.0, abs_tol=GRAIN_SLACK) or need % 90.0 > 90.0 - GRAIN_SLACK
    way = "Allow quarter turns" if demand.turns in ("never", "half") and quarter else "Allow free turns"
    turned = "without turning it" if demand.turns == "never" else f"with {demand.turns} turns only"
    return GrainConflict(
        f"the main folds of '{demand.template.name}' run along {demand.template.grain:g} degrees and the grain "
        f"of the card along {grain:g}; {turned}, they can't be brought together",
        fix=f"{way} (a turn by {need:g} degrees would do), load the card turned, or leave the grain unstated.",
    )
