"""Faults of the drawing that keep a part from folding, found before anything is folded.

Ordered by cause: a loose end in the outline first, because everything after it is a consequence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.model.finding import Finding, Findings, Severity
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.fold.ink import CUT, PERFORATION, SCORE
from cutprep.stages.fold.panels import Net, degrees_of
from cutprep.stages.fold.pieces import dots

#: Loose ends of an outline further apart than this are not two ends of one gap, mm.
_ONE_GAP = 10.0
#: A score that stops this near a line was meant to reach it, mm.
_MEANT = 5.0
#: Doubled runs shorter than this are left to the check of the drawing, mm.
_LEAST_RUN = 1.0

Where = Callable[[int, Points], Place]


def drawing_faults(net: Net, hinge_tips: Iterable[tuple[int, int]], where: Where) -> Findings:
    """Find faults of lines: loose ends, scores under cuts, cuts across hinges.

    Parameters
    ----------
    hinge_tips
        The two end vertices of every hinge.
    where
        Gives the place of a line of the drawing at a point.
    """
    open_ends = _open_outlines(net, where)
    if open_ends:
        return open_ends
    tips = {v for pair in hinge_tips for v in pair}
    return (
        *_scores_on_cuts(net, where),
        *_loose_scores(net, where),
        *_scores_as_outline(net, where),
        *_cuts_across(net, tips, where),
        *_slivers(net, where),
    )


def _touching(net: Net) -> dict[int, list[int]]:
    """Pieces at every vertex."""
    found: dict[int, list[int]] = {}
    for k, (u, v) in enumerate(net.pieces.ends.tolist()):
        found.setdefault(u, []).append(k)
        found.setdefault(v, []).append(k)
    return found


def _inside(net: Net, points: Points) -> Flags:
    """Whether points lie in a panel."""
    if not net.rings:
        return np.zeros(len(points), bool)
    panels = [net.polygon(p) for p in range(len(net.rings))]
    at, _ = shapely.STRtree(panels).query(dots(points), predicate="intersects")
    inside = np.zeros(len(points), bool)
    inside[at] = True
    return inside


def _middles(net: Net, pieces: Index) -> Points:
    return np.asarray(net.pieces.xy[net.pieces.ends[pieces]].mean(axis=1))


def _open_outlines(net: Net, where: Where) -> Findings:
    """Loose ends of cuts that lie in no panel, two by two."""
    touching = _touching(net)
    loose = [int(v) for v in np.flatnonzero(degrees_of(net.pieces) == 1)]
    cut = [v for v in loose if net.pieces.bits[touching[v][0]] & CUT]
    if not cut:
        return ()
    pieces = np.array([touching[v][0] for v in cut])
    outside = ~_inside(net, _middles(net, pieces))
    ends = [v for v, out in zip(cut, outside, strict=True) if out and not _overshoots(net, touching, v)]
    xy = net.pieces.xy
    found: list[Finding] = []
    left = list(ends)
    while left:
        v = left.pop(0)
        far = [float(np.hypot(*(xy[w] - xy[v]))) for w in left]
        k = int(np.argmin(far)) if far else -1
        if k >= 0 and far[k] <= _ONE_GAP:
            w = left.pop(k)
            middle = (xy[v] + xy[w]) / 2
            places = (where(_line_at(net, touching, v), middle), where(_line_at(net, touching, w), middle))
            found.append(
                Finding(
                    "outline-open",
                    Severity.ERROR,
                    f"the outline is open: two loose ends lie {far[k]:.2f} mm apart, so no panel is bounded there",
                    "Draw the two ends together.",
                    places,
                    far[k],
                    net.pieces.tolerance,
                )
            )
        else:
            found.append(
                Finding(
                    "outline-open",
                    Severity.ERROR,
                    "the outline is open: a cut ends here without meeting another line",
                    "Lead it on to the line it was meant to meet, or take it away.",
                    (where(_line_at(net, touching, v), xy[v]),),
                )
            )
    return tuple(found)


def _overshoots(net: Net, touching: dict[int, list[int]], vertex: int) -> bool:
    """Whether a loose end is only the tail of a cut that ran a little past a corner."""
    piece = touching[vertex][0]
    other = int(net.pieces.ends[piece].sum()) - vertex
    return len(touching[other]) >= 3 and float(net.pieces.lengths[piece]) <= _MEANT


def _line_at(net: Net, touching: dict[int, list[int]], vertex: int) -> int:
    return int(net.pieces.line[touching[vertex][0]])


def _chains(net: Net, chosen: Index) -> list[list[int]]:
    """Join chosen pieces that share vertices."""
    left, chains = set(chosen.tolist()), []
    touching = _touching(net)
    while left:
        todo = [min(left)]
        left.discard(todo[0])
        chain = []
        while todo:
            k = todo.pop()
            chain.append(k)
            for v in net.pieces.ends[k].tolist():
                for n in touching[v]:
                    if n in left:
                        left.discard(n)
                        todo.append(n)
        chains.append(sorted(chain))
    return chains


def _scores_on_cuts(net: Net, where: Where) -> list[Finding]:
    bits = net.pieces.bits
    both = np.flatnonzero(((bits & CUT) > 0) & ((bits & (SCORE | PERFORATION)) > 0))
    found = []
    for chain in _chains(net, both):
        pieces = np.array(chain)
        length = float(net.pieces.lengths[pieces].sum())
        if length < _LEAST_RUN:
            continue
        between = any(min(net.sides(k)) >= 0 for k in chain)
        longest = chain[int(net.pieces.lengths[pieces].argmax())]
        middle = _middles(net, np.array([longest]))[0]
        found.append(
            Finding(
                "score-on-cut",
                Severity.ERROR if between else Severity.WARNING,
                f"a score is also drawn as a cut over {length:.1f} mm"
                + (": the panels come apart there" if between else " on the outline"),
                "Take one of the two lines away.",
                (where(int(net.pieces.line[longest]), middle),),
                length,
                0.0,
            )
        )
    return found


def _loose_scores(net: Net, where: Where) -> list[Finding]:
    """Scores that stop in mid-panel, or run out beyond the outline."""
    touching, pieces = _touching(net), net.pieces
    loose = [
        int(v)
        for v in np.flatnonzero(degrees_of(pieces) == 1)
        if pieces.bits[touching[int(v)][0]] & SCORE and not pieces.bits[touching[int(v)][0]] & CUT
    ]
    if not loose:
        return []
    ks = np.array([touching[v][0] for v in loose])
    inside = _inside(net, _middles(net, ks))
    found = []
    for v, k, within in zip(loose, ks.tolist(), inside, strict=True):
        xy, length = pieces.xy[v], float(pieces.lengths[k])
        place = (where(int(pieces.line[k]), xy),)
        if not within:
            found.append(
                Finding(
                    "score-overshoot",
                    Severity.WARNING,
                    f"a score runs {length:.2f} mm out beyond the outline",
                    "Shorten it to the outline.",
                    place,
                    length,
                    pieces.tolerance,
                )
            )
            continue
        ahead = _ahead(net, k, v)
        near = ahead <= _MEANT
        found.append(
            Finding(
                "score-ends",
                Severity.ERROR if near else Severity.WARNING,
                f"a score stops {ahead:.2f} mm from the next line, so it parts no panels"
                if near
                else "a score stops in the middle of a panel, so it parts no panels",
                "Lead it on to the line." if near else "Lead it on to the outline, or draw it as a pen line.",
                place,
                ahead if near else None,
                pieces.tolerance,
            )
        )
    return found


def _ahead(net: Net, piece: int, vertex: int) -> float:
    """Distance from the loose end of a piece straight on to the next line, mm."""
    pieces = net.pieces
    other = int(pieces.ends[piece].sum()) - vertex
    end = pieces.xy[vertex]
    along = (end - pieces.xy[other]) / float(pieces.lengths[piece])
    ray = shapely.LineString([end, end + along * 1000.0])
    rest = [k for k in range(len(pieces)) if k != piece]
    lines = shapely.linestrings(pieces.xy[pieces.ends[rest]])
    hit = shapely.intersection(ray, shapely.union_all(lines))
    return float("inf") if hit.is_empty else float(hit.distance(shapely.Point(end)))


def _scores_as_outline(net: Net, where: Where) -> list[Finding]:
    """Scores with a panel on one side only: the part has no cut edge there."""
    pieces = net.pieces
    lone = [
        k
        for k in np.flatnonzero(((pieces.bits & SCORE) > 0) & ((pieces.bits & CUT) == 0)).tolist()
        if min(net.sides(k)) < 0 <= max(net.sides(k))
    ]
    found = []
    for chain in _chains(net, np.array(lone, dtype=np.int64)):
        length = float(pieces.lengths[chain].sum())
        longest = max(chain, key=lambda k: float(pieces.lengths[k]))
        found.append(
            Finding(
                "score-on-outline",
                Severity.ERROR,
                f"the part's edge is a score, not a cut, over {length:.1f} mm",
                "Draw the missing outline, or make this line a cut.",
                (where(int(pieces.line[longest]), _middles(net, np.array([longest]))[0]),),
                length,
                0.0,
            )
        )
    return found


def _cuts_across(net: Net, tips: set[int], where: Where) -> list[Finding]:
    """Cuts that cross a hinge; one that only touches it from one side is a slot and fine."""
    pieces, touching = net.pieces, _touching(net)
    found = []
    for vertex, ks in sorted(touching.items()):
        scores = [k for k in ks if pieces.bits[k] & SCORE and not pieces.bits[k] & CUT]
        cuts = [k for k in ks if pieces.bits[k] & CUT]
        if vertex in tips or len(scores) != 2 or len(cuts) < 2:
            continue
        ends = [pieces.xy[int(pieces.ends[k].sum()) - vertex] - pieces.xy[vertex] for k in (*scores, *cuts)]
        d = ends[1] - ends[0]
        side = [float(np.sign(d[0] * e[1] - d[1] * e[0])) for e in ends[2:]]
        loose = all(set(net.sides(k)) <= {-1} or net.sides(k)[0] == net.sides(k)[1] for k in cuts)
        if max(side) > 0 > min(side) and loose:
            length = float(sum(pieces.lengths[k] for k in cuts))
            found.append(
                Finding(
                    "cut-through-hinge",
                    Severity.ERROR,
                    f"a cut of {length:.1f} mm crosses the score that joins two panels",
                    "End the cut at the score, or make a slot of it.",
                    (where(int(pieces.line[cuts[0]]), pieces.xy[vertex]),),
                    length,
                    0.0,
                )
            )
    return found


def _slivers(net: Net, where: Where) -> list[Finding]:
    found = []
    for ring in net.slivers:
        xy = net.pieces.xy[list(ring)]
        line = next(
            int(net.pieces.line[k])
            for k in range(len(net.pieces))
            if set(net.pieces.ends[k].tolist()) <= set(ring)
        )
        found.append(
            Finding(
                "twin-lines",
                Severity.WARNING,
                "two lines run side by side so closely that no panel lies between them",
                "Take one of them away.",
                (where(line, xy.mean(axis=0)),),
            )
        )
    return found
