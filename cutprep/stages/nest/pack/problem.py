"""Everything that one nesting works with: shapes, sheets, seeds, and the effort it may spend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutprep.errors import PlanError
from cutprep.model.findings.finding import Finding
from cutprep.model.part import Template
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.demand import Demand, Pose, pieces, poses
from cutprep.stages.nest.item.nofit import NoFit
from cutprep.stages.nest.item.pattern import Pattern, tidied
from cutprep.stages.nest.item.shape import Shape, shape_of
from cutprep.stages.nest.item.usable_area import UsableArea, usable_area_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.greedy import Board
from cutprep.stages.nest.proof import is_right
from cutprep.tables import near


@dataclass(frozen=True, slots=True)
class Effort:
    """Work that may be spent on one sheet.

    Attributes
    ----------
    search
        Free regions brought up to date by the search.
    tries, reports, far
        Work of the packer in one attempt: see `child`.
    attempts
        Attempts of the packer with other seeds.
    """

    name: str
    search: int
    tries: int
    reports: int
    far: float
    attempts: int


EFFORTS = {
    "quick": Effort("quick", 0, 0, 0, 1.0, 0),
    "normal": Effort("normal", 6_000, 4, 100, 1.03, 1),
    "thorough": Effort("thorough", 40_000, 12, 250, 1.06, 3),
}


@dataclass(slots=True)
class Problem:
    """One nesting at work; `board(size)` is the empty sheet of a size.

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
    effort
        Work that may be spent now.
    notes
        What is to be said about the result.
    tried, full, grids
        Patterns found before.
    streams
        Streams of random numbers asked for so far.
    """

    demands: tuple[Demand, ...]
    sources: tuple[tuple[int, int | None], ...]
    templates: tuple[Template, ...]
    shapes: tuple[Shape, ...]
    allowed: tuple[tuple[Pose, ...], ...]
    usable_areas: tuple[UsableArea, ...]
    nesting: Nesting
    effort: Effort
    progress: Progress
    nofit: NoFit
    notes: list[Finding] = field(default_factory=list)
    boards: dict[int, Board] = field(default_factory=dict)
    full: dict[tuple[int, int], Pattern] = field(default_factory=dict)
    grids: dict[tuple[int, int], Pattern] = field(default_factory=dict)
    tried: dict[tuple[int, tuple[int, ...]], Pattern] = field(default_factory=dict)
    streams: int = 0

    def board(self, size: int) -> Board:
        """The empty sheet of a size."""
        if size not in self.boards:
            self.boards[size] = Board(self.shapes, self.allowed, self.usable_areas[size], self.nofit)
        return self.boards[size]

    def stream(self) -> np.random.SeedSequence:
        """A fresh stream of random numbers; the n-th asked for is always the same."""
        self.streams += 1
        return np.random.SeedSequence((self.nesting.seed, self.streams))

    def note(self, text: str, *, stopped: bool = False) -> None:
        """Tell how the result came about; once, and under its own code when the search was stopped."""
        note = Finding.of("nest-stopped", text) if stopped else method_note(text)
        if note not in self.notes:
            self.notes.append(note)

    def proved(self, size: int, pattern: Pattern) -> Pattern:
        """The pattern when it passes the proof, else an empty one, with a note.

        Positions are rounded to a millionth of a millimetre where the proof allows it.
        """
        tidy = tidied(pattern, 6)
        if is_right(tidy, self.demands, self.usable_areas[size], windows=self.nesting.windows):
            return tidy
        if is_right(pattern, self.demands, self.usable_areas[size], windows=self.nesting.windows):
            return pattern
        self.note(f"a layout by '{pattern.method}' failed the proof and was discarded")
        return Pattern((), pattern.method)


def method_note(text: str) -> Finding:
    """A note that tells how a layout came about."""
    return Finding.of("nest-method", text)


def problem_of(
    demands: Sequence[Demand],
    supply: Sequence[SheetSize],
    nesting: Nesting,
    progress: Progress = silent,
) -> Problem:
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
            f"the effort '{nesting.effort}' is not known", fix=near(nesting.effort, list(EFFORTS))
        )
    split = [(piece, (i, part)) for i, demand in enumerate(demands) for piece, part in pieces(demand)]
    singles = [piece for piece, _ in split]
    shapes = tuple(shape_of(demand.template) for demand in singles)
    return Problem(
        demands=tuple(singles),
        sources=tuple(source for _, source in split),
        templates=tuple(demand.template for demand in demands),
        shapes=shapes,
        allowed=tuple(poses(demand, nesting.grain) for demand in singles),
        usable_areas=tuple(
            usable_area_of(size, nesting.margin, nesting.gap, nesting.keep_out) for size in supply
        ),
        nesting=nesting,
        effort=EFFORTS[nesting.effort],
        progress=progress,
        nofit=NoFit(shapes, nesting.gap, windows=nesting.windows),
    )
