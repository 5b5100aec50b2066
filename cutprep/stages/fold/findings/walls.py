"""Opposite walls of a movable tube that are nearly, but not quite, equally wide.

A tube of four walls closes whatever their widths are, so nothing that asks whether seams meet
sees a wall drawn a few millimetres too narrow: the sleeve just comes out askew. Walls that
differ much are taken to be meant.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.model.lines import Points

#: Widths that differ by less than this are a matter of play or of an allowance for the card, mm.
_PLAY = 0.6
#: ... and by so many calipers: an inner wall is drawn narrower by one or two, common practice, no published source.
_CALIPERS = 2.0
#: Widths that differ by more than this share of the wider are meant so.
_MEANT = 0.25

At = Callable[[Sequence[float]], Place]


def uneven_walls(report: FoldReport, at: At) -> Iterator[Finding]:
    """Tell of two walls of a four-sided tube that face each other and differ a little in width."""
    if report.verdict is not Verdict.MOVABLE:
        return
    ring = _ring_of_four(report)
    if ring is None:
        return
    limit = max(_PLAY, _CALIPERS * report.thickness)
    widths = [_width(joints) for _, joints in ring]
    for k in (0, 1):
        one, two = widths[k], widths[k + 2]
        off = abs(one - two)
        if not limit < off < _MEANT * max(one, two):
            continue
        panels = [report.panels[ring[j][0]] for j in (k, k + 2)]
        yield Finding.of(
            "walls-uneven",
            f"panels {panels[0].name} and {panels[1].name} face each other in the tube and are {one:.1f} and {two:.1f} mm wide",
            places=tuple(at(p.inner_point) for p in panels),
            measure=off,
            limit=limit,
        )


def _ring_of_four(report: FoldReport) -> list[tuple[int, tuple[Points, Points]]] | None:
    """The four walls round the tube, each with the two sides by which it hangs on its neighbours."""
    body = {k for k, panel in enumerate(report.panels) if panel.role is Role.BODY}
    # The side by which each wall hangs on each of its neighbours.
    sides: dict[int, dict[int, Points]] = {wall: {} for wall in body}
    ties = [(hinge.a, hinge.ends, hinge.b, hinge.ends) for hinge in report.hinges]
    ties += [(mate.panel_a, mate.side_a, mate.panel_b, mate.side_b) for mate in report.mates]
    for a, side_a, b, side_b in ties:
        if a in body and b in body:
            sides[a][b], sides[b][a] = side_a, side_b
    if len(body) != 4 or any(len(hung) != 2 for hung in sides.values()):
        return None
    first = min(body)
    order = [first, min(sides[first])]
    while len(order) < 4:
        onward = [wall for wall in sides[order[-1]] if wall not in order]
        if not onward:
            return None
        order.append(onward[0])
    return [
        (wall, (sides[wall][order[k - 1]], sides[wall][order[(k + 1) % 4]])) for k, wall in enumerate(order)
    ]


def _width(sides: tuple[Points, Points]) -> float:
    """How wide a wall is between its two joints, mm; along the first one's normal."""
    along = sides[0][1] - sides[0][0]
    across = np.array([-along[1], along[0]]) / np.hypot(*along)
    return abs(float((sides[1].mean(axis=0) - sides[0].mean(axis=0)) @ across))
