"""The door of the room: the text of any machine file to moves."""

from __future__ import annotations

import re

from cutprep.errors import JobError, ReadbackError, TooLarge
from cutprep.limits import Limits, more
from cutprep.model.findings.finding import Findings, errors
from cutprep.model.moves import Moves
from cutprep.profile.languages import DRAWINGS, LANGUAGES
from cutprep.profile.machine import Machine
from cutprep.stages.readback.drawing.follow import follow_drawing
from cutprep.stages.readback.gcode.follow import follow_gcode
from cutprep.stages.readback.hpgl.follow import follow_hpgl
from cutprep.stages.readback.track import Track
from cutprep.tables import suggest

_REMARK = re.compile(r"\([^()\n]*\)|;[^\n]*$", re.MULTILINE)
_GCODE_LINE = re.compile(r"\s*(?:/?\s*(?:[Nn]\s*\d+\s*)?(?:[GgMm]\s*\d|[XYZFSTxyzfst]\s*[-+.\d])|%\s*$|\(|$)")
_HPGL_START = re.compile(
    r"(?:\x1b(?:%-?\d*[A-Z]|\.[@-Z()](?:[\d;, ]*:)?|[A-Z])|[\s;])*"
    r"(?i:IN|DF|SP|PU|PD|PA|PR|IP|SC|RO|VS|LT|CI)(?![A-Za-z]{2,}[\s=])"
)


def sniff(text: str) -> str:
    """Tell which language a machine file is in.

    Raises
    ------
    ReadbackError
        When it is neither.
    """
    head = text[:4000]
    if _HPGL_START.match(head):
        return "hpgl"
    rows = [row for row in _REMARK.sub("", head).splitlines()[:20] if row.strip()]
    if rows and sum(bool(_GCODE_LINE.match(row)) for row in rows) * 2 > len(rows):
        return "gcode"
    raise ReadbackError(
        "this is neither HP-GL nor G-code",
        fix="Give a file that a cutter is sent, or say its language: --language hpgl, or gcode.",
    )


def parse(
    text: str, language: str | None = None, machine: Machine | None = None, limits: Limits | None = None
) -> tuple[Moves, Findings]:
    """Follow a machine file, whatever is wrong with it.

    Parameters
    ----------
    text
        The file.
    language
        "hpgl" or "gcode"; None to find out.
    machine
        Whose axes, units and way of lifting apply; None for plain defaults.
    limits
        How large a file is followed.

    Returns
    -------
    tuple
        The moves, mm on the sheet, and what was noticed on the way.

    Raises
    ------
    JobError
        When the language is not known.
    ReadbackError
        When the text is no machine file at all, or beyond the limits.
    """
    track, findings = follow(text, language, machine, limits)
    return track.moves(machine), findings


def follow(
    text: str, language: str | None = None, machine: Machine | None = None, limits: Limits | None = None
) -> tuple[Track, Findings]:
    """As `parse`, with everything that the file says beside the moves.

    Parameters
    ----------
    text, language, machine, limits
        As for `parse`.

    Raises
    ------
    JobError, ReadbackError
        As `parse`.
    """
    limits = limits or Limits()
    if len(text) > limits.machine_bytes:
        raise too_large(limits)
    language = language or sniff(text)
    if language == "hpgl":
        return follow_hpgl(text, machine, limits)
    if language == "gcode":
        return follow_gcode(text, machine, limits)
    if language in DRAWINGS:
        if machine is None:
            raise JobError(f"{language} can't be followed without a machine", fix="Name it with --machine.")
        return follow_drawing(text, language, machine, limits)
    raise JobError(f"the machine language '{language}' is not known", fix=suggest(language, LANGUAGES))


def too_large(limits: Limits) -> TooLarge:
    """What is said of a machine file of too many bytes: the limit, and how to raise it."""
    return TooLarge(
        f"the file is larger than {limits.machine_bytes / 1e6:g} MB, and was not followed",
        fix=more("Check what it is: a sheet of card takes a few megabytes.", "machine_bytes"),
    )


def read_back(text: str, language: str | None = None, machine: Machine | None = None) -> Moves:
    """Follow a machine file that must be right.

    Returns
    -------
    Moves
        What the machine will do, mm on the sheet.

    Raises
    ------
    ReadbackError
        At the first thing that a machine would refuse or take differently.
    """
    moves, findings = parse(text, language, machine)
    for fault in errors(findings):
        raise ReadbackError(fault.problem, fix=fault.fix, place=fault.places[0])
    return moves
