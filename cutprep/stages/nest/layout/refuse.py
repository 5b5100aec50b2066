"""Why a job can't be laid out, said with figures and a way out."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutprep.errors import DoesNotFit, TooFewSheets
from cutprep.geometry.affine import apply, turn
from cutprep.model.lines import Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.problem import Problem
from cutprep.stages.nest.item.shape import box_at
from cutprep.stages.nest.item.usable_area import UsableArea
from cutprep.stages.nest.layout.pattern_runs import Layout
from cutprep.units import plural


def refuse_too_large(problem: Problem) -> None:
    """Raise for a template that no sheet has room for in any allowed turn.

    Raises
    ------
    DoesNotFit
        By how much, and which turn or how large a sheet would do.
    """
    for demand in range(len(problem.demands)):
        if not any(
            _fits(problem, demand, pose, usable)
            for usable in problem.usable_areas
            for pose in problem.allowed[demand]
        ):
            raise _too_large(problem, demand)


def too_few(problem: Problem, layout: Layout, sets: int, unit: Sequence[int]) -> TooFewSheets:
    """Say how much fits on the sheets at hand.

    Parameters
    ----------
    sets, unit
        Largest number of full sets found to fit, and the copies in one set.
    """
    hand = ", ".join(
        usable.size.name if usable.size.at_hand is None else f"{usable.size.at_hand} of {usable.size.name}"
        for usable in problem.usable_areas
    )
    wanted = sum(demand.copies for demand in problem.demands)
    if len(problem.demands) == 1:
        name, room = problem.demands[0].template.name, wanted - sum(layout.short)
        return TooFewSheets(
            f"the sheets at hand ({hand}) hold {plural(room, 'copy', 'copies')} of '{name}'; "
            f"{wanted} are asked for",
            fix=f"Ask for {plural(room, 'copy', 'copies')}, or have more sheets at hand.",
        )
    words = " + ".join(
        f"{n} x '{demand.template.name}'" for n, demand in zip(unit, problem.demands, strict=True)
    )
    asked = problem.demands[0].copies // max(1, unit[0])
    return TooFewSheets(
        f"the sheets at hand ({hand}) hold {sets} full sets ({words}); {asked} are asked for",
        fix=f"Ask for {sets} sets, or have more sheets at hand." if sets else "Have more sheets at hand.",
    )


def _fits(problem: Problem, demand: int, pose: Pose, usable: UsableArea) -> bool:
    over = _overshoot(problem, demand, pose, usable)
    return max(over) <= 1e-9  # not a tolerance: rounding of coordinates


def _overshoot(problem: Problem, demand: int, pose: Pose, usable: UsableArea) -> tuple[float, float]:
    left, bottom, right, top = box_at(problem.shapes[demand], pose)
    width, height = usable.extent
    return right - left - width, top - bottom - height


def _too_large(problem: Problem, demand: int) -> DoesNotFit:
    pairs = [(pose, usable) for usable in problem.usable_areas for pose in problem.allowed[demand]]
    pose, usable = min(pairs, key=lambda pair: max(_overshoot(problem, demand, *pair)))
    over = _overshoot(problem, demand, pose, usable)
    left, bottom, right, top = box_at(problem.shapes[demand], pose)
    sides = [f"{by:.1f} mm in {axis}" for by, axis in zip(over, ("width", "height"), strict=True) if by > 0]
    name = problem.demands[demand].template.name
    turned = f" (turned by {pose.turn:g} degrees)" if pose.turn else ""
    return DoesNotFit(
        f"'{name}' is {right - left:.1f} x {top - bottom:.1f} mm{turned}; inside the margin of "
        f"{usable.margin:g} mm the sheet {usable.size.name} has room for {usable.extent[0]:.1f} x "
        f"{usable.extent[1]:.1f} mm: too large by {' and '.join(sides)}",
        fix=_way_out(problem, demand, right - left, top - bottom, usable),
    )


def _way_out(problem: Problem, demand: int, width: float, height: float, usable: UsableArea) -> str:
    m = usable.margin
    for degrees in (90, *range(180)):
        if _fits(problem, demand, Pose(float(degrees)), usable):
            word = "quarter" if degrees % 90 == 0 else "free"
            return f"It would fit turned by {degrees} degrees: allow {word} turns."
    parts = len(problem.demands[demand].template.parts)
    if parts > 1 and _parts_fit(problem, demand, usable):
        return (
            f"Each of its {parts} pieces would fit by itself. "
            "Say --pieces-apart, or pieces_apart = true in the job file."
        )
    ways = [f"a sheet of at least {width + 2 * m:.1f} x {height + 2 * m:.1f} mm would do"]
    most = min(usable.size.width - width, usable.size.height - height) / 2
    if most >= 0:
        ways.append(f"so would a margin of {math.floor(most * 10) / 10:g} mm")
    return "; ".join(ways).capitalize() + "."


def _parts_fit(problem: Problem, demand: int, usable: UsableArea) -> bool:
    """Whether a sheet has room for each part of a template by itself, in a turn that is allowed."""
    template = problem.demands[demand].template

    def fits(xy: Points, degrees: float) -> bool:
        return bool((np.ptp(apply(turn(degrees), xy), axis=0) <= np.array(usable.extent)).all())

    return all(
        any(fits(template.lines.points(part.outline), pose.turn) for pose in problem.allowed[demand])
        for part in template.parts
    )
