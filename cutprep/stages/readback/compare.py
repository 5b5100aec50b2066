"""Lay what a machine file does beside what was planned, stroke by stroke.

A *stroke* here is a run of moves with the tool down, whatever it was called in the plan. Two
strokes agree when one can walk along both at once, never back, and never further apart than the
limit (the Fréchet distance; see walk.py). Where the file draws an arc, it must pass the planned
vertices within the limit, and may stand off from the chords between as an arc through them does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.errors import Place
from cutprep.model.finding import Finding, Findings
from cutprep.model.lines import Flags, Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.walk import Apart, walk_apart
from cutprep.tolerance import Tolerance

#: Speeds are whole cm/s in HP-GL and tenths of mm/min in G-code: never more than this factor up,
#: but for the slowest speed that the language can say, 10 mm/s.
_FASTER, _SLOWEST = 1.01, 10.0


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One run with the tool down.

    Attributes
    ----------
    points
        (n, 2) from where the tool comes down, mm.
    curved
        (n,) ndarray of bool: the step to this point is a chord of an arc.
    tool
        Number.
    first
        Index of its first move.
    """

    points: Points
    curved: Flags
    tool: int
    first: int


def strokes_of(moves: Moves) -> list[Stroke]:
    """Runs of moves with the same tool down."""
    if not len(moves):
        return []
    new = np.ones(len(moves) + 1, bool)
    new[1:-1] = (moves.down[1:] != moves.down[:-1]) | (moves.tool[1:] != moves.tool[:-1])
    edges = np.flatnonzero(new)
    begin = moves.begin
    return [
        Stroke(
            points=np.vstack((begin[a], moves.xy[a:b])),
            curved=np.concatenate(([False], moves.curved[a:b])),
            tool=int(moves.tool[a]),
            first=a,
        )
        for a, b in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)
        if moves.down[a]
    ]


def compare(planned: Moves, read: Moves, *, within: float, machine: Machine) -> Findings:
    """Find where a machine file does not do what was planned.

    Parameters
    ----------
    planned, read
        The plan, and what an independent reader made of the file; mm on the sheet.
    within
        Largest distance, mm: one plotter unit for HP-GL, 0.005 mm for G-code.
    machine
        Whose area is not left.

    Returns
    -------
    Findings
        Empty when the file is right: every stroke once, in order, with its tool, along its line;
        the tool up on every travel and at the end; nothing outside the area. Each finding shows
        both positions.
    """
    wanted, got = strokes_of(planned), strokes_of(read)
    found: list[Finding] = []
    i = j = 0
    while i < len(wanted) or j < len(got):
        if i == len(wanted):
            found.append(_extra(got[j], j))
            j += 1
        elif j == len(got):
            found.append(_missing(wanted[i], i))
            i += 1
        else:
            i, j = _step(wanted, got, i, j, within, found)
    return (*found, *_outside(read, within, machine), *_ending(read), *_speeds(planned, read, bool(found)))


def _step(
    wanted: list[Stroke], got: list[Stroke], i: int, j: int, within: float, found: list[Finding]
) -> tuple[int, int]:
    """Compare two strokes; when they differ, see whether one was dropped or put in."""
    apart = _apart(wanted[i], got[j], within)
    if apart is None:
        if wanted[i].tool != got[j].tool:
            found.append(_other_tool(wanted[i], got[j], i))
        return i + 1, j + 1
    if i + 1 < len(wanted) and _apart(wanted[i + 1], got[j], within) is None:
        found.append(_missing(wanted[i], i))
        return i + 1, j
    if j + 1 < len(got) and _apart(wanted[i], got[j + 1], within) is None:
        found.append(_extra(got[j], j))
        return i, j + 1
    found.append(_differs(wanted[i], apart, i, within))
    return i + 1, j + 1


def _apart(wanted: Stroke, got: Stroke, within: float) -> Apart | None:
    return walk_apart(wanted.points, got.points, got.curved, within)


def _place(xy: Points) -> Place:
    return Place(xy=(float(xy[0]), float(xy[1])))


def _say(xy: Points) -> str:
    return f"{xy[0]:.3f}, {xy[1]:.3f}"


def _missing(stroke: Stroke, number: int) -> Finding:
    return Finding.of(
        "stroke-missing",
        f"stroke {number + 1} of the plan (tool {stroke.tool}, from {_say(stroke.points[0])} to"
        f" {_say(stroke.points[-1])}) is not in the file",
        places=(_place(stroke.points[0]),),
    )


def _extra(stroke: Stroke, number: int) -> Finding:
    return Finding.of(
        "stroke-extra",
        f"stroke {number + 1} of the file (tool {stroke.tool}, from {_say(stroke.points[0])} to"
        f" {_say(stroke.points[-1])}) is not in the plan",
        places=(_place(stroke.points[0]),),
    )


def _other_tool(wanted: Stroke, got: Stroke, number: int) -> Finding:
    return Finding.of(
        "tool-differs",
        f"stroke {number + 1} is planned for tool {wanted.tool}, and the file works it with tool {got.tool}",
        places=(_place(wanted.points[0]), _place(got.points[0])),
        measure=float(got.tool),
        limit=float(wanted.tool),
        unit="tool",
    )


def _differs(wanted: Stroke, apart: Apart, number: int, within: float) -> Finding:
    where = f"is planned at {_say(apart.wanted)}, and the file is at {_say(apart.got)}"
    if apart.distance > within:
        problem = f"{where}: {apart.distance:.3f} mm apart, {within:.3f} mm allowed"
    else:
        problem = f"{where}, where it turns back or leaves a turn out"
    return Finding.of(
        "stroke-differs",
        f"stroke {number + 1} (tool {wanted.tool}) {problem}",
        places=(_place(apart.wanted), _place(apart.got)),
        measure=apart.distance,
        limit=within,
    )


def _outside(read: Moves, within: float, machine: Machine) -> Findings:
    """Positions beyond the area; an arc along its edge may bulge by the flattening limit."""
    if not len(read):
        return ()
    beyond = np.maximum(-read.xy, read.xy - (machine.width, machine.height)).max(axis=1)
    beyond = beyond - np.where(read.curved, Tolerance().sagitta, 0.0)
    worst = int(beyond.argmax())
    if beyond[worst] <= within:
        return ()
    return (
        Finding.of(
            "outside-area",
            f"the file goes to {_say(read.xy[worst])}, {beyond[worst]:.3f} mm outside the {machine.width:g} x"
            f" {machine.height:g} mm area of '{machine.name}'",
            places=(_place(read.xy[worst]),),
            measure=float(beyond[worst]),
            limit=within,
        ),
    )


def _ending(read: Moves) -> Findings:
    if not len(read) or not read.down[-1]:
        return ()
    return (
        Finding.of(
            "tool-left-down",
            f"the file ends at {_say(read.xy[-1])} with the tool down",
            places=(_place(read.xy[-1]),),
        ),
    )


def _speeds(planned: Moves, read: Moves, differs: bool) -> Findings:
    """Whether the file works faster than planned, tool by tool; only worth saying when all else agrees."""
    if differs:
        return ()
    found = []
    for tool in np.unique(read.tool[read.down]).tolist():
        fastest = float(read.speed[read.down & (read.tool == tool)].max())
        asked = planned.speed[planned.down & (planned.tool == tool)]
        limit = max(float(asked.max()) if len(asked) else 0.0, _SLOWEST) * _FASTER
        if len(asked) and asked.max() > 0 and fastest > limit:
            found.append(
                Finding.of(
                    "faster-than-planned",
                    f"the file moves tool {tool} at {fastest:.1f} mm/s; {asked.max():.1f} mm/s is planned",
                    measure=fastest,
                    limit=limit,
                    unit="mm/s",
                )
            )
    return tuple(found)
