"""Lay what a machine file does beside what was planned, stroke by stroke.

A *stroke* here is a run of moves with the tool down, whatever it was called in the plan. Two
strokes agree when one can walk along both at once, never back, and never further apart than the
limit (the Fréchet distance; see walk.py). Where the two sequences part, they are laid beside each
other anew (see align.py), so that a stroke that was lost tells of itself alone. Where the file draws an arc, it must pass the planned
vertices within the limit, and may stand off from the chords between as an arc through them does.
"""

from __future__ import annotations

import math
from operator import itemgetter

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.align import StrokeMatch, align, kinds_of
from cutprep.stages.readback.compare.runs import Stroke
from cutprep.stages.readback.compare.walk import Apart, walk_apart


def ends_rightly(read: Moves, within: float, machine: Machine, sagitta: float) -> Findings:
    """Find where moves leave the machine's area, or end with the tool down.

    Parameters
    ----------
    read
        The moves of a file.
    within
        By how much they may leave the area, mm.
    machine
        Its area counts.
    sagitta
        By so much an arc along the edge may bulge over it, mm.
    """
    return (*_outside(read, within, machine, sagitta), *_ending(read))


def lay_beside(
    wanted: list[Stroke], got: list[Stroke], within: float
) -> tuple[StrokeMatch, list[tuple[float, Finding]]]:
    """Find which strokes belong together, and what differs: (stroke from 0, finding), in the plan's order."""
    beside = _aligned(wanted, got, within)
    told: list[tuple[float, Finding]] = []
    changed = []
    for i, j in beside.changed:
        apart = _apart(wanted[i], got[j], within)
        if apart is None:
            beside.same.append((i, j))
        else:
            changed.append((i, j))
            told.append((i, _differs(wanted[i], apart, i, within)))
    beside.changed = changed
    told += ((i, _moved(wanted[i], i, j)) for i, j in beside.moved)
    told += ((i, _missing(wanted[i], i)) for i in beside.missing)
    told += ((before - 0.5, _extra(got[j], j)) for before, j in beside.extra)
    told += (
        (i, _other_tool(wanted[i], got[j], i))
        for i, j in (*beside.same, *beside.moved)
        if wanted[i].tool != got[j].tool
    )
    told.sort(key=itemgetter(0))
    return beside, told


def _aligned(wanted: list[Stroke], got: list[Stroke], within: float) -> StrokeMatch:
    """Which strokes belong together; the search begins where the two first differ, from both ends."""
    fewest = min(len(wanted), len(got))
    head = next((k for k in range(fewest) if _apart(wanted[k], got[k], within)), fewest)
    if head == len(wanted) == len(got):
        return StrokeMatch(same=[(k, k) for k in range(head)])
    rest = range(fewest - head)
    tail = next((k for k in rest if _apart(wanted[-1 - k], got[-1 - k], within)), len(rest))
    end, stop = len(wanted) - tail, len(got) - tail

    def agree(one: Stroke, other: Stroke) -> bool:
        return _apart(one, other, within) is None

    def far(i: int, j: int) -> float:
        one, other = wanted[head + i].points, got[head + j].points
        return math.dist(one[0], other[0]) + math.dist(one[-1], other[-1])

    found = align(*kinds_of(wanted[head:end], got[head:stop], within, agree), far)
    found = found.shifted(head)
    # Strokes of one kind agree with its first one, and with each other within twice the limit.
    unsure = [(i, j) for i, j in found.same if not agree(wanted[i], got[j])]
    found.changed += unsure
    found.same = sorted({*found.same} - {*unsure})
    found.same += ((k, k) for k in range(head))
    found.same += zip(range(end, len(wanted)), range(stop, len(got)), strict=True)
    return found


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


def _moved(stroke: Stroke, planned: int, written: int) -> Finding:
    return Finding.of(
        "stroke-moved",
        f"stroke {planned + 1} of the plan (tool {stroke.tool}, from {_say(stroke.points[0])} to"
        f" {_say(stroke.points[-1])}) comes as stroke {written + 1} of the file, out of its turn",
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


def _outside(read: Moves, within: float, machine: Machine, sagitta: float) -> Findings:
    """Positions beyond the area; an arc along its edge may bulge by the flattening limit."""
    if not len(read):
        return ()
    beyond = np.maximum(-read.xy, read.xy - (machine.width, machine.height)).max(axis=1)
    beyond = beyond - np.where(read.curved, sagitta, 0.0)
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
