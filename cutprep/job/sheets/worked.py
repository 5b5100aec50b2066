"""A sheet's strokes to proved machine files: led by the pivot, without the places that nobody needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.job.folder.machine_files import page_of, written
from cutprep.job.job import Job
from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.machine import Machine
from cutprep.report.outcome import MachineFile
from cutprep.stages.blade.cutting import Cutting
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.thin import thinned
from cutprep.stages.blade.tip import blade_error

#: Share of the blade tolerance that a place which is left out may lie from the way without it.
_NEAR = 0.4


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """What becomes of a sheet's strokes.

    Attributes
    ----------
    planned, read
        The moves that were written, and as they were read back.
    files
        In the order of running, still without names.
    miss
        (m,) ndarray of float: blade error of each stroke as the files have it, mm.
    """

    planned: Moves
    read: Moves
    files: tuple[MachineFile, ...]
    miss: Points


def worked(
    strokes: Strokes,
    job: Job,
    machine: Machine,
    cutting: Cutting,
    beside: Lines | None,
    *,
    sheet: Sheet,
    side: str = "",
) -> Worked:
    """Plan, write and prove, and leave out places as far as the blade error stays within its bound.

    Parameters
    ----------
    strokes
        In working order.
    job, machine, cutting
        How they are worked; the machine as it is set up for the card.
    beside
        Lines that lie on the sheet and are worked in another run.
    sheet, side
        For its number and size; of the card that is up, where both are worked.

    Raises
    ------
    CutprepError
        As `compensate` and `written`.
    """
    planned = compensate(strokes, machine, job.tolerance, cutting, beside=beside)

    def tried(moves: Moves) -> Worked:
        files, read = written(moves, job, sheet.number, page_of(sheet.width, sheet.height), side)
        return Worked(moves, read, files, blade_error(read, strokes, machine, cutting, planned=moves))

    if not left_out(job):
        return tried(planned)
    arcs = machine.gcode.arcs if job.language == "gcode" else machine.hpgl.arcs
    near, bar = left_out(job), job.tolerance.blade
    done = tried(thinned(planned, near, arcs=arcs))
    worse = np.flatnonzero(done.miss > bar)
    if len(worse) and len(done.planned) < len(planned):
        # The heading in which a blade comes up is that in which the next stroke begins.
        whole = {*worse.tolist(), *(worse - 1).tolist()}
        done = tried(thinned(planned, near, arcs=arcs, whole=whole))
        if np.setdiff1d(np.flatnonzero(done.miss > bar), worse).size:
            done = tried(planned)
    return done


def left_out(job: Job) -> float:
    """How far a place that is left out may lie from the way without it, mm; 0 where all are written.

    All are in a drawing for a machine, from which its maker's own program plans.
    """
    return 0.0 if job.language in DRAWINGS else _NEAR * job.tolerance.blade
