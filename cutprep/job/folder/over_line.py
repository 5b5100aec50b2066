"""Which machine files come over the machine's serial line more slowly than the machine moves."""

from __future__ import annotations

import math

import numpy as np

from cutprep.model.moves import Duration
from cutprep.profile.machine import Machine
from cutprep.stages.motion.duration import instruction_times
from cutprep.stages.motion.line import time_over_line
from cutprep.stages.readback.compare.proof import Proof

#: A line counts as what holds the machine up when the file takes so much longer than its motion.
_HELD_UP = 1.02


def held_up(text: str, language: str, machine: Machine, took: Duration, proof: Proof) -> float:
    """Work out how long a file takes over the machine's line, changes of tool included.

    Parameters
    ----------
    text, language
        A machine file that cutprep wrote, one instruction a line, and its language.
    machine
        Whose speed of line, block and buffer apply.
    took
        Time of the file when nothing holds the machine up.
    proof
        Of the file: what each of its lines does.

    Returns
    -------
    float
        s; 0 where the profile gives no speed of line, or where the line is no slower than the motion.
    """
    rate = machine.line.rate
    if not rate or language not in ("hpgl", "gcode"):
        return 0.0
    sizes = np.array([len(row) + (language == "gcode") for row in text.splitlines()])
    waits = np.zeros(len(sizes))
    for line, lasts in proof.waits:
        waits[line - 1] += lasts
    seconds = instruction_times(proof.moves, proof.lines - 1, waits, machine)
    # An instruction beyond a block is sent as several, of like sizes.
    parts = np.maximum(np.ceil(sizes / machine.line.block), 1).astype(np.int64)
    split = [math.ceil(size) for size in np.repeat(sizes / parts, parts).tolist()]
    each = np.repeat(seconds / parts, parts).tolist()
    over = time_over_line(split, each, rate, machine.line.buffer) + took.change
    return over if over > _HELD_UP * took.total else 0.0
