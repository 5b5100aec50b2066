"""The job: which templates, how many, of what, on which machine, and how careful."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from cutprep import units
from cutprep.errors import JobError
from cutprep.job.settings.resolve import Resolved
from cutprep.limits import Limits, more
from cutprep.model.rules import Rules
from cutprep.model.text import LEAST_HEIGHT
from cutprep.profile.languages import LANGUAGES
from cutprep.profile.machine import Machine
from cutprep.profile.stock import SheetSize, Stock
from cutprep.stages.blade.cutting import Cutting
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.fit.tell import Wanted
from cutprep.stages.mend.mending import Left, Mending
from cutprep.stages.nest.nesting import USUAL_LIMITS, USUAL_TURNS, AlignmentLimits, Nesting, Turns
from cutprep.stages.order.ordering import Ordering
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True)
class Item:
    """One template of a job.

    Attributes
    ----------
    path
        Its drawing.
    copies
        How many.
    in_set
        How many of them one set needs; 0: all of them are one set.
    rules
        How its lines are classified.
    units
        Unit of a drawing that names none.
    expect
        Size that the maker has in mind, mm.
    turns
        "never", "half", "quarter" or "free".
    grain
        Direction that shall lie along the card's grain, degrees; None goes by the main folds.
    mirror
        Copies may be turned over.
    names
        What is written on each copy: a list, or the texts themselves.
    least_height
        How low the capitals of a long text may be, mm.
    font
        A font to write with; None for single strokes.
    rows
        The list as it was read, one row a copy; empty until then.
    only
        The one piece of the drawing that this is; empty for all of them.
    less
        Pieces of the drawing that are items of their own.
    folding
        What the maker says about folding; None when nothing.
    row
        Which of the job file's templates it belongs to, from 0.
    leave
        Changes that mending is not to make.
    settings
        Where each value came from.
    """

    path: Path
    copies: int
    rules: Rules = field(default_factory=Rules)
    units: str | None = None
    expect: tuple[float, float] | None = None
    turns: Turns = USUAL_TURNS
    grain: float | None = None
    mirror: bool = False
    in_set: int = 0
    names: Path | tuple[str, ...] | None = None
    least_height: float = LEAST_HEIGHT
    font: str | None = None
    rows: tuple[dict[str, str], ...] = field(default=(), repr=False)
    only: str = ""
    less: tuple[str, ...] = ()
    folding: FoldDeclarations | None = None
    row: int = 0
    leave: tuple[Left, ...] = ()
    settings: Resolved | None = field(default=None, compare=False, repr=False)

    @property
    def name(self) -> str:
        """Its drawing's name, with that of the piece."""
        return f"{self.path.stem}, {self.only}" if self.only else self.path.stem


@dataclass(frozen=True, slots=True)
class PlacedCopy:
    """A copy placed by hand.

    Attributes
    ----------
    sheet
        Number of the sheet among those of its batch, from 1.
    item
        Index of the template in its batch.
    x, y, turn, mirror
        As `Placement`: mm, degrees.
    size
        Size of the sheet, mm; None takes the usual one.
    loose
        When the rest is laid round copies placed by hand, this one is laid out with it.
    """

    sheet: int
    item: int
    x: float
    y: float
    turn: float = 0.0
    mirror: bool = False
    size: tuple[float, float] | None = None
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Batch:
    """Everything of a job that is made of one stock.

    Attributes
    ----------
    stock
        The card.
    sheets
        Sizes of it, the usual one first; `at_hand` limits how many are used.
    items
        Templates, mixed on the sheets.
    spots
        Copies placed by hand; empty when cutprep lays them out.
    keep_out_drawn
        Of its sheets, as the job's: what was cut out of an offcut.
    settings
        Where each value of the card, and of each size, came from.
    """

    stock: Stock
    sheets: tuple[SheetSize, ...]
    items: tuple[Item, ...]
    spots: tuple[PlacedCopy, ...] = ()
    keep_out_drawn: tuple[tuple[Path, str], ...] = ()
    settings: tuple[Resolved, ...] = field(default=(), compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that `prepare` needs to know.

    Attributes
    ----------
    batches
        What is made of which stock, in the order of cutting.
    nesting, ordering, cutting
        How copies are laid out, in which order they are worked, and how; what card and machine add is
        put in for each sheet.
    mending
        What is mended before the job goes on; None mends nothing.
    despite_findings
        Go on when the drawing has errors.
    unit
        Unit in which the maker reads lengths.
    sets
        How many sets the job makes; 1 when nothing is said of sets.
    amount
        "copies" as asked for; "sheet": as many as one sheet holds; "stock": as many full sets as the
        sheets at hand hold.
    lay_rest
        Copies that no hand has placed are laid round those that it has; else what is placed is all there is.
    keep_out_drawn
        Drawings, each with the name of a layer or "", whose closed lines stay free with the gap around them.
    align
        Reference points as (plan x, plan y, mat x, mat y), mm: where points of the plan really lie.
    also
        Further outputs: of `ALSO`.
    align_limits
        What of the reference points is refused.
    from_back
        Which scores are made from the back first, of `FROM_BACK`.
    turn_by
        What the turned sheet is laid by, of `TURN_BY`.
    printer_edge
        Border of each sheet that the printer leaves white, mm; only where something is printed.
    face_down
        Cards lie with their back up: everything on the sheets is mirrored.
    students
        How many students the class sheet is for.
    fits
        Pieces that belong together.
    together
        How the templates come together once each is made, a sentence a step.
    limits
        Upper bounds on what a drawing and the job may ask for.
    settings
        Where each value came from; None for a job that was put together by hand.
    """

    title: str
    batches: tuple[Batch, ...]
    machine: Machine
    language: str
    nesting: Nesting = field(default_factory=Nesting)
    ordering: Ordering = field(default_factory=Ordering)
    cutting: Cutting = field(default_factory=Cutting)
    mending: Mending | None = None
    despite_findings: bool = False
    unit: str = "mm"
    sets: int = 1
    amount: str = "copies"
    lay_rest: bool = False
    keep_out_drawn: tuple[tuple[Path, str], ...] = ()
    align: tuple[tuple[float, float, float, float], ...] = ()
    also: tuple[str, ...] = ()
    face_down: bool = False
    from_back: str = "nothing"
    turn_by: str = "edges"
    printer_edge: float = 5.0
    align_limits: AlignmentLimits = USUAL_LIMITS
    students: int = 0
    fits: tuple[Wanted, ...] = ()
    together: tuple[str, ...] = ()
    tolerance: Tolerance = field(default_factory=Tolerance)
    limits: Limits = field(default_factory=Limits)
    settings: Resolved | None = field(default=None, compare=False, repr=False)

    @property
    def items(self) -> tuple[Item, ...]:
        """Templates of all batches."""
        return tuple(item for batch in self.batches for item in batch.items)

    def __post_init__(self) -> None:
        if not self.items:
            raise JobError("no drawing is named", fix="Name at least one SVG or DXF file.")
        for item in self.items:
            if item.copies < 1:
                raise JobError(
                    f"{item.path.name}: {item.copies} copies are asked for", fix="Ask for at least one."
                )
            if item.copies > self.limits.copies:
                raise JobError(
                    f"{item.path.name}: {item.copies:,} copies are asked for; the limit is {self.limits.copies:,}",
                    fix=more("Make several jobs.", "copies"),
                )
        if self.language not in LANGUAGES:
            raise JobError(
                f"the language '{self.language}' is not known", fix=f"Known: {', '.join(LANGUAGES)}."
            )
        if self.language not in self.machine.languages:
            raise JobError(
                f"the machine '{self.machine.name}' does not read {self.language}",
                fix=f"It reads {', '.join(self.machine.languages)}.",
            )
        if "class-sheet" in self.also and self.students < 1:
            raise JobError(
                "a class sheet needs to know how many students it is for",
                fix="Say it: students = 10, or --students 10.",
            )


def find_sheet(text: str | None, stock: Stock, machine: Machine) -> SheetSize:
    """Find the sheet by name or by size; without a word the stock's first size the machine takes.

    Raises
    ------
    JobError
        When the name is not known.
    """
    from_text = _named_or_sized(text, stock) if text else None
    if from_text is not None:
        return from_text
    for size in stock.sheets:
        if _fits(size, machine) or _fits(turned(size), machine):
            return size
    return stock.sheets[0]


def _named_or_sized(text: str, stock: Stock) -> SheetSize:
    named = stock.sheet_named(text)
    if named is not None:
        return named
    try:
        width, height = units.size(text)
    except JobError:
        names = ", ".join(size.name for size in stock.sheets)
        raise JobError(
            f"the sheet '{text}' is no size of {stock.name} and no width x height",
            fix=f"Sizes of {stock.name}: {names}; or write for example 305x305mm.",
        ) from None
    return SheetSize(units.say_size(width, height), width, height)


def turned(size: SheetSize) -> SheetSize:
    """The same sheet turned by a quarter."""
    return replace(size, width=size.height, height=size.width)


def usable(size: SheetSize, machine: Machine) -> SheetSize:
    """The sheet as the machine can reach it: turned when only that fits, clipped when neither does."""
    if not _fits(size, machine) and _fits(turned(size), machine):
        return turned(size)
    return replace(size, width=min(size.width, machine.width), height=min(size.height, machine.height))


def _fits(size: SheetSize, machine: Machine) -> bool:
    return size.width <= machine.width and size.height <= machine.height


def readback_limit(language: str, machine: Machine, tolerance: Tolerance) -> float:
    """How far a position in a machine file may be from the planned one, mm."""
    if language == "hpgl":
        return max(tolerance.readback_step, machine.hpgl.unit)
    return tolerance.readback_mm
