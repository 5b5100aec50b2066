"""A machine file as a script: whole instructions, each with its stroke, its seconds, and where a person is needed.

A stroke is what is worked between lowering and lifting the tool. Instructions of HP-GL that draw through many
places are said as several, each short enough for the machine's buffer and for stopping soon; the script as a
whole is read back and draws the same.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cutprep.errors import ReadbackError
from cutprep.geometry.affine import apply
from cutprep.limits import Limits
from cutprep.link.pieces import instructions_of, lines_of, together
from cutprep.model.findings.finding import errors
from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.motion.duration import instruction_times
from cutprep.stages.readback.machine_file import follow

_TAKES = re.compile(r"SP0*([1-9]\d*)")
_CHANGE = re.compile(r"(?:N\d+ ?)?(?:T\d+ ?)?M0?6\b")
#: A word at which a controller waits: the sender waits in its place.
PAUSE = re.compile(r"(?:N\d+ ?)?(?:M0?0|M0?1|M60)\b")


@dataclass(frozen=True, slots=True, eq=False)
class Script:
    """What is sent, instruction by instruction.

    Attributes
    ----------
    language
        "hpgl" or "gcode".
    pieces
        Whole instructions, each as it is sent.
    seconds
        (n,) ndarray of float: how long each runs, about.
    before
        (n + 1,) ndarray of int: strokes that are whole when so many pieces have been run.
    begun
        (n + 1,) ndarray of int: strokes that have been begun when so many pieces have been run.
    places
        (n, 2) ndarray of float: where the tool stands behind each piece, the machine's own units.
    moves
        What it does, mm on the sheet.
    stops
        Number of a piece to the number of the tool that a person puts in before it.
    first_tool
        Number of the tool in the holder at the beginning; 0 where the file names none.
    """

    language: str
    pieces: tuple[bytes, ...]
    seconds: Points
    before: NDArray[np.int64]
    begun: NDArray[np.int64]
    places: Points
    moves: Moves = field(repr=False)
    stops: dict[int, int] = field(default_factory=dict)
    first_tool: int = 0

    def __len__(self) -> int:
        return len(self.pieces)

    @property
    def strokes(self) -> int:
        """How many strokes there are."""
        return int(self.before[-1])

    @property
    def ends(self) -> NDArray[np.int64]:
        """(n,) ndarray of int: bytes up to and with each piece."""
        return np.cumsum([len(piece) for piece in self.pieces], dtype=np.int64)


def script_of(text: str, language: str, machine: Machine, limits: Limits | None = None) -> Script:
    """Divide a machine file into what is sent.

    Parameters
    ----------
    text
        The file.
    language
        "hpgl" or "gcode".
    machine
        Whose block, speeds and way of changing tools apply.
    limits
        How large a file is followed.

    Returns
    -------
    Script
        Whose pieces, behind each other, draw what the file draws.

    Raises
    ------
    ReadbackError
        When the file holds what a machine would refuse, or what can't be followed to the last.
    """
    rows = list(instructions_of(text)) if language == "hpgl" else lines_of(text)
    script = _followed(rows, language, machine, limits)
    if language == "hpgl":
        script = _followed(list(together(rows, script.seconds, machine)), language, machine, limits)
    _same(script.moves, follow(text, language, machine, limits)[0].moves(machine))
    longest = max((len(piece) for piece in script.pieces), default=0)
    most = machine.line.block
    if longest > most:
        raise ReadbackError(
            f"an instruction of {longest} bytes does not fit into a block of {most}",
            fix="Give the machine's block under [line] in its profile: docs/PROFILES.md.",
        )
    return script


def _same(sent: Moves, wanted: Moves) -> None:
    """What is sent draws what the file draws, move by move."""
    for name in ("xy", "down", "tool", "speed", "force"):
        if not np.array_equal(getattr(sent, name), getattr(wanted, name), equal_nan=name == "force"):
            raise ReadbackError("what would be sent is not what the file says", fix="Nothing was sent.")


def _followed(rows: list[str], language: str, machine: Machine, limits: Limits | None) -> Script:
    """The pieces with all that is known of each, from following them one a line."""
    ending = ";" if language == "hpgl" else ""
    track, findings = follow("".join(f"{row}{ending}\n" for row in rows), language, machine, limits)
    faults = errors(findings)
    unknown = [said.values[0] for said in track.said if said.kind == "other" and language == "hpgl"]
    if faults or unknown:
        what = faults[0].problem if faults else f"{unknown[0]} is not followed to the last"
        raise ReadbackError(f"the file is not sent: {what}", fix="Look at it with `cutprep look`.")
    moves = track.moves(machine)
    count = len(rows)
    at = track.lines - 1  # of each move: the piece that makes it
    waiting = np.zeros(count)
    for said in track.said:
        if said.kind == "wait":
            waiting[said.line - 1] += float(said.values[0])
    seconds = instruction_times(moves, at, waiting, machine)
    where = apply(machine.to_machine, moves.path)
    made = np.searchsorted(at, np.arange(count), "right")  # moves up to and with each piece
    whole, begun = _strokes(moves)
    # Lowering is an instruction of its own in G-code: a stroke is begun as soon as it may have been lowered for.
    near = np.minimum(made + (language == "gcode"), len(moves))
    stops, first = _stops(rows, language, machine)
    eol = b";" if language == "hpgl" else b"\n"
    return Script(
        language=language,
        pieces=tuple(row.encode("ascii", "replace") + eol for row in rows),
        seconds=seconds,
        before=np.concatenate(([0], whole[made])),
        begun=np.concatenate(([0], begun[near])),
        places=where[made] / (machine.hpgl.unit if language == "hpgl" else 1.0),
        stops=stops,
        first_tool=first,
        moves=moves,
    )


def _strokes(moves: Moves) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Of so many moves made, (k + 1,): strokes that are whole, and strokes that are begun."""
    stroke = moves.stroke.astype(np.int64)
    begins = np.diff(stroke, prepend=np.int64(-1)) != 0
    begun = np.concatenate(([0], np.cumsum(begins & moves.down)))
    under_way = np.concatenate(([False], moves.down))
    return begun - under_way, begun


def _stops(rows: list[str], language: str, machine: Machine) -> tuple[dict[int, int], int]:
    """Pieces before which a person changes the tool, and the first tool."""
    by_hand = machine.change_how == "pause"
    stops: dict[int, int] = {}
    tools: list[int] = []
    for k, row in enumerate(rows):
        told = re.match(r"\(MSG,tool (\d+)", row) if language == "gcode" else _TAKES.fullmatch(row)
        if told is not None:
            tools.append(int(told[1]))
            if language == "hpgl" and by_hand and len(tools) > 1 and tools[-1] != tools[-2]:
                stops[k] = tools[-1]
        elif language == "gcode" and (
            PAUSE.match(row) or (by_hand and len(tools) > 1 and _CHANGE.match(row))
        ):
            stops[k] = tools[-1] if tools else 0
    return stops, tools[0] if tools else 0
