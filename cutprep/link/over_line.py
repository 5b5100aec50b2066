"""How long a file runs when it comes over the machine's serial line."""

from __future__ import annotations

from pathlib import Path

from cutprep.errors import CutprepError
from cutprep.limits import Limits
from cutprep.link.runs import file_run
from cutprep.profile.machine import Machine
from cutprep.stages.motion.line import time_over_line
from cutprep.tolerance import Tolerance


def over_line(
    path: Path, machine: Machine, tolerance: Tolerance, language: str | None, limits: Limits
) -> float | None:
    """Work out when a file is drawn that is sent over the line, changes of tool aside.

    Parameters
    ----------
    path
        A machine file.
    machine
        Whose speed of line, buffer and speeds apply.
    tolerance
        As for `file_run`.
    language
        "hpgl" or "gcode"; None to find out.
    limits
        How large a machine file is followed.

    Returns
    -------
    float or None
        s; None where the profile gives no speed, or the file would not be sent.
    """
    if not machine.line.speed:
        return None
    try:
        script = file_run(path, machine, tolerance, language=language, limits=limits).script
    except CutprepError:
        return None
    sizes = [len(piece) for piece in script.pieces]
    return time_over_line(sizes, script.seconds.tolist(), machine.line.rate, machine.line.buffer)
