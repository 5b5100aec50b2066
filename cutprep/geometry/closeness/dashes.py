"""Broken lines drawn dash by dash: each row of dashes is one line, from edge to edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.lib.stride_tricks import sliding_window_view

from cutprep.geometry.closeness.ahead import first_ahead
from cutprep.geometry.closeness.proximity import components, point_pairs
from cutprep.geometry.lines.segments import explode
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.model.operation import Operation

#: A dash is no longer than this, and the gap after it no wider; at least so many make a row: mm.
_DASH, _GAP, _ROW = 15.0, 8.0, 3
#: A gap is at most so many times as wide as the longer dash beside it, and as the middle one of its row, and this: mm.
_WIDE, _EVEN, _SLACK = 1.5, 2.0, 0.3
#: A corner that a row passes by no more than this is met, mm.
_ROUNDING = 1e-7
#: A line at no more than this sine to a row goes the same way: the row doesn't end on it.
_LEVEL = 0.05
#: Ends of two dashes lie off the line over both by at most this, and by this share of the dash less of a short one: mm.
_ASIDE, _LEAN, _OFF = 0.25, 0.05, 0.15


@dataclass(frozen=True, slots=True, eq=False)
class JoinedRows:
    """Lines of which rows of dashes were made one.

    Attributes
    ----------
    lines
        k lines: those that are no dashes in their order, then the rows.
    own
        (k,) ndarray of int: the line that each is; of a row its first dash.
    dashes
        (m,) ndarray of bool: which of the lines as they were are dashes of a row now.
    """

    lines: Lines
    own: Index
    dashes: Flags

    @property
    def rows(self) -> Flags:
        """Which lines are rows, (k,)."""
        return np.asarray(self.dashes[self.own])


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """Dashes in line: their numbers, the line over all of them, (n, 2), and its widest gap, mm."""

    dashes: Index
    run: Points
    gap: float

    def ahead(self, end: int) -> Points:
        """One gap straight on from an end, (2,), mm."""
        step = self.run[0] - self.run[1] if end == 0 else self.run[-1] - self.run[-2]
        return np.asarray((self.gap + _SLACK) * step / np.hypot(*step))

    def reaching(self) -> Points:
        """The line led on by one gap at both ends, (n + 2, 2), mm; a ring as it is."""
        if self.is_ring:
            return self.run
        return np.vstack((self.run[0] + self.ahead(0), self.run, self.run[-1] + self.ahead(-1)))

    @property
    def is_ring(self) -> bool:
        """Whether the dashes go round."""
        return len(self.run) > 2 and bool((self.run[0] == self.run[-1]).all())


@dataclass(frozen=True, slots=True, eq=False)
class _Short:
    """Short straight lines that may be dashes: their numbers, ends, (n, 2, 2), lengths and kinds."""

    line: Index
    ends: Points
    size: Points
    kind: Index


def join_fold_dashes(lines: Lines) -> JoinedRows:
    """Make one line of every row of dashes among scores and perforations, those that fold one way."""
    folds = np.isin(lines.operation, (Operation.SCORE, Operation.PERFORATE))
    kind = np.where(folds, 4 * lines.operation.astype(np.int64) + lines.fold + 1, -1)
    return join_dashes(lines, kind, lines.operation == Operation.CUT)


def join_dashes(lines: Lines, kind: Index, cuts: Flags) -> JoinedRows:
    """Make one line of every row of dashes; it ends on the next line within a gap.

    Where there are such rows, a line of two dashes, or of one, is led on alike.

    Parameters
    ----------
    lines
        m lines.
    kind
        (m,) ndarray of int: only lines of one kind make a row; negative for those that are no dashes.
    cuts
        (m,) ndarray of bool: where one lies across a gap, the row ends.
    """
    same = JoinedRows(lines, np.arange(len(lines)), np.zeros(len(lines), bool))
    short = (kind >= 0) & (lines.lengths <= _DASH)
    if short.sum() < _ROW:
        return same
    lines, before = _split(lines, short)
    kind, cuts = kind[before], cuts[before]
    rows = _rows(lines, kind, cuts)
    if not rows:
        return same
    among = np.concatenate([row.dashes for row in rows])
    rest = np.setdiff1d(np.arange(len(before)), among)
    others = rest[(kind[rest] >= 0) | cuts[rest]]
    runs = _led_on(lines.take(others), rows)
    firsts = np.array([row.dashes.min() for row in rows])
    dashes = np.zeros(len(same.own), bool)
    dashes[before[among]] = True
    lines, own = _instead(lines, rest, runs, firsts)
    return JoinedRows(lines, before[own], dashes)


def _split(lines: Lines, short: Flags) -> tuple[Lines, Index]:
    """Take dashes apart that go round a corner; with the line that each is."""
    bent = [k for k in np.flatnonzero(short & (lines.counts > 2)).tolist() if not lines.curves(k).any()]
    if not bent:
        return lines, np.arange(len(lines))
    rest = np.setdiff1d(np.arange(len(lines)), bent)
    pieces = [pair for k in bent for pair in sliding_window_view(lines.points(k), 2, axis=0).swapaxes(1, 2)]
    return _instead(lines, rest, pieces, np.repeat(bent, lines.counts[bent] - 1))


def _instead(lines: Lines, rest: Index, runs: Sequence[Points], own: Index) -> tuple[Lines, Index]:
    """The rest of the lines as they are, and behind them others, each of the kind of one that it stands for."""
    others = Lines.of(
        runs,
        operation=lines.operation[own].tolist(),
        fold=lines.fold[own].tolist(),
        source=lines.source[own].tolist(),
        curved=[np.arange(len(run)) % (len(run) - 1) > 0 for run in runs],
        elements=lines.elements,
    )
    return Lines.concat([lines.take(rest), others]), np.concatenate((rest, own))


def _rows(lines: Lines, kind: Index, cuts: Flags) -> list[_Row]:
    """Rows among some short lines; a cut across a gap ends a row."""
    short = np.flatnonzero((kind >= 0) & (lines.counts == 2) & (lines.lengths <= _DASH) & (lines.lengths > 0))
    ends = np.array([lines.points(i) for i in short.tolist()]).reshape(-1, 2, 2)
    all_ = _Short(short, ends, lines.lengths[short], kind[short])
    one, two, gap = _in_line(all_)
    mutual = _nearest(one, two, gap, 2 * len(short))
    mutual &= ~_cut_across(lines, cuts, ends.reshape(-1, 2), one, two)
    one, two, gap = _once(one[mutual], two[mutual], gap[mutual])
    group = components(len(short), one // 2, two // 2)
    found: list[_Row] = []
    few: list[_Row] = []
    for g in np.unique(group).tolist():
        members, own = np.flatnonzero(group == g), group[one // 2] == g
        row = _row(all_, members, one[own], two[own], gap[own])
        (found if len(members) >= _ROW else few).extend([] if row is None else [row])
    return found + _as_rows(all_, few, found)


def _in_line(short: _Short) -> tuple[Index, Index, Points]:
    """Pairs of ends, 2 k and 2 k + 1 of short line k, that face one another in a line, and the gap between them, mm."""
    tips, size = short.ends.reshape(-1, 2), short.size
    one, two = point_pairs(tips, _GAP)
    a, b = one // 2, two // 2
    alike = (a != b) & (short.kind[a] == short.kind[b])
    one, two, a, b = one[alike], two[alike], a[alike], b[alike]
    # The line over both dashes, from far end to far end: it hardly minds by how much each is off.
    whole = tips[two ^ 1] - tips[one ^ 1]
    long = np.maximum(np.hypot(*whole.T), np.finfo(float).tiny)
    along = whole / long[:, None]
    near = np.stack((tips[one], tips[two]), axis=1) - tips[one ^ 1][:, None]
    at = np.einsum("ijk,ik->ij", near, along)
    off = np.abs(near[:, :, 0] * along[:, 1, None] - near[:, :, 1] * along[:, 0, None])
    most = np.minimum(_ASIDE, _OFF + _LEAN * np.column_stack((size[a], size[b])))
    gap = at[:, 1] - at[:, 0]
    good = (off <= most).all(axis=1) & (at[:, 0] > 0) & (at[:, 1] < long)
    good &= (gap > -_ASIDE) & (gap <= _WIDE * np.maximum(size[a], size[b]) + _SLACK)
    return one[good], two[good], gap[good]


def _nearest(one: Index, two: Index, gap: Points, count: int) -> Flags:
    """Which pairs of ends are each the other's nearest, or as near: of a row drawn twice there are two."""
    least = np.full(count, np.inf)
    np.minimum.at(least, one, gap)
    np.minimum.at(least, two, gap)
    return np.asarray((gap <= least[one] + _SLACK) & (gap <= least[two] + _SLACK))


def _once(one: Index, two: Index, gap: Points) -> tuple[Index, Index, Points]:
    """Of pairs of ends those, the nearest first, in which every end is paired once."""
    taken, kept = set[int](), []
    for k in np.lexsort((two, one, np.round(gap / _SLACK))).tolist():
        pair = {int(one[k]), int(two[k])}
        if taken.isdisjoint(pair):
            taken |= pair
            kept.append(k)
    return one[kept], two[kept], gap[kept]


def _cut_across(lines: Lines, cuts: Flags, tips: Points, one: Index, two: Index) -> Flags:
    """Which gaps a cut crosses."""
    crossed = np.zeros(len(one), bool)
    if cuts.any() and len(one):
        tree = shapely.STRtree([shapely.LineString(lines.points(k)) for k in np.flatnonzero(cuts).tolist()])
        gaps = shapely.linestrings(np.stack((tips[one], tips[two]), axis=1))
        crossed[tree.query(gaps, predicate="crosses")[0]] = True  # one that begins there parts nothing
    return crossed


def _row(short: _Short, members: Index, one: Index, two: Index, gap: Points) -> _Row | None:
    """The line over some dashes that follow one another; None when their gaps are too uneven."""
    if len(gap) and gap.max() > _EVEN * np.median(gap) + _SLACK:
        return None
    tips = short.ends.reshape(-1, 2)
    spots = short.ends[members].reshape(-1, 2)
    middle = spots.mean(axis=0)
    u = np.linalg.svd(spots - middle, full_matrices=False)[2][0]
    at = (spots - middle) @ u
    off = np.abs((spots - middle) @ np.array([-u[1], u[0]])).max()
    if len(members) == 1:
        run = spots
    elif off <= _ASIDE:
        run = middle + np.array([[at.min()], [at.max()]]) * u
    else:
        run = tips[_following(members, one, two)]
        run = np.vstack((run, run[:1])) if len(one) == len(members) else run
    return _Row(short.line[members], run, float(gap.max(initial=0.0)))


def _following(members: Index, one: Index, two: Index) -> Index:
    """Ends of dashes in the order in which they follow one another; a ring begins anywhere."""
    onward = dict(zip(one.tolist(), two.tolist(), strict=True)) | dict(
        zip(two.tolist(), one.tolist(), strict=True)
    )
    tips = [t for k in members.tolist() for t in (2 * k, 2 * k + 1)]
    tip = next((t for t in tips if t not in onward), tips[0])
    found = []
    for _ in members:
        found += [tip, tip ^ 1]
        tip = onward.get(tip ^ 1, -1)
    return np.array(found)


def _as_rows(short: _Short, few: list[_Row], rows: list[_Row]) -> list[_Row]:
    """Of short lines in ones and twos those that are drawn as the dashes of some rows are."""
    found = []
    kinds = dict(zip(short.line.tolist(), short.kind.tolist(), strict=True))
    sizes = dict(zip(short.line.tolist(), short.size.tolist(), strict=True))
    for row in few:
        alike = [r for r in rows if kinds[int(r.dashes[0])] == kinds[int(row.dashes[0])]]
        gap = max((r.gap for r in alike), default=0.0)
        dash = max((sizes[k] for r in alike for k in r.dashes.tolist()), default=0.0)
        if row.gap <= gap + _SLACK and max(sizes[k] for k in row.dashes.tolist()) <= dash + _SLACK:
            found.append(replace(row, gap=gap))
    return found


def _led_on(others: Lines, rows: list[_Row]) -> list[Points]:
    """Lines of the rows, led on where the pattern stops short of the next line."""
    open_ = [(k, end) for k, row in enumerate(rows) if not row.is_ring for end in (0, -1)]
    own = np.array([k for k, _ in open_], np.int64)
    tip = np.array([rows[k].run[end] for k, end in open_]).reshape(-1, 2)
    onward = np.array([rows[k].ahead(end) for k, end in open_]).reshape(-1, 2)
    gap = np.hypot(*onward.T)
    # The last dash may end a little beyond the line.
    begin = tip - onward * np.minimum(0.5, _ASIDE / gap)[:, None]
    ray = tip + onward - begin
    reaching = Lines.of([row.reaching() for row in rows])
    everything = Lines.concat([others, reaching])
    segments = explode(everything, np.ones(len(everything), bool))
    share = first_ahead(begin, ray, len(others) + own, segments, _ROUNDING, _LEVEL)
    runs = [row.run.copy() for row in rows]
    corners = np.vstack((others.xy, *runs))
    for row, (k, end) in enumerate(open_):
        if np.isfinite(share[row]):
            runs[k][end] = begin[row] + share[row] * ray[row]
        else:
            runs[k][end] = _corner_on(corners, rows[k].run, tip[row], onward[row])
    return runs


def _corner_on(corners: Points, run: Points, tip: Points, onward: Points) -> Points:
    """The nearest corner of another line that a line led on from its tip passes by a little; the tip when there is none."""
    long = float(np.hypot(*onward))
    away = corners - tip
    at = away @ onward / long
    off = np.abs(away @ np.array([-onward[1], onward[0]])) / long
    own = (corners[:, None] == run[None]).all(axis=2).any(axis=1)
    passed = np.flatnonzero(~own & (off <= _ASIDE) & (at > -_ASIDE) & (at <= long))
    return corners[passed[np.abs(at[passed]).argmin()]] if len(passed) else tip
