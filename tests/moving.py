"""Machines, strokes and moves for tests, made in one line."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine, Tool
from cutprep.stages.blade.tip import headings, tip_samples

EVERYTHING = tuple(op for op in Operation if op > Operation.GUIDE)


def knife(offset: float = 0.25, **settings: object) -> Tool:
    """A knife that does everything."""
    return Tool(
        **{"name": "knife", "number": 1, "does": EVERYTHING, "offset": offset, "force": 100.0} | settings
    )  # type: ignore[arg-type]


def machine_of(*tools: Tool, **settings: object) -> Machine:
    """A plain machine of 300 x 300 mm; lifting costs nothing unless said."""
    plain = {
        "name": "plain",
        "title": "plain",
        "width": 300.0,
        "height": 300.0,
        "languages": ("hpgl", "gcode"),
        "tools": tools or (knife(),),
        "acceleration": (500.0, 500.0),
        "top_speed": (400.0, 400.0),
        "lift": 0.0,
        "lower": 0.0,
    }
    return Machine(**plain | settings)  # type: ignore[arg-type]


def strokes_of(
    *polylines: ArrayLike,
    operation: Operation | Sequence[int] = Operation.CUT,
    curved: Sequence[ArrayLike] | None = None,
    outline: bool = False,
) -> Strokes:
    """Strokes in the order given, all of one stage."""
    lines = Lines.of(polylines, operation=operation, curved=curved)
    m = len(lines)
    return Strokes(lines, np.zeros(m, np.int8), np.zeros(m, np.int32), np.full(m, outline))


def moves_along(points: ArrayLike, speed: float, *, down: ArrayLike = True, tool: int = 1) -> Moves:
    """Moves along a polyline, from its first point."""
    xy = np.asarray(points, dtype=np.float64)
    k = len(xy) - 1
    return Moves(
        xy=xy[1:],
        down=np.broadcast_to(down, (k,)),
        tool=np.full(k, tool, np.int8),
        speed=np.full(k, float(speed)),
        force=np.full(k, np.nan),
        stroke=np.zeros(k, np.int32),
        home=(float(xy[0, 0]), float(xy[0, 1])),
    )


def ring(points: ArrayLike) -> np.ndarray:
    """Close a polyline."""
    xy = np.asarray(points, dtype=np.float64)
    return np.vstack((xy, xy[:1]))


def tip_path(pivot: Points, offset: float, heading: float | None = None) -> Points:
    """Path of the tip, sampled closely wherever the blade turns.

    Parameters
    ----------
    pivot
        (n, 2) vertices of the pivot path, mm.
    offset
        Distance from pivot to tip, mm.
    heading
        Of the blade at the start, radians; None: it already points along the first move.

    Returns
    -------
    (k, 2) ndarray of float
        mm.
    """
    if offset <= 0 or len(pivot) < 2:
        return pivot
    phi = headings(pivot, offset, heading)
    path, _ = tip_samples(pivot[:-1], pivot[1:], phi[:-1], np.full(len(pivot) - 1, offset))
    return np.vstack((pivot[0] - offset * np.array([math.cos(phi[0]), math.sin(phi[0])]), path))
