"""Every tool of every shipped machine can be told what to do, in each of its languages."""

from __future__ import annotations

import math

import pytest

from cutprep.profile import shelf
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.beside import compare
from tests.plans import circle, plan

CASES = [(name, language) for name, machine in shelf.machines().items() for language in machine.languages]


@pytest.mark.parametrize(("name", "language"), CASES)
def test_all_tools_at_their_full_and_their_part_force(name: str, language: str) -> None:
    """Also the lighter force of part-depth cuts; what is read back says the same tools and forces."""
    machine = shelf.machine(name)
    for share in (False, True):
        for tool in machine.tools:
            force = tool.force * (tool.part_force if share else 1)
            planned = plan(
                [(tool.number, circle(50, 50, 20))], force=force, speed=tool.speed, home=machine.home
            )
            read, findings = parse(write(planned, machine, language), language, machine)
            assert not findings
            assert not compare(planned, read, within=0.025, machine=machine, sagitta=Tolerance().sagitta)
            if math.isfinite(force):
                assert read.force[read.down] == pytest.approx(force, abs=0.5)


@pytest.mark.parametrize(("name", "language"), CASES)
def test_one_job_with_all_tools(name: str, language: str) -> None:
    machine = shelf.machine(name)
    lines = [(tool.number, [(20, 10 * tool.number), (90, 10 * tool.number)]) for tool in machine.tools]
    planned = plan(lines, home=machine.home)
    read, findings = parse(write(planned, machine, language, title="Honey fair"), language, machine)
    assert not findings
    assert not compare(planned, read, within=0.025, machine=machine, sagitta=Tolerance().sagitta)
    assert read.changes == len(machine.tools) - 1
