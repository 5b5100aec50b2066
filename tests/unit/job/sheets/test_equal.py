"""Equal sheets together."""

from __future__ import annotations

from dataclasses import replace

from cutprep.job.sheets.equal import equal_together
from cutprep.model.findings.finding import Finding
from cutprep.model.sheet import Placement
from tests.unit.stages.nest.specimens import box, sheet


def test_two_of_three_are_one() -> None:
    """Whatever the numbers of their copies; what is said of each is kept once."""
    note = Finding.of("nest-method", "grid")
    tray = box(30, 20)
    one = replace(sheet([tray], [Placement(0, 5.0, 5.0, copy=1)]), notes=(note,))
    other = sheet([tray], [Placement(0, 50.0, 5.0, copy=2)])
    again = replace(sheet([tray], [Placement(0, 5.0, 5.0, copy=3)]), notes=(note,), runs=4)
    first, second = equal_together([one, other, again])
    assert (first.runs, second.runs) == (5, 1)
    assert first.placements == one.placements
    assert first.notes == (note,)
    assert second.placements == other.placements
