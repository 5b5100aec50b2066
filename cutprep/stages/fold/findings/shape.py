"""Findings about the folded shape: dented, open, panels through one another, not flat when wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import Corner, FoldReport, Verdict
from cutprep.stages.fold.net.vertices import MAY
from cutprep.units import plural

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
                f"the seams close, but the body is dented by {report.concavity:.1f} mm or flat: this is not the only way it can fold",
                "Declare the mates or the fold angles that are meant.",
                where,
                report.concavity,
                1.0,
            )
        ]
    if report.verdict is Verdict.OPEN_EDGES:
        return [
            Finding.of(
                "open-edges",
                f"{plural(report.open_sides, 'side')} ({report.open_length:.0f} mm) "
                + (
                    "meets nothing and bounds no opening in one plane"
                    if report.open_sides == 1
                    else "meet nothing and don't lie in one plane"
                ),
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


def two_ways_finding(ways: Sequence[FoldReport], at: At) -> Finding:
    """Several ways to fold a part are as good: say what each gives."""
    volumes = " or ".join(f"{w.volume_mm3 / 1000:.1f} cm3" for w in ways)
    return Finding.of(
        "two-ways",
        f"the part folds up in {len(ways)} ways that are as good, enclosing {volumes}",
        places=(at(ways[0].panels[ways[0].base].inner_point),),
    )


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
