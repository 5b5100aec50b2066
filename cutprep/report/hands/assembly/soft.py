"""Steps of pieces that are only folded over, and of those with curved scores."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from cutprep.model.folded import FoldReport
from cutprep.report.hands.assembly.structure import OVER, PanelTree
from cutprep.report.hands.assembly.way import AssemblyWay, Do, listed, many, not_glued

#: A panel whose area of overlap with another is less than this share of its own does not lie on it.
_LIES_ON = 0.02
#: More side flaps than this that meet in the middle close it: the last of them is the one that opens.
_PAIR = 2
#: An outline of so many corners is round; edges that differ by less than this are as long, mm.
_ROUND, _LIKE = 12, 1.0
#: A half of a card is at least so many times as large as any panel of the strip that stands up.
_HALF = 1.5
#: A pattern has more panels than this.
_MANY = 6
#: A panel that covers more than this share of the base is the back, and no flap that opens.
_BACK = 0.8


def folded_over_steps(way: AssemblyWay) -> None:
    """Flaps that lie down on one panel, as an envelope's; anything else is just folded."""
    hung, report = way.hung, way.report
    base = max(range(len(report.panels)), key=lambda k: (len(hung.near[k]), -k))
    leaves = sorted(hung.near[base])
    if len(leaves) < 3 or not all(len(hung.near[k]) == 1 and hung.over(k, base) for k in leaves):
        way.fold_all(range(len(report.panels)))
        if _rolled(way):
            return
        if len(report.hinges) >= len(report.panels) and _pop_up(way):
            return
        way.say(Do.FOLD, _fold_only(hung), range(len(report.panels)))
        return
    lying = {k: _mirrored(report, k, hung.near[k][base]) for k in leaves}
    sides: list[int] = []
    for k in sorted(leaves, key=lambda k: (round(lying[k].area, 3), k)):
        if not any(_laps(lying[k], lying[s]) for s in sides):
            sides.append(k)
    # The flap that lies least on the others closes it; of equals, the upper one on the drawing.
    on_sides = {k: sum(lying[k].intersection(lying[s]).area for s in sides) for k in leaves}
    over = sorted(
        (k for k in leaves if k not in sides),
        key=lambda k: (-round(on_sides[k], 3), report.panels[k].inner_point[1]),
    )
    if not over and len(sides) > _PAIR:  # flaps that meet in the middle: the last of them closes it
        over = [max(sides, key=lambda k: (round(report.panels[k].inner_point[1], 3), k))]
        sides.remove(over[0])
    back = bool(over) and lying[over[-1]].area > _BACK * shapely.Polygon(report.panels[base].outline).area
    closing = [] if back else over[-1:]
    way.fold((k, base) for k in sides)
    over_it = f"Fold {way.named('side flap', sides)} over onto {way.name(base)}"
    way.say(Do.FOLD, f"{over_it}; {not_glued(len(sides))} to it.", sides)
    for k in over[: len(over) - len(closing)]:
        way.fold([(k, base)])
        under = [s for s in sides if _laps(lying[k], lying[s])]
        onto = "it" if len(under) == 1 else "them"
        way.say(
            Do.GLUE,
            f"Put a thin line of glue on {way.name(*under)} where {way.name(k)} will lie, fold {way.name(k)} over onto {onto} "
            "and press.",
            [k, *under],
        )
    way.say_fill()
    if closing:
        way.fold([(over[-1], base)])
        way.say(
            Do.STICKER,
            f"Fold {way.name(over[-1])} over to close it, and hold it with a sticker or a dab of glue at its tip.",
            over[-1:],
        )


def _fold_only(hung: PanelTree) -> str:
    """Scores alone: folded flat, or so far that it stands, or into a pattern; with flaps it isn't known which are glued."""
    report = hung.report
    scores = many("score", len(report.hinges))
    said = report.hinges[0].declared
    stands = len(report.hinges) == 1 and said is not None and abs(said) < OVER
    if hung.lying:
        names = [report.panels[f.panel].name for f in hung.lying]
        lie = (
            "lies on another panel: glue it only if it is"
            if len(names) == 1
            else "lie on other panels: glue only those that are"
        )
        return f"Fold it along its {scores}, layer on layer; {many('flap', len(names))} {listed(names)} {lie} to stay shut."
    if len(report.hinges) >= len(report.panels) > _MANY:
        return (
            f"Fold it along all its {scores}, each the way that the table says, a little at a time, until it takes its shape; no "
            "part of it is glued to another."
        )
    return f"Fold it along its {scores}{', so far that it stands' if stands else ''}; no part of it is glued to another."


def _rolled(way: AssemblyWay) -> bool:
    """A round piece whose other straight edge is as long as its glue flap and meets it at a tip: a cone."""
    report = way.report
    if len(report.panels) != 2 or report.panels[0].outline.shape[0] < _ROUND:
        return False
    p, q = report.hinges[0].ends
    sides = report.panels[0].outline
    for a, b in pairwise(sides):
        for tip, far in ((p, q), (q, p)):
            as_long = abs(np.hypot(*(b - a)) - report.hinges[0].length) < _LIKE
            apart = min(np.hypot(*(a - far)), np.hypot(*(b - far))) > _LIKE
            if as_long and apart and min(np.hypot(*(a - tip)), np.hypot(*(b - tip))) < _LIKE:
                way.say(
                    Do.GLUE,
                    f"Draw the card over the edge of a table to give it a bend, roll it until flap {way.name(1)} lies under the "
                    f"other straight edge of {way.name(0)}, and glue it there, from the tip to the rim.",
                    [1],
                )
                return True
    return False


def _pop_up(way: AssemblyWay) -> bool:
    """A card with a strip cut free, which hangs on both halves and stands up as it opens; False for anything else."""
    size = [shapely.Polygon(p.outline).area for p in way.report.panels]
    by_size = sorted(range(len(size)), key=lambda k: (-size[k], k))
    halves, strip = sorted(by_size[:2]), sorted(by_size[2:])
    if not strip or size[by_size[1]] < _HALF * size[by_size[2]]:
        return False
    way.say(
        Do.FOLD,
        f"Half close halves {way.name(*halves)}, push {way.name(*strip)} through from behind so that every score of the strip "
        "folds its way, close the card and press it; it stands up as the card opens.",
        strip,
    )
    return True


def _mirrored(report: FoldReport, panel: int, row: int) -> shapely.Polygon:
    """Where a panel lies when it is folded back over its fold."""
    p, q = report.hinges[row].ends
    along = (q - p) / np.hypot(*(q - p))
    rel = report.panels[panel].outline - p
    return shapely.Polygon(p + 2 * np.outer(rel @ along, along) - rel)


def _laps(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    return bool(one.intersection(other).area > _LIES_ON * min(one.area, other.area))


def curved_steps(way: AssemblyWay) -> None:
    """Curved scores bend the card: a row of panels that goes round flat, and curved flaps at its ends."""
    hung, report = way.hung, way.report
    curved = [h for h in report.hinges if h.kind == "curved"]
    ends = sorted({k for h in curved for k in (h.a, h.b) if len(hung.near[k]) == 1})
    row = _in_row(hung, [k for k in range(len(report.panels)) if k not in ends])
    way.say(
        Do.FOLD,
        "Press the curved scores in little by little to start their bend; fold one by hand before you make the rest.",
        ends,
    )
    if len(row) != 3 or len(ends) != 4:
        return
    # The narrow one of the row is the glue flap; it goes inside the panel at the row's other end.
    if _size(report, row[0]) < _size(report, row[-1]):
        row.reverse()
    first, middle, flap = row
    way.share[hung.near[first][middle]] = way.share[hung.near[middle][flap]] = 1.0
    way.say(
        Do.GLUE,
        f"Fold {way.name(middle)} over onto {way.name(first)} and glue flap {way.name(flap)} inside the free edge of "
        f"{way.name(first)}, while it all lies flat.",
        [flap, first],
    )
    along = hung.upward((first, middle))
    at = {k: float(np.array(report.panels[k].inner_point) @ along) for k in ends}
    low = sorted(ends, key=lambda k: at[k])[:2]
    high = [k for k in ends if k not in low]
    way.say(
        Do.FOLD,
        f"Press the two long folds together a little, so that it opens, and push {way.name(*low)} in at one end along "
        "their curved scores, one over the other.",
        low,
    )
    way.say_fill()
    way.say(Do.FOLD, f"Push {way.name(*high)} in at the other end in the same way; nothing is glued.", high)


def locked_steps(way: AssemblyWay) -> bool:
    """A row of panels without flaps that goes round something and hooks together by its slots: a band. False for anything else."""
    hung, report = way.hung, way.report
    row = _in_row(hung, list(range(len(report.panels))))
    rows = [hung.near[a][b] for a, b in pairwise(row)]
    if len(row) < 3 or report.flaps or not all(hung.parallel(rows[0], k) for k in rows):
        return False
    tips = (row[0], row[-1])
    way.fold(pairwise(row))
    way.say(
        Do.TUCK,
        f"Lay it round what it holds, folded along its scores, cross the ends {way.name(*tips)} edge to edge and push the slot "
        "of one into the slot of the other, so that they lock; nothing is glued.",
        tips,
    )
    return True


def _in_row(hung: PanelTree, panels: list[int]) -> list[int]:
    """Panels joined by folds into one row, from end to end; empty when they make none."""
    near = {k: [n for n in hung.near[k] if n in panels] for k in panels}
    tips = [k for k in panels if len(near[k]) == 1]
    if len(tips) != 2:
        return []
    row = [tips[0]]
    while onward := [n for n in near[row[-1]] if n not in row]:
        row.append(onward[0])
    return row if len(row) == len(panels) else []


def _size(report: FoldReport, panel: int) -> float:
    return float(shapely.Polygon(report.panels[panel].outline).area)
