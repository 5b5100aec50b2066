"""Cuts that should be scores: a drawing is folded again with one of them scored.

A score on the cut layer parts what belongs together. Where only one panel came loose that is told by itself; here
are the cuts that part a drawing in two, and those that leave a panel hanging on another score.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.entry import Severity
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import GOOD, FoldReport, Verdict
from cutprep.model.lines import Index, Points
from cutprep.stages.fold.lacking.chords import SHORTEST
from cutprep.stages.fold.lacking.missing_score import complaints, is_fair, is_mended, kept
from cutprep.stages.fold.lacking.score_ends import NEAR, ScoreEnds
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from cutprep.stages.fold.net.net_lines import SCORE
from cutprep.stages.fold.net.panels import Net, is_score

#: Cuts that are tried at most, and panels folded for them at most.
_MOST, _MOST_PANELS = 3, 120
#: Units of work for each.
_WORK = 1500.0
#: With fewer scores at a point its panels cannot turn; so many are enough where none of them goes straight on.
_FREE, _FREE_ASKEW = 4, 5

At = Callable[[Sequence[float]], Place]
#: Folds only the parts that hold some panels, after some pieces have become scores.
AgainScored = Callable[[Net, frozenset[int], float], tuple[FoldReport, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class Parting:
    """A straight cut between two panels.

    Attributes
    ----------
    panels
        Both, as the net numbers them.
    pieces
        What it is made of.
    ends
        (2, 2) ndarray of float, mm.
    goes_on
        At how many of its ends a score goes straight on.
    scores
        How many scores end at the end where the most do.
    twin
        Beside it, a score runs along it, as long and level with it.
    """

    panels: tuple[int, int]
    pieces: Index
    ends: Points
    goes_on: int
    scores: int
    twin: bool

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))


def with_cut_score(
    net: Net,
    parts: Sequence[Sequence[int]],
    reports: tuple[FoldReport, ...],
    again: AgainScored,
    at: At,
) -> tuple[FoldReport, ...]:
    """Say which cut should be a score.

    Parameters
    ----------
    parts
        Panels of the net that hang together in each part that was folded.
    again
        Folds what holds some panels, with some cuts as scores.
    """
    number = {p: k for k, panels in enumerate(parts) for p in panels}
    cuts = sorted(_odd(list(partings(net))), key=lambda c: (-c.goes_on, -round(c.length, 2), c.panels))
    groups = parts_of(len(net.rings), hinges_of(net)) if cuts else []
    group = {p: tuple(panels) for panels in groups for p in panels}
    told = list(reports)
    tries = panels = 0
    for cut in cuts:
        sides = [group[p] for p in cut.panels]
        mine = sorted({number[p] for p in cut.panels if p in number})
        joined = frozenset(p for side in sides for p in side)
        if not _may_part(cut, sides, [reports[k] for k in mine]):
            continue
        tries, panels = tries + 1, panels + len(joined)
        if tries > _MOST or panels > _MOST_PANELS:
            break
        better = again(scored(net, cut.pieces), joined, _WORK)
        if _joins([reports[k] for k in mine], better, len(joined), whole=sides[0] == sides[1]):
            for k in mine:
                told[k] = replace(
                    told[k], messages=(*kept(told[k]), _told(cut, [reports[m] for m in mine], at))
                )
            break
    return tuple(told)


def _may_part(cut: Parting, sides: Sequence[Sequence[int]], reports: Sequence[FoldReport]) -> bool:
    """Whether a cut may be a score by mistake."""
    if not reports:
        return False
    fair = all(is_fair(r) for r in reports)
    if sides[0] == sides[1]:  # a slit, or one side of a gap: most of them are meant
        return cut.twin and cut.scores + 1 >= (_FREE if cut.goes_on else _FREE_ASKEW)
    lone = any(r.verdict in {Verdict.LEAF, Verdict.FLAT} for r in reports)
    return min(len(s) for s in sides) > 1 and (not fair or lone or len(reports) == 1)


def _joins(reports: Sequence[FoldReport], better: tuple[FoldReport, ...], count: int, *, whole: bool) -> bool:
    """Whether with a cut as a score all becomes one part that folds well."""
    if whole:
        return is_mended(reports[0], better, count, strong=True)
    found = [r for r in better if len(r.panels) == count]
    return (
        bool(found)
        and found[0].ok
        and found[0].closes is True
        and (complaints(found[0]) <= sum(complaints(r) for r in reports))
    )


def partings(net: Net) -> Iterator[Parting]:
    """Straight cuts with a panel on either side."""
    pieces = net.pieces
    between: dict[tuple[int, int], list[int]] = {}
    for k in range(len(pieces)):
        one, two = net.sides(k)
        if not is_score(int(pieces.operations[k])) and min(one, two) >= 0 and one != two:
            between.setdefault((min(one, two), max(one, two)), []).append(k)
    scores = np.flatnonzero([is_score(int(o)) for o in pieces.operations])
    scored = pieces.xy[pieces.ends[scores]].reshape(-1, 2, 2)
    score_ends = ScoreEnds(scored)
    for panels, cuts in between.items():
        xy = pieces.xy[np.unique(pieces.ends[cuts])]
        along = np.linalg.svd(xy - xy.mean(axis=0))[2][0]
        far = (xy - xy.mean(axis=0)) @ along
        ends = xy[[int(far.argmin()), int(far.argmax())]]
        bow = np.abs((xy - xy.mean(axis=0)) @ np.array([-along[1], along[0]])).max()
        if np.ptp(far) < SHORTEST or bow > NEAR or pieces.lengths[cuts].sum() < np.ptp(far) - NEAR:
            continue
        goes_on = sum(score_ends.goes_on(e, way) for e, way in zip(ends, (-along, along), strict=True))
        most = max(len(score_ends.leaving(end)) for end in ends)
        yield Parting(panels, np.array(cuts), ends, goes_on, most, _has_twin(scored, ends, along))


def _odd(cuts: Sequence[Parting]) -> list[Parting]:
    """Cuts without another one level with them: what is drawn several times is meant."""
    found = []
    for k, cut in enumerate(cuts):
        others = np.array([c.ends for c in (*cuts[:k], *cuts[k + 1 :])]).reshape(-1, 2, 2)
        if not _has_twin(others, cut.ends, (cut.ends[1] - cut.ends[0]) / cut.length):
            found.append(cut)
    return found


def _has_twin(runs: Points, ends: Points, along: Points) -> bool:
    """Whether one of some runs, (k, 2, 2), lies beside a stretch, as long and level with it."""
    at, own = np.sort(runs @ along, axis=1), np.sort(ends @ along)
    across = (runs @ np.array([-along[1], along[0]])).T
    level = (np.abs(at - own) < NEAR).all(axis=1) & (np.abs(across[0] - across[1]) < NEAR)
    return bool(level.any())


def scored(net: Net, pieces: Index) -> Net:
    """Make scores of some pieces of a net, (k,)."""
    operations = net.pieces.operations.copy()
    operations[pieces] = SCORE
    return replace(net, pieces=replace(net.pieces, operations=operations))


def _told(cut: Parting, reports: Sequence[FoldReport], at: At) -> Finding:
    (x0, y0), (x1, y1) = np.array([at(end).xy for end in cut.ends]).round(1).tolist()
    fair = len(reports) == 1 and reports[0].ok and reports[0].verdict in GOOD
    what = (
        "a score goes on from it, and the part folds up with a score there as well"
        if fair
        else "with a score there the part closes"
    )
    return Finding.of(
        "cut-for-score",
        f"the cut of {cut.length:.1f} mm from {x0:g}, {y0:g} to {x1:g}, {y1:g} mm seems meant as a score: {what}",
        places=(at(cut.ends.mean(axis=0)), at(cut.ends[0]), at(cut.ends[1])),
        measure=cut.length,
        severity=Severity.WARNING if fair else Severity.ERROR,
    )
