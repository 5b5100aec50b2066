"""From strokes to the moves of the machine.

Each stroke becomes one or more *pen-down runs*: stretches of its line that are worked with the tool
down once. Their tips' paths are laid behind each other, each beginning with the heading in
which the blade came up last, and led by the pivot; travel joins them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import numpy as np

from cutprep.errors import OutOfReach, PlanError
from cutprep.model.findings.finding import Findings
from cutprep.model.findings.places import place_of
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import WORKED, Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine, Tool
from cutprep.profile.setup import require_force
from cutprep.profile.ways import ToolUse, find_way
from cutprep.stages.blade.broken import (
    Spans,
    bridge_positions,
    bridges_of,
    cut_between,
    dashes,
    held,
    hinge_ends,
    too_few_bridges,
)
from cutprep.stages.blade.cutting import USUAL, Bridges, Cutting, Passes, pattern_of
from cutprep.stages.blade.orientation_cut import find_spot, orientation_cut
from cutprep.stages.blade.stretch import lengths, stretches
from cutprep.stages.blade.swivel import pivot_path
from cutprep.stages.blade.track import HeadedPath, track
from cutprep.tolerance import ZERO, Tolerance

#: Decimals of a millimetre that a plan is kept to: a sixteenth of an inch, 63.5 units, must round alike on each processor.
_PLACES = 6


@dataclass(frozen=True, slots=True)
class PenDownRun:
    """One time that the tool is down.

    Attributes
    ----------
    stroke
        Index into the strokes; -1 where nothing of them is worked.
    tool, force
        With what, and how hard.
    begin, end
        From where to where along the stroke, mm; past its length where it goes round.
    """

    stroke: int
    tool: Tool
    force: float
    begin: float
    end: float


def compensate(
    strokes: Strokes,
    machine: Machine,
    tolerance: Tolerance,
    cutting: Cutting = USUAL,
    *,
    beside: Lines | None = None,
) -> Moves:
    """Turn the strokes of a sheet into moves of the tool's pivot.

    Parameters
    ----------
    strokes
        The lines in working order.
    machine
        Whose tools, area and habits apply.
    tolerance
        `blade` is the largest blade error, mm.
    cutting
        How they are worked.
    beside
        Lines that lie on the sheet and are worked in another run: a blade is turned to its first direction clear of
        them as well.

    Returns
    -------
    Moves
        From the machine's home, tool up, and back to it.

    Raises
    ------
    PlanError
        When the machine has no tool for an operation or may not press it so hard, or there is no room to
        turn the blade.
    OutOfReach
        When a move would leave the machine's area.
    """
    ways = _ways(strokes.lines, machine, cutting.offset)
    _check_changes(ways, machine)
    cutter = _Cutter(strokes, machine, tolerance, ways, cutting)
    runs = _sequence(strokes.lines, cutter, cutting.passes or Passes())
    _check_force(runs, machine)
    tips, fresh = _land(cutter.tips_of(runs), runs, machine)
    paths = _lead(tips, runs, tolerance)
    if machine.first_turn != "none":
        ways_in = [float(tips.leave[tips.start[k]]) for k in fresh]
        taken = strokes.lines if beside is None else Lines.concat((strokes.lines, beside))
        _turn_first(runs, paths, fresh, ways_in, taken, machine)
    _check_area(paths, runs, strokes.lines, machine)
    return _moves(paths, runs, machine, cutting.speed_factor, tolerance.zero)


def unheld(strokes: Strokes, bridges: Bridges, tolerance: Tolerance) -> Findings:
    """Tell which outlines have no room for all the bridges they should get.

    Parameters
    ----------
    strokes
        The lines in working order.
    bridges
        What is asked for; `bridges_of` tells what a machine asks for by itself.
    tolerance
        A fold that ends within `near` of an outline ends on it.

    Returns
    -------
    Findings
        One for each such outline.
    """
    tips = track(strokes.lines, tolerance)
    hinges = hinge_ends(strokes.lines)
    found: Findings = ()
    for i in np.flatnonzero(held(strokes)).tolist():
        positions, wanted = bridge_positions(tips.part(i), bridges, hinges, tolerance.near)
        found += too_few_bridges(strokes.lines, i, len(positions), wanted)
    return found


def _ways(lines: Lines, machine: Machine, blade_offset: float | None) -> dict[int, ToolUse]:
    """The way of each operation that occurs."""
    codes = [code for code in np.unique(lines.operation).tolist() if code in WORKED]
    return {code: find_way(machine, Operation(code), blade_offset) for code in codes}


def _check_changes(ways: dict[int, ToolUse], machine: Machine) -> None:
    """Refuse work that takes several tools on a machine that can't change them."""
    tools = {way.tool.number: way.tool.name for way in ways.values()}
    if machine.change_how == "none" and machine.one_file_for == "sheet" and len(tools) > 1:
        raise PlanError(
            f"the machine '{machine.name}' can't change tools, and the sheet needs {len(tools)}: "
            f"{', '.join(tools.values())}",
            fix='Set one_file_for = "tool" in its profile to get a file for each tool and change them yourself, '
            'or let its knife score: score_by = "perforate" or "partial-cut".',
        )


def _check_force(runs: list[PenDownRun], machine: Machine) -> None:
    """Refuse to press harder than the machine may."""
    for down_run in runs:
        require_force(down_run.force, down_run.tool, machine)


class _Cutter:
    """Cuts each stroke into what is worked with the tool down once."""

    def __init__(
        self,
        strokes: Strokes,
        machine: Machine,
        tolerance: Tolerance,
        ways: dict[int, ToolUse],
        cutting: Cutting,
    ) -> None:
        self.codes = strokes.lines.operation.tolist()
        self.figures = cutting.figures(strokes.lines)
        kinds = list(zip(self.figures, self.codes, strict=True))
        found = {
            (own, code): replace(way, tool=own.tool(way.tool), force=own.forces(Passes(), way.force)[0])
            for own, code in set(kinds)
            if (way := ways.get(code)) is not None
        }
        self.ways = list(map(found.get, kinds))
        self.tips = track(strokes.lines, tolerance)
        self.bridges = bridges_of(machine, cutting.bridges)
        self.lengths = lengths(self.tips).tolist()
        self.closed = strokes.lines.closed.tolist()
        self.held = (held(strokes) & (self.bridges.count != 0)).tolist()
        self.hinges = hinge_ends(strokes.lines)
        self.hinge_reach = tolerance.near
        self.perforation = cutting.perforation

    def goes_round(self, i: int) -> bool:
        """Whether several passes of a stroke need no lifting between."""
        return self.closed[i] and not self.held[i]

    def forces(self, i: int, passes: Passes) -> list[float]:
        """Force of each pass of a cut."""
        way = self.ways[i]
        return self.figures[i].forces(passes, way.force) if way is not None else []

    def runs(self, i: int, *, force: float | None = None, rounds: int = 1) -> list[PenDownRun]:
        """Pen-down runs of a stroke; a line that goes round may do so several times at once."""
        way = self.ways[i]
        if way is None:
            return []
        pressed = way.force if force is None else force
        return [PenDownRun(i, way.tool, pressed, a, b) for a, b in self._spans(i, way, rounds)]

    def _spans(self, i: int, way: ToolUse, rounds: int) -> Spans:
        """What is worked of a line, mm along it."""
        if way.broken:
            return dashes(self.tips.part(i), pattern_of(Operation(self.codes[i]), self.perforation))
        length = self.lengths[i]
        overcut = min(way.tool.overcut, length)
        if self.held[i]:
            positions, _ = bridge_positions(self.tips.part(i), self.bridges, self.hinges, self.hinge_reach)
            return cut_between(length, positions, self.bridges.width, overcut)
        return [(0.0, rounds * length + overcut if self.closed[i] else length)]

    def tips_of(self, runs: list[PenDownRun]) -> HeadedPath:
        """Where the tip runs, one line for each run."""
        return stretches(
            self.tips,
            np.array([down_run.stroke for down_run in runs], dtype=np.int64),
            np.array([down_run.begin for down_run in runs], dtype=np.float64),
            np.array([down_run.end for down_run in runs], dtype=np.float64),
        )


def _sequence(lines: Lines, cutter: _Cutter, passes: Passes) -> list[PenDownRun]:
    """Pen-down runs in working order; the passes of cuts go by line or by sheet."""
    found: list[PenDownRun] = []
    for cut, group in groupby(range(len(lines)), key=lambda i: int(lines.operation[i]) == Operation.CUT):
        rows = list(group)
        if not cut:
            found += [down_run for i in rows for down_run in cutter.runs(i)]
            continue
        forces = {i: cutter.forces(i, passes) for i in rows}
        if passes.by == "sheet":
            most = max(map(len, forces.values()))
            turns = [(i, forces[i][k]) for k in range(most) for i in rows if k < len(forces[i])]
            found += [down_run for i, force in turns for down_run in cutter.runs(i, force=force)]
            continue
        for i in rows:
            # Unsaid forces are NaN, which equals nothing; as text they are alike.
            if len(set(map(str, forces[i]))) == 1 and cutter.goes_round(i):
                found += cutter.runs(i, force=forces[i][0], rounds=len(forces[i]))
            else:
                found += [down_run for force in forces[i] for down_run in cutter.runs(i, force=force)]
    return found


def _land(tips: HeadedPath, runs: list[PenDownRun], machine: Machine) -> tuple[HeadedPath, list[int]]:
    """Begin each pen-down run with the heading in which its blade came up last.

    The blade is turned to its new direction where it comes down. When the pivot could leave the
    machine's area there, it is turned before it comes up, at the end of the cut before.

    Returns
    -------
    tips, fresh
        The tips' paths; and which runs meet a blade of unknown heading: they begin as if it
        were right.
    """
    arrive, leave = tips.arrive.copy(), tips.leave.copy()
    first, last = tips.start[:-1], tips.start[1:] - 1
    offsets = np.array([down_run.tool.offset for down_run in runs])
    roomy_first = _room_to_turn(tips.xy[first], offsets, machine).tolist()
    roomy_last = _room_to_turn(tips.xy[last], offsets, machine).tolist()
    known: dict[int, int] = {}  # which run a knife did last
    fresh, changed_from = [], None
    for k, down_run in enumerate(runs):
        number = down_run.tool.number
        if changed_from != number and (machine.change_how != "automatic" or machine.one_file_for == "tool"):
            known.pop(number, None)
        changed_from = number
        if down_run.tool.offset <= 0:
            continue
        before = known.get(number)
        if before is None:
            fresh.append(k)
        elif roomy_first[k] or not roomy_last[before]:
            arrive[first[k]] = leave[last[before]]
        else:
            leave[last[before]] = leave[first[k]]
        known[number] = k
    return replace(tips, arrive=arrive, leave=leave), fresh


def _room_to_turn(at: Points, offset: Points, machine: Machine) -> Flags:
    """Whether the pivot may go all round the tip without leaving the machine's area."""
    area = np.array([machine.width, machine.height])
    return np.asarray((np.minimum(at, area - at) >= offset[:, None]).all(axis=1))


def _lead(tips: HeadedPath, runs: list[PenDownRun], tolerance: Tolerance) -> list[Points]:
    """The pivot's path of each pen-down run, of two points at least."""
    points, start = pivot_path(tips, np.array([down_run.tool.offset for down_run in runs]), tolerance.blade)
    paths = [points[a:b] for a, b in zip(start[:-1].tolist(), start[1:].tolist(), strict=True)]
    return [path if len(path) > 1 else np.repeat(path, 2, axis=0) for path in paths]


def _turn_first(
    runs: list[PenDownRun],
    paths: list[Points],
    fresh: list[int],
    ways_in: list[float],
    lines: Lines,
    machine: Machine,
) -> None:
    """Put in an orientation cut before each pen-down run that meets a blade of unknown heading."""
    for k, way_in in reversed(list(zip(fresh, ways_in, strict=True))):
        down_run = runs[k]
        path = orientation_cut(down_run.tool.offset, way_in)
        area, near = (machine.width, machine.height), paths[k][0]
        where = ("waste", "edge") if machine.first_turn == "waste" else ("edge",)
        spots = (find_spot(lines, path, down_run.tool.offset, area, near, at_edge=w == "edge") for w in where)
        spot = next((s for s in spots if s is not None), None)
        if spot is None:
            raise PlanError(
                "there is no room to turn the blade to its first direction: "
                f"{np.ptp(path, axis=0).max():.1f} mm of waste card or free edge are needed",
                fix='Leave a wider margin, or turn the blade by hand and set first_turn = "none".',
            )
        runs.insert(k, replace(down_run, stroke=-1))
        paths.insert(k, path + spot)


def _check_area(paths: list[Points], runs: list[PenDownRun], lines: Lines, machine: Machine) -> None:
    """Refuse moves that leave the machine's area."""
    area = np.array([machine.width, machine.height])
    for path, down_run in zip(paths, runs, strict=True):
        beyond = np.maximum(-path, path - area).max(axis=1)
        worst = int(beyond.argmax())
        if beyond[worst] <= 1e-6:  # not a tolerance: rounding of sums
            continue
        over, stroke = math.ceil(round(float(beyond[worst]) * 100, 6)) / 100, down_run.stroke  # never 0.00
        line = lines.points(stroke) if stroke >= 0 else np.zeros((1, 2))
        out = float(np.maximum(-line, line - area).max())
        ahead = ""
        if out > ZERO:
            ahead = f"; the line itself lies {out:.2f} mm out there"
        elif down_run.tool.offset:
            ahead = f", because the pivot runs {down_run.tool.offset:g} mm ahead of the blade"
        raise OutOfReach(
            f"the tool would go {over:.2f} mm beyond the machine's area of "
            f"{machine.width:g} x {machine.height:g} mm{ahead}",
            fix=f"Leave a margin that is wider by {over:.2f} mm, or lay the sheet further in.",
            place=place_of(lines, down_run.stroke, path[worst]),
        )


def _goes_on(before: tuple[Points, PenDownRun], after: tuple[Points, PenDownRun], zero: float) -> bool:
    """Whether the tool need not be lifted between two runs."""
    (path, down_run), (onward, following) = before, after
    return bool(
        down_run.tool.number == following.tool.number
        # Unsaid forces are NaN, which equals nothing; as text they are alike.
        and str(down_run.force) == str(following.force)
        and min(down_run.stroke, following.stroke) >= 0
        and np.abs(path[-1] - onward[0]).max() <= zero
    )


def _moves(
    paths: list[Points], runs: list[PenDownRun], machine: Machine, factor: float, zero: float
) -> Moves:
    """Lay the paths behind each other with travel between them, and go home.

    Where a path begins at the very place where the one before ended, pressed alike, the tool stays down.
    """
    meets = [False, *(_goes_on(*pair, zero) for pair in pairwise(zip(paths, runs, strict=True)))]
    paths = [path[1:] if on else path for path, on in zip(paths, meets, strict=False)]
    run = np.repeat(np.arange(len(paths)), [len(path) for path in paths])
    down = np.ones(len(run), bool)
    lifted = np.flatnonzero(np.diff(run, prepend=-1))
    down[lifted[~np.array(meets, bool)[run[lifted]]]] = False
    tool = np.array([down_run.tool.number for down_run in runs], dtype=np.int64)
    speed = np.array([down_run.tool.speed * factor for down_run in runs])
    force = np.array([down_run.force for down_run in runs])
    stroke = np.array([down_run.stroke for down_run in runs], dtype=np.int64)
    last = tool[-1] if len(tool) else machine.tools[0].number
    return Moves(
        # 0.0 is added since a millionth below 0 would stand there as -0.
        xy=np.vstack((np.round(np.vstack((np.empty((0, 2)), *paths)), _PLACES) + 0.0, [machine.home])),
        down=np.append(down, False),
        tool=np.append(tool[run], last),
        speed=np.append(np.where(down, speed[run], 0.0), 0.0),
        force=np.append(np.where(down, force[run], np.nan), np.nan),
        stroke=np.append(np.where(down, stroke[run], -1), -1),
        home=machine.home,
        changes=int((np.diff(tool) != 0).sum()),
    )
