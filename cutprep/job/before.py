"""What can't be made is said before the work: known from the job and its drawings, before anything is laid out.

A small trial of every tool that the job needs is written for the machine and proved, from corner to
corner of the sheet: what the language can't say, or the profile does not give, shows there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from cutprep.errors import OutOfReach, PlanError, ReadbackError, TooFewSheets
from cutprep.job.job import Batch, Job, readback_limit, usable
from cutprep.model.findings.finding import Finding, Findings, errors
from cutprep.model.moves import Moves
from cutprep.model.operation import WORKED
from cutprep.model.part import Template
from cutprep.profile.machine import Machine
from cutprep.profile.setup import set_up
from cutprep.profile.stock import SheetSize
from cutprep.profile.ways import find_way
from cutprep.report.costs import area_of
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.write.machine_file import write
from cutprep.units import say_area, say_size

#: Length of a trial stroke, mm.
_TRIAL = 1.0


def require_reach(job: Job) -> None:
    """Refuse a job whose sheets the machine's language can't count up to; needs no drawing.

    Raises
    ------
    OutOfReach
        Naming sheet, language and limit.
    """
    for batch in job.batches:
        for size in (usable(one, job.machine) for one in batch.sheets):
            tool = job.machine.tools[0]
            try:
                write(
                    _trial(job.machine, size, [(tool.number, tool.speed, tool.force)]),
                    job.machine,
                    job.language,
                )
            except OutOfReach as fault:
                raise OutOfReach(
                    f"a sheet of {size.width:g} x {size.height:g} mm can't be written: {fault.problem}",
                    fix=fault.fix,
                ) from None


def beyond_reach(job: Job) -> Findings:
    """Tell of sheets that are larger than the machine's area: the rest of them is left free."""
    machine, unit = job.machine, job.unit
    room = say_size(machine.width, machine.height, unit)
    found = {
        (size.width, size.height): Finding.of(
            "sheet-beyond-machine",
            f"a sheet of {say_size(size.width, size.height, unit)} is larger than the area of '{machine.name}',"
            f" {room}: only its lower left {say_size(reached.width, reached.height, unit)} are laid out",
        )
        for batch in job.batches
        for size in batch.sheets
        for reached in (usable(size, machine),)
        if min(reached.width, reached.height) < min(size.width, size.height)
        or max(reached.width, reached.height) < max(size.width, size.height)
    }
    return tuple(found.values())


def require_possible(job: Job, divided: Sequence[Sequence[Template]]) -> None:
    """Refuse a job that its machine or its card can't do, batch by batch.

    Raises
    ------
    PlanError
        When no tool does an operation, or the sheets at hand are too few by their area alone.
    ProfileError
        When the profile can't be said in the language.
    """
    for batch, templates in zip(job.batches, divided, strict=True):
        _require_tools(job, batch, templates)
        _require_card(job, batch, templates)


def _require_tools(job: Job, batch: Batch, templates: Sequence[Template]) -> None:
    """Refuse a job for which the machine lacks a tool, or its profile what the language needs."""
    machine = set_up(job.machine, batch.stock)
    used = {int(op) for template in templates for op in np.unique(template.lines.operation).tolist()}
    ways = [find_way(machine, op, job.cutting.offset) for op in WORKED if int(op) in used]
    if not ways:
        return
    rows = dict.fromkeys((way.tool.number, way.tool.speed, repr(way.force)) for way in ways)
    plan = _trial(
        machine,
        usable(batch.sheets[0], machine),
        [(number, speed * batch.stock.speed_factor, float(force)) for number, speed, force in rows],
    )
    text = write(plan, machine, job.language)
    try:
        found = errors(
            prove(
                plan, text, job.language, machine, within=readback_limit(job.language, machine, job.tolerance)
            ).findings
        )
    except ReadbackError as fault:
        raise PlanError(fault.problem, fix=fault.fix) from None
    if found:
        raise PlanError(
            f"'{machine.name}' can't be told what this job needs: {found[0].problem}",
            fix="Compare its profile with docs/PROFILES.md.",
        )


def area_needed(batch: Batch, templates: Sequence[Template]) -> float:
    """Card that all copies of a batch take by themselves, mm2."""
    return sum(area_of(template) * item.copies for template, item in zip(templates, batch.items, strict=True))


def area_within(size: SheetSize, job: Job) -> float:
    """What a sheet has within its margins, as far as the machine reaches, mm2."""
    sheet, margin = usable(size, job.machine), 2 * job.nesting.margin
    return max(sheet.width - margin, 0.0) * max(sheet.height - margin, 0.0)


def _require_card(job: Job, batch: Batch, templates: Sequence[Template]) -> None:
    """Refuse a job for which the sheets at hand are too few by their area alone."""
    if job.amount != "copies" or any(size.at_hand is None for size in batch.sheets):
        return
    needed = area_needed(batch, templates)
    there = sum(area_within(size, job) * (size.at_hand or 0) for size in batch.sheets)
    if needed > there:
        raise TooFewSheets(
            f"the parts take {say_area(needed, job.unit)} of '{batch.stock.name}', and the sheets at hand have"
            f" {say_area(there, job.unit)} within their margins",
            fix="Make fewer copies, or have more sheets at hand.",
        )


def _trial(machine: Machine, sheet: SheetSize, tools: Iterable[tuple[int, float, float]]) -> Moves:
    """A plan with one short stroke of each tool, and the tool at every corner of the sheet."""
    xy: list[tuple[float, float]] = []
    rows: list[tuple[bool, int, float, float, int]] = []
    width, height = sheet.width, sheet.height
    tools = list(tools)
    for stroke, (number, speed, force) in enumerate(tools):
        middle = (width / 2, height / 2)
        xy += [middle, (width / 2 + _TRIAL, height / 2)]
        rows += [(False, number, 0.0, math.nan, -1), (True, number, speed, force, stroke)]
    for corner in ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height), machine.home):
        xy.append(corner)
        rows.append((False, tools[-1][0], 0.0, math.nan, -1))
    down, tool, speeds, forces, strokes = zip(*rows, strict=True)
    return Moves(
        xy=np.array(xy, dtype=np.float64),
        down=np.array(down, dtype=np.bool_),
        tool=np.array(tool, dtype=np.int8),
        speed=np.array(speeds, dtype=np.float64),
        force=np.array(forces, dtype=np.float64),
        stroke=np.array(strokes, dtype=np.int32),
        home=machine.home,
        changes=len(dict.fromkeys(number for number, _, _ in tools)) - 1,
    )
