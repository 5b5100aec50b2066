"""Folding a drawing on the screen: from lines to panels, hinges, seams, sizes and a verdict."""

from __future__ import annotations

from cutprep.fold.declared import Declared
from cutprep.fold.hinges import Score, hinges_of, parts_of
from cutprep.fold.ink import ink_of
from cutprep.fold.panels import Net, settle
from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport, Hinge, Panel, Verdict
from cutprep.tolerance import Tolerance


def fold(
    drawing: Drawing,
    *,
    declared: Declared | None = None,
    thickness: float = 0.0,
    tolerance: Tolerance,
    seed: int = 0,
) -> tuple[FoldReport, ...]:
    """Fold every part of a classified drawing.

    Parameters
    ----------
    declared
        What the maker says about angles, mates, flaps and sizes.
    thickness
        The card's caliper, mm.
    seed
        For starts of the search, should it need random ones.
    """
    ink = ink_of(drawing)
    if not len(ink.bits):
        return ()
    net = settle(ink, tolerance)
    hinges = hinges_of(net)
    return tuple(
        _part(net, hinges, part, f"part {n}") for n, part in enumerate(parts_of(len(net.rings), hinges), 1)
    )


def _part(net: Net, hinges: tuple[Score, ...], part: list[int], name: str) -> FoldReport:
    number = {p: i for i, p in enumerate(part)}
    return FoldReport(
        name=name,
        verdict=Verdict.NOT_SOLVED if len(part) > 1 else Verdict.FLAT,
        tolerance_used=net.pieces.tolerance,
        panels=tuple(Panel(chr(65 + i % 26), net.outline(p)) for i, p in enumerate(part)),
        hinges=tuple(
            Hinge(number[h.a], number[h.b], h.ends, h.joined, h.fold, h.declared)
            for h in hinges
            if h.a in number
        ),
    )
