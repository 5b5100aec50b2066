"""Close gaps between ends, and make one line of lines that meet end to end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.geometry.lines.segments import points_at
from cutprep.geometry.planar.ends.chains import (
    Chains,
    ends,
    follow,
    headings,
    join_chains,
    nodes,
    partners,
    same_kind,
)
from cutprep.geometry.planar.ends.closing import closed_up
from cutprep.geometry.planar.ends.joints import Joints
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import place_of
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags, Index, Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.leave import NO_CHANGE, Leaving, as_left, left_alone
from cutprep.tolerance import Tolerance

#: Cosine of the largest turn at which a fold line goes straight on (12 degrees).
_STRAIGHT = 0.978


def close_gaps(lines: Lines, joints: Joints, gap: float, leave: Leaving = NO_CHANGE) -> Change:
    """Move ends that miss each other, or the line they should meet, by no more than a gap; see `closing`.

    Parameters
    ----------
    lines, joints
        Lines, mm, and what their ends do.
    gap
        The widest that is closed, mm.
    leave
        Gaps that stay open.
    """
    if not (len(joints.link) or len(joints.tee)):
        return lines, ()
    spots = ends(lines)
    links = leave.named(("closed-gap",), spots[joints.link[:, 0]])
    tees = leave.named(("closed-gap",), spots[joints.tee])
    left = _gaps(lines, _taken(joints, links, tees), gap)
    joints = _taken(joints, ~links, ~tees)
    if not (len(joints.link) or len(joints.tee)):
        return lines, tuple(map(as_left, left))
    return closed_up(lines, joints, gap), (*_gaps(lines, joints, gap), *map(as_left, left))


def _taken(joints: Joints, links: Flags, tees: Flags) -> Joints:
    """The same joints with some of their gaps."""
    return replace(
        joints,
        link=joints.link[links],
        link_gap=joints.link_gap[links],
        tee=joints.tee[tees],
        tee_line=joints.tee_line[tees],
        tee_position=joints.tee_position[tees],
        tee_gap=joints.tee_gap[tees],
    )


def _gaps(lines: Lines, joints: Joints, gap: float) -> list[Finding]:
    """A finding for each gap."""
    findings = []
    spots = ends(lines)
    for k, (one, two) in enumerate(joints.link.tolist()):
        width = float(joints.link_gap[k])
        findings.append(
            told(
                "closed-gap",
                f"Two ends missed each other by {width:.2f} mm.",
                "They were brought together.",
                (place_of(lines, one // 2, spots[one]), place_of(lines, two // 2, spots[two])),
                width,
                gap,
            )
        )
    targets = points_at(lines, joints.tee_line, joints.tee_position)
    for k, end in enumerate(joints.tee.tolist()):
        other, width = int(joints.tee_line[k]), float(joints.tee_gap[k])
        findings.append(
            told(
                "closed-gap",
                f"A line stopped {width:.2f} mm short of another.",
                "It was carried on to it.",
                (place_of(lines, end // 2, spots[end]), place_of(lines, other, targets[k])),
                width,
                gap,
            )
        )
    return findings


def join_lines(lines: Lines, worked: Flags, tolerance: Tolerance, leave: Leaving = NO_CHANGE) -> Change:
    """Make one line of every chain of lines with the same operation, fold and layer.

    Fold lines are joined where they go straight on; around a corner they are two hinges.

    Parameters
    ----------
    lines
        m polylines, mm.
    worked
        (m,) flags: only these are joined.
    tolerance
        `coincide`: how near ends are that are one point.
    leave
        Chains that stay apart.
    """
    layer = _layers(lines)
    kind = same_kind(lines) * (int(layer.max(initial=0)) + 1) + layer
    partner = _straight_on(lines, partners(nodes(lines, tolerance.coincide, worked, kind)))
    chains = follow(lines, partner)
    made, changed = _joined(lines, chains)
    first = chains.piece[chains.start[:-1]][changed]
    left = changed[leave.named(("joined-lines",), lines.xy[lines.start[first]])]
    alone = left_alone(left.tolist(), lambda k: _told(lines, chains, made, tolerance, k))
    if len(left):
        pieces = np.concatenate([chains.pieces(k) for k in left.tolist()])
        partner = partner.copy()
        partner[np.concatenate((2 * pieces, 2 * pieces + 1))] = -1
        chains = follow(lines, partner)
        made, changed = _joined(lines, chains)
    if not len(changed):
        return lines, alone
    return made, (*tell(changed.tolist(), lambda k: _told(lines, chains, made, tolerance, k)), *alone)


def _joined(lines: Lines, chains: Chains) -> tuple[Lines, Index]:
    """Lines made of chains, and which of them are others than before."""
    made = join_chains(lines, chains)
    pieces = np.diff(chains.start)
    closing = (pieces == 1) & made.closed & ~lines.closed[chains.piece[chains.start[:-1]]]
    return made, np.flatnonzero((pieces > 1) | closing)


def _told(lines: Lines, chains: Chains, made: Lines, tolerance: Tolerance, k: int) -> Finding:
    return told(
        "joined-lines",
        _before(lines, chains, k),
        "They are one closed line now." if made.closed[k] else "They are one line now.",
        (place_of(lines, int(i)) for i in chains.pieces(k)[:8]),
        float(len(chains.pieces(k))),
        tolerance.coincide,
        unit="lines",
    )


def _straight_on(lines: Lines, partner: Index) -> Index:
    """Part fold lines that meet at a corner."""
    folds = np.isin(lines.operation, (Operation.SCORE, Operation.PERFORATE))
    end = np.flatnonzero((partner >= 0) & np.repeat(folds, 2))
    one, two = headings(lines, end), headings(lines, partner[end])
    corner = end[np.einsum("ij,ij->i", one, two) > -_STRAIGHT]
    parted = partner.copy()
    parted[corner] = -1
    return parted


def _before(lines: Lines, chains: Chains, k: int) -> str:
    pieces = chains.pieces(k)
    word = Operation(int(lines.operation[pieces[0]])).word
    if len(pieces) == 1:
        return f"The two ends of a {word} line lay on one spot without being one point."
    return f"{len(pieces)} {word} lines met end to end."


def _layers(lines: Lines) -> Index:
    """Number of each line's layer, (m,)."""
    number: dict[str, int] = {}
    of_element = np.array([number.setdefault(e.layer, len(number)) for e in lines.elements], np.int64)
    return np.asarray(of_element[lines.source])
