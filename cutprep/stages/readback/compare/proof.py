"""The proof of a machine file: everything it says, followed by a reader and laid beside its plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import Place
from cutprep.limits import Limits
from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.model.lines import Index
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.align import StrokeMatch
from cutprep.stages.readback.compare.expected import expected_track
from cutprep.stages.readback.compare.legs import Leg, legs_of
from cutprep.stages.readback.compare.steps import step_for_step
from cutprep.stages.readback.compare.strokes import ends_rightly, lay_beside
from cutprep.stages.readback.compare.unlike import unlike
from cutprep.stages.readback.compare.unlike import within as within_stroke
from cutprep.stages.readback.compare.walk import walk_apart
from cutprep.stages.readback.machine_file import follow
from cutprep.stages.readback.track import Track


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """What a machine file does, and in what that is not what was planned.

    Attributes
    ----------
    moves
        As they were read, mm on the sheet.
    told
        What was found, each with the stroke in which it begins, from 0; -1 for what has none.
    lines
        (k,) ndarray of int: line of the file that makes each move, from 1.
    waits
        (line, s) of each wait that the file states.
    """

    moves: Moves
    told: tuple[tuple[int, Finding], ...]
    lines: Index
    waits: tuple[tuple[int, float], ...]

    @property
    def findings(self) -> Findings:
        """Empty when the file is right."""
        return tuple(finding for _, finding in self.told)


def prove(
    planned: Moves,
    text: str,
    language: str,
    machine: Machine,
    *,
    within: float,
    sagitta: float = 0.0,
    page: tuple[float, float] | None = None,
    limits: Limits | None = None,
) -> Proof:
    """Follow a machine file and compare all that it says with its plan, stroke by stroke.

    Parameters
    ----------
    planned
        The plan, mm on the sheet.
    text
        The file.
    language
        "hpgl" or "gcode".
    machine
        Whose axes, tools and ways of lifting apply.
    within
        Largest distance of a place from its planned one, mm.
    sagitta
        The flattening limit, mm: by so much an arc along the edge of the area may bulge over it.
    page
        Size of the sheet, mm, for drawings; the machine's area when None.
    limits
        How large a file is followed.
    """
    read = read_file(text, language, machine, limits)
    return prove_read(planned, read, language, machine, within=within, sagitta=sagitta, page=page)


@dataclass(frozen=True, slots=True, eq=False)
class FileRead:
    """A machine file as it was followed, not yet compared.

    Attributes
    ----------
    track, noticed
        As `follow` gives them.
    moves
        As they were read, mm on the sheet.
    """

    track: Track
    noticed: Findings
    moves: Moves


def read_file(text: str, language: str, machine: Machine, limits: Limits | None = None) -> FileRead:
    """Follow a machine file, to be compared by `prove_read`, once or never.

    Parameters
    ----------
    text, language, machine, limits
        As for `prove`.

    Raises
    ------
    ReadbackError
        As `follow`.
    """
    track, noticed = follow(text, language, machine, limits)
    return FileRead(track, noticed, track.moves(machine))


def prove_read(
    planned: Moves,
    file: FileRead,
    language: str,
    machine: Machine,
    *,
    within: float,
    sagitta: float = 0.0,
    page: tuple[float, float] | None = None,
) -> Proof:
    """Compare all that a followed machine file says with its plan, stroke by stroke.

    Parameters
    ----------
    file
        What `read_file` gave.
    planned, language, machine, within, sagitta, page
        As for `prove`.
    """
    track, read = file.track, file.moves
    plan = expected_track(planned, machine, language, page)
    steps = plan.moves(machine)
    if step_for_step((steps, plan), (read, track), within):
        differs = tuple((-1, finding) for finding in ends_rightly(read, within, machine, sagitta))
    else:
        wanted = legs_of(steps, plan.helds, plan.said)
        got = legs_of(read, track.helds, track.said)
        differs = compare_legs(wanted, got, read, language, machine, within=within, sagitta=sagitta)
    return Proof(
        moves=read,
        told=(*((-1, finding) for finding in file.noticed), *differs),
        lines=track.lines,
        waits=tuple((said.line, float(said.values[0])) for said in track.said if said.kind == "wait"),
    )


def compare_legs(
    wanted: Sequence[Leg],
    got: Sequence[Leg],
    read: Moves,
    language: str,
    machine: Machine,
    *,
    within: float,
    sagitta: float = 0.0,
) -> tuple[tuple[int, Finding], ...]:
    """Find in what the legs of a file differ from what is expected.

    Parameters
    ----------
    wanted, got
        In order; the last of each is the way home.
    read
        The same file as moves.
    language, machine, within, sagitta
        As for `prove`.

    Returns
    -------
    tuple
        (stroke in which it begins, from 0, or -1; finding).
    """
    ours, theirs = ([leg.stroke for leg in legs if leg.stroke is not None] for legs in (wanted, got))
    beside, found = lay_beside(ours, theirs, within)
    told = _Told()
    for i, j in _in_step(beside, len(ours), len(theirs)):
        for inside, (code, what) in unlike(wanted[i], got[j], machine, language):
            told.add(i, code, what, got[j], inside=inside)
        if not _same_way(wanted[i], got[j], within):
            told.add(i, "way-differs", "the tool travels another way than planned", got[j], inside=False)
    for i, j in (*beside.moved, *_out_of_step(beside)):
        for code, what in within_stroke(wanted[i], got[j], machine, language):
            told.add(i, code, what, got[j], inside=True)
    ending = ((-1, finding) for finding in ends_rightly(read, within, machine, sagitta))
    return (*((math.ceil(at), finding) for at, finding in found), *told.findings(len(ours)), *ending)


def _in_step(beside: StrokeMatch, ours: int, theirs: int) -> list[tuple[int, int]]:
    """Legs whose strokes, and those before, belong together; the ways home too."""
    same = {*beside.same, *beside.changed, (-1, -1), (ours, theirs)}
    return sorted((i, j) for i, j in same if (i - 1, j - 1) in same)


def _out_of_step(beside: StrokeMatch) -> list[tuple[int, int]]:
    same = {*beside.same, *beside.changed, (-1, -1)}
    return sorted((i, j) for i, j in same if i >= 0 and (i - 1, j - 1) not in same)


def _same_way(wanted: Leg, got: Leg, within: float) -> bool:
    """Whether the tool goes from stroke to stroke as planned."""
    near = 2 * within  # both ends may be off by the limit, each its own way
    a, b = (np.vstack((way, way[-1:])) if len(way) < 2 else way for way in (wanted.way, got.way))
    return walk_apart(a, b, np.zeros(len(b), bool), near) is None


class _Told:
    """Differences by stroke; equal ones of strokes that follow each other are told once."""

    def __init__(self) -> None:
        self._rows: dict[tuple[str, str, bool], list[tuple[int, Leg]]] = {}

    def add(self, number: int, code: str, what: str, leg: Leg, *, inside: bool) -> None:
        """One more difference, in a stroke or in the gap before it."""
        self._rows.setdefault((code, what, inside), []).append((number, leg))

    def findings(self, strokes: int) -> list[tuple[int, Finding]]:
        """In the order of the strokes."""
        found: list[tuple[int, Finding]] = []
        for (code, what, inside), rows in self._rows.items():
            for run in _runs(rows):
                first, last = run[0][0], run[-1][0]
                found.append((first, _finding(code, what, first, last, strokes, run[0][1], inside)))
        found.sort(key=lambda row: row[0])
        return found


def _runs(rows: list[tuple[int, Leg]]) -> list[list[tuple[int, Leg]]]:
    """Rows whose numbers follow each other."""
    runs: list[list[tuple[int, Leg]]] = []
    for row in rows:
        if runs and runs[-1][-1][0] == row[0] - 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def _finding(code: str, what: str, first: int, last: int, strokes: int, leg: Leg, inside: bool) -> Finding:
    where = f"stroke {first + 1}" if first == last else f"strokes {first + 1} to {last + 1}"
    if first == strokes:
        where = "after the last stroke"
    elif not inside:
        where = f"before {where}"
    x, y = leg.way[-1].tolist()
    return Finding.of(
        code, f"{where}: {what}".replace(",:", ":"), places=(Place(xy=(x, y)),), severity=Severity.ERROR
    )
