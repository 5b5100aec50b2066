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
from cutprep.model.operation import Fold, Operation
from cutprep.model.part import Part
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport
from cutprep.profile.machine import Machine
from cutprep.profile.stock import Stock
from cutprep.tolerance import Tolerance

#: Codes of notes on how many sheets a job takes.
OF_SHEETS = ("pieces-apart", "sheet-for-spares")


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
    over_line
        How long it takes over the machine's serial line, s; 0 where that is not what holds the machine up.
    side
        "back" or "front" of the card that is up, where both are worked; empty where nothing is turned over.
    """

    name: str
    text: str
    tool: str
    duration: Duration
    side: str = ""
    over_line: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class BackRun:
    """What is scored from the back before the sheet is turned over.

    Attributes
    ----------
    scores
        The lines, where the front has them.
    strokes
        They in working order, and crosses that are cut through the card, where they lie with its back up.
    planned, read
        Moves on the sheet with its back up, as planned and as they were read back.
    duration
        Worked out from `read`.
    way
        How the sheet is turned over after it: "sideways" or "endways".
    marks
        (n, 2) ndarray: middles of the crosses, where the front has them, mm; none when the edges do.
    miss
        Greatest distance of its scores from where the front has them, by the file, mm.
    done
        It was run before, so it has no file.
    """

    scores: Lines
    strokes: Strokes
    planned: Moves
    read: Moves
    duration: Duration
    way: str
    marks: Points
    miss: float
    done: bool = False


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
        The machine files in the order of running: one, or one for each tool; those of the back first.
    duration
        Worked out from `read`.
    blade_error
        Greatest distance of the blade's tip from the wanted line, mm.
    stem
        What the names of all its files begin with.
    marks
        (n, 2) ndarray: middles of the register marks on the sheet, mm; none when nothing is printed.
    back
        What is scored from the back first; None when nothing is. All else is of the front.
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
    back: BackRun | None = None

    @property
    def whole(self) -> Duration:
        """Time of the front and, where the back is still to be run, of both."""
        return self.duration if self.back is None or self.back.done else self.duration + self.back.duration

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
        """Length scored, from both sides, mm."""
        return self.length(Operation.SCORE) + (0.0 if self.back is None else self.back.scores.lengths.sum())

    @property
    def draw(self) -> float:
        """Length drawn, mm."""
        return self.length(Operation.DRAW)

    @property
    def travel(self) -> float:
        """Length with the tool up on both sides, as the machine files have it, mm."""
        return sum(moves.travel for moves in self.reads)

    @property
    def over_line(self) -> float:
        """Time of all files when they come over the machine's serial line, s; 0 where it holds nothing up."""
        if not any(file.over_line for file in self.files):
            return 0.0
        held = sum(max(file.over_line - file.duration.total, 0.0) for file in self.files)
        return self.whole.total + held

    @property
    def reads(self) -> tuple[Moves, ...]:
        """Moves of each side that is still to be run, as they were read back."""
        back = self.back
        return (self.read,) if back is None or back.done else (back.read, self.read)


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
    drawing
        What is the same for templates that are pieces of one drawing.
    piece
        Which piece of it this is; empty for the rest of them, or all.
    other_cards
        Pieces, by name, that are made of another card, and its title.
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
    drawing: str = ""
    piece: str = ""
    other_cards: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A prepared job.

    Attributes
    ----------
    despite
        Findings of severity error that the maker accepted.
    sets
        How many sets the job makes.
    together
        How the templates come together once each is made, a sentence a step.
    chord_error
        Greatest distance of a chord from the curve it stands for in the machine files, mm.
    face_down
        Cards lie with their back up, and everything on the sheets is mirrored.
    from_back
        Of which fold the scores are that are made from the back; unsaid when none are.
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
    together: tuple[str, ...] = ()
    chord_error: float = 0.0
    scoring: str = ""
    settings: Mapping[str, Any] = field(default_factory=dict)
    face_down: bool = False
    students: int = 0
    from_back: Fold = Fold.UNSAID

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
        return sum(s.whole.total * s.runs for s in self.sheets)

    @property
    def over_line(self) -> float:
        """The same when all comes over the machine's serial line, s; 0 where that holds nothing up."""
        if not any(s.over_line for s in self.sheets):
            return 0.0
        return sum((s.over_line or s.whole.total) * s.runs for s in self.sheets)

    @property
    def runs(self) -> int:
        """How many sheets are cut, equal ones counted each."""
        return sum(s.runs for s in self.sheets)
