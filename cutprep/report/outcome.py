"""What a report is told: everything about a prepared job, as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from cutprep.model.findings.finding import Findings
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Duration, Moves
from cutprep.model.operation import Operation
from cutprep.model.part import Part
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport
from cutprep.profile.machine import Machine
from cutprep.profile.stock import Stock
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True)
class MachineFile:
    """One file for the machine.

    Attributes
    ----------
    name, text
        Its name, and all of it.
    tool
        Names of the tools that it works with.
    duration
        Worked out from the file as it was read back.
    """

    name: str
    text: str
    tool: str
    duration: Duration


@dataclass(frozen=True, slots=True, eq=False)
class SheetOutcome:
    """One sheet, planned, written and read back.

    Attributes
    ----------
    sheet
        What lies where.
    stock
        What the sheet is of.
    placed
        Its lines in sheet coordinates.
    strokes
        The lines in working order.
    order
        What that order costs, beside others.
    planned, read
        Moves as planned, and as an independent reader found them in the files.
    files
        The machine files in the order of running: one, or one for each tool.
    duration
        Worked out from `read`.
    blade_error
        Greatest distance of the blade's tip from the wanted line, mm.
    stem
        What the names of all its files begin with.
    marks
        (n, 2) ndarray: middles of the register marks on the sheet, mm; none when nothing is printed.
    """

    sheet: Sheet
    stock: Stock
    placed: Lines
    strokes: Strokes
    order: OrderReport
    planned: Moves
    read: Moves
    files: tuple[MachineFile, ...]
    duration: Duration
    blade_error: float = 0.0
    stem: str = ""
    marks: Points = field(default_factory=lambda: np.empty((0, 2)))

    @property
    def print_file(self) -> str:
        """Name of the page that is printed first; empty when nothing is."""
        return f"{self.stem}-print.pdf" if len(self.marks) else ""

    @property
    def runs(self) -> int:
        """How many such sheets are cut."""
        return self.sheet.runs

    @property
    def file(self) -> str:
        """Name of the machine file; of several the one that is run first."""
        return self.files[0].name

    def length(self, *operations: Operation) -> float:
        """Length of the sheet's lines of some operations, mm."""
        lines = self.strokes.lines
        return float(lines.lengths[np.isin(lines.operation, operations)].sum())

    @property
    def cut(self) -> float:
        """Length cut, through or in part or broken, mm."""
        return self.length(Operation.CUT, Operation.PARTIAL_CUT, Operation.PERFORATE)

    @property
    def score(self) -> float:
        """Length scored, mm."""
        return self.length(Operation.SCORE)

    @property
    def draw(self) -> float:
        """Length drawn, mm."""
        return self.length(Operation.DRAW)

    @property
    def travel(self) -> float:
        """Length with the tool up, as the machine file has it, mm."""
        return float(self.read.lengths[~self.read.down].sum())


@dataclass(frozen=True, slots=True, eq=False)
class TemplateOutcome:
    """One template of the job: what was read, checked and copied.

    Attributes
    ----------
    folds
        What folding it on the screen gave, one for each part that folds.
    marked
        Picture of the drawing with a numbered marker at each error and warning; empty without any.
    divided
        Its parts, which index `lines`.
    in_set
        How many of the copies one set needs; 0 when nothing was said of sets.
    offset
        Where the drawing has the origin of `lines`, mm: the folds keep the drawing's own coordinates.
    """

    name: str
    source: str
    copies: int
    stock: Stock
    lines: Lines
    size: tuple[float, float]
    parts: int
    scale_note: str
    findings: Findings
    folds: tuple[FoldReport, ...] = ()
    marked: str = ""
    divided: tuple[Part, ...] = ()
    offset: tuple[float, float] = (0.0, 0.0)
    in_set: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A prepared job.

    Attributes
    ----------
    despite
        Findings of severity error that the maker accepted.
    sets
        How many sets the job makes.
    chord_error
        Greatest distance of a chord from the curve it stands for in the machine files, mm.
    face_down
        Cards lie with their back up, and everything on the sheets is mirrored.
    students
        How many students the class sheet is for; 0 for none.
    scoring
        How the scores are made, for a person; empty when there are none.
    settings
        Every setting with its value and where it came from, as plain data.
    """

    title: str
    machine: Machine
    language: str
    templates: tuple[TemplateOutcome, ...]
    sheets: tuple[SheetOutcome, ...]
    findings: Findings
    despite: bool
    seed: int
    tolerance: Tolerance
    unit: str = "mm"
    sets: int = 1
    chord_error: float = 0.0
    scoring: str = ""
    settings: Mapping[str, Any] = field(default_factory=dict)
    face_down: bool = False
    students: int = 0

    @property
    def copies(self) -> int:
        """Copies of all templates together."""
        return sum(t.copies for t in self.templates)

    @property
    def stocks(self) -> tuple[Stock, ...]:
        """The cards that are used, in the order of cutting."""
        return tuple({s.stock.name: s.stock for s in self.sheets}.values())

    @property
    def seconds(self) -> float:
        """Machine time of all sheets, s."""
        return sum(s.duration.total * s.runs for s in self.sheets)

    @property
    def runs(self) -> int:
        """How many sheets are cut, equal ones counted each."""
        return sum(s.runs for s in self.sheets)
