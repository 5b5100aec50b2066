"""The planned motion inside `job.json`: all that a writer needs, to the last digit."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.tolerance import REACH

#: Of tools in a profile.
_MOST_TOOLS = 99
#: Strokes are counted in 32 bits.
_MOST_STROKES = np.iinfo(np.int32).max


def plan_data(moves: Moves, operations: list[int]) -> dict[str, Any]:
    """The planned motion stroke by stroke: what the machine file is written from and compared with.

    Parameters
    ----------
    moves
        The plan of a sheet.
    operations
        Codes of the lines in working order.
    """
    strokes = []
    path = moves.path
    other = np.zeros(max(len(moves) - 1, 0), bool)
    for column in (moves.stroke, moves.tool, moves.speed, np.nan_to_num(moves.force, nan=-1.0)):
        other |= np.diff(column) != 0
    edges = np.flatnonzero(np.diff(np.concatenate(([False], moves.down, [False])).astype(int)))
    for first, end in edges.reshape(-1, 2).tolist():
        # A stroke ends where the tool lifts, or where another stroke goes on with the tool down.
        cuts = [first, *(first + 1 + np.flatnonzero(other[first : end - 1])).tolist(), end]
        for a, b in pairwise(cuts):
            row = int(moves.stroke[a])
            strokes.append(
                {
                    "stroke": row,
                    "operation": Operation(operations[row]).word if row >= 0 else "",
                    "tool": int(moves.tool[a]),
                    "speed": float(moves.speed[a]),
                    "force": _said(float(moves.force[a])),
                    "joined": a != first,
                    "xy": path[a : b + 1].ravel().tolist(),
                }
            )
    return {"home_mm": list(moves.home), "strokes": strokes}


def plan_from(data: dict[str, Any]) -> Moves:
    """Rebuild the planned motion from `plan_data`.

    Raises
    ------
    KeyError, ValueError, TypeError
        When the data is not of that form.
    """
    home = (float(data["home_mm"][0]), float(data["home_mm"][1]))
    rows: list[tuple[float, float, bool, int, float, float, int]] = []
    changes, tool = 0, None
    for stroke in data["strokes"]:
        flat = list(map(float, stroke["xy"]))
        points = list(zip(flat[::2], flat[1::2], strict=True))
        number, force = int(stroke["tool"]), stroke["force"]
        changes += tool is not None and tool != number
        tool = number
        force = float("nan") if force is None else float(force)
        speed, row = float(stroke["speed"]), int(stroke["stroke"])
        if not stroke["joined"]:
            rows.append((*points[0], False, number, 0.0, float("nan"), -1))
        rows.extend((x, y, True, number, speed, force, row) for x, y in points[1:])
    if rows:
        rows.append((*home, False, rows[-1][3], 0.0, float("nan"), -1))
    table = np.array(rows, dtype=np.float64).reshape(-1, 7)
    if not np.isfinite(table[:, [0, 1, 3, 4, 6]]).all() or (np.abs(table[:, :2]) > REACH).any():
        raise ValueError("a place or a figure is beyond any machine")
    if len(table) and not (0 <= table[:, 3].min() <= table[:, 3].max() <= _MOST_TOOLS):
        raise ValueError("a tool has no number that a machine could know")
    if (np.abs(table[:, 6]) > _MOST_STROKES).any():
        raise ValueError("a stroke has a number beyond all plans")
    return Moves(
        xy=table[:, :2],
        down=table[:, 2].astype(bool),
        tool=table[:, 3].astype(np.int8),
        speed=table[:, 4],
        force=table[:, 5],
        stroke=table[:, 6].astype(np.int32),
        home=home,
        changes=changes,
    )


def _said(force: float) -> float | None:
    return force if math.isfinite(force) else None
