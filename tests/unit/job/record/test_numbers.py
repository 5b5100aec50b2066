"""Numbers of a `job.json` from elsewhere: JSON knows no difference of whole numbers and others, and no largest."""

from __future__ import annotations

import json

import numpy as np
import pytest

from cutprep.job.record.machine import machine_data, machine_from_data
from cutprep.job.record.plan import plan_data, plan_from
from cutprep.profile import shelf
from cutprep.stages.motion.duration import duration
from tests.plans import plan


def test_whole_numbers_beyond_a_processor_s_are_floats() -> None:
    """Met by changing bytes by lot: they once ended in a fault of ours."""
    data = json.loads(json.dumps(machine_data(shelf.machine("mat-cutter-300"))))
    data["lower"] = 10**30
    data["acceleration"] = [10**40, 500]
    data["hpgl"]["unit"] = 1
    machine = machine_from_data(data)
    assert machine.lower == 1e30
    assert machine.acceleration == (1e40, 500.0)
    assert all(type(value) is float for value in (machine.lower, *machine.acceleration, machine.hpgl.unit))
    moves = plan([(1, [(5, 5), (5, 25)])])
    assert np.isfinite(duration(moves, machine).total)


@pytest.mark.parametrize("number", [2**31, -(2**40), 10**30])
def test_a_stroke_with_a_number_beyond_all_plans_is_refused(number: int) -> None:
    data = plan_data(plan([(1, [(5, 5), (5, 25)])]), [5])
    data["strokes"][0]["stroke"] = number
    with pytest.raises(ValueError, match="beyond all plans"):
        plan_from(data)
