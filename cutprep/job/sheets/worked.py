"""A sheet's strokes to proved machine files: led by the pivot, without the places that nobody needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutprep.job.folder.machine_files import Draft, drafted, joined, page_of, proved
from cutprep.job.job import Job
from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.machine import Machine
from cutprep.report.outcome import MachineFile
from cutprep.stages.blade.cutting import Cutting
from cutprep.stages.blade.followed import TipsFollowed
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.thin import thinned
from cutprep.stages.blade.tip import follow_tips

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
        As `compensate`, `drafted` and `proved`.
    """
    planned = compensate(strokes, machine, job.tolerance, cutting, beside=beside)
    arcs = machine.gcode.arcs if job.language == "gcode" else machine.hpgl.arcs
    page = page_of(sheet.width, sheet.height)

    def tried(moves: Moves, before: _Try | None) -> _Try:
        drafts = drafted(moves, job, sheet.number, page)
        read = joined([draft.moves for draft in drafts])
        known = before.tips if before is not None else None
        return _Try(
            moves, drafts, read, follow_tips(read, strokes, machine, cutting, planned=moves, before=known)
        )

    done = _as_short(planned, left_out(job), job.tolerance.blade, arcs, tried)
    files = proved(done.drafts, job, sheet.number, page, side)
    return Worked(done.planned, done.read, files, done.tips.error)


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    """Files of some moves, not yet proved, and what the tip does in them."""

    planned: Moves
    drafts: tuple[Draft, ...]
    read: Moves
    tips: TipsFollowed


def _as_short(
    planned: Moves, near: float, bar: float, arcs: bool, tried: Callable[[Moves, _Try | None], _Try]
) -> _Try:
    """Leave out places as far as the tip stays within its bound.

    Parameters
    ----------
    near, bar
        As `left_out` gives it; the bound, mm.
    arcs
        The file says arcs.
    tried
        Drafts the files of some moves, and follows the tip in them, beside what was tried before.
    """
    if not near:
        return tried(planned, None)
    done = tried(thinned(planned, near, arcs=arcs), None)
    worse = np.flatnonzero(done.tips.error > bar)
    if len(worse) and len(done.planned) < len(planned):
        # The heading in which a blade comes up is that in which the next stroke begins.
        whole = {*worse.tolist(), *(worse - 1).tolist()}
        done = tried(thinned(planned, near, arcs=arcs, whole=whole), done)
        if np.setdiff1d(np.flatnonzero(done.tips.error > bar), worse).size:
            done = tried(planned, done)
    return done


def left_out(job: Job) -> float:
    """How far a place that is left out may lie from the way without it, mm; 0 where all are written.

    All are in a drawing for a machine, from which its maker's own program plans.
    """
    return 0.0 if job.language in DRAWINGS else _NEAR * job.tolerance.blade
