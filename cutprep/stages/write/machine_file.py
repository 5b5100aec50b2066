"""The door of the room: moves to the text of a machine file."""

from __future__ import annotations

import math

from cutprep.errors import JobError
from cutprep.geometry.curves.arcs import WITHIN
from cutprep.model.moves import Moves
from cutprep.profile.languages import DRAWINGS, LANGUAGES
from cutprep.profile.machine import Machine
from cutprep.stages.write.dialect import Dialect, emit
from cutprep.stages.write.for_machine import write_drawing
from cutprep.stages.write.gcode import ROUNDED, Gcode
from cutprep.stages.write.hpgl import Hpgl
from cutprep.tables import suggest


def write(
    moves: Moves,
    machine: Machine,
    language: str,
    *,
    title: str = "",
    page: tuple[float, float] | None = None,
) -> str:
    """Write a plan as a machine file.

    Parameters
    ----------
    moves
        The plan, mm on the sheet.
    machine
        Its axes, area, tools and way of speaking.
    language
        "hpgl", "gcode", "svg" or "dxf".
    title
        Name of the job for a comment; whatever a machine could take for a word is left out.
    page
        Size of the sheet, mm, for drawings; the machine's area when None.

    Returns
    -------
    str
        ASCII text; the same plan gives the same text, without dates.

    Raises
    ------
    JobError
        When the language is not known.
    OutOfReach
        When a position lies outside the machine's area or the language's range.
    PlanError
        When the plan uses a tool that the machine does not have.
    ProfileError
        When a text of the profile is no G-code.
    """
    dialect: Dialect
    if language in DRAWINGS:
        return write_drawing(
            moves, machine, language, page=page or (machine.width, machine.height), title=title
        )
    if language == "hpgl":
        dialect = Hpgl(machine)
    elif language == "gcode":
        dialect = Gcode(machine)
    else:
        raise JobError(f"the machine language '{language}' is not known", fix=suggest(language, LANGUAGES))
    return emit(moves, machine, dialect, title)


def lifting(machine: Machine, language: str) -> str:
    """What raises the tool where it stands, one instruction a line.

    Parameters
    ----------
    machine
        Whose way of lifting applies.
    language
        "hpgl" or "gcode".
    """
    if language == "hpgl":
        return "PU;\n"
    dialect = Gcode(machine)
    dialect.lift()
    return dialect.text()


def deviation(machine: Machine, language: str, sagitta: float) -> float:
    """How far what a machine draws may lie from the curve that was meant, mm, for the job sheet.

    Chords stand off from a curve by the flattening limit; positions are rounded to half a plotter unit
    each way in HP-GL and to 0.00005 mm in G-code; recovered arcs pass their vertices within 0.0025 mm.

    Parameters
    ----------
    machine
        Its plotter unit, and whether it draws arcs.
    language
        "hpgl" or "gcode".
    sagitta
        The flattening limit, mm.
    """
    if language in DRAWINGS:
        return sagitta + ROUNDED
    if language == "hpgl":
        return sagitta + machine.hpgl.unit / math.sqrt(2)
    return sagitta + (WITHIN if machine.gcode.arcs else 0.0) + ROUNDED
