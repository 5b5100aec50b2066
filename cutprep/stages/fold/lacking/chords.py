"""Where a score may be missing: chords of panels, told by what still shows of the score.

The ends of a score that was forgotten still show: other lines end there, the outline turns in, or a score goes on
beyond. And what lies on either side of it is mostly like another panel of the part: walls come in pairs, flaps in fours.
Among 269 scores taken by lot from 143 kinds of template the missing one came first in 240, among the first
four in 260; in the sound templates themselves no chord has `strong` marks, but for two.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.closeness.grades import grades
from cutprep.model.folded import FoldReport, Panel
from cutprep.model.lines import Flags, Points
from cutprep.stages.fold.lacking.outlines import are_alike, corners_only, cut_off, figures, is_among
from cutprep.stages.fold.lacking.score_ends import ALONG, NEAR, ScoreEnds

#: The shortest score that is looked for, mm.
SHORTEST = 8.0
#: A side shorter than this is a chord of a small round hole, mm.
_RELIEVED = 0.7
#: An outline that turns by more than this turns in, degrees.
_TURNS_IN = 15.0
#: Scores this near are along or square, sine of half a degree.
_SQUARE = 0.0087  # not a tolerance: a direction
#: Lengths that differ by less than this are the same when chords are put in order, mm; ends nearer than this are one.
ALIKE, _ONE = 0.05, 0.75
#: Panels with more corners than this are curves in pieces.
_MOST_CORNERS = 60
#: What the marks of a chord count when chords are ranked.
_LIKE, _GOES_ON, _TURNED, _TIP, _CORNER, _SQUARED = 3.0, 2.0, 1.0, 0.5, 1.0, 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Chord:
    """A place where a score may be missing.

    Attributes
    ----------
    ends
        (2, 2) ndarray of float, mm.
    panel
        The panel that it parts.
    like
        How many of both pieces are like another panel of the part.
    goes_on
        At how many of its ends a score goes straight on.
    turned_in
        How many of its ends are corners where the outline turns in.
    tips
        How many of its ends are ends of scores.
    corners
        How many of its ends are corners of panels.
    squared
        It runs along or square to a score.
    twin
        Along it, a score as long joins the panel with one that is like a piece.
    whole
        The panel that it parts is like another as it is.
    """

    ends: Points
    panel: int
    like: int
    goes_on: int
    turned_in: int
    tips: int
    corners: int
    squared: bool
    twin: bool
    whole: bool

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))

    @property
    def strong(self) -> bool:
        """Whether its marks are such as sound templates hardly ever show."""
        if self.corners < 2:
            return False
        ended = self.tips == 2 and (self.turned_in == 2 or self.twin)
        return self.like == 2 or bool(self.like and ended)

    @property
    def led(self) -> bool:
        """Whether one end and the pieces speak for it without the other end: square from where scores end."""
        return self.like == 2 and self.squared and self.tips > 0

    @property
    def hangs(self) -> bool:
        """Whether a flap may hang there: from corner to corner along or square to a score, as others or where scores end."""
        return self.corners == 2 and self.squared and (self.tips == 2 or bool(self.like))

    @property
    def marks(self) -> float:
        """What speaks for it."""
        ends = _GOES_ON * self.goes_on + _TURNED * self.turned_in + _TIP * self.tips + _CORNER * self.corners
        return _LIKE * self.like + ends + _SQUARED * self.squared


def chords(report: FoldReport, *, every: bool = True) -> list[Chord]:
    """Places where a score of a part may be missing, the likeliest first.

    Parameters
    ----------
    every
        Also those whose marks are not strong.
    """
    if not report.hinges:
        return []
    scores = _Scores(report)
    found = [c for k, panel in enumerate(report.panels) for c in _chords_of(k, panel, scores, every=every)]
    return _once(_ranked(found, shapely.MultiPolygon([shapely.Polygon(p.outline) for p in report.panels])))


def _ranked(found: Sequence[Chord], part: shapely.MultiPolygon) -> list[Chord]:
    """Put the likeliest first: the order does not depend on how the drawing lies on the sheet.

    Of chords with the same marks the one through a panel that is like no other goes first, then the longer, then the one
    nearer the middle of the part; what is still equal then is a mirror image, or is told by its place.
    """
    if not found:
        return []
    middle = shapely.get_coordinates(part.centroid)[0]
    far = [np.hypot(*(c.ends.mean(axis=0) - middle)) for c in found]
    ends = [np.hypot(*(c.ends - middle).T).max() for c in found]
    length, near, reach = (grades(v, ALIKE) for v in ([-c.length for c in found], far, ends))
    order = sorted(
        range(len(found)),
        key=lambda k: (
            *(-found[k].marks, found[k].whole, length[k], near[k], reach[k]),
            found[k].ends.round(1).tolist(),
        ),
    )
    return [found[k] for k in order]


def _once(found: Sequence[Chord]) -> list[Chord]:
    """Leave out what lies on a likelier one."""
    left: list[Chord] = []
    kept = np.empty((0, 2, 2))
    for chord in found:
        both = np.stack((np.abs(kept - chord.ends), np.abs(kept - chord.ends[::-1])))
        if (both.max(axis=(2, 3)) < _ONE).any():
            continue
        kept = np.concatenate((kept, chord.ends[None]))
        left.append(chord)
    return left


class _Scores:
    """The scores of a part and the figures of its panels, as chords are compared with them."""

    def __init__(self, report: FoldReport) -> None:
        self.ends = np.array([h.ends for h in report.hinges])
        self.each_end = ScoreEnds(self.ends)
        self.along, self.lengths, self.tips = self.each_end.along, self.each_end.lengths, self.each_end.tips
        self.corners = np.concatenate([p.outline[:-1] for p in report.panels])
        self.turns = np.concatenate((self.tips, *corners_only(report)))
        self.each = np.array([figures(p.outline[:-1]) for p in report.panels])
        self.known = np.unique(np.round(self.each, 2), axis=0)
        self.depths = _depths(report, self)
        self.beside = np.array([(h.a, h.b) for h in report.hinges])

    def breaks_at(self, ends: Points) -> bool:
        """Whether at one of some points, (2, 2), a straight side is drawn in pieces, and nothing else shows."""
        one, other = (
            np.abs(p[None] - ends[:, None]).max(axis=2).min(axis=1) < NEAR for p in (self.corners, self.turns)
        )
        return bool((one & ~other).any())

    def has_twin(self, panel: int, chord: Points, pieces: Points) -> bool:
        """Whether a score along a chord and as long joins its panel with one that is like a piece, (2, 3)."""
        along = chord[1] - chord[0]
        length = float(np.hypot(*along))
        like = (np.abs(self.lengths - length) < NEAR) & (np.abs(self.along @ along) > ALONG * length)
        twins = like & (self.beside == panel).any(axis=1)
        across = self.beside[twins].sum(axis=1) - panel
        return bool(is_among(self.each[across], pieces).any())

    def squared(self, along: Points) -> bool:
        """Whether a direction is along or square to a score."""
        across = np.abs(self.along @ along), np.abs(self.along @ np.array([-along[1], along[0]]))
        return bool((np.minimum(*across) < _SQUARE).any())


def _depths(report: FoldReport, scores: _Scores) -> list[float]:
    """How far panels reach from their scores, mm, each figure once."""
    found = set()
    for hinge, along in zip(report.hinges, scores.along, strict=True):
        for k in (hinge.a, hinge.b):
            away = (report.panels[k].outline - hinge.ends[0]) @ np.array([-along[1], along[0]])
            found.add(round(float(np.abs(away).max()), 2))
    return sorted(found)


def _chords_of(number: int, panel: Panel, scores: _Scores, *, every: bool) -> Iterator[Chord]:
    ring = panel.outline[:-1]
    if len(ring) > _MOST_CORNERS:
        return
    outline = _Outline(ring, scores)
    found = _between_corners(outline, scores, every=every)
    found += _parallels(outline, scores) if every else []
    told = [_marked(number, outline, cut, scores) for cut in found]
    told = [c for c in told if every or c.strong]
    told = [c for c in told if (every and c.led) or c.twin or not scores.breaks_at(c.ends)]
    if not told:
        return
    inner = shapely.Polygon(panel.outline, panel.holes).buffer(-NEAR)
    for chord in told:
        if shapely.LineString(chord.ends).intersection(inner).length > 0.9 * chord.length - 4 * NEAR:
            yield chord


class _Outline:
    """Corners of a panel, and which of them show something."""

    def __init__(self, ring: Points, scores: _Scores) -> None:
        self.ring = ring
        self.runs = np.concatenate((ring[1:], ring[:1])) - ring
        before = np.concatenate((self.runs[-1:], self.runs[:-1]))
        turns = np.degrees(np.arctan2(_cross(before, self.runs), (before * self.runs).sum(axis=1)))
        self.turned_in = turns < -_TURNS_IN
        short = np.hypot(*self.runs.T) < _RELIEVED
        self.relieved = short | np.concatenate((short[-1:], short[:-1]))
        self.tip = _within(scores.tips, ring) > 0
        self.busy = self.tip | (_within(scores.corners, ring) > 1)


#: Ends of a chord, (2, 2), how many of the pieces are like others, and the figures of both, (2, 3).
_Cut = tuple[Points, int, Points]


def _between_corners(outline: _Outline, scores: _Scores, *, every: bool) -> list[_Cut]:
    """Chords between corners, and from corners to where scores and sides would go on to; how many pieces are like others."""
    full, is_hit = outline.ring, np.zeros(len(outline.ring), bool)
    if every:
        starts = np.flatnonzero(outline.busy | outline.turned_in)
        full, is_hit = _with_hits(outline, [q for i in starts.tolist() for q in _rays(outline, i, scores)])
    one, two = np.triu_indices(len(full), 1)
    fine = (np.hypot(*(full[two] - full[one]).T) >= SHORTEST) & ~(is_hit[one] & is_hit[two])
    one, two = one[fine], two[fine]
    first, second = cut_off(full, one, two)
    like = is_among(first, scores.known).astype(int) + is_among(second, scores.known)
    like = np.maximum(like, are_alike(first, second))
    ends = np.zeros(len(full), bool)
    ends[~is_hit] = outline.busy if every else outline.tip
    both = ends[one] & ends[two]
    keep = both | (like > 0) if every else (both & (like > 0)) | (like > 1)
    pieces = np.stack((first, second), axis=1)
    if not every:  # of a part that folds well: where a score ends at a small round hole, the card was relieved on purpose
        keep &= ~(outline.relieved[one] | outline.relieved[two])
    return [(full[[one[k], two[k]]], int(like[k]), pieces[k]) for k in np.flatnonzero(keep)]


def _within(points: Points, ring: Points) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """How many points lie at each corner, (n,)."""
    apart = np.abs(points[None] - ring[:, None]).max(axis=2)
    return np.asarray((apart < NEAR).sum(axis=1))


def _cross(a: Points, b: Points) -> Points:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _rays(outline: _Outline, corner: int, scores: _Scores) -> Iterator[Points]:
    """Where what ends at a corner would meet the outline again if it went on, (2,) each."""
    ring, runs = outline.ring, outline.runs
    start = ring[corner]
    sides = [ring[corner - 1], ring[(corner + 1) % len(ring)]]
    ways = [
        *(-scores.each_end.leaving(start)),
        *((start - s) / max(float(np.hypot(*(start - s))), NEAR) for s in sides),
    ]
    ways += [np.array([-w[1], w[0]]) for w in ways] + [np.array([w[1], -w[0]]) for w in ways]
    way = np.unique(np.round(ways, 3), axis=0)[:, None]
    way = way / np.hypot(way[..., 0], way[..., 1])[..., None]
    across, to = _cross(way, runs[None]), ring - start
    with np.errstate(divide="ignore", invalid="ignore"):
        far, at = _cross(to, runs)[None] / across, _cross(to[None], way) / across
    met = np.where((np.abs(across) > NEAR) & (at >= 0) & (at <= 1) & (far > NEAR), far, np.inf).min(axis=1)
    hit = np.isfinite(met)
    yield from start + met[hit, None] * way[hit, 0]


def _with_hits(outline: _Outline, hits: Sequence[Points] | Points) -> tuple[Points, Flags]:
    """An outline with further points put in on its sides, and which corners those are."""
    ring, runs = outline.ring, outline.runs
    if not len(hits):
        return ring, np.zeros(len(ring), bool)
    points = np.unique(np.round(hits, 2), axis=0)
    to = points[:, None] - ring[None]
    points, to = (v[np.hypot(to[..., 0], to[..., 1]).min(axis=1) > NEAR] for v in (points, to))
    if not len(points):
        return ring, np.zeros(len(ring), bool)
    share = np.clip((to * runs).sum(axis=2) / np.maximum((runs * runs).sum(axis=1), NEAR**2), 0, 1)
    away = to - share[..., None] * runs
    side = np.hypot(away[..., 0], away[..., 1]).argmin(axis=1)
    order = np.lexsort((share[np.arange(len(side)), side], side))
    full = np.insert(ring, side[order] + 1, points[order], axis=0)
    return full, np.insert(np.zeros(len(ring), bool), side[order] + 1, True)


def _parallels(outline: _Outline, scores: _Scores) -> list[_Cut]:
    """Chords along a side, as far from it or from the far end as another panel reaches from its score."""
    found = []
    for along in _ways(outline.ring, scores):
        across = np.array([-along[1], along[0]])
        away = outline.ring @ across
        low, high = float(away.min()), float(away.max())
        levels = {round(level, 2) for depth in scores.depths for level in (low + depth, high - depth)}
        for level in sorted(v for v in levels if low + SHORTEST / 2 < v < high - SHORTEST / 2):
            ends = _level(outline, away - level)
            full, is_hit = _with_hits(outline, ends)
            if is_hit.sum() == 2:
                one, two = np.flatnonzero(is_hit)[:, None]
                pieces = np.concatenate(cut_off(full, one, two))
                if is_among(pieces, scores.known).all():
                    found.append((full[[int(one[0]), int(two[0])]], 2, pieces))
    return found


def _ways(ring: Points, scores: _Scores) -> list[Points]:
    """Directions of the scores that bound a panel, each once."""
    found: list[Points] = []
    beside = shapely.distance(shapely.LinearRing(ring), shapely.points(scores.ends.mean(axis=1))) < NEAR
    for along in scores.along[beside]:
        if not any(abs(float(along @ f)) > ALONG for f in found):
            found.append(along)
    return found


def _level(outline: _Outline, away: Points) -> Points:
    """Where a line crosses an outline, if it does so just twice, (2, 2); else (0, 2)."""
    after = np.concatenate((away[1:], away[:1]))
    crossed = np.flatnonzero(away * after < 0)
    if len(crossed) != 2:
        return np.empty((0, 2))
    share = away[crossed] / (away[crossed] - after[crossed])
    return np.asarray(outline.ring[crossed] + share[:, None] * outline.runs[crossed])


def _marked(number: int, outline: _Outline, cut: _Cut, scores: _Scores) -> Chord:
    ends, like, pieces = cut
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    goes_on = turned_in = tips = corners = 0
    for end, way in zip(ends, (-along, along), strict=True):
        goes_on += scores.each_end.goes_on(end, way)
        tips += bool(len(scores.each_end.leaving(end)))
        corners += bool(np.hypot(*(scores.corners - end).T).min() < NEAR)
        far = np.hypot(*(outline.ring - end).T)
        turned_in += bool(far.min() < NEAR and outline.turned_in[far.argmin()])
    twin = bool(like) and scores.has_twin(number, ends, pieces)
    whole = int(is_among(scores.each, scores.each[number][None]).sum()) > 1
    return Chord(ends, number, like, goes_on, turned_in, tips, corners, scores.squared(along), twin, whole)
