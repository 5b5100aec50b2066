"""Folding a drawing on the screen: from lines to panels, hinges, seams, sizes and a verdict."""

from __future__ import annotations

import numpy as np

from cutprep.fold.body import Body, Wish
from cutprep.fold.choose import RIM_FLAT, Settled, choose
from cutprep.fold.declared import Declared
from cutprep.fold.flaps import hung_flaps, pleat_folds
from cutprep.fold.hinges import hinges_of, parts_of
from cutprep.fold.ink import ink_of
from cutprep.fold.panels import Net, settle
from cutprep.fold.part import Part, part_of
from cutprep.model.drawing import Drawing
from cutprep.model.folded import Flap, FoldReport, Hinge, Mate, Panel, Verdict
from cutprep.tolerance import Tolerance


def fold(
    drawing: Drawing,
    *,
    declared: Declared | None = None,
    thickness: float = 0.0,
    tolerance: Tolerance,
    seed: int = 0,
) -> tuple[FoldReport, ...]:
    ink = ink_of(drawing)
    if not len(ink.bits):
        return ()
    net = settle(ink, tolerance)
    hinges = hinges_of(net)
    return tuple(
        _part(part_of(net, part, hinges), f"part {n}", seed, tolerance)
        for n, part in enumerate(parts_of(len(net.rings), hinges), 1)
    )


def _part(part: Part, name: str, seed: int, tolerance: Tolerance) -> FoldReport:
    near = max(tolerance.seam, 2 * part.tolerance)
    signs = np.array([float(h.fold) for h in part.hinges])
    fixed = {k: 0.0 for k, h in enumerate(part.hinges) if h.kind != "straight"}
    wish = Wish(fixed, 1.0, signs, (), near)
    best, _ = (
        choose(part, wish, Settled(), seed)
        if part.hinges and all(h.kind == "straight" for h in part.hinges)
        else (None, False)
    )
    verdict = Verdict.FLAT if not part.hinges else Verdict.CANNOT_INFER
    kinds = {h.kind for h in part.hinges}
    mates, angles, flaps = [], {}, []
    if best:
        verdict = (
            Verdict.CLOSED
            if not best.zipped.rims
            else Verdict.OPEN_BOX
            if best.rim_bend < RIM_FLAT
            else Verdict.OPEN_EDGES
        )
        if best.gap > near:
            verdict = Verdict.GAP
        elif best.flat or best.dent > max(1, 2 * best.gap, 2 * near):
            verdict = Verdict.NOT_CONVEX
        for p, g in zip(best.zipped.pairs, best.gaps):
            a, b = best.zipped.side(p.a), best.zipped.side(p.b)
            mates.append(Mate(a.panel, b.panel, a.ends, b.ends[::-1], p.source, g))
        hung = hung_flaps(part, best, Settled(), fixed)
        angles = {int(h): float(np.degrees(best.radians[p])) for p, h in enumerate(best.tree.hinge) if h >= 0}
        angles |= {h.hinge: h.angle for h in hung} | pleat_folds(part, best, wish)
        flaps = [Flap(h.panel, h.on, h.target, 0.0) for h in hung]
    if "curved" in kinds:
        verdict = Verdict.CURVED
    elif "bent" in kinds:
        verdict = Verdict.CANNOT_FOLD
    return FoldReport(
        name=name,
        verdict=verdict,
        tolerance_used=part.tolerance,
        panels=tuple(Panel(chr(65 + i % 26), part.net.outline(p)) for i, p in enumerate(part.panels)),
        hinges=tuple(
            Hinge(h.a, h.b, h.ends, h.joined, h.fold, h.declared, angles.get(k, np.nan), kind=h.kind)
            for k, h in enumerate(part.hinges)
        ),
        mates=tuple(mates),
        flaps=tuple(flaps),
        gap=best.gap if best else np.nan,
        dent=best.dent if best else 0,
        open_sides=len(best.zipped.open_sides) if best else 0,
        volume_mm3=abs(best.volume) if best else 0.0,
    )
