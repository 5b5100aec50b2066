"""The outline of a part's body: its sides in order, and what lies at each corner between them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.net.part import HingedPart

#: Sides shorter than this are reliefs and rounded corners, not seams, mm.
SHORTEST_SIDE = 1.5
#: Chords of a curve don't turn by more than this, degrees.
_SHARPEST_CHORD = 60.0

Run = tuple[int, int]


@dataclass(frozen=True, slots=True)
class CornerRule:
    """What of an outline is taken for a corner.

    Attributes
    ----------
    shortest
        Sides shorter than this are swallowed, mm.
    through_curves
        Chords of curves are swallowed too: a rounded corner is one corner.
    level
        A free edge that bows out from corner to corner counts as the straight below it, as a scalloped rim.
    """

    shortest: float = SHORTEST_SIDE
    through_curves: bool = True
    level: bool = False


PLAIN = CornerRule()
#: Ways to look at an outline, in the order they are tried: rounded corners as corners; a disc of
#: many sides as drawn; bowed rims as straight; cut-off corners looked through, where nothing else closes.
LOOKS = (PLAIN, CornerRule(through_curves=False), CornerRule(level=True), CornerRule(8.0), CornerRule(16.0))
#: Sides swallowed at one corner are no longer than so many times the longest that is.
_CUT_OFF = 1.5
#: A bowed edge has at least so many chords, and none turns by more from the last, degrees.
_BOWED, _BOWED_TURN = 4, 40.0
#: The straight below an edge that bows out is no rim where the panel then spans less than this at one end, degrees.
_NO_RIM = 1.0


@dataclass(frozen=True, slots=True)
class Fan:
    """Panels round a corner, from the side that comes in to the side that goes out.

    Attributes
    ----------
    panels
        Panels in turn.
    angles
        Angle of each panel at the corner, degrees.
    seams
        What lies between neighbours: a hinge k as k, a mate m as -1 - m.
    """

    panels: tuple[int, ...]
    angles: tuple[float, ...]
    seams: tuple[int, ...]

    @property
    def angle(self) -> float:
        """All of the card round the corner, degrees."""
        return sum(self.angles)


@dataclass(frozen=True, slots=True, eq=False)
class OutlineSide:
    """A straight run of outline along one panel.

    Attributes
    ----------
    panel
        The panel on its left.
    ends
        (2, 2) ndarray of float, mm.
    tips
        The two vertices.
    hung
        Hinges on it whose other panel is not in the body (flaps, gussets).
    over
        Vertices of an edge that bows out over it.
    length
        mm.
    """

    panel: int
    ends: Points
    tips: tuple[int, int]
    hung: tuple[int, ...] = ()
    over: tuple[int, ...] = ()
    length: float = field(init=False)

    def __post_init__(self) -> None:
        run = self.ends[1] - self.ends[0]
        object.__setattr__(self, "length", math.hypot(float(run[0]), float(run[1])))


@dataclass(frozen=True, slots=True)
class Outline:
    """Sides counter-clockwise; fan i lies before side i."""

    sides: tuple[OutlineSide, ...]
    fans: tuple[Fan, ...]


@dataclass(slots=True)
class _Step:
    """A run of two vertices on the outline, and the fan at its start."""

    run: tuple[int, int]
    panel: int
    fan: Fan | None = None


def outline_of(part: HingedPart, body: frozenset[int], look: CornerRule = PLAIN) -> Outline:
    """Walk round a body.

    Parameters
    ----------
    body
        Panels that are connected.
    look
        What is taken for a corner.

    Returns
    -------
    Outline
        Of the outermost loop; loops round slots are left out.
    """
    loops = _loops(part, body)
    xy = part.xy

    def area(loop: list[_Step]) -> float:
        x, y = (xy[[s.run[0] for s in loop]] - xy[loop[0].run[0]]).T
        return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))

    outer = max(loops, key=area)
    sides, fans, pieces = _sides(part, outer)
    if look.level:
        sides, fans = _levelled(sides, fans)
        pieces = [1] * len(sides)
    chord = [
        look.through_curves and pieces[k] > 1 and _is_chord(sides, fans, k, _bow(part))
        for k in range(len(sides))
    ]
    return _without_short(sides, fans, chord, look.shortest)


def _loops(part: HingedPart, body: frozenset[int]) -> list[list[_Step]]:
    """Every loop of the body's border, with the fan at the start of each step."""
    after: dict[tuple[int, int], int] = {}
    for panel in body:
        for ring in (part.rings[panel], *part.net.holes[part.panels[panel]]):
            for u, v, w in zip(ring, (*ring[1:], ring[0]), (*ring[2:], *ring[:2]), strict=True):
                after[u, v] = w

    def inner(run: tuple[int, int]) -> bool:
        return run in part.joins and part.left.get(run[::-1]) in body

    border = [run for run in after if not inner(run)]
    loops, seen = [], set()
    for first in border:
        if first in seen:
            continue
        loop, run = [], first
        while run not in seen:
            seen.add(run)
            step = _Step(run, part.left[run])
            loop.append(step)
            run, fan = _turn(part, after, inner, run)
            step.fan = fan
        loop = [_Step(s.run, s.panel, p.fan) for p, s in zip([loop[-1], *loop[:-1]], loop, strict=True)]
        loops.append(loop)
    return loops


def _turn(part: HingedPart, after: dict[Run, int], inner: Callable[[Run], bool], run: Run) -> tuple[Run, Fan]:
    """Go round the end of a run, through the body, to the next run of the border."""
    v = run[1]
    panels, angles, seams = [part.left[run]], list[float](), list[int]()
    back = run[0]
    while True:
        w = after[back, v]
        angles.append(_angle(part.xy, w, v, back))
        if not inner((v, w)):
            return (v, w), Fan(tuple(panels), tuple(angles), tuple(seams))
        seams.append(part.joins[v, w])
        panels.append(part.left[w, v])
        back = w


def _angle(xy: Points, a: int, v: int, b: int) -> float:
    """Angle at v from a counter-clockwise to b, degrees in (0, 360]."""
    p, q = xy[a] - xy[v], xy[b] - xy[v]
    turn = np.degrees(np.arctan2(p[0] * q[1] - p[1] * q[0], p @ q)) % 360.0
    return float(turn) or 360.0


def _sides(part: HingedPart, loop: list[_Step]) -> tuple[list[OutlineSide], list[Fan], list[int]]:
    """Merge steps into straight sides of one panel each; the last list counts the steps in each."""
    xy = part.xy
    starts = [i for i, s in enumerate(loop) if s.fan and s.fan.seams]
    if not starts:
        far = [float(np.hypot(*(xy[s.run[0]] - xy[loop[0].run[0]]))) for s in loop]
        starts = [0, int(np.argmax(far))]
    corners = set(starts)
    for a, b in zip(starts, [*starts[1:], starts[0] + len(loop)], strict=True):
        chain = [loop[k % len(loop)].run[0] for k in range(a, b + 1)]
        corners |= {(a + k) % len(loop) for k in _bends(xy[chain], _bow(part))}
    order = sorted(corners)
    sides, fans, pieces = [], [], []
    for a, b in zip(order, [*order[1:], order[0] + len(loop)], strict=True):
        steps = [loop[k % len(loop)] for k in range(a, b)]
        tips = (steps[0].run[0], steps[-1].run[1])
        hung = dict.fromkeys(part.joins[s.run] for s in steps if s.run in part.joins)
        sides.append(OutlineSide(steps[0].panel, xy[list(tips)], tips, tuple(hung)))
        fan = steps[0].fan
        assert fan is not None
        fans.append(fan)
        pieces.append(len(steps))
    return sides, [_straightened(xy, loop, order, k, sides, fans) for k in range(len(order))], pieces


def _levelled(sides: list[OutlineSide], fans: list[Fan]) -> tuple[list[OutlineSide], list[Fan]]:
    """Put the straight below every edge that bows out in its place."""
    count, fans = len(sides), list(fans)
    starts = [k for k in range(count) if not _goes_on_bowing(sides, fans, k)]
    if not starts:
        return sides, fans
    found: list[OutlineSide] = []
    kept: list[int] = []
    for a, b in zip(starts, [*starts[1:], starts[0] + count], strict=True):
        run = [sides[k % count] for k in range(a, b)]
        ends = np.array([run[0].ends[0], run[-1].ends[1]])
        before = _turned(fans[a], -1, -_turn_between(run[0], ends))
        last = _turn_between(run[-1], ends)
        # A panel that bows out all round from its fold, as a card with rounded corners, would be left without any area.
        if len(run) < _BOWED or min(before.angles[-1], fans[b % count].angles[0] + last) < _NO_RIM:
            found += run
            kept += [k % count for k in range(a, b)]
            continue
        over = tuple(s.tips[0] for s in run[1:])
        found.append(OutlineSide(run[0].panel, ends, (run[0].tips[0], run[-1].tips[1]), over=over))
        kept.append(a)
        fans[a] = before
        fans[b % count] = _turned(fans[b % count], 0, last)
    return found, [fans[k] for k in kept]


def _turn_between(side: OutlineSide, chord: Points) -> float:
    """Turn from a side to a run of two points, degrees."""
    return _between(side.ends[1] - side.ends[0], chord[1] - chord[0])


def _turned(fan: Fan, end: int, turn: float) -> Fan:
    """A corner whose first (0) or last (-1) panel spans so many degrees more."""
    angles = list(fan.angles)
    angles[end] += turn
    return replace(fan, angles=tuple(angles))


def _goes_on_bowing(sides: list[OutlineSide], fans: list[Fan], k: int) -> bool:
    """Whether a free side goes on from the one before by a slight turn to the left: they bow out."""
    alone = len(fans[k].panels) == 1 and not sides[k].hung and not sides[k - 1].hung
    return alone and 0.0 < 180.0 - fans[k].angle < _BOWED_TURN


def _bow(part: HingedPart) -> float:
    """How far a straight side's vertices may stand off it, mm."""
    return max(1.25 * part.tolerance, 0.1)


def _bends(points: Points, within: float) -> list[int]:
    """Inner vertices of a chain that stand further than `within` from the chords kept.

    The farthest vertex is kept, and so on between (Douglas and Peucker 1973); a vertex so found
    may yet lie on the straight between its neighbours, and is dropped again.
    """
    kept, todo = {0, len(points) - 1}, [(0, len(points) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        far = _off_chord(points[a], points[b], points[a + 1 : b])
        k = a + 1 + int(far.argmax())
        if far.max() > within:
            kept.add(k)
            todo += [(a, k), (k, b)]
    order = sorted(kept)
    while len(order) > 2:
        far = np.array(
            [
                _off_chord(points[a], points[c], points[b : b + 1])[0]
                for a, b, c in zip(order, order[1:], order[2:], strict=False)
            ]
        )
        if far.min() > within:
            break
        del order[1 + int(far.argmin())]
    return order[1:-1]


def _off_chord(a: Points, b: Points, between: Points) -> Points:
    """Distance of points from the line through two others, or from the one when both are one."""
    chord = b - a
    size = np.hypot(*chord)
    away = between - a
    if size == 0:
        return np.asarray(np.hypot(*away.T))
    return np.asarray(np.abs(away @ np.array([-chord[1], chord[0]])) / size)


def _straightened(
    xy: Points, loop: list[_Step], order: list[int], k: int, sides: list[OutlineSide], fans: list[Fan]
) -> Fan:
    """Measure a corner between the straight sides, not between the short pieces beside it."""
    fan = fans[k]
    out, into = sides[k], sides[k - 1]
    first, last = loop[order[k]].run, loop[order[k] - 1].run
    turn_out = _between(xy[first[1]] - xy[first[0]], out.ends[1] - out.ends[0])
    turn_in = _between(xy[last[1]] - xy[last[0]], into.ends[1] - into.ends[0])
    angles = list(fan.angles)
    angles[-1] -= turn_out
    angles[0] += turn_in
    return Fan(fan.panels, tuple(angles), fan.seams)


def _between(a: Points, b: Points) -> float:
    """Turn from one direction to another, degrees, counter-clockwise."""
    return float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))


def _without_short(sides: list[OutlineSide], fans: list[Fan], chord: list[bool], shortest: float) -> Outline:
    """Swallow chords and sides too short to be seams; the corners at their ends become one.

    Of sides that are no mere reliefs a corner swallows one or two: a battlement is no cut-off corner.
    """
    cut_off = [0.0] * len(sides)  # by the corner before each side
    while len(sides) > 3:
        count = len(sides)
        loss = [s.length if s.length >= SHORTEST_SIDE and not chord[k] else 0.0 for k, s in enumerate(sides)]
        total = [cut_off[k] + loss[k] + cut_off[(k + 1) % count] for k in range(count)]
        ready = [
            k
            for k, side in enumerate(sides)
            if chord[k] or (side.length < shortest and (not loss[k] or total[k] <= _CUT_OFF * shortest))
        ]
        if not ready:
            break
        k = min(ready, key=lambda i: sides[i].length)
        n = (k + 1) % count
        fans[n] = _joined(fans[k], fans[n])
        sides[k - 1], sides[n] = _led_on(sides[k - 1], sides[n], fans[n])
        cut_off[n] = total[k]
        del sides[k], fans[k], chord[k], cut_off[k]
    return Outline(tuple(sides), tuple(fans))


def _is_chord(sides: list[OutlineSide], fans: list[Fan], k: int, bow: float) -> bool:
    """Whether a side is one of the chords that a curve was reduced to.

    Chords that stand off a curve by `bow` are 2 sqrt(2 r bow) long and turn by 2 sqrt(2 bow / r)
    each, whatever the radius r: length times turn is about 8 bow, uneven chords a little more.
    """
    before, after = fans[k], fans[(k + 1) % len(fans)]
    if len(before.panels) > 1 or len(after.panels) > 1:
        return False
    one, two = 180.0 - before.angle, 180.0 - after.angle
    if one * two <= 0 or max(abs(one), abs(two)) > _SHARPEST_CHORD:
        return False
    turn = np.radians(abs(one) + abs(two)) / 2
    return bool(sides[k].length * turn < 14 * bow)


def _led_on(a: OutlineSide, b: OutlineSide, fan: Fan) -> tuple[OutlineSide, OutlineSide]:
    """Lead two sides of one panel on to where they would meet, if that is a plain corner."""
    if len(fan.panels) > 1 or not 20.0 < fan.angle % 180.0 < 160.0:
        return a, b
    p, r = a.ends[0], a.ends[1] - a.ends[0]
    q, s = b.ends[0], b.ends[1] - b.ends[0]
    bottom = r[0] * s[1] - r[1] * s[0]
    corner = p + r * (((q - p)[0] * s[1] - (q - p)[1] * s[0]) / bottom)
    return replace(a, ends=np.array([p, corner])), replace(b, ends=np.array([corner, b.ends[1]]))


def _joined(a: Fan, b: Fan) -> Fan:
    """The corner where the neighbours of a swallowed side would meet."""
    middle = a.angles[-1] + b.angles[0] - 180.0
    return Fan(a.panels + b.panels[1:], (*a.angles[:-1], middle, *b.angles[1:]), a.seams + b.seams)
