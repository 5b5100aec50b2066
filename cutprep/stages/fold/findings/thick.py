"""Card has a thickness and a grain: allowances, expected sizes, folds across the grain."""

from __future__ import annotations

import numpy as np

from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.stages.fold.declared.file import Expect

#: Card from this thickness on needs allowances (common practice, no published source), mm.
_THICK = 0.4
#: Sides that differ by less than this are drawn equal, mm.
_EQUAL = 0.05
#: An allowance is no more than this many thicknesses: one at each end of a wall, and some play.
_ALLOWED = 2.5


def allowance_findings(report: FoldReport) -> list[Finding]:
    """Thick card with all sides drawn exactly equal: panels inside others will bulge."""
    if report.thickness < _THICK or not report.flaps or not report.mates:
        return []
    if any(abs(m.length_difference) > _EQUAL for m in report.mates) or _narrower_wall(report):
        return []
    t = report.thickness
    return [
        Finding.of(
            "no-allowance",
            f"the card is {t:g} mm thick and all sides that meet are drawn exactly equal: no allowance is drawn",
            f"Common practice: the panel with the glue flap {t:g} mm smaller than the one opposite, a lid {t:g} mm "
            "larger for every wall it covers.",
            measure=t,
            limit=_THICK,
        )
    ]


def _narrower_wall(report: FoldReport) -> bool:
    """Whether a panel that carries a flap is narrower than another by about the card: an allowance is drawn."""
    hinges = {frozenset((h.a, h.b)): h for h in report.hinges}
    body = [p.outline for p in report.panels if p.role is Role.BODY]
    for flap in report.flaps:
        hinge = hinges.get(frozenset((flap.panel, flap.on)))
        if hinge is None or hinge.length == 0:
            continue
        along = (hinge.ends[1] - hinge.ends[0]) / hinge.length
        across = np.array([-along[1], along[0]])
        own = float(np.ptp(report.panels[flap.on].outline @ across))
        differ = np.array([float(np.ptp(outline @ across)) for outline in body]) - own
        if ((differ > _EQUAL) & (differ < _ALLOWED * report.thickness)).any():
            return True
    return False


def expect_findings(report: FoldReport, expect: Expect) -> list[Finding]:
    """Compare the finished inside with what the maker expects."""
    if expect.inside is None:
        return []
    if report.inside_mm is None:
        return [
            Finding.of(
                "size-unknown",
                "an inside size is expected, but none could be measured",
                "See the other findings of this part.",
            )
        ]
    wanted = (*sorted(expect.inside[:2], reverse=True), expect.inside[2])
    off = max(abs(a - b) for a, b in zip(report.inside_mm, wanted, strict=True))
    # A closed carton has no "up": the same three lengths in another order are the same box.
    if report.verdict is Verdict.CLOSED:
        alike = zip(sorted(report.inside_mm), sorted(wanted), strict=True)
        off = min(off, max(abs(a - b) for a, b in alike))
    if off <= expect.tolerance:
        return []
    found, meant = (" x ".join(f"{v:.1f}" for v in size) for size in (report.inside_mm, wanted))
    return [
        Finding.of(
            "size-wrong",
            f"the inside is {found} mm, not {meant} mm as expected: off by {off:.1f} mm",
            "Correct the drawing or what is expected.",
            measure=off,
            limit=expect.tolerance,
        )
    ]


def grain_findings(report: FoldReport, grain: float | None) -> list[Finding]:
    """Main folds across the grain crack; they fold cleaner along it."""
    body = [
        h
        for h in report.hinges
        if report.panels[h.a].role is Role.BODY and report.panels[h.b].role is Role.BODY
    ]
    if grain is None or not body:
        return []
    across = along = 0.0
    for hinge in body:
        d = hinge.ends[1] - hinge.ends[0]
        turn = np.radians(np.degrees(np.arctan2(d[1], d[0])) - grain)
        along += hinge.joined * abs(float(np.cos(turn)))
        across += hinge.joined * abs(float(np.sin(turn)))
    if across <= 1.2 * along:
        return []
    return [
        Finding.of(
            "grain-across",
            f"the main folds run across the grain: {across:.0f} mm of score across, {along:.0f} mm along it",
            "Turn the part by 90 degrees on the sheet, so that the long scores run with the grain.",
            measure=across,
            limit=1.2 * along,
        )
    ]
