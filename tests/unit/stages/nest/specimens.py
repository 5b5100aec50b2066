"""Small templates that the nesting tests share; all are made up for these tests."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from cutprep.geometry.lines.rings import signed_area
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Demand, poses
from cutprep.stages.nest.item.nofit import NoFit
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.nesting import Turns
from cutprep.stages.nest.pack.greedy import Board


def ring(points: ArrayLike, *, clockwise: bool = False) -> Points:
    """Close and orient a polygon."""
    xy = np.asarray(points, dtype=np.float64)
    if (xy[0] != xy[-1]).any():
        xy = np.vstack((xy, xy[:1]))
    return xy[::-1] if (signed_area(xy) > 0) == clockwise else xy


def template(
    name: str, outline: ArrayLike, holes: Sequence[ArrayLike] = (), grain: float | None = None
) -> Template:
    """One part with holes, its lower left at the origin."""
    outer = ring(outline)
    low = outer.min(axis=0)
    lines = Lines.of(
        [outer - low, *(ring(hole, clockwise=True) - low for hole in holes)], operation=Operation.CUT
    )
    return Template(name, lines, (Part(0, tuple(range(1, 1 + len(holes)))),), grain=grain)


def box(width: float, height: float, name: str = "divider", grain: float | None = None) -> Template:
    return template(name, [(0, 0), (width, 0), (width, height), (0, height)], grain=grain)


def ell(size: float = 60.0, arm: float = 20.0) -> Template:
    return template("corner", [(0, 0), (size, 0), (size, arm), (arm, arm), (arm, size), (0, size)])


def tag() -> Template:
    return template("swing tag", [(0, 0), (40, 0), (50, 10), (40, 20), (0, 20)])


def frame(outside: float = 120.0, inside: float = 80.0) -> Template:
    a = (outside - inside) / 2
    b = a + inside
    return template(
        "window",
        [(0, 0), (outside, 0), (outside, outside), (0, outside)],
        holes=[[(a, a), (b, a), (b, b), (a, b)]],
    )


def carton(side: float = 22.0, height: float = 30.0, flap: float = 7.0) -> Template:
    """Net of a hexagonal carton: six walls in a row, a glue flap, a hexagon above and one below."""
    s = side * math.sqrt(3) / 2

    def hexagon(x: float, y: float, up: int) -> list[tuple[float, float]]:
        return [
            (x, y),
            (x - side / 2, y + up * s),
            (x, y + up * 2 * s),
            (x + side, y + up * 2 * s),
            (x + 1.5 * side, y + up * s),
            (x + side, y),
        ]

    end = 6 * side
    outline = [
        (0.0, 0.0),
        *hexagon(4 * side, 0.0, -1),
        (end, 0.0),
        (end + flap, 3.0),
        (end + flap, height - 3.0),
        (end, height),
        *reversed(hexagon(side, height, 1)),
        (0.0, height),
    ]
    return template("jar carton", outline)


def disc(radius: float = 20.0, chords: int = 48) -> Template:
    angle = np.arange(chords) * 2 * np.pi / chords
    outline = ring(np.column_stack((np.cos(angle), np.sin(angle))) * radius + radius)
    lines = Lines.of([outline], operation=Operation.CUT, curved=[np.ones(len(outline), bool)])
    return Template("honey lid", lines, (Part(0),))


def sheet_size(width: float = 304.8, height: float = 304.8, **kwargs: float) -> SheetSize:
    return SheetSize("mat", width, height, **kwargs)  # type: ignore[arg-type]


def board(
    *templates: Template,
    width: float = 304.8,
    height: float = 304.8,
    margin: float = 5.0,
    gap: float = 3.0,
    turns: Turns = "quarter",
    keep_out: Sequence[tuple[float, float, float, float]] = (),
    windows: bool = False,
) -> Board:
    """An empty sheet for these templates."""
    shapes = [shape_of(t) for t in templates]
    allowed = [poses(Demand(t, 1, turns), None) for t in templates]
    usable = usable_area_of(sheet_size(width, height), margin, gap, keep_out)
    return Board(shapes, allowed, usable, NoFit(shapes, gap, windows=windows))


def sheet(
    templates: Sequence[Template],
    placements: Sequence[Placement],
    *,
    width: float = 304.8,
    height: float = 304.8,
    margin: float = 0.0,
    gap: float = 0.0,
) -> Sheet:
    return Sheet(1, width, height, "card", tuple(templates), tuple(placements), margin, gap)


def sheets_in(sheets: Sequence[Sheet]) -> int:
    """How many sheets are cut, equal ones counted each."""
    return sum(sheet.runs for sheet in sheets)


def copies_in(sheets: Sequence[Sheet]) -> int:
    """How many copies lie on them."""
    return sum(len(sheet.placements) * sheet.runs for sheet in sheets)
