"""How long a file takes when the line to the machine is slower than its motion.

Instructions come over the line one after the other into a buffer of some bytes, and are drawn from there one after
the other: two stages in a row with a bounded store between them. With room for everything the end follows from one
sum (S. M. Johnson, *Optimal two- and three-stage production schedules with setup times included*, Naval Research
Logistics Quarterly 1, 1954): the largest, over all instructions, of the time on the line up to and with it and of the
motion from it on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


def time_over_line(sizes: Sequence[int], seconds: Sequence[float], rate: float, buffer: int) -> float:
    """Work out when the last instruction is drawn.

    Parameters
    ----------
    sizes
        Bytes of each instruction.
    seconds
        Of its motion.
    rate
        Bytes a second of the line.
    buffer
        Bytes that the machine holds; an instruction that is larger goes over when nothing else is held.

    Returns
    -------
    float
        s from the first byte on.

    Raises
    ------
    ValueError
        When the line has no rate.
    """
    if not 0 < rate < math.inf:
        raise ValueError(f"the line's rate is {rate:g} bytes a second; it must be above 0")
    arrived = ended = 0.0
    begun: list[float] = []  # when each was taken from the buffer
    held, oldest = 0, 0
    for size, lasts in zip(sizes, seconds, strict=True):
        free = 0.0
        while held and held + size > buffer:
            held -= sizes[oldest]
            free = begun[oldest]
            oldest += 1
        held += size
        arrived = max(arrived, free) + size / rate
        begun.append(max(arrived, ended))
        ended = begun[-1] + lasts
    return ended
