"""Machine profiles: what a cutter can do, and how it wants to be told.

Coordinates of the plan are those of the sheet: x right, y up, origin at the sheet's lower
left, which lies at the lower left of the machine's area. `to_machine` gives the machine's own
millimetres; only writers and readers-back use it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from cutprep.model.lines import Points
from cutprep.model.operation import Operation
from cutprep.profile.line import LineStyle

CORNERS = ("lower-left", "lower-right", "upper-left", "upper-right")
#: Language level of HP-GL to its largest coordinate.
COUNTS = {"hpgl": 32767, "hpgl2": 2**30 - 1}


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool of a machine.

    Attributes
    ----------
    name, number
        What the maker calls it; the number the machine knows it by.
    does
        Operations it is used for.
    kind
        "knife" (a drag knife), "stylus" or "pen".
    speed
        Working speed, mm/s.
    force
        In the profile's own unit (grams, steps, servo word or depth in mm), or NaN.
    offset
        Distance from the pivot axis to the blade's tip, mm; 0 for a stylus or a pen.
    overcut
        How far a closed line is run past its start, mm.
    most_force
        No force (or depth) above this is ever written, in the same unit; 0: unsaid.
    part_force
        Share of the force (or depth) for part-depth cuts, when the same tool also cuts through.
        One half is common practice, no published source.
    layer, colour
        Of its lines in a drawing, for machines that take only one; its name and a colour of ours when empty.
    """

    name: str
    number: int
    does: tuple[Operation, ...]
    kind: str = "knife"
    speed: float = 50.0
    force: float = float("nan")
    offset: float = 0.0
    overcut: float = 0.0
    most_force: float = 0.0
    part_force: float = 0.5
    layer: str = ""
    colour: str = ""


@dataclass(frozen=True, slots=True)
class HpglStyle:
    """How HP-GL is written for a machine.

    Attributes
    ----------
    unit
        One plotter unit, mm; 0.025 (HP PCL 5 Technical Reference Manual Part II, table 17-7).
    send_speed, send_force
        Write VS (cm/s) and FS.
    pairs
        Most coordinate pairs in one PD.
    arcs
        The machine draws AA.
    line_types
        The machine draws broken lines by LT.
    counts
        How far its numbers go: "hpgl" or "hpgl2".
    encoded
        The machine takes polyline encoded (PE), which HP-GL/2 has.
    """

    unit: float = 0.025
    send_speed: bool = True
    send_force: bool = True
    pairs: int = 16
    arcs: bool = False
    line_types: bool = False
    counts: str = "hpgl"
    encoded: bool = False

    @property
    def most(self) -> int:
        """The largest coordinate, plotter units.

        HP-GL: HP 7470A Interfacing and Programming Manual, p. 2-3. HP-GL/2: HP PCL 5 Technical Reference
        Manual Part II, pp. 17-10, 17-11.
        """
        return COUNTS[self.counts]


@dataclass(frozen=True, slots=True)
class GcodeStyle:
    """How G-code is written for a machine.

    Attributes
    ----------
    lift
        "z" moves an axis, "servo" uses M3/M5 with S words, "words" uses the profile's own.
    up_z, down_z, plunge
        Heights, mm, and plunge speed, mm/s, for "z"; a tool's force is its depth then.
    up_s, down_s
        S values for "servo"; a tool's force takes the place of down_s.
    up_words, down_words
        Lines for "words".
    dwell
        Wait after lifting and lowering, s.
    dwell_unit
        "s" (NISTIR 6556, 3.5.4) or "ms" for firmwares that count G4 P in milliseconds.
    start, end, change
        Extra lines; `change` may hold {number} and {name}.
    arcs
        The machine draws G2 and G3.
    change_by
        "pause" (M0) or "tool-word" (T, M6).
    """

    lift: str = "servo"
    up_z: float = 3.0
    down_z: float = 0.0
    plunge: float = 10.0
    up_s: float = 30.0
    down_s: float = 90.0
    up_words: tuple[str, ...] = ()
    down_words: tuple[str, ...] = ()
    dwell: float = 0.15
    dwell_unit: str = "s"
    start: tuple[str, ...] = ()
    end: tuple[str, ...] = ()
    change: tuple[str, ...] = ()
    change_by: str = "pause"
    arcs: bool = True


@dataclass(frozen=True, slots=True)
class Machine:
    """A cutting machine.

    Attributes
    ----------
    name, title, note
        Short name, a line for the lists, and remarks for the job sheet.
    width, height
        Working area, mm.
    languages
        Which of `LANGUAGES` it reads, the preferred one first.
    origin
        Corner of the area where the machine's own zero lies.
    swapped
        The machine's X runs along the sheet's y.
    home
        Where the tool waits, mm on the sheet.
    tools
        In the order in which they are used.
    acceleration, top_speed
        Per axis of the sheet (x, y): mm/s2 and mm/s.
    travel_speed
        With the tool up, mm/s.
    junction
        Junction deviation, mm (Jeon 2011; see motion/junction.py).
    blocks
        Moves the firmware looks ahead.
    lift, lower
        Seconds to raise and to lower the tool, with settling.
    change
        Seconds for a tool change.
    change_how
        "automatic", "pause" (the maker swaps tools) or "none".
    hold_bridges
        Sheets are not held by a sticky mat.
    path_acceleration
        Limit along the path whatever its direction, mm/s2; 0: only the axes limit it.
    score_by
        How a score is made: "tool" (its own tool; where there is none, a part-depth cut, else
        a perforation), "partial-cut" or "perforate".
    first_turn
        Where a knife is turned to its first direction: "waste" (in waste card, else at the
        edge), "edge" (at the edge of the area) or "none" (it is turned by hand).
    one_file_for
        "sheet", or "tool": a file for each sheet and tool, for machines that neither change tools
        nor stop for a change by themselves.
    first_edge
        Edge of the sheet that goes in first, for the job sheet's picture: "zero" (the lower or upper one,
        where the machine's zero is), one of "lower", "upper", "left", "right", or "none" (nothing is fed).
    frame
        A drawing for the machine holds a frame of the sheet's size, so that no program moves it.
    line
        How it is spoken to over a line.
    """

    name: str
    title: str
    width: float
    height: float
    languages: tuple[str, ...]
    tools: tuple[Tool, ...]
    note: str = ""
    origin: str = "lower-left"
    swapped: bool = False
    home: tuple[float, float] = (0.0, 0.0)
    acceleration: tuple[float, float] = (500.0, 500.0)
    top_speed: tuple[float, float] = (400.0, 400.0)
    travel_speed: float = 300.0
    junction: float = 0.01
    blocks: int = 16
    lift: float = 0.1
    lower: float = 0.1
    change: float = 30.0
    change_how: str = "pause"
    hold_bridges: bool = False
    path_acceleration: float = 0.0
    score_by: str = "tool"
    first_turn: str = "waste"
    one_file_for: str = "sheet"
    first_edge: str = "zero"
    hpgl: HpglStyle = HpglStyle()
    gcode: GcodeStyle = GcodeStyle()
    frame: bool = False
    line: LineStyle = field(default_factory=LineStyle)

    def tool_for(self, operation: Operation) -> Tool | None:
        """The first tool that does an operation, or None."""
        return next((tool for tool in self.tools if operation in tool.does), None)

    def tool_numbered(self, number: int) -> Tool | None:
        """The tool with a number, or None."""
        return next((tool for tool in self.tools if tool.number == number), None)

    @property
    def leading_edge(self) -> str:
        """Edge of the sheet that goes in first: "lower", "upper", "left", "right", or "" where nothing is fed."""
        if self.first_edge == "zero":
            return self.origin.split("-")[0]
        return "" if self.first_edge == "none" else self.first_edge

    @property
    def to_machine(self) -> Points:
        """The matrix from sheet mm to the machine's own mm, (2, 3); exact: 0, 1, -1 and sizes."""
        vertical, horizontal = self.origin.split("-")
        flip_x, flip_y = horizontal == "right", vertical == "upper"
        rows = np.array(
            [
                [-1.0 if flip_x else 1.0, 0.0, self.width if flip_x else 0.0],
                [0.0, -1.0 if flip_y else 1.0, self.height if flip_y else 0.0],
            ]
        )
        return rows[::-1].copy() if self.swapped else rows
