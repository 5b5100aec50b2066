"""Inner vertices of the flat drawing: whether they can fold flat, or at all.

Both classical rules are necessary, not sufficient: at a vertex that folds flat the alternating
sum of the sector angles is 0 (Kawasaki, Justin), and mountains and valleys differ by two
(Maekawa, Justin). A box corner is not meant to fold flat, so this is information unless the
maker wants the part to lie flat.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutprep.model.folded import Corner
from cutprep.model.lines import Points
from cutprep.stages.fold.net.panels import is_score
from cutprep.stages.fold.net.part import HingedPart

#: Alternating sums below this count as 0, degrees.
_BALANCED = 1.0

MAY, WONT, CANNOT = "may fold flat", "does not fold flat", "cannot fold"


def judge(sectors: Sequence[float], folds: Sequence[int]) -> tuple[float, int | None, str]:
    """Judge one vertex.

    Parameters
    ----------
    sectors
        Angles between neighbouring scores all round, degrees.
    folds
        -1 mountain, +1 valley, 0 unsaid, one a score.

    Returns
    -------
    tuple of (float, int or None, str)
        Alternating sum of the angles, degrees (NaN for an odd number); mountains less valleys,
        or None when one is unsaid; and the verdict in words.

    References
    ----------
    Hull, On the mathematics of flat origamis, Congressus Numerantium 100 (1994).
    """
    n = len(sectors)
    maekawa = None if 0 in folds else int(sum(f < 0 for f in folds) - sum(f > 0 for f in folds))
    if n == 3:
        return float("nan"), maekawa, CANNOT
    if n % 2:
        return float("nan"), maekawa, WONT
    alternating = float(abs(sum(sectors[0::2]) - sum(sectors[1::2])))
    flat = alternating < _BALANCED and maekawa in (None, 2, -2)
    return alternating, maekawa, MAY if flat else WONT


def corners_of(part: HingedPart) -> tuple[Corner, ...]:
    """Judge every vertex where three or more scores meet inside the card."""
    pieces = part.net.pieces
    around: dict[int, list[int]] = {}
    for k, (u, v) in enumerate(pieces.ends.tolist()):
        around.setdefault(u, []).append(k)
        around.setdefault(v, []).append(k)
    far = _far_ends(part)
    found = []
    for vertex in sorted({v for ring in part.rings for v in ring}):
        ours = around[vertex]
        if len(ours) < 3 or not all(is_score(int(pieces.operations[k])) for k in ours):
            continue
        ends = [int(pieces.ends[k].sum()) - vertex for k in ours]
        if not all((vertex, e) in part.left and (e, vertex) in part.left for e in ends):
            continue
        ends = [far.get((k, vertex), end) for k, end in zip(ours, ends, strict=True)]
        found.append(_corner(part.xy, vertex, ends, [int(pieces.fold[k]) for k in ours]))
    return tuple(found)


def _far_ends(part: HingedPart) -> dict[tuple[int, int], int]:
    """Piece and vertex at a tip of its straight score to the other tip: its first piece may be a splinter that points anywhere."""
    several = [h for h in part.hinges if h.kind == "straight" and len(h.pieces) > 1]
    tips = [(k, h.tips) for h in several for k in h.pieces]
    return {(k, v): sum(pair) - v for k, pair in tips for v in pair}


def _corner(xy: Points, vertex: int, ends: list[int], folds: list[int]) -> Corner:
    away = xy[ends] - xy[vertex]
    angle = np.degrees(np.arctan2(away[:, 1], away[:, 0])) % 360.0
    order = np.argsort(angle, kind="stable")
    sectors = np.diff(np.append(angle[order], angle[order[0]] + 360.0))
    alternating, maekawa, word = judge(sectors.tolist(), [folds[k] for k in order])
    x, y = xy[vertex]
    return Corner((float(x), float(y)), len(ends), alternating, maekawa, word)
