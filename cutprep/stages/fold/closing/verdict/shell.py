"""Which panels enclose the room, which lie on them in layers, and which stick out."""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heapify, heappop, heappush

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.arches import arches_of
from cutprep.stages.fold.closing.verdict.contact import Contacts, Stretch, area_of, touched, uncovered
from cutprep.stages.fold.closing.verdict.state import PanelSide, State, depth_of

#: A panel that others in its plane cover by at least this share may be a layer on them.
_COVERED = 0.5
#: One as large as those it lies on is a layer only when this share is covered; smaller means this share of area.
_ALL_COVERED, _SMALLER = 0.85, 0.6
#: Of two panels whose areas differ by less than this share, the one further out is the layer.
_ALIKE = 0.1
#: ... unless it is larger by more than this share: a glue flap narrows a little, the wall it lies on does not.
_WIDER = 0.02
#: A panel is taken out of the shell only if that leaves less open, by at least this, mm.
_GAIN = 2.0
#: What areas that are added up may be too small by, as a share.
_ROUNDING = 1e-3  # not a tolerance: keeps a bound above what it bounds
#: A side that touches others along this share is a seam.
_SEAM = 0.8
#: A layer closes a slit beside its own fold up to so many times the reach, or this share of its own depth: flaps are
#: cut narrower than walls, and the flap that lies beneath may be shorter than the box is deep.
_BRIDGED, _BRIDGED_SHARE = 1.75, 0.3
#: Walls whose normals are opposite within this (cosine) face one another.
_FACING = 0.9
#: Stretches whose ends are nearer than this go on from one another, mm.
_JOINED = 2.5


@dataclass(frozen=True, slots=True, eq=False)
class Shell:
    """The panels of a folded part sorted.

    Attributes
    ----------
    panels
        Those that enclose the room.
    layers
        Layers in the order in which they were taken off, the innermost first, and what each lies on.
    extras
        Panels that neither enclose nor lie on anything.
    open
        Stretches of the shell's border that touch nothing.
    partitions
        Those of the extras that part the room: all round they touch other panels, and without them nothing is open.
    arches
        Those of the extras that are handles over the room.
    """

    panels: frozenset[int]
    layers: dict[int, tuple[int, ...]]
    extras: frozenset[int]
    open: tuple[tuple[PanelSide, Stretch], ...]
    partitions: frozenset[int] = frozenset()
    arches: frozenset[int] = frozenset()


class Sorter:
    """Takes panels off the shell one by one."""

    def __init__(self, state: State, contacts: Contacts, reach: float) -> None:
        self.state, self.contacts, self.reach = state, contacts, reach
        self.shell = set(range(len(state.corners)))
        self.layers: dict[int, tuple[int, ...]] = {}
        self.extras: set[int] = set()
        self.partitions: set[int] = set()
        self.arches: frozenset[int] = frozenset()
        self._touched: dict[tuple[int, int, bool], dict[int, list[Stretch]]] = {}
        part = state.frame.part
        self.beside: list[list[tuple[int, int]]] = [[] for _ in self.shell]
        for k, h in enumerate(part.hinges):
            self.beside[h.a].append((h.b, k))
            self.beside[h.b].append((h.a, k))
        self.doubled = {rim for rim in state.frame.rims if self._turns_back(rim)}
        self.turned_in = frozenset(p for pair in state.frame.apart for p in pair)
        self.areas = part.areas
        across = (part.hinges[k] for k in state.frame.across)
        self.ringed = {p for h in across for p in (h.a, h.b)}
        self._shares: dict[int, float] = {}

    def _turns_back(self, rim: int) -> bool:
        """Whether the walls on both sides of a narrow rim face one another."""
        beside = {q for q, _ in self.beside[rim]}
        pairs = [tuple(pair) for pair in self.state.frame.apart if pair <= beside]
        return any(float(self.state.normal(a) @ self.state.normal(b)) < -_FACING for a, b in pairs)

    def sort(self) -> Shell:
        """Take off the layers, then what sticks out, then what stands within and the layers that held it."""
        self._peel()
        self._shed()
        while self._part_off():
            self._peel()
        border = []
        for panel in sorted(self.shell):
            for number, side in enumerate(self.state.frame.sides[panel]):
                if self._on_border(side):
                    border += [(side, s) for s in self.open_of(panel, number)]
        extras, partitions = frozenset(self.extras), frozenset(self.partitions)
        return Shell(frozenset(self.shell), self.layers, extras, tuple(border), partitions, self.arches)

    def _peel(self) -> None:
        while True:
            first = self._first()
            if first is None:
                return
            panel = self._outer(first)
            shared = self.contacts.flush[panel]
            under = [q for q in shared if q in self.shell]
            self.layers[panel] = tuple(sorted(under, key=lambda q: (-round(shared[q].area, 2), q)))
            self._leave(panel)

    def _leave(self, *panels: int) -> None:
        """Take panels off the shell: what they covered is covered no more."""
        self.shell.difference_update(panels)
        for panel in panels:
            for other in self.contacts.flush[panel]:
                self._shares.pop(other, None)

    def _ties(self, panel: int) -> bool:
        """Whether a panel at an inner corner closes what it hangs on: a gusset folded back is part of the shell."""
        if panel not in self.state.frame.cornered:
            return False
        return self._gain(panel) < -_GAIN

    def _first(self) -> int | None:
        """The covered panel that goes next, if one may: those that may be covered most are looked at first."""
        inside = [p for p, shared in self.contacts.flush.items() if shared and p in self.shell]
        queue = [(self._order(p, most), p, False) for p in inside if (most := self._at_most(p)) >= _COVERED]
        heapify(queue)
        while queue:
            _, panel, known = heappop(queue)
            if not known:
                if self._covered(panel):
                    heappush(queue, (self._order(panel, self._share(panel)), panel, True))
            elif self._may_go(panel) and not self._ties(panel):
                return panel
        return None

    def _order(self, panel: int, share: float) -> tuple[float, float, int, int]:
        """What is covered most goes first, then the smaller, then what is further out."""
        return (
            -round(share, 1),
            round(float(self.areas[panel]), 1),
            -self.state.frame.depth[panel],
            panel,
        )

    def _at_most(self, panel: int) -> float:
        """The largest share of a panel that others of the shell may cover: those overlap one another."""
        if panel in self._shares:
            return self._shares[panel]
        common = sum(g.area for q, g in self.contacts.flush[panel].items() if q in self.shell)
        return float(common) / float(self.areas[panel]) + _ROUNDING

    def _outer(self, panel: int) -> int:
        """Of panels as good as equal that cover one another, the one furthest out, if it is no larger."""
        depth = self.state.frame.depth
        largest = (1.0 + _WIDER) * self.areas[panel]
        equal = [
            q
            for q in self.contacts.flush[panel]
            if q in self.shell
            and (1.0 - _ALIKE) * self.areas[panel] < self.areas[q] < largest
            and depth[q] > depth[panel]
            and self._covered(q)
            and self._may_go(q)
        ]
        return max(equal, key=lambda q: (depth[q], -q), default=panel)

    def _share(self, panel: int) -> float:
        """Which share of a panel others of the shell cover."""
        if panel not in self._shares:
            self._shares[panel] = self._share_now(panel)
        return self._shares[panel]

    def _share_now(self, panel: int) -> float:
        shared = [g for q, g in self.contacts.flush[panel].items() if q in self.shell]
        if not shared:
            return 0.0
        common = shared[0].area if len(shared) == 1 else area_of(shared)
        return float(common) / float(self.areas[panel])

    def _covered(self, panel: int) -> bool:
        """Whether a panel lies on others: as good as all of it, or half of one clearly smaller than they."""
        share = self._share(panel)
        if share < _COVERED:
            return False
        largest = max(self.areas[q] for q in self.contacts.flush[panel] if q in self.shell)
        return bool(share >= _ALL_COVERED or self.areas[panel] <= _SMALLER * largest)

    def _may_go(self, panel: int) -> bool:
        """Whether the shell hangs together without a panel."""
        rest = self.shell - {panel}
        if not rest:
            return False
        start = next(q for q, _ in self.beside[panel] if q in rest) if self._has(panel, rest) else min(rest)
        seen, todo = {start}, [start]
        while todo:
            for q, _ in self.beside[todo.pop()]:
                if q in rest and q not in seen:
                    seen.add(q)
                    todo.append(q)
        return len(seen) == len(rest)

    def _has(self, panel: int, rest: set[int]) -> bool:
        return any(q in rest for q, _ in self.beside[panel])

    def _shed(self) -> None:
        """Take out tabs round an open end and handles, then panels that leave less open when they are gone."""
        tabs = self.shell & self.state.frame.end_tabs
        self._leave(*tabs)
        self.arches = arches_of(self.state, self.contacts, self.shell, self._open_along)
        self._leave(*self.arches)
        self.extras |= tabs | self.arches
        while len(self.shell) > 2:
            gains = [(self._gain(p), -p) for p in self.shell if self._open_on(p)]
            gains = [
                g for g in sorted(gains, reverse=True) if g[0] > self._worth(-g[1]) and self._may_go(-g[1])
            ]
            if not gains:
                return
            panel = -gains[0][1]
            self._leave(panel)
            self.extras.add(panel)

    def _part_off(self) -> bool:
        """Take out a panel that stands within the room, if there is one."""
        for panel in sorted(self.shell - self.ringed, key=lambda p: (-self.state.frame.depth[p], p)):
            lies = any(q in self.shell for q in self.contacts.flush[panel])
            if lies or self._open_on(panel) or not self._may_go(panel):
                continue
            if self._gain(panel) > -_GAIN:
                self._leave(panel)
                self.extras.add(panel)
                self.partitions.add(panel)
                return True
        return False

    def _open_along(self, side: PanelSide) -> float:
        """How much of one side touches nothing, mm."""
        return self._length(self.open_of(side.panel, self.state.frame.sides[side.panel].index(side)))

    def _open_on(self, panel: int) -> list[tuple[PanelSide, Stretch]]:
        """Open stretches of one panel."""
        sides = enumerate(self.state.frame.sides[panel])
        return [(s, o) for n, s in sides if self._on_border(s) for o in self.open_of(panel, n)]

    def _worth(self, panel: int) -> float:
        """What has to be gained: nothing, for a panel that touches no other; one that meets a seam stays."""
        meets = False
        for number, side in enumerate(self.state.frame.sides[panel]):
            if self._on_border(side) and self.touching(panel, number):
                meets = True
                if self._length(self.open_of(panel, number)) < (1.0 - _SEAM) * side.length:
                    return np.inf
        inner = sum(other in self.shell for other, _ in self.beside[panel])
        if inner > 1 and panel not in self.ringed:
            return np.inf
        return _GAIN if meets else -_GAIN

    def _span(self, panel: int) -> float:
        """How wide one panel stands open, mm: a header's outline counts as the straight below it."""
        ends = np.array([_cut_out(s, o) for s, o in self._open_on(panel)]).reshape(-1, 2, 2)
        if not len(ends):
            return 0.0
        loose = loose_ends(ends)
        if len(loose) == 2:
            return float(np.hypot(*(loose[1] - loose[0])))
        return float(np.hypot(*(ends[:, 1] - ends[:, 0]).T).sum())

    def _gain(self, panel: int) -> float:
        """How much less stays open, mm, when a panel and the layers on it are taken out."""
        sides = self.state.frame.sides
        without = frozenset({panel, *(p for p, under in self.layers.items() if panel in under)})
        then = 0.0
        for other, hinge in self.beside[panel]:
            if other in self.shell:
                for n, s in enumerate(sides[other]):
                    if s.hinge == hinge:
                        then += self._length(self.open_of(other, n, without))
        leaned = 0.0
        for other in self.shell - {panel}:
            for n, s in enumerate(sides[other]):
                if self._on_border(s) and panel in self.touching(other, n):
                    leaned += self._length(self.open_of(other, n, without))
                    leaned -= self._length(self.open_of(other, n))
        return self._span(panel) - then - leaned

    @staticmethod
    def _length(stretches: list[Stretch]) -> float:
        return sum(b - a for a, b in stretches)

    def _on_border(self, side: PanelSide) -> bool:
        if side.hinge < 0:
            return True
        h = self.state.frame.part.hinges[side.hinge]
        return h.other(side.panel) not in self.shell

    def touching(self, panel: int, number: int) -> dict[int, list[Stretch]]:
        """What one side of a panel touches, and where."""
        key = (panel, number, False)
        if key not in self._touched:
            side = self.state.frame.sides[panel][number]
            self._touched[key] = touched(self.state, side, self.reach)
        return self._touched[key]

    def open_of(self, panel: int, number: int, without: frozenset[int] = frozenset()) -> list[Stretch]:
        """The stretches of a side that touch nothing, with some panels out of the way."""
        side = self.state.frame.sides[panel][number]
        beyond = -1
        if side.hinge >= 0:
            beyond = self.state.frame.part.hinges[side.hinge].other(panel)
            if panel in self.doubled and beyond in self.turned_in:
                return [(0.0, side.length)]  # the top of a doubled wall, however thin, meets nothing above
        stretches = [
            s
            for q, found in self.touching(panel, number).items()
            if q not in self.extras and q != beyond and q not in without
            for s in found
        ]
        if beyond in self.layers:
            stretches += self._bridged(panel, number, beyond)
        return uncovered(side.length, stretches, 2.0 * self.reach)

    def _bridged(self, panel: int, number: int, layer: int) -> list[Stretch]:
        """Where a layer that hangs on a side reaches over a slit to what it lies on."""
        key = (panel, number, True)
        if key not in self._touched:
            side = self.state.frame.sides[panel][number]
            wide = _BRIDGED_SHARE * depth_of(self.state.frame, layer, side.hinge)
            self._touched[key] = touched(self.state, side, max(_BRIDGED * self.reach, wide))
        hinged = {q for q, _ in self.beside[panel]}
        under = set(self.layers[layer]) & self.shell - hinged
        return [s for q, found in self._touched[key].items() if q in under for s in found]


def _cut_out(side: PanelSide, stretch: Stretch) -> Points:
    """Ends of a stretch of a side, flat, (2, 2)."""
    u = (side.ends[1] - side.ends[0]) / side.length
    return np.array([side.ends[0] + stretch[0] * u, side.ends[0] + stretch[1] * u])


def loose_ends(ends: Points, within: float = _JOINED, *, round_itself: bool = True) -> Points:
    """Where chains of stretches begin and end, (k, d).

    Parameters
    ----------
    ends
        (n, 2, d) ndarray of float: stretches that run one way round.
    within
        Ends that lie no further apart are joined, mm.
    round_itself
        A stretch may be joined to its own other end.
    """
    starts, stops = ends[:, 0], ends[:, 1]
    far = np.linalg.norm(starts[:, None] - stops[None], axis=2)
    if not round_itself:
        np.fill_diagonal(far, np.inf)
    return np.vstack((starts[far.min(axis=1) > within], stops[far.min(axis=0) > within]))


def shell_of(state: State, contacts: Contacts, reach: float) -> Shell:
    """Sort the panels of a folded part into shell, layers and extras."""
    return Sorter(state, contacts, reach).sort()
