"""Take out what says nothing: points on the point before them, slivers, and dangles when asked."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.planar.outlines import alone, open_chains
from cutprep.geometry.planar.plane import Plane
from cutprep.geometry.planar.slivers import find_slivers, repeated_points
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags, Lines
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.leave import NO_CHANGE, Leaving, as_left, left_alone
from cutprep.tolerance import Tolerance
from cutprep.units import plural


def drop_points(lines: Lines, worked: Flags, tolerance: Tolerance, leave: Leaving = NO_CHANGE) -> Change:
    """Take out points that lie on the point before them; lines without any length stay whole.

    Parameters
    ----------
    lines
        m polylines, mm.
    worked
        (m,) flags: only of these.
    tolerance
        `zero`: what is no distance.
    leave
        All points stay where one of their lines is named.
    """
    repeated = repeated_points(lines, tolerance)
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    repeated &= worked[owner] & (lines.lengths[owner] > tolerance.coincide)
    if not repeated.any():
        return lines, ()
    # The last point of a line stays, so that a closed line stays closed: its twin goes.
    last = lines.start[1:] - 1
    gone = repeated.copy()
    while (at_end := last[gone[last]]).size:
        gone[at_end] = False
        back = at_end - 1
        while gone[back].any():
            back = np.where(gone[back], back - 1, back)
        gone[back] = True
    keep = ~gone
    counts = np.add.reduceat(keep.astype(np.int64), lines.start[:-1])
    made = Lines(
        xy=lines.xy[keep],
        start=np.concatenate(([0], np.cumsum(counts))),
        operation=lines.operation,
        fold=lines.fold,
        source=lines.source,
        curved=lines.curved[keep],
        elements=lines.elements,
    )
    touched = np.unique(owner[gone])
    finding = told(
        "removed-points",
        f"{plural(int(gone.sum()), 'point')} on {plural(len(touched), 'line')} lay on the point before "
        f"{'it' if gone.sum() == 1 else 'them'}.",
        f"{'It was' if gone.sum() == 1 else 'They were'} taken out; no line looks different.",
        (place_of(lines, i) for i in touched[:MOST_PLACES].tolist()),
        float(gone.sum()),
        tolerance.zero,
        unit="points",
    )
    if leave.named(("removed-points",), lines.xy[lines.start[touched]]).any():
        return lines, (as_left(finding),)
    return made, (finding,)


def drop_dangles(plane: Plane, leave: Leaving = NO_CHANGE) -> Change:
    """Take out short cuts that stand alone."""
    lines, tolerance, joints, cuts = plane.lines, plane.tolerance, plane.joints, plane.cuts
    chains = open_chains(lines, joints)
    dangles = (
        alone(chains, joints, plane.cut_crossings) & ~chains.bounding & (chains.length < tolerance.near_run)
    )
    if not dangles.any():
        return lines, ()

    def say(k: int) -> Finding:
        return told(
            "removed-stub",
            f"A cut of {chains.length[k]:.2f} mm stood alone.",
            "It was taken out.",
            (place_of(lines, int(chains.begin[k]) // 2),),
            float(chains.length[k]),
            tolerance.near_run,
        )

    left = dangles & leave.named(("removed-stub",), lines.xy[lines.start[chains.begin // 2]])
    kept, dangles = left_alone(np.flatnonzero(left).tolist(), say), dangles & ~left
    if not dangles.any():
        return lines, kept
    gone = np.isin(joints.chains.of_line, chains.chain[dangles])
    return lines.take(~(gone & cuts)), (*tell(np.flatnonzero(dangles).tolist(), say), *kept)


def drop_slivers(lines: Lines, worked: Flags, tolerance: Tolerance, leave: Leaving = NO_CHANGE) -> Change:
    """Take out lines too short to be meant.

    Parameters
    ----------
    lines
        m polylines, mm.
    worked
        (m,) flags: only of these.
    tolerance
        `sliver`: what is too short.
    leave
        Lines that stay.
    """
    slivers = find_slivers(lines, worked, tolerance)
    if not slivers.any():
        return lines, ()
    lengths = lines.lengths

    def say(i: int) -> Finding:
        return told(
            "removed-crumb",
            f"A line was only {lengths[i]:.2f} mm long.",
            "It was taken out.",
            (place_of(lines, i),),
            float(lengths[i]),
            tolerance.sliver,
        )

    left = slivers & leave.named(("removed-crumb",), lines.xy[lines.start[:-1]])
    kept, slivers = left_alone(np.flatnonzero(left).tolist(), say), slivers & ~left
    if not slivers.any():
        return lines, kept
    return lines.take(~slivers), (*tell(np.flatnonzero(slivers).tolist(), say), *kept)
