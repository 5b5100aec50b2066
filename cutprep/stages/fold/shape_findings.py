"""Findings about the folded shape: dented, open, panels through one another, not flat when wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cutprep.errors import Place
from cutprep.model.finding import Finding
from cutprep.model.folded import Corner, FoldReport, Verdict
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.body import Body
from cutprep.stages.fold.crossing import crossings
from cutprep.stages.fold.flaps import Hung
from cutprep.stages.fold.part import Part
from cutprep.stages.fold.vertices import MAY

#: A fold beyond this lays a panel flat on its neighbour, degrees.
_FOLDED_BACK = 170.0
#: More crossings than this are counted, not listed: they mostly have one cause.
_MOST_CROSSINGS = 5

At = Callable[[Sequence[float]], Place]


def shape_findings(report: FoldReport, at: At) -> list[Finding]:
    """Results that are no box."""
    where = (at(report.panels[report.base].inner_point),)
    if report.verdict is Verdict.NOT_CONVEX:
        return [
            Finding.of(
                "dented",
                f"the seams close, but the body is dented by {report.dent:.1f} mm or flat: this is not the only way it can fold",
                "Declare the mates or the fold angles that are meant.",
                where,
                report.dent,
                1.0,
            )
        ]
    if report.verdict is Verdict.OPEN_EDGES:
        return [
            Finding.of(
                "open-edges",
                f"{report.open_sides} sides ({report.open_length:.0f} mm) meet nothing and don't lie in one plane",
                "A panel or a score is missing or too many; or declare what meets there.",
                where,
                report.open_length,
                0.0,
            )
        ]
    if report.verdict is Verdict.CANNOT_INFER:
        return [
            Finding.of(
                "cannot-infer",
                "no way was found to fold this into a box",
                "Declare which sides meet (mate), or the fold angles, in the angles file.",
                where,
            )
        ]
    return []


def crossing_findings(
    part: Part, body: Body, hung: tuple[Hung, ...], report: FoldReport, turn: Points, shift: Points, at: At
) -> list[Finding]:
    """Panels that pass through one another; flaps on their own panel and gussets are let pass."""
    if report.verdict is Verdict.CANNOT_INFER:
        return []
    flaps = {f.panel: f for f in hung if f.target is not None}
    shapes = {p: part.polygons[p] for p in (*body.members, *flaps)}
    friends = {(min(h.a, h.b), max(h.a, h.b)) for h in part.hinges}
    for flap in flaps.values():
        target = flap.target
        assert target is not None
        friends.add((min(flap.panel, target), max(flap.panel, target)))
        same = [g for g in flaps.values() if g.target == target and g.panel != flap.panel]
        friends |= {(min(flap.panel, g.panel), max(flap.panel, g.panel)) for g in same}
    back = frozenset(p for h in report.hinges if abs(h.angle) > _FOLDED_BACK for p in (h.a, h.b))
    return told_crossings(crossings(shapes, turn, shift, frozenset(friends), back), report, at)


def told_crossings(found: Sequence[tuple[int, int, float]], report: FoldReport, at: At) -> list[Finding]:
    """Name the pairs of panels that cross, the deepest first; of many the five deepest.

    Parameters
    ----------
    found
        Two panels and the length of their crossing, mm; a pair may stand in it several times.
    """
    panels = report.panels
    deepest: dict[tuple[int, int], float] = {}
    for a, b, size in found:
        pair = (min(a, b), max(a, b))
        deepest[pair] = max(size, deepest.get(pair, 0.0))
    ranked = sorted(deepest.items(), key=lambda item: (-item[1], item[0]))
    more = len(ranked) - _MOST_CROSSINGS
    told = []
    for k, ((a, b), size) in enumerate(ranked[:_MOST_CROSSINGS], 1):
        rest = f"; so do {more} pairs more" if k == _MOST_CROSSINGS and more > 1 else ""
        rest = "; so does one pair more" if k == _MOST_CROSSINGS and more == 1 else rest
        told.append(
            Finding.of(
                "panels-cross",
                f"panels {panels[a].name} and {panels[b].name} pass through one another over {size:.1f} mm when folded{rest}",
                "Make one of them smaller, or correct the fold angle.",
                (at(panels[a].inner_point), at(panels[b].inner_point)),
                size,
                1.0,
            )
        )
    return told


def flat_findings(report: FoldReport, at: At) -> list[Finding]:
    """Vertices that don't fold flat, for a part that the maker wants to lie flat."""
    return [
        Finding.of(
            "not-flat-foldable",
            f"the {c.degree} scores that meet here do not let the part fold flat{_reason(c)}",
            "Move or turn a score until opposite angles add up to 180 degrees; mountains and valleys "
            "differ by two.",
            (at(c.xy),),
            None if np.isnan(c.kawasaki) else c.kawasaki,
            1.0,
            "degrees",
        )
        for c in report.corners
        if c.word != MAY
    ]


def _reason(corner: Corner) -> str:
    if np.isnan(corner.kawasaki):
        return ": their number is odd"
    text = f" (alternating sum of angles {corner.kawasaki:.1f} degrees"
    return text + (")" if corner.maekawa is None else f", mountains less valleys {corner.maekawa:+d})")
