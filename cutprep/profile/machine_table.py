"""A machine from a table of settings: every value checked, what is not said as usual."""

from __future__ import annotations

from pathlib import Path

from cutprep.errors import ProfileError
from cutprep.model.operation import WORKED
from cutprep.profile.languages import LANGUAGES, USUAL
from cutprep.profile.line import line_from
from cutprep.profile.machine import CORNERS, COUNTS, GcodeStyle, HpglStyle, Machine, Tool
from cutprep.tables import Table

LIFTS = ("z", "servo", "words")
CHANGES = ("automatic", "pause", "none")
SCORING = ("tool", "partial-cut", "perforate")
FILES = ("sheet", "tool")
FIRST_TURNS = ("waste", "edge", "none")
EDGES = ("zero", "lower", "upper", "left", "right", "none")
_LEAST_UNIT = 0.001  # not a tolerance: sane range of a setting, mm
_WORDS = {op.word: op for op in WORKED}
#: Where a profile says nothing, these do.
_USUAL_TOOL = Tool("", 0, ())
_USUAL_MACHINE = Machine("", "", 0.0, 0.0, USUAL, ())


def machine_from(table: Table, name: str) -> Machine:
    """Build a machine from a settings table.

    Raises
    ------
    ProfileError
        Naming file, line and key.
    """
    usual = _USUAL_MACHINE
    area = table.size("area", None)
    motion, hpgl, gcode = table.table("motion"), table.table("hpgl"), table.table("gcode")
    languages = table.texts("languages", USUAL)
    for language in languages:
        if language not in LANGUAGES:
            raise table.fail("languages", f"'{language}' is not known", f"Known: {', '.join(LANGUAGES)}.")
    machine = Machine(
        name=name,
        title=table.text("title", name),
        note=table.text("note", usual.note),
        width=area[0],
        height=area[1],
        languages=languages or USUAL,
        tools=_tools(table),
        origin=table.choice("origin", CORNERS, usual.origin),
        swapped=table.flag("swapped", usual.swapped),
        home=_pair(table.lengths("home", 2, usual.home)),
        acceleration=_axes(motion, "acceleration", usual.acceleration[0]),
        top_speed=_axes(motion, "top_speed", usual.top_speed[0]),
        travel_speed=motion.number_in("travel_speed", usual.travel_speed, least=0.1),
        junction=motion.length("junction", usual.junction),
        blocks=motion.whole("blocks", usual.blocks, least=1, most=10_000),
        lift=motion.number_in("lift", usual.lift, least=0),
        lower=motion.number_in("lower", usual.lower, least=0),
        change=motion.number_in("change", usual.change, least=0),
        change_how=motion.choice("change_how", CHANGES, usual.change_how),
        hold_bridges=table.flag("hold_bridges", usual.hold_bridges),
        path_acceleration=motion.number_in("path_acceleration", usual.path_acceleration, least=0),
        score_by=table.choice("score_by", SCORING, usual.score_by),
        first_turn=table.choice("first_turn", FIRST_TURNS, usual.first_turn),
        one_file_for=table.choice("one_file_for", FILES, usual.one_file_for),
        first_edge=table.choice("first_edge", EDGES, usual.first_edge),
        hpgl=_hpgl(hpgl),
        gcode=_gcode(gcode),
        frame=table.flag("frame", usual.frame),
        line=line_from(table.table("line")),
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
    usual, tools = _USUAL_TOOL, []
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
                kind=row.choice("kind", ("knife", "stylus", "pen"), usual.kind),
                speed=row.number_in("speed", usual.speed, least=0.1),
                force=row.number_in("force", usual.force),
                most_force=row.number_in("most_force", usual.most_force, least=0),
                offset=row.length("offset", usual.offset, most=5.0),
                overcut=row.length("overcut", usual.overcut, most=10.0),
                part_force=row.number_in("part_force", usual.part_force, least=0.05, most=1.0),
                layer=row.text("layer", usual.layer),
                colour=row.text("colour", usual.colour),
            )
        )
        row.finish()
    if not tools:
        raise table.fail("tool", "no tool is listed", "Add a [[tool]] table.")
    if len({tool.number for tool in tools}) < len(tools):
        raise table.fail("tool", "two tools have the same number")
    return tuple(tools)


def _hpgl(table: Table) -> HpglStyle:
    usual = HpglStyle()
    style = HpglStyle(
        unit=table.length("unit", usual.unit, least=_LEAST_UNIT, most=1.0),
        send_speed=table.flag("send_speed", usual.send_speed),
        send_force=table.flag("send_force", usual.send_force),
        pairs=table.whole("pairs", usual.pairs, least=1, most=1000),
        arcs=table.flag("arcs", usual.arcs),
        line_types=table.flag("line_types", usual.line_types),
        counts=table.choice("counts", tuple(COUNTS), usual.counts),
        encoded=table.flag("encoded", usual.encoded),
    )
    if style.encoded and style.counts != "hpgl2":
        raise table.fail(
            "encoded", "polyline encoded (PE) belongs to HP-GL/2", 'Add counts = "hpgl2", or leave it out.'
        )
    return style


def _gcode(table: Table) -> GcodeStyle:
    usual = GcodeStyle()
    return GcodeStyle(
        lift=table.choice("lift", LIFTS, usual.lift),
        up_z=table.length("up_z", usual.up_z),
        down_z=table.length("down_z", usual.down_z, least=-50.0),
        plunge=table.number_in("plunge", usual.plunge, least=0.1),
        up_s=table.number_in("up_s", usual.up_s, least=0),
        down_s=table.number_in("down_s", usual.down_s, least=0),
        up_words=table.texts("up_words"),
        down_words=table.texts("down_words"),
        dwell=table.number_in("dwell", usual.dwell, least=0, most=60),
        dwell_unit=table.choice("dwell_unit", ("s", "ms"), usual.dwell_unit),
        start=table.texts("start"),
        end=table.texts("end"),
        change=table.texts("change"),
        change_by=table.choice("change_by", ("pause", "tool-word"), usual.change_by),
        arcs=table.flag("arcs", usual.arcs),
    )
