"""Close gaps between ends, and make one line of lines that meet end to end."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.planar.chains import (
    Chains,
    ends,
    follow,
    headings,
    join_chains,
    nodes,
    partners,
    same_kind,
)
from cutprep.geometry.planar.joints import Joints
from cutprep.geometry.segments import point_at, points_at
from cutprep.model.finding import Finding
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.places import place_of
from cutprep.model.telling import tell
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.pieces import moved
from cutprep.tolerance import Tolerance

#: Ends whose lines meet at a sine of less than this have no corner to meet in (12 degrees).
_FLAT = 0.2
#: Cosine of the largest turn at which a fold line goes straight on (12 degrees).
_STRAIGHT = 0.978


def close_gaps(lines: Lines, joints: Joints, gap: float) -> Change:
    """Move ends that miss each other, or the line they should meet, by no more than a gap.

    Straight lines at an angle are carried on, or cut back, to their corner; others meet halfway.
    No end moves by more than the gap.
    """
    if not (len(joints.link) or len(joints.tee)):
        return lines, ()
    xy = lines.xy.copy()
    findings = []
    spots = ends(lines)
    for (one, two), width in zip(joints.link.tolist(), joints.link_gap.tolist(), strict=True):
        xy[_row(lines, one)] = xy[_row(lines, two)] = _meeting(lines, one, two, gap)
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
        xy[_row(lines, end)] = _onto(lines, end, other, float(joints.tee_position[k]), targets[k], gap)
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
    return moved(lines, xy), tuple(findings)


def _row(lines: Lines, end: int) -> int:
    """Row of an end among the vertices."""
    return int(lines.start[end // 2 + 1] - 1 if end % 2 else lines.start[end // 2])


def _last_step(lines: Lines, end: int) -> tuple[Points, Points]:
    """The end itself, and the step of the line that leads to it."""
    row = _row(lines, end)
    return lines.xy[row], lines.xy[row] - lines.xy[row - 1 if end % 2 else row + 1]


def _cross(a: Points, b: Points) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _meeting(lines: Lines, one: int, two: int, gap: float) -> Points:
    """Where two ends meet: the corner of their lines when it is near, else halfway."""
    (p, u), (q, v) = _last_step(lines, one), _last_step(lines, two)
    long_u, long_v = float(np.hypot(*u)), float(np.hypot(*v))
    cross = _cross(u, v)
    if abs(cross) > _FLAT * long_u * long_v > 0:
        t, s = _cross(q - p, v) / cross, _cross(q - p, u) / cross
        # Carried on by no more than the gap, or cut back by less than the last step.
        if -1 < t <= gap / long_u and -1 < s <= gap / long_v and max(-t * long_u, -s * long_v) <= gap:
            return np.asarray(p + u * t)
    return np.asarray((p + q) / 2)


def _onto(lines: Lines, end: int, other: int, position: float, nearest: Points, gap: float) -> Points:
    """Where an end meets another line: straight on when that is near, else the nearest point."""
    p, u = _last_step(lines, end)
    points = lines.points(other)
    around = [point_at(points, position + step) for step in (-gap, gap)]
    v = around[1] - around[0]
    cross, size = _cross(u, v), float(np.hypot(*u)) * float(np.hypot(*v))
    if abs(cross) > _FLAT * size > 0:
        t = _cross(around[0] - p, v) / cross
        hit = p + u * t
        straight = abs(_cross(nearest - around[0], v)) <= np.hypot(*v) ** 2 * np.finfo(float).eps * 64
        if 0 < t * np.hypot(*u) <= gap and straight:
            return np.asarray(hit)
    return nearest


def join_lines(lines: Lines, worked: Flags, tolerance: Tolerance) -> Change:
    """Make one line of every chain of lines with the same operation, fold and layer.

    Fold lines are joined where they go straight on; around a corner they are two hinges.
    """
    layer = _layers(lines)
    kind = same_kind(lines) * (int(layer.max(initial=0)) + 1) + layer
    chains = follow(lines, _straight_on(lines, partners(nodes(lines, tolerance.coincide, worked, kind))))
    made = join_chains(lines, chains)
    pieces = np.diff(chains.start)
    closing = (pieces == 1) & made.closed & ~lines.closed[chains.piece[chains.start[:-1]]]
    changed = np.flatnonzero((pieces > 1) | closing)
    if not len(changed):
        return lines, ()

    def say(k: int) -> Finding:
        return told(
            "joined-lines",
            _before(lines, chains, k),
            "They are one closed line now." if made.closed[k] else "They are one line now.",
            (place_of(lines, int(i)) for i in chains.pieces(k)[:8]),
            float(pieces[k]),
            tolerance.coincide,
            unit="lines",
        )

    return made, tuple(tell(changed.tolist(), say))


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
