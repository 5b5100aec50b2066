"""What the maker may ask of a cut: passes, broken lines, bridges that hold the part; with every default."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cutprep.model.operation import Operation

if TYPE_CHECKING:  # the table of settings asks for the defaults here, and must not load numpy
    from cutprep.model.lines import Lines
    from cutprep.profile.machine import Tool

BY = ("outline", "sheet")


@dataclass(frozen=True, slots=True)
class Passes:
    """How often lines are cut, and how hard each time.

    Attributes
    ----------
    count
        How often.
    force
        Force (or depth) of each pass in the machine's own unit; the last one stands for all
        that follow. Empty: the tool's own.
    by
        "outline": each line is finished before the next begins; "sheet": once over the whole
        sheet, then again.
    """

    count: int = 1
    force: tuple[float, ...] = ()
    by: str = "outline"

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"the number of passes is {self.count}; it must be at least 1")
        if self.by not in BY:
            raise ValueError(f"passes go by {' or '.join(BY)}, not by '{self.by}'")

    def force_of(self, number: int, own: float) -> float:
        """Force of a pass, counted from 0; `own` is the tool's."""
        return self.force[min(number, len(self.force) - 1)] if self.force else own


@dataclass(frozen=True, slots=True)
class Perforation:
    """A broken cut.

    Attributes
    ----------
    cut, gap
        Length of a cut and of the card left between two, mm. Gaps keep their length; cuts are
        stretched or shortened, so that each straight run starts and ends with one. The lengths
        are common practice, no published source.
    """

    cut: float = 3.0
    gap: float = 1.0

    def __post_init__(self) -> None:
        if not (self.cut > 0 and self.gap > 0):
            raise ValueError("the cuts and gaps of a perforation must be longer than 0")


#: A score that is made by perforation holds as much card as it cuts, so that the fold does not tear off;
#: common practice, no published source.
SCORED = Perforation(cut=2.0, gap=2.0)


def pattern_of(operation: Operation, asked: Perforation | None) -> Perforation:
    """Cuts and gaps of a broken line: those that the maker asks for, else those of its operation."""
    return asked or (SCORED if operation is Operation.SCORE else Perforation())


@dataclass(frozen=True, slots=True)
class Bridges:
    """Small uncut places that hold a part in its sheet.

    Attributes
    ----------
    width
        Of each bridge, mm.
    count
        How many on each outline; None: by `spacing`. 0: none at all.
    spacing
        About this far from one to the next, but never fewer than two, mm.
    clear
        Distance of a bridge's end from corners, hinge ends and the place where the outline
        closes, mm. All lengths are common practice, no published source.
    """

    width: float = 0.5
    count: int | None = None
    spacing: float = 80.0
    clear: float = 1.0

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.spacing > 0 and self.clear >= 0):
            raise ValueError("the width and spacing of bridges must be above 0")
        if self.count is not None and self.count < 0:
            raise ValueError("the number of bridges can't be below 0")

    def wanted(self, length: float) -> int:
        """How many an outline of this length gets."""
        return max(2, round(length / self.spacing)) if self.count is None else self.count


@dataclass(frozen=True, slots=True)
class LayerFigures:
    """Figures of their own for the lines of a layer; None: those of all others.

    Attributes
    ----------
    force
        In the machine's own unit.
    offset
        From the knife's pivot to its tip, mm.
    overcut
        Past the start of a closed line, mm.
    passes
        How often they are cut.
    """

    force: float | None = None
    offset: float | None = None
    overcut: float | None = None
    passes: int | None = None

    def tool(self, tool: Tool) -> Tool:
        """A tool with these figures; one that has no offset gets none."""
        offset = tool.offset if self.offset is None or tool.kind != "knife" else self.offset
        return replace(tool, offset=offset, overcut=tool.overcut if self.overcut is None else self.overcut)

    def forces(self, asked: Passes, own: float) -> list[float]:
        """Force of each pass; `own` is the tool's."""
        count = asked.count if self.passes is None else self.passes
        return [asked.force_of(k, own) if self.force is None else self.force for k in range(count)]


_ALL = LayerFigures()


@dataclass(frozen=True, slots=True)
class Cutting:
    """How strokes are worked.

    Attributes
    ----------
    offset
        Of all knives, in place of the profile's, mm.
    passes
        Of cuts; None: once.
    bridges
        On outlines; None: as the machine's profile says.
    perforation
        Cuts and gaps of broken lines; None: the usual ones, see `pattern_of`.
    speed_factor
        What the card multiplies the tools' speeds by.
    layers
        Name of a layer to the figures of its lines.
    """

    offset: float | None = None
    passes: Passes | None = None
    bridges: Bridges | None = None
    perforation: Perforation | None = None
    speed_factor: float = 1.0
    layers: tuple[tuple[str, LayerFigures], ...] = ()

    def figures(self, lines: Lines) -> list[LayerFigures]:
        """The figures of each line, by its layer."""
        own = dict(self.layers)
        known = [own.get(element.layer, _ALL) for element in lines.elements] if own else []
        return [known[source] if source < len(known) else _ALL for source in lines.source.tolist()]


#: What is taken when nothing else is said.
USUAL = Cutting()
