"""Broken scores drawn dash by dash: each row of dashes is one line, from edge to edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.lib.stride_tricks import sliding_window_view

from cutprep.geometry.closeness.proximity import components, point_pairs
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.stages.fold.net.net_lines import CUT, NetLines

#: A dash is no longer than this, and the gap after it no wider; at least so many make a row: mm.
_DASH, _GAP, _ROW = 15.0, 8.0, 3
#: A gap is at most so many times as wide as the longer dash beside it, and as the middle one of its row, and this: mm.
_WIDE, _EVEN, _SLACK = 1.5, 2.0, 0.3
#: Dashes of a row are in line within this, and their ends point at one another (cosine): mm.
_ASIDE, _AHEAD = 0.25, 0.998


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """Dashes in line: their numbers, the ends of the whole, (2, 2), and its widest gap, mm."""

    dashes: Index
    ends: Points
    gap: float

    @property
    def along(self) -> Points:
        step = self.ends[1] - self.ends[0]
        return np.asarray(step / np.hypot(*step))

    def reaching(self) -> Points:
        """Ends of the line led on by one gap on both sides, (2, 2)."""
        by = (self.gap + _SLACK) * self.along
        return np.array([self.ends[0] - by, self.ends[1] + by])


def join_dashes(drawn: NetLines) -> NetLines:
    """Make one line of every row of score or perforation dashes; it ends on the next line within a gap."""
    short = (drawn.operations != CUT) & (drawn.lines.lengths <= _DASH)
    if short.sum() < _ROW:
        return drawn
    split = _split(drawn, short)
    lines = split.lines
    rows = _rows(
        split, np.flatnonzero((split.operations != CUT) & (lines.counts == 2) & (lines.lengths <= _DASH))
    )
    if not rows:
        return drawn
    rest = np.setdiff1d(np.arange(len(lines)), np.concatenate([row.dashes for row in rows]))
    firsts = np.array([row.dashes.min() for row in rows])
    return _instead(split, rest, _led_on(lines.take(rest), rows), firsts)


def _split(drawn: NetLines, short: Flags) -> NetLines:
    """Take dashes apart that go round a corner."""
    lines = drawn.lines
    bent = [k for k in np.flatnonzero(short & (lines.counts > 2)).tolist() if not lines.curves(k).any()]
    if not bent:
        return drawn
    rest = np.setdiff1d(np.arange(len(lines)), bent)
    pieces = [pair for k in bent for pair in sliding_window_view(lines.points(k), 2, axis=0).swapaxes(1, 2)]
    own = np.repeat(bent, lines.counts[bent] - 1)
    return _instead(drawn, rest, pieces, own)


def _instead(drawn: NetLines, rest: Index, runs: Sequence[Points], own: Index) -> NetLines:
    """The rest of the lines as they are, and behind them others, each of the kind of one that it stands for."""
    lines = drawn.lines
    others = Lines.of(
        runs,
        operation=lines.operation[own].tolist(),
        fold=lines.fold[own].tolist(),
        source=lines.source[own].tolist(),
        elements=lines.elements,
    )
    order = np.concatenate((rest, own))
    return NetLines(
        Lines.concat([lines.take(rest), others]),
        drawn.operations[order],
        drawn.fold[order],
        drawn.degrees[order],
        drawn.line[order],
    )


def _rows(drawn: NetLines, short: Index) -> list[_Row]:
    """Rows among some short lines; a cut across a gap ends a row."""
    ends = np.array([drawn.lines.points(i) for i in short.tolist()])
    steps = ends[:, 1] - ends[:, 0]
    size = np.hypot(*steps.T)
    usable = size > 0
    short, ends, steps, size = short[usable], ends[usable], steps[usable], size[usable]
    along = steps / size[:, None]
    tips, outward = ends.reshape(-1, 2), np.stack((-along, along), axis=1).reshape(-1, 2)
    one, two = point_pairs(tips, _GAP)
    # The longer dash of two says which way their row goes: a short one may point anywhere.
    turned = size[one // 2] < size[two // 2]
    one, two = np.where(turned, two, one), np.where(turned, one, two)
    across = tips[two] - tips[one]
    ahead = np.einsum("ij,ij->i", across, outward[one])
    aside = np.abs(across[:, 0] * outward[one, 1] - across[:, 1] * outward[one, 0])
    facing = np.einsum("ij,ij->i", outward[one], outward[two]) < -_AHEAD
    a, b = one // 2, two // 2
    alike = (drawn.operations[short[a]] == drawn.operations[short[b]]) & (
        drawn.fold[short[a]] == drawn.fold[short[b]]
    )
    wide = _WIDE * np.maximum(size[a], size[b]) + _SLACK
    good = alike & facing & (a != b) & (ahead > -_ASIDE) & (ahead <= wide) & (aside <= _ASIDE)
    one, two, gap = one[good], two[good], ahead[good]
    mutual = _nearest(one, two, gap, len(tips)) & ~_cut_across(drawn, tips, one, two)
    one, two, gap = one[mutual], two[mutual], gap[mutual]
    group = components(len(short), one // 2, two // 2)
    found = []
    for g in np.unique(group[one // 2]).tolist():
        members, gaps = np.flatnonzero(group == g), gap[group[one // 2] == g]
        if len(members) >= _ROW and gaps.max() <= _EVEN * np.median(gaps) + _SLACK:
            u = along[members[0]]
            far = ends[members].reshape(-1, 2)
            at = far @ u
            found.append(_Row(short[members], far[[at.argmin(), at.argmax()]], float(gaps.max())))
    return found


def _nearest(one: Index, two: Index, gap: Points, count: int) -> Flags:
    """Which pairs of ends are each the other's nearest."""
    least = np.full(count, np.inf)
    np.minimum.at(least, one, gap)
    np.minimum.at(least, two, gap)
    return np.asarray((gap <= least[one]) & (gap <= least[two]))


def _cut_across(drawn: NetLines, tips: Points, one: Index, two: Index) -> Flags:
    """Which gaps a cut crosses."""
    cuts = np.flatnonzero(drawn.operations == CUT)
    crossed = np.zeros(len(one), bool)
    if len(cuts) and len(one):
        tree = shapely.STRtree([shapely.LineString(drawn.lines.points(k)) for k in cuts.tolist()])
        gaps = shapely.linestrings(np.stack((tips[one], tips[two]), axis=1))
        crossed[tree.query(gaps, predicate="crosses")[0]] = True  # one that begins there parts nothing
    return crossed


def _led_on(others: Lines, rows: list[_Row]) -> list[Points]:
    """Lines of the rows, led on where the pattern stops short of the next line."""
    runs = [shapely.LineString(others.points(k)) for k in range(len(others))]
    runs += [shapely.LineString(row.reaching()) for row in rows]
    tree = shapely.STRtree(runs)
    found = []
    for number, row in enumerate(rows):
        ends = row.ends.copy()
        for end, tip in enumerate(row.reaching()):
            ray = shapely.LineString([row.ends[end], tip])
            hits = [k for k in tree.query(ray, predicate="intersects").tolist() if k != len(others) + number]
            spots = [shapely.intersection(ray, runs[k]) for k in hits]
            met = shapely.get_coordinates([s for s in spots if s.geom_type != "LineString"])
            if len(met):
                ends[end] = met[np.hypot(*(met - row.ends[end]).T).argmin()]
        found.append(ends)
    return found
