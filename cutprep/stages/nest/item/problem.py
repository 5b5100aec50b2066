"""What one nesting has to solve: items, sheets, and the work it may spend; frozen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutprep.errors import PlanError
from cutprep.model.part import Template
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Demand, Pose, pieces, poses
from cutprep.stages.nest.item.shape import Shape, shape_of
from cutprep.stages.nest.item.usable_area import UsableArea, usable_area_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.tables import suggest


@dataclass(frozen=True, slots=True)
class Effort:
    """Work that may be spent.

    Attributes
    ----------
    seconds
        Counted work for each sheet that differs, in seconds of a usual machine (see `meter`).
    search
        Share of the work left that placing one by one may take before the packer is asked.
    tries, reports, far
        Work of the packer in one attempt: see `child`.
    attempts
        Attempts of the packer with other seeds.
    """

    name: str
    seconds: float
    search: float
    tries: int
    reports: int
    far: float
    attempts: int


EFFORTS = {
    "quick": Effort("quick", 1.0, 1.0, 0, 0, 1.0, 0),
    "normal": Effort("normal", 5.0, 0.4, 4, 100, 1.03, 1),
    "thorough": Effort("thorough", 60.0, 0.4, 12, 250, 1.06, 3),
}


@dataclass(frozen=True, slots=True)
class Problem:
    """One nesting, as asked for.

    Attributes
    ----------
    demands
        What is placed as one: templates, or their parts where these may lie apart.
    sources
        Template and part that each demand stands for.
    templates
        As given.
    shapes, allowed
        Shape and poses of each demand.
    usable_areas
        Usable area on each size of sheet.
    nesting
        How copies are laid.
    """

    demands: tuple[Demand, ...]
    sources: tuple[tuple[int, int | None], ...]
    templates: tuple[Template, ...]
    shapes: tuple[Shape, ...]
    allowed: tuple[tuple[Pose, ...], ...]
    usable_areas: tuple[UsableArea, ...]
    nesting: Nesting

    @property
    def effort(self) -> Effort:
        """Work that may be spent."""
        return EFFORTS[self.nesting.effort]

    @property
    def copies(self) -> list[int]:
        """Copies asked for of each demand."""
        return [demand.copies for demand in self.demands]

    def only(self, demand: int, count: int) -> list[int]:
        """Counts of a single demand."""
        return [count if i == demand else 0 for i in range(len(self.demands))]


def problem_of(demands: Sequence[Demand], supply: Sequence[SheetSize], nesting: Nesting) -> Problem:
    """Check what is asked, and lay everything ready.

    Raises
    ------
    PlanError
        When it can't be done as asked.
    """
    if not supply:
        raise PlanError("no sheet is at hand", fix="Name a sheet size.")
    if nesting.effort not in EFFORTS:
        raise PlanError(
            f"the effort '{nesting.effort}' is not known", fix=suggest(nesting.effort, list(EFFORTS))
        )
    split = [(piece, (i, part)) for i, demand in enumerate(demands) for piece, part in pieces(demand)]
    singles = [piece for piece, _ in split]
    return Problem(
        demands=tuple(singles),
        sources=tuple(source for _, source in split),
        templates=tuple(demand.template for demand in demands),
        shapes=tuple(shape_of(demand.template) for demand in singles),
        allowed=tuple(poses(demand, nesting.grain) for demand in singles),
        usable_areas=tuple(
            usable_area_of(size, nesting.margin, nesting.gap, nesting.keep_out) for size in supply
        ),
        nesting=nesting,
    )
