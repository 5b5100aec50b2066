"""How large a drawing would be in the units that it does not name."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.model.lines import Lines
from cutprep.units import MM_PER, say_size


def sizes_in(lines: Lines, unit_mm: float, units: Sequence[str]) -> str:
    """Say which option gives a drawing which size.

    Parameters
    ----------
    lines
        As read.
    unit_mm
        What a unit was taken for, mm.
    units
        Names of those that are likely; the one that was taken is left out.
    """
    left, bottom, right, top = lines.bounds
    told = []
    for unit in units:
        times = MM_PER[unit] / unit_mm
        if abs(times - 1.0) > 1e-9:  # not a tolerance: rounding of a quotient
            told.append(f"--units {unit} makes it {say_size((right - left) * times, (top - bottom) * times)}")
    return ", ".join(told)
