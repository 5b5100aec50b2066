"""Card over card: each layer takes its caliper, and what hangs on a wall too long for it bulges.

The part is folded as it is meant, with every fold turned to the whole angle it is close to: then
what was drawn as an allowance shows as a distance between panels that lie on one another, and what
is missing of it is told of the panel that ends at the fold. One layer a fold takes up by itself. (A layer takes the caliper: common
practice, no published source; the rest is plain geometry.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import Place
from cutprep.model.duties import Duty
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.duties import AttachedPanel
from cutprep.stages.fold.closing.verdict.contact import is_upright, touched
from cutprep.stages.fold.closing.verdict.state import State, folded_by, frame_of
from cutprep.stages.fold.net.part import HingedPart

#: So many layers a fold takes up by itself (common practice, no published source).
_TAKEN_UP = 1
#: Less than this the folds and the card itself give way (common practice, no published source), mm.
_GIVES = 0.4
#: Amounts that differ by less than this are told together, mm; a drawing is good to that too.
_ALIKE = 0.05
#: Folds of boxes, tubes of three to eight walls, and their flaps; what is within 2 degrees of one is meant to be it.
_WHOLE, _NEAR = np.array([0.0, 45.0, 360 / 7, 60.0, 72.0, 90.0, 120.0, 180.0]), 2.0
#: Panels that lie on one another as meant are parallel (cosine of half a degree).
_FLUSH = 0.99996
#: How far a side may be from what it runs against, beside the card, mm.
_REACH = 1.0
#: Ends of a panel are at one end of it when they are no further apart across it, mm; directions within 3 degrees
#: are one (cosine).
_SAME_END, _PARALLEL = 3.0, 0.9986
#: A panel leans by so little from the fold it ends at that its length hardly tells (sine).
_STEEP = 0.5
#: Duties of panels that are pressed flat: others spring.
_PRESSED = frozenset({Duty.GLUE_FLAP, Duty.TUCK_FLAP, Duty.CLOSURE_FLAP, Duty.DUST_FLAP, Duty.FOOT})

At = Callable[[Sequence[float]], Place]


@dataclass(frozen=True, slots=True, eq=False)
class Excess:
    """What a panel is too long by at one of its ends.

    Attributes
    ----------
    towards
        The panel beyond that end: the flap that hangs there, or the wall that it runs against.
    size
        mm.
    across
        (2,) ndarray of float: direction in which the panel is too long, flat.
    xy
        (2,) ndarray of float: the middle of that end, mm.
    rim
        That end is a single score at which a wall is turned in over something.
    """

    panel: int
    towards: int
    size: float
    across: Points
    xy: Points
    rim: bool = False


def layer_findings(
    report: FoldReport, part: HingedPart, hung: Sequence[AttachedPanel], at: At
) -> list[Finding]:
    """Tell every panel that is too long for the layers of card at its ends.

    Parameters
    ----------
    hung
        The panels that lie on others, with their layers.
    """
    state = _as_meant(report, part) if report.thickness else None
    if state is None:
        return []
    outside = frozenset(flap.panel for flap in hung if _goes_outside(report, state, flap))
    ends = [e for flap in hung if flap.panel not in outside for e in _ends_at(report, state, flap, outside)]
    told = [group for group in _grouped(ends) if _sum(group) >= _GIVES - _ALIKE]
    found = []
    while told:
        like = [g for g in told if _told_together(g, told[0])]
        found.append(_finding(report, like, at))
        told = [g for g in told if g not in like]
    return found


def _told_together(one: Sequence[Excess], two: Sequence[Excess]) -> bool:
    return one[0].rim == two[0].rim and abs(_sum(one) - _sum(two)) < _ALIKE


def _as_meant(report: FoldReport, part: HingedPart) -> State | None:
    """The part folded by whole angles, or None when a fold is not near one."""
    degrees = np.array([h.angle for h in report.hinges])
    if len(degrees) == 0 or not np.isfinite(degrees).all():
        return None
    nearest = np.abs(np.abs(degrees)[:, None] - _WHOLE[None]).argmin(axis=1)
    whole = np.sign(degrees) * _WHOLE[nearest]
    if np.abs(degrees - whole).max() > _NEAR:
        return None
    return folded_by(frame_of(part, report.base), whole)


def _goes_outside(report: FoldReport, state: State, flap: AttachedPanel) -> bool:
    """Whether a glue flap is drawn so that it lies outside: its score is a caliper beyond the wall that it is glued to."""
    if flap.duty is not Duty.GLUE_FLAP or flap.target is None:
        return False
    wall = _lowest(report, flap, flap.target)
    ends = state.frame.part.hinges[flap.hinge].ends
    return abs(_inside(report, state, wall, flap.on, ends) + report.thickness) < _ALIKE


def _ends_at(report: FoldReport, state: State, flap: AttachedPanel, outside: frozenset[int]) -> list[Excess]:
    """Where what carries a flap, or the flap itself, is too long for the card that lies there."""
    if flap.target is None or abs(float(state.normal(flap.panel) @ state.normal(flap.target))) < _FLUSH:
        return []
    h = state.frame.part.hinges[flap.hinge]
    if flap.duty is Duty.TURNED_WALL:
        return [*_at_rim(report, state, flap), *_ends_of_turned(report, state, flap)]
    slope = abs(float(np.sin(np.radians(state.degrees[flap.hinge]))))
    if flap.duty not in _PRESSED or slope < _STEEP:
        return []
    under = _lowest(report, flap, flap.target)
    below = report.panels[under].layer
    layer = flap.layer - len(outside.intersection(flap.lies_on))
    room = (layer - max(below, _TAKEN_UP)) * report.thickness
    short = (room - _inside(report, state, under, flap.on, h.ends)) / slope
    return [Excess(flap.on, flap.panel, short, _across(h.ends), h.ends.mean(axis=0))]


def _lowest(report: FoldReport, flap: AttachedPanel, target: int) -> int:
    """The lowest of the panels that a flap lies on."""
    return min(flap.lies_on or (target,), key=lambda q: (report.panels[q].layer, q))


def _at_rim(report: FoldReport, state: State, flap: AttachedPanel) -> list[Excess]:
    """What a wall that is turned in over flaps lacks of room at its rim."""
    assert flap.target is not None
    ends = state.frame.part.hinges[flap.hinge].ends
    wall = _lowest(report, flap, flap.target)
    room = abs(_inside(report, state, wall, flap.panel, ends))
    short = (flap.layer - _TAKEN_UP) * report.thickness - room
    if short < _ALIKE:
        return []
    return [Excess(flap.panel, flap.on, short, _across(ends), ends.mean(axis=0), rim=True)]


def _ends_of_turned(report: FoldReport, state: State, flap: AttachedPanel) -> list[Excess]:
    """Where a wall turned in runs against another: the room ends at half a caliper from its middle."""
    found = []
    for side in state.frame.sides[flap.panel]:
        if side.hinge >= 0:
            continue
        for other in touched(state, side, _REACH + report.thickness):
            if report.panels[other].layer or not is_upright(state, flap.panel, other):
                continue
            short = 0.5 * report.thickness - _inside(report, state, other, flap.panel, side.ends)
            if abs(short) < _REACH + report.thickness:
                found.append(Excess(flap.panel, other, short, _across(side.ends), side.ends.mean(axis=0)))
    return found


def _inside(report: FoldReport, state: State, wall: int, panel: int, ends: Points) -> float:
    """How far the middle of a side of a panel lies inside the plane of a wall, mm."""
    middle = state.lift(panel, ends.mean(axis=0)[None])[0]
    inwards = state.normal(wall) * (1.0 if report.inside_up else -1.0)
    return float((middle - state.shift[wall]) @ inwards)


def _across(ends: Points) -> Points:
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    return np.array([-along[1], along[0]])


def _grouped(ends: Sequence[Excess]) -> list[list[Excess]]:
    """Put together what makes one panel too long in one direction; of several at one end, the most counts."""
    groups: list[list[Excess]] = []
    for end in sorted(ends, key=lambda e: (e.panel, -round(e.size, 6), e.towards)):
        for group in groups:
            first = group[0]
            if (first.panel, first.rim) == (end.panel, end.rim) and abs(
                float(first.across @ end.across)
            ) > _PARALLEL:
                if all(abs(float((g.xy - end.xy) @ g.across)) > _SAME_END for g in group):
                    group.append(end)
                break
        else:
            groups.append([end])
    return groups


def _sum(group: Sequence[Excess]) -> float:
    return sum(e.size for e in group)


def _finding(report: FoldReport, groups: Sequence[Sequence[Excess]], at: At) -> Finding:
    """Tell panels that are too long by the same amount."""
    size = _sum(groups[0])
    names = [report.panels[g[0].panel].name for g in groups]
    several = len(groups) > 1
    ways = []
    for name, group in zip(names, groups, strict=True):
        ends = [(f"{e.size:.1f} mm at ", report.panels[e.towards].name) for e in group if e.size >= _ALIKE]
        if group[0].rim:
            ways.append(f"a second score {size:.1f} mm beside the one between {name} and {ends[0][1]}")
        elif len(ends) > 1:
            ways.append(f"panel {name} {size:.1f} mm narrower ({', '.join(a + b for a, b in ends)})")
        else:
            ways.append(f"panel {name} {size:.1f} mm narrower, at {ends[0][1]}")
    return Finding.of(
        "layers-bulge",
        f"panel{'s' if several else ''} {', '.join(names)} bulge{'' if several else 's'} {size:.1f} mm"
        f"{' each' if several else ''}: card {report.thickness:g} mm thick lies there in layers",
        f"{'Put' if groups[0][0].rim else 'Make'} {'; '.join(ways)}.",
        tuple(at((float(g[0].xy[0]), float(g[0].xy[1]))) for g in groups),
        size,
        _GIVES,
    )
