"""Plans and machines for tests of the writers and readers: a builder and hypothesis strategies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st
from numpy.typing import ArrayLike

from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import CORNERS, GcodeStyle, HpglStyle, Machine, Tool

TOOLS = (
    Tool("pen", 3, (Operation.DRAW,), kind="pen", speed=60.0),
    Tool("scoring stylus", 2, (Operation.SCORE,), kind="stylus", speed=50.0),
    Tool("drag knife", 1, (Operation.CUT,), kind="knife", speed=30.0),
)
MACHINE = Machine("bench", "A machine for tests", 300.0, 400.0, ("hpgl", "gcode"), TOOLS)


def plan(
    strokes: Sequence[tuple[int, ArrayLike]],
    *,
    speed: float = 50.0,
    force: float = math.nan,
    home: tuple[float, float] = (0.0, 0.0),
) -> Moves:
    """Moves over strokes of (tool, points): a travel to each, and home at the end."""
    rows: list[tuple[float, float, bool, int, int]] = []
    for number, (tool, points) in enumerate(strokes):
        first, *rest = np.asarray(points, float).tolist()
        rows.append((*first, False, tool, -1))
        rows.extend((*spot, True, tool, number) for spot in rest)
    rows.append((*home, False, strokes[-1][0], -1))
    table = np.array(rows, float)
    down = table[:, 2] > 0
    return Moves(
        xy=table[:, :2],
        down=down,
        tool=table[:, 3],
        speed=np.where(down, speed, 0.0),
        force=np.where(down, force, math.nan),
        stroke=table[:, 4],
        home=home,
        changes=int((np.diff(table[:, 3]) != 0).sum()),
    )


def circle(x: float, y: float, radius: float, sagitta: float = 0.02, *, turn: float = 0.0) -> np.ndarray:
    """A closed circle flattened within a sagitta, its last point the first, bit for bit."""
    chords = max(4, math.ceil(math.pi / math.acos(max(1 - sagitta / radius, 0.0))))
    angle = turn + 2 * math.pi * np.arange(chords + 1) / chords
    points = np.column_stack((x + radius * np.cos(angle), y + radius * np.sin(angle)))
    points[-1] = points[0]
    return points


@st.composite
def machines(draw: st.DrawFn) -> Machine:
    """Any area, origin, axes, plotter unit, way of lifting, dwell unit and way of changing tools."""
    width, height = draw(st.floats(60, 500)), draw(st.floats(60, 500))
    # HP-GL counts to 32767 units, so a machine with such an area has at least this unit.
    smallest = max(width, height) / 32000
    unit = max(draw(st.sampled_from([0.025, 0.02488, 0.02, 0.0254, 0.05])), smallest)
    lift = draw(st.sampled_from(["z", "servo", "words"]))
    gcode = GcodeStyle(
        lift=lift,
        up_z=draw(st.floats(0.5, 10)),
        down_z=draw(st.floats(-2, 0.4)),
        up_s=float(draw(st.integers(0, 40))),
        down_s=float(draw(st.integers(50, 180))),
        up_words=("M280 P0 S20", "G4 P0.1") if lift == "words" else (),
        down_words=("M280 P0 S{force}", "G4 P0.2") if lift == "words" else (),
        dwell=draw(st.sampled_from([0.0, 0.15, 0.5])),
        dwell_unit=draw(st.sampled_from(["s", "ms"])),
        start=draw(st.sampled_from([(), ("G28",), ("M8 (fan)",)])),
        end=draw(st.sampled_from([(), ("M9",), ("G0 X0 Y0",)])),
        change=draw(st.sampled_from([(), ("(fetch {name} {number})",), ("M9",)])),
        change_by=draw(st.sampled_from(["pause", "tool-word"])),
        arcs=draw(st.booleans()),
    )
    encoded = draw(st.booleans())
    return replace(
        MACHINE,
        width=width,
        height=height,
        origin=draw(st.sampled_from(CORNERS)),
        swapped=draw(st.booleans()),
        home=(draw(st.floats(0, 1)) * width, draw(st.floats(0, 1)) * height),
        change_how=draw(st.sampled_from(["automatic", "pause", "none"])),
        hpgl=HpglStyle(
            unit=unit,
            pairs=draw(st.integers(1, 40)),
            arcs=draw(st.booleans()),
            counts="hpgl2" if encoded else "hpgl",
            encoded=encoded,
        ),
        gcode=gcode,
    )


@st.composite
def strokes_on(draw: st.DrawFn, machine: Machine) -> list[tuple[int, np.ndarray]]:
    """Strokes of any kind on a machine's area, in any order of tools."""
    count = draw(st.integers(1, 6))
    return [
        (draw(st.sampled_from([1, 2, 3])), draw(_lines(machine.width, machine.height))) for _ in range(count)
    ]


@st.composite
def _lines(draw: st.DrawFn, width: float, height: float) -> np.ndarray:
    kind = draw(st.sampled_from(["polyline", "polygon", "fine", "circle", "arc", "to and fro"]))
    x, y = draw(st.floats(0.0, width)), draw(st.floats(0.0, height))
    if kind in ("circle", "arc"):
        room = min(x, y, width - x, height - y)
        radius = max(draw(st.floats(0.05, 1.0)) * room, 0.02)
        points = circle(x, y, radius, turn=draw(st.floats(0, 6)))
        points = points if kind == "circle" else points[: max(2, len(points) * 2 // 3)]
        points = points[:: draw(st.sampled_from([1, -1]))]
    elif kind == "fine":  # steps far below a plotter unit
        steps = draw(st.lists(st.tuples(*[st.floats(-0.02, 0.02)] * 2), min_size=1, max_size=40))
        points = np.cumsum([(x, y), *steps], axis=0)
    elif kind == "to and fro":
        a, b = (x, y), (draw(st.floats(0, width)), draw(st.floats(0, height)))
        points = np.array([a, b, a, b][: draw(st.integers(2, 4))])
    else:
        spots = draw(st.lists(st.tuples(st.floats(0, width), st.floats(0, height)), min_size=1, max_size=20))
        points = np.array([(x, y), *spots, *([(x, y)] if kind == "polygon" else [])])
    # Whole nanometres: differences below them are none, and divisions by them overflow.
    return np.clip(np.round(points, 6), 0.0, (width, height))


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Machine, Moves]:
    """A machine and a plan for it."""
    machine = draw(machines())
    strokes = draw(strokes_on(machine))
    # A servo word is no depth: each way of lowering has its own sensible forces.
    forces = {"z": [0.0, 0.5, 12.0], "servo": [60.0, 90.5], "words": [0.0, 0.5, 120.0]}
    force = draw(st.sampled_from([math.nan, *forces[machine.gcode.lift]]))
    return machine, plan(strokes, speed=draw(st.floats(10, 400)), force=force, home=machine.home)
