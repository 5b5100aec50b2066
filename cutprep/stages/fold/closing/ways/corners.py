"""Gables, parcel bottoms and bags: inner corners tie folds together, so these are built corner by corner.

The walls of a tube are put up first, then the panels on two of them that face one another: leaning together
until they meet, or level. What lies between follows from its corners: two panels between known edges make a
spherical triangle with given sides, which stands inwards or outwards; one panel between two edges is settled.
(Spherical trigonometry: Todhunter 1886, article 37.)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cutprep.geometry.space.hinged import turn_about
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, depth_of
from cutprep.stages.fold.closing.ways.candidates import Candidate
from cutprep.stages.fold.closing.ways.tubes import PanelRow, ring_of, rows_of
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.idle import inner_vertices

#: An end panel's score runs along the row within this (cosine of 25 degrees).
_ALONG = 0.9
#: Edges nearer than this to one line leave a corner free (sine of 1 degree).
_ONE_LINE = 0.02
#: How far two panels may miss a corner between them, and one panel its angle (cosines).
_MISS, _MISFIT = 0.02, 0.05
#: What speaks against gussets that stand outwards: they are meant inwards unless drawn otherwise.
_OUTWARDS = 2.0
#: A score of more than this is a fold, degrees.
_FOLD = 1.0

Pose = tuple[Points, Points]


def corner_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Build tubes of four walls whose ends have inner corners."""
    around = {v: _in_turn(frame, v, ks) for v, ks in inner_vertices(frame.part).items()}
    around = {v: ks for v, ks in around.items() if len(ks) > 3}
    if not around or not frame.across:
        return
    areas = frame.part.areas
    rows = sorted(rows_of(frame), key=lambda r: (-round(float(areas[list(r.panels)].sum()), 1), r.panels))
    for row in [r for r in rows if ring_of(r) is not None][:1]:
        ring = ring_of(row)
        assert ring is not None
        for pair in (0, 1):
            for meeting in (True, False):
                for inwards in (True, False):
                    built = _Build(frame, constraints, around, row, ring, inwards)
                    if built.raise_ends(pair, meeting):
                        yield Candidate("corners", built.finished(), 0.0 if inwards else _OUTWARDS)


def _in_turn(frame: FoldingFrame, vertex: int, hinges: Sequence[int]) -> list[int]:
    """Hinges round a vertex, counter-clockwise."""
    return sorted(hinges, key=lambda k: float(np.arctan2(*_away(frame, vertex, k)[::-1])))


def _away(frame: FoldingFrame, vertex: int, hinge: int) -> Points:
    """Direction of a hinge away from a vertex at one of its ends."""
    h = frame.part.hinges[hinge]
    ends = h.ends if h.tips[0] == vertex else h.ends[::-1]
    return np.asarray((ends[1] - ends[0]) / h.length)


class _Build:
    """A part being put up panel by panel."""

    def __init__(
        self,
        frame: FoldingFrame,
        constraints: FoldConstraints,
        around: dict[int, list[int]],
        row: PanelRow,
        ring: tuple[int, Points],
        inwards: bool,
    ) -> None:
        self.frame, self.constraints, self.around, self.row, self.inwards = (
            frame,
            constraints,
            around,
            row,
            inwards,
        )
        first, folds = ring
        self.known = {
            k: float(folds[(i - first) % len(folds)]) * constraints.sense for i, k in enumerate(row.hinges)
        }
        self.poses: dict[int, Pose] = {row.panels[first]: (np.eye(3), np.zeros(3))}
        self.walls: list[list[int]] = [[row.panels[first]]]
        for i in range(first + 1, first + len(folds)):
            flat = abs(folds[i - 1 - first]) < _FOLD
            self.walls[-1].append(row.panels[i]) if flat else self.walls.append([row.panels[i]])
        if abs(folds[-1]) < _FOLD:  # the ring begins in the middle of a wall
            self.walls[0] = self.walls.pop() + self.walls[0]
        self.areas = frame.part.areas
        self._spread()
        middles = [self._lift(p, self._middle(p)) for wall in self.walls for p in wall if p in self.poses]
        self.centre = np.mean(middles, axis=0)

    def _middle(self, panel: int) -> Points:
        return np.asarray(self.frame.rings[panel].mean(axis=0))

    def _lift(self, panel: int, xy: Points) -> Points:
        turn, shift = self.poses[panel]
        return np.asarray(turn[:, :2] @ xy + shift)

    def raise_ends(self, pair: int, meeting: bool) -> bool:
        """Fold the end panels of two facing walls; False when there are none at inner corners, or they can't meet."""
        if len(self.walls) != 4:
            return False
        width = dict(zip(self.row.panels, self.row.widths, strict=True))
        apart = sum(width[p] for p in self.walls[(pair + 1) % 4])
        found = False
        for wall in (self.walls[pair], self.walls[pair + 2]):
            for panel in wall:
                for hinge, end in self._ends_of(panel):
                    deep = depth_of(self.frame, end, hinge)
                    if meeting and deep <= apart / 2:
                        continue
                    lean = float(np.degrees(np.arcsin(apart / 2 / deep))) if meeting else 90.0
                    self.known[hinge] = lean * self.constraints.sense
                    found = True
                    if meeting:  # what goes on beyond where they meet stands upright
                        for beyond, _ in self._beyond(end, hinge):
                            self.known[beyond] = -lean * self.constraints.sense
        return found

    def _ends_of(self, wall: int) -> list[tuple[int, int]]:
        """Hinges of a wall along the row with an inner corner at one end, and the panels beyond."""
        part = self.frame.part
        found = []
        for k in part.hinges_at(wall):
            h = part.hinges[k]
            along = (h.ends[1] - h.ends[0]) / h.length
            level = abs(float(along @ np.array(self.row.across))) > _ALONG
            if k not in self.row.hinges and level and set(h.tips) & set(self.around):
                found.append((k, h.other(wall)))
        return found

    def _beyond(self, panel: int, hinge: int) -> list[tuple[int, int]]:
        """Panels that go on from one across scores parallel to its own."""
        part = self.frame.part
        h = part.hinges[hinge]
        u = (h.ends[1] - h.ends[0]) / h.length
        return [
            (k, part.hinges[k].other(panel))
            for k in part.hinges_at(panel)
            if k != hinge and abs(float(u @ (part.hinges[k].ends[1] - part.hinges[k].ends[0]))) > _ALONG * part.hinges[k].length
        ]  # fmt: skip

    def finished(self) -> Points:
        """Place all panels; give every fold angle, degrees."""
        while True:
            if self._spread() or self._bridge(1) or self._copy() or self._bridge(2):
                continue
            if not self._default():
                break
        part = self.frame.part
        return np.array([self._angle(k) for k in range(len(part.hinges))])

    def _angle(self, hinge: int) -> float:
        h = self.frame.part.hinges[hinge]
        one, two = self.poses[h.a][0], self.poses[h.b][0]
        along = one[:, :2] @ ((h.ends[1] - h.ends[0]) / h.length)
        sine = float(np.cross(one[:, 2], two[:, 2]) @ along)
        return float(np.degrees(np.arctan2(sine, float(one[:, 2] @ two[:, 2]))))

    def _open(self) -> list[tuple[int, int, int]]:
        """Hinges between a panel that stands and one that doesn't."""
        found = []
        for k, h in enumerate(self.frame.part.hinges):
            if (h.a in self.poses) != (h.b in self.poses):
                found.append((k, *((h.a, h.b) if h.a in self.poses else (h.b, h.a))))
        return found

    def _put(self, hinge: int, on: int, panel: int, degrees: float) -> None:
        h = self.frame.part.hinges[hinge]
        along = (h.ends[1] - h.ends[0]) / h.length * (1.0 if h.b == panel else -1.0)
        spin = turn_about(np.array([[*along, 0.0]]), np.radians([degrees]))[0]
        origin = np.array([*h.ends[0], 0.0])
        turn, shift = self.poses[on]
        self.poses[panel] = (turn @ spin, turn @ (origin - spin @ origin) + shift)

    def _spread(self) -> bool:
        """Put up what hangs on a known fold."""
        for k, on, panel in self._open():
            if k in self.known:
                self._put(k, on, panel, self.known[k])
                return True
        return False

    def _copy(self) -> bool:
        """Fold what looks alike alike."""
        seen: dict[tuple[int, ...], int] = {}
        for k, h in enumerate(self.frame.part.hinges):
            if h.a in self.poses and h.b in self.poses:
                seen.setdefault(self._look(k), k)
        for k, on, panel in self._open():
            if self._look(k) in seen:
                self._put(k, on, panel, self._angle(seen[self._look(k)]))
                return True
        return False

    def _look(self, hinge: int) -> tuple[int, ...]:
        h = self.frame.part.hinges[hinge]
        return (round(h.length), *sorted(round(float(self.areas[p]), -1) for p in (h.a, h.b)))  # type: ignore[arg-type]

    def _default(self) -> bool:
        for k, on, panel in self._open():
            self._put(k, on, panel, 90.0 * self.constraints.sense)
            return True
        return False

    def _bridge(self, most: int) -> bool:
        """Put up one panel, or two, between known edges of a corner."""
        part = self.frame.part
        for vertex, ring in self.around.items():
            count = len(ring)
            panels = []
            for i, k in enumerate(ring):
                nxt = ring[(i + 1) % count]
                both = {part.hinges[k].a, part.hinges[k].b} & {part.hinges[nxt].a, part.hinges[nxt].b}
                panels.append(both.pop() if len(both) == 1 else -1)
            for i in range(count):
                before, one, two = (panels[(i + j) % count] for j in (-1, 0, 1))
                if -1 in (before, one, two) or before not in self.poses or one in self.poses:
                    continue
                hinges = [ring[(i + j) % count] for j in range(3)]
                if two in self.poses:
                    if most == 1 and self._one(vertex, before, one, two, hinges[0], hinges[1]):
                        return True
                    continue
                ready = most == 2 and panels[(i + 2) % count] in self.poses
                if ready and self._two(vertex, before, (one, two), panels[(i + 2) % count], hinges):
                    return True
        return False

    def _one(self, vertex: int, before: int, panel: int, after: int, first: int, last: int) -> bool:
        p, q = (_away(self.frame, vertex, k) for k in (first, last))
        e, f = self.poses[before][0][:, :2] @ p, self.poses[after][0][:, :2] @ q
        if abs(float(p @ q) - float(e @ f)) > _MISFIT or abs(float(p[0] * q[1] - p[1] * q[0])) < _ONE_LINE:
            return False
        self._place(vertex, before, panel, p, q, e, f)
        return True

    def _two(self, vertex: int, before: int, pair: tuple[int, int], after: int, hinges: list[int]) -> bool:
        p, m, q = (_away(self.frame, vertex, k) for k in hinges)
        e, f = self.poses[before][0][:, :2] @ p, self.poses[after][0][:, :2] @ q
        cos = float(e @ f)
        if 1.0 - cos * cos < _ONE_LINE**2:
            return False
        a, b = float(p @ m), float(m @ q)
        u, v = (a - b * cos) / (1 - cos * cos), (b - a * cos) / (1 - cos * cos)
        flat = u * e + v * f
        rest = 1.0 - float(flat @ flat)
        if rest < -_MISS:
            return False
        up = np.cross(e, f)
        off = np.sqrt(max(rest, 0.0)) * up / np.linalg.norm(up)
        at = self._lift(before, self.frame.part.xy[vertex])
        sides = [flat + off, flat - off]
        inner = int(np.argmin([np.linalg.norm(at + x - self.centre) for x in sides]))
        x = sides[inner if self.inwards else 1 - inner]
        x = x / np.linalg.norm(x)
        for panel, ends in ((pair[0], (p, m, e, x)), (pair[1], (m, q, x, f))):
            if abs(float(ends[0][0] * ends[1][1] - ends[0][1] * ends[1][0])) < _ONE_LINE:
                return False
            self._place(vertex, before, panel, *ends)
        return True

    def _place(
        self, vertex: int, before: int, panel: int, p: Points, q: Points, e: Points, f: Points
    ) -> None:
        """Put a panel up so that two directions from a corner become two in space."""
        side = np.sign(p[0] * q[1] - p[1] * q[0])
        across, up = q - (p @ q) * p, f - (e @ f) * e
        across, up = across / np.linalg.norm(across), up / np.linalg.norm(up)
        flat = np.array([[*p, 0.0], [*across, 0.0], [0.0, 0.0, side]]).T
        space = np.array([e, up, np.cross(e, up)]).T
        turn = space @ flat.T
        xy = self.frame.part.xy[vertex]
        self.poses[panel] = (turn, self._lift(before, xy) - turn[:, :2] @ xy)
