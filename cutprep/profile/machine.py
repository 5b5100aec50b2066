"""Machine profiles: what a cutter can do, and how it wants to be told.

Coordinates of the plan are those of the sheet: x right, y up, origin at the sheet's lower
left, which lies at the lower left of the machine's area. `to_machine` gives the machine's own
millimetres; only writers and readers-back use it.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cutprep.errors import ProfileError
from cutprep.model.lines import Points
from cutprep.model.operation import WORKED, Operation
from cutprep.profile.languages import LANGUAGES, USUAL
from cutprep.tables import Table

CORNERS = ("lower-left", "lower-right", "upper-left", "upper-right")
LIFTS = ("z", "servo", "words")
CHANGES = ("automatic", "pause", "none")
SCORING = ("tool", "partial-cut", "perforate")
FILES = ("sheet", "tool")
FIRST_TURNS = ("waste", "edge", "none")
EDGES = ("zero", "lower", "upper", "left", "right", "none")
#: Language level of HP-GL to its largest coordinate.
COUNTS = {"hpgl": 32767, "hpgl2": 2**30 - 1}
_WORDS = {op.word: op for op in WORKED}


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
        "knife" (a trailing blade), "stylus" or "pen".
    speed
        Working speed, mm/s.
    force
        In the profile's own unit (grams, steps, servo word or depth in mm), or NaN.
    offset
        Distance from the pivot axis to the blade's tip, mm; 0 for a stylus or a pen.
    overcut
        How far a closed line is run past its start, mm.
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
    """

    unit: float = 0.025
    send_speed: bool = True
    send_force: bool = True
    pairs: int = 16
    arcs: bool = False
    line_types: bool = False
    counts: str = "hpgl"

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

    def tool_for(self, operation: Operation) -> Tool | None:
        """The first tool that does an operation, or None."""
        return next((tool for tool in self.tools if operation in tool.does), None)

    def tool_numbered(self, number: int) -> Tool | None:
        """The tool with a number, or None."""
        return next((tool for tool in self.tools if tool.number == number), None)

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


def machine_from(table: Table, name: str) -> Machine:
    """Build a machine from a settings table.

    Raises
    ------
    ProfileError
        Naming file, line and key.
    """
    area = table.size("area", None)
    motion, hpgl, gcode = table.table("motion"), table.table("hpgl"), table.table("gcode")
    languages = table.texts("languages", USUAL)
    for language in languages:
        if language not in LANGUAGES:
            raise table.fail("languages", f"'{language}' is not known", f"Known: {', '.join(LANGUAGES)}.")
    machine = Machine(
        name=name,
        title=table.text("title", name),
        note=table.text("note", ""),
        width=area[0],
        height=area[1],
        languages=languages or USUAL,
        tools=_tools(table),
        origin=table.choice("origin", CORNERS, "lower-left"),
        swapped=table.flag("swapped", False),
        home=_pair(table.lengths("home", 2, (0.0, 0.0))),
        acceleration=_axes(motion, "acceleration", 500.0),
        top_speed=_axes(motion, "top_speed", 400.0),
        travel_speed=motion.number_in("travel_speed", 300.0, least=0.1),
        junction=motion.length("junction", 0.01),
        blocks=motion.whole("blocks", 16, least=1, most=10_000),
        lift=motion.number_in("lift", 0.1, least=0),
        lower=motion.number_in("lower", 0.1, least=0),
        change=motion.number_in("change", 30.0, least=0),
        change_how=motion.choice("change_how", CHANGES, "pause"),
        hold_bridges=table.flag("hold_bridges", False),
        path_acceleration=motion.number_in("path_acceleration", 0.0, least=0),
        score_by=table.choice("score_by", SCORING, "tool"),
        first_turn=table.choice("first_turn", FIRST_TURNS, "waste"),
        one_file_for=table.choice("one_file_for", FILES, "sheet"),
        first_edge=table.choice("first_edge", EDGES, "zero"),
        hpgl=_hpgl(hpgl),
        gcode=_gcode(gcode),
        frame=table.flag("frame", False),
    )
    for part in (motion, hpgl, gcode, table):
        part.finish()
    if not (0 <= machine.home[0] <= machine.width and 0 <= machine.home[1] <= machine.height):
        raise table.fail("home", "lies outside the area")
    return machine


def load_machine(path: Path) -> Machine:
    """Read a machine profile; its name is the file's.

    Raises
    ------
    ProfileError
        Naming file, line and key.
    """
    return machine_from(Table.load(path, error=ProfileError), path.stem)


def _pair(values: tuple[float, ...]) -> tuple[float, float]:
    return values[0], values[1]


def _axes(table: Table, key: str, default: float) -> tuple[float, float]:
    """One number for both axes, or `key_x` and `key_y`."""
    both = table.number_in(key, default, least=0.1)
    return (
        table.number_in(f"{key}_x", both, least=0.1),
        table.number_in(f"{key}_y", both, least=0.1),
    )


def _tools(table: Table) -> tuple[Tool, ...]:
    tools = []
    for row in table.tables("tool"):
        words = row.texts("does")
        for word in words:
            if word not in _WORDS:
                raise row.fail("does", f"'{word}' is not an operation", f"Known: {', '.join(_WORDS)}.")
        tools.append(
            Tool(
                name=row.text("name"),
                number=row.whole("number", None, least=1, most=99),
                does=tuple(_WORDS[word] for word in words),
                kind=row.choice("kind", ("knife", "stylus", "pen"), "knife"),
                speed=row.number_in("speed", 50.0, least=0.1),
                force=row.number_in("force", float("nan")),
                offset=row.length("offset", 0.0, most=5.0),
                overcut=row.length("overcut", 0.0, most=10.0),
                part_force=row.number_in("part_force", 0.5, least=0.05, most=1.0),
                layer=row.text("layer", ""),
                colour=row.text("colour", ""),
            )
        )
        row.finish()
    if not tools:
        raise table.fail("tool", "no tool is listed", "Add a [[tool]] table.")
    if len({tool.number for tool in tools}) < len(tools):
        raise table.fail("tool", "two tools have the same number")
    return tuple(tools)


def _hpgl(table: Table) -> HpglStyle:
    return HpglStyle(
        unit=table.length("unit", 0.025, least=0.001, most=1.0),  # not a tolerance: sane range of a setting
        send_speed=table.flag("send_speed", True),
        send_force=table.flag("send_force", True),
        pairs=table.whole("pairs", 16, least=1, most=1000),
        arcs=table.flag("arcs", False),
        line_types=table.flag("line_types", False),
        counts=table.choice("counts", tuple(COUNTS), "hpgl"),
    )


def _gcode(table: Table) -> GcodeStyle:
    return GcodeStyle(
        lift=table.choice("lift", LIFTS, "servo"),
        up_z=table.length("up_z", 3.0),
        down_z=table.length("down_z", 0.0, least=-50.0),
        plunge=table.number_in("plunge", 10.0, least=0.1),
        up_s=table.number_in("up_s", 30.0, least=0),
        down_s=table.number_in("down_s", 90.0, least=0),
        up_words=table.texts("up_words"),
        down_words=table.texts("down_words"),
        dwell=table.number_in("dwell", 0.15, least=0, most=60),
        dwell_unit=table.choice("dwell_unit", ("s", "ms"), "s"),
        start=table.texts("start"),
        end=table.texts("end"),
        change=table.texts("change"),
        change_by=table.choice("change_by", ("pause", "tool-word"), "pause"),
        arcs=table.flag("arcs", True),
    )
