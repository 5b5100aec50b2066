"""A problem at work: what is known of it by now, the work counted, and who is told.

The problem never changes. What is found is kept in `Known`, each under a key that holds all that
it depends on, so that nothing found depends on what was asked before it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from cutprep.model.findings.finding import Finding
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.meter import PIECES, Meter
from cutprep.stages.nest.item.nofit import NoFit
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, tidied
from cutprep.stages.nest.item.problem import Problem
from cutprep.stages.nest.pack.greedy import AnyBoard, Board
from cutprep.stages.nest.pack.lattice import Lattice
from cutprep.stages.nest.pack.raster import RasterBoard
from cutprep.stages.nest.proof import Taken, is_right

#: Kinds whose no-fit polygons would take more work than this are placed by cells instead, s.
_MOST_POLYGONS = 1.0


@dataclass(slots=True)
class Known:
    """What has been found of one problem.

    Attributes
    ----------
    nofit
        No-fit polygons.
    boards, rasters
        The empty sheet of each size, by no-fit polygons and by cells.
    grids
        The plain grid of one demand, by (size, demand, with pairs or not).
    filled
        The first fill of a sheet with one demand, and the work it took, s, by (size, demand).
    plain, dense
        The best pattern of one demand without and with lattices, by (size, demand).
    lattices
        Lattices of copies, by demand.
    wide
        Area of each demand widened by half the gap, mm2.
    proofs
        What passed the proof or did not, by (size, pattern).
    taken
        What the proof worked out of the templates.
    troubles
        What the packer said when it broke down or ran out of time.
    """

    nofit: NoFit
    boards: dict[int, Board] = field(default_factory=dict)
    grids: dict[tuple[int, int, bool], Pattern] = field(default_factory=dict)
    filled: dict[tuple[int, int], tuple[tuple[PatternPlacement, ...], float]] = field(default_factory=dict)
    plain: dict[tuple[int, int], Pattern] = field(default_factory=dict)
    dense: dict[tuple[int, int], Pattern] = field(default_factory=dict)
    rasters: dict[int, RasterBoard] = field(default_factory=dict)
    lattices: dict[int, tuple[Lattice, ...]] = field(default_factory=dict)
    wide: dict[int, float] = field(default_factory=dict)
    proofs: dict[tuple[int, Pattern], Pattern] = field(default_factory=dict)
    taken: Taken = field(default_factory=dict)
    troubles: dict[str, None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Solver:
    """One nesting at work.

    Attributes
    ----------
    problem, known
        What is to be solved, and what is known of it by now.
    meter
        Counts the work.
    progress
        Who is told.
    limit
        Reading of the meter at which a search ends, s.
    latticed
        Demands whose densest lattice says what a sheet may hold; of the others the plain area does.
    """

    problem: Problem
    known: Known
    meter: Meter
    progress: Progress
    limit: float = math.inf
    latticed: frozenset[int] = frozenset()

    @property
    def left(self) -> float:
        """Work that may still be spent, s; never below 0."""
        return max(0.0, self.limit - self.meter.spent)

    def after(self, seconds: float) -> float:
        """The reading at which so many seconds more are spent, or the limit when that comes first."""
        return min(self.meter.spent + seconds, self.limit)

    def within(self, seconds: float) -> Solver:
        """The same at work, with so many seconds from now on."""
        return replace(self, limit=self.meter.spent + seconds)

    def tell(self, stage: str, done: int, total: int) -> None:
        """Tell how far a stage has come, as a `Progress`; a Ctrl-C that got lost is raised here."""
        self.meter.spend(0.0)
        self.progress(stage, done, total)

    def board(self, size: int) -> Board:
        """The empty sheet of a size."""
        boards, problem = self.known.boards, self.problem
        if size not in boards:
            boards[size] = Board(
                problem.shapes, problem.allowed, problem.usable_areas[size], self.known.nofit
            )
        return boards[size]

    def board_for(self, size: int, counts: Sequence[int]) -> AnyBoard:
        """The empty sheet of a size for these copies: by cells when no-fit polygons would take too long."""
        if not self.by_cells(counts):
            return self.board(size)
        rasters, problem = self.known.rasters, self.problem
        if size not in rasters:
            rasters[size] = RasterBoard(
                problem.shapes, problem.allowed, problem.usable_areas[size], self.known.nofit
            )
        return rasters[size]

    def by_cells(self, counts: Sequence[int]) -> bool:
        """Whether there are so many kinds that their no-fit polygons would take too long."""
        return sum(1 for count in counts if count) > 1 and self.pairs_cost(counts) > _MOST_POLYGONS

    def asked(self, copies: Sequence[int]) -> Solver:
        """The same at work on other numbers of copies; what is known holds for them as well."""
        demands = tuple(replace(d, copies=n) for d, n in zip(self.problem.demands, copies, strict=True))
        return replace(self, problem=replace(self.problem, demands=demands))

    def stream(self, *key: int) -> np.random.SeedSequence:
        """Random numbers for one purpose, told by a key of numbers."""
        return np.random.SeedSequence((self.problem.nesting.seed, *key))

    def proved(self, size: int, pattern: Pattern) -> Pattern:
        """The pattern when it passes the proof, else an empty one.

        Positions are rounded to a millionth of a millimetre where the proof allows it.
        """
        key = (size, pattern)
        if pattern and key not in self.known.proofs:
            self.known.proofs[key] = self._proved(size, pattern)
        return self.known.proofs.get(key, pattern)

    def _proved(self, size: int, pattern: Pattern) -> Pattern:
        problem = self.problem
        usable, windows = problem.usable_areas[size], problem.nesting.windows
        for candidate in (tidied(pattern, 6), pattern):
            if is_right(candidate, problem.demands, usable, windows=windows, taken=self.known.taken):
                return candidate
        return Pattern((), pattern.method)

    def wide_area(self, demand: int) -> float:
        """Area of a demand widened by half the gap, mm2."""
        wide = self.known.wide
        if demand not in wide:
            shape, nesting = self.problem.shapes[demand], self.problem.nesting
            taken = shape.body if nesting.windows else shape.solid
            wide[demand] = float(shapely.area(shapely.buffer(taken, nesting.gap / 2, quad_segs=4)))
        return wide[demand]

    def pairs_cost(self, counts: Sequence[int]) -> float:
        """Counted work to make every no-fit polygon that these copies may need, s."""
        kinds = [demand for demand, count in enumerate(counts) if count]
        pieces = sum(len(self.known.nofit.pieces(demand)) for demand in kinds)
        turns = max((len(self.problem.allowed[demand]) for demand in kinds), default=1)
        return PIECES * pieces * pieces * turns

    def told(self) -> list[Finding]:
        """What is to be said of the search itself."""
        failed = [pattern for (_, pattern), proved in self.known.proofs.items() if pattern and not proved]
        words = [f"a layout by '{p.method}' failed the proof and was discarded" for p in failed]
        return [method_note(text) for text in dict.fromkeys([*words, *self.known.troubles])]


def method_note(text: str) -> Finding:
    """A note that tells how a layout came about."""
    return Finding.of("nest-method", text)


def stopped_note(text: str) -> Finding:
    """A note that the search ended before its work was done."""
    return Finding.of("nest-stopped", text)


def solver_of(problem: Problem, progress: Progress = silent) -> Solver:
    """Begin to work on a problem."""
    nesting, meter = problem.nesting, Meter()
    nofit = NoFit(problem.shapes, nesting.gap, windows=nesting.windows, meter=meter)
    return Solver(problem, Known(nofit), meter, progress)
