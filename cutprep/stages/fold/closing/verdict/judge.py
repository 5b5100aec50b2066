"""The one verdict on every way of folding a part, read off what coincides and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.closeness.proximity import components
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.contact import (
    Contacts,
    Stretch,
    area_of,
    contacts_of,
    touched,
    uncovered,
)
from cutprep.stages.fold.closing.verdict.profiles import (
    alike_along,
    chain_ends,
    in_turn,
    ruled_between,
    with_chords,
)
from cutprep.stages.fold.closing.verdict.rim import Rim
from cutprep.stages.fold.closing.verdict.shell import Shell, loose_ends, shell_of
from cutprep.stages.fold.closing.verdict.state import PanelSide, State
from cutprep.stages.fold.closing.work import JUDGED

#: Rims flatter than this are flat, mm.
RIM_FLAT = 1.0
#: How much of that a rim may bend in a way that was not solved exactly.
_FLAT_ENOUGH = 1.3
#: An opening narrower than this is a gap, not a rim, mm.
NARROW_OPENING = 6.0
#: Open stretches no longer than this, or than this share of the border, are corners that don't meet: mm.
_SMALL_OPENING, _SMALL_SHARE = 16.0, 0.03
#: A side of which this share is open meets nothing.
_WHOLE = 0.95
#: Headers are at least this wide, mm.
_LEAST_HEADER = 20.0
#: A panel that rises above a rim by less is too high, by more a header, mm.
_LEAST_RISE = 10.0
#: So many panels that all rise above their rim are a crown: its points or waves are meant so.
_CROWN = 3
#: The walls of a crown meet along this share of their border.
_CROWNED = 0.3
#: An opening leans towards a panel when the cosine of their normals exceeds this.
_LEANS = 0.3
#: A face is short of something when more than this is missing, mm2, in its direction (cosine).
_LEAST_MISSING, _FACING = 1.0, 0.95
#: Crossing pairs that make a tangle.
_HOPELESS = 24
#: A panel of which this share of the border touches nothing stands alone.
_ALONE = 0.97
#: Panels of the shell lie over one another where they share more of one than this.
_CONGRUENT = 0.03
#: Fewer panels enclose nothing.
_FEWEST = 3
#: A body that encloses less than this share of what its area could is flat.
_FLAT = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """What one way of folding gives.

    Attributes
    ----------
    volume
        Enclosed, mm3; positive when the side seen in the drawing is inside.
    flat
        It encloses next to nothing.
    border, seam_length
        Length of the shell's border, and how much of it coincides with something, mm.
    """

    state: State
    contacts: Contacts
    shell: Shell
    rims: tuple[Rim, ...]
    volume: float
    flat: bool
    border: float
    seam_length: float
    limit: float

    def touching(self, side: PanelSide) -> dict[int, list[Stretch]]:
        """What a side touches, and where."""
        return touched(self.state, side, self.limit)

    @property
    def bad_rims(self) -> tuple[Rim, ...]:
        """Openings that no box has: not in one plane, a mere gap, or petals that hardly touch at their feet."""
        bare = self.seam_length < _CROWNED * self.border
        return tuple(
            r
            for r in self.rims
            if r.bend > _FLAT_ENOUGH * RIM_FLAT or r.width < NARROW_OPENING or (bare and r.is_crown)
        )

    @property
    def open_length(self) -> float:
        """Length of all openings, mm; an edge that rises above what it meets opens nothing."""
        return sum(r.length for r in self.openings)

    @property
    def openings(self) -> tuple[Rim, ...]:
        """Rims round an opening."""
        return tuple(r for r in self.rims if len(r.corners))

    @property
    def uneven(self) -> bool:
        """Whether a rim rises and falls."""
        return any(r.profiles for r in self.rims)

    @property
    def laps(self) -> bool:
        """Whether panels of the shell lie over one another."""
        areas, shell = self.state.frame.part.areas, self.shell.panels
        return any(
            g.area > _CONGRUENT * areas[p]
            for p in shell
            for q, g in self.contacts.flush[p].items()
            if q in shell
        )

    @property
    def sound(self) -> bool:
        """Nothing torn, nothing crossing, every panel explained, every opening a rim."""
        return (
            self.state.closure_error <= self.limit
            and not self.contacts.crossing
            and not self.contacts.tangled
            and not self.bad_rims
            and not self.unexplained
            and not self.loners
            and (self.seam_length > 0 or bool(self.shell.layers))
            and (self.flat or len(self.shell.panels) >= _FEWEST)
        )

    @property
    def loners(self) -> tuple[int, ...]:
        """Panels of the shell that hang on one hinge and touch nothing else."""
        sides, part = self.state.frame.sides, self.state.frame.part
        open_: dict[int, float] = {}
        for side, (a, b) in self.shell.open:
            open_[side.panel] = open_.get(side.panel, 0.0) + b - a
        found = []
        for panel in sorted(self.shell.panels - self.state.frame.rims):
            hinges = [k for k in part.hinges_at(panel) if part.hinges[k].other(panel) in self.shell.panels]
            border = sum(s.length for s in sides[panel] if s.hinge not in hinges)
            if len(hinges) == 1 and open_.get(panel, 0.0) > _ALONE * border:
                found.append(panel)
        return tuple(found)

    @property
    def unexplained(self) -> tuple[int, ...]:
        """Panels that enclose nothing, lie on nothing and don't just go on from their neighbour."""
        level = self.state.degrees
        found = []
        under = {q for panels in self.shell.layers.values() for q in panels}
        placed = under | self.state.frame.end_tabs | self.shell.partitions | self.shell.arches
        for panel in sorted(self.shell.extras - placed):
            hinges = self.state.frame.part.hinges_at(panel)
            if all(abs(level[k]) > 1.0 for k in hinges):
                found.append(panel)
        return tuple(found)

    @property
    def cost(self) -> float:
        """What speaks against it, in mm of open edge; for ways that are not sound."""
        open_ = sum(r.length for r in self.bad_rims)
        torn = 20.0 * max(0.0, self.state.closure_error - self.limit)
        areas = self.state.frame.part.areas
        loose = float(sum(np.sqrt(areas[p]) for p in self.unexplained))
        crossing = sum(size for _, _, size in self.contacts.crossing)
        rims = sum(r.length for r in self.rims)
        rims += 1e4 * self.contacts.tangled
        return open_ + torn + 2.0 * loose + 2.0 * crossing + 0.1 * rims


def judge(state: State, limit: float) -> Judged:
    """Judge one way of folding.

    Parameters
    ----------
    limit
        Distance within which edges coincide, mm.
    """
    state.frame.work.spend(JUDGED * len(state.corners))
    contacts = contacts_of(state, limit, _HOPELESS)
    if contacts.tangled:  # nothing to be read off it
        every = Shell(frozenset(range(len(state.corners))), {}, frozenset(), ())
        return Judged(state, contacts, every, (), 0.0, flat=True, border=1.0, seam_length=0.0, limit=limit)
    shell = shell_of(state, contacts, limit)
    border = sum(
        side.length
        for p in shell.panels
        for side in state.frame.sides[p]
        if side.hinge < 0 or state.frame.part.hinges[side.hinge].other(p) not in shell.panels
    )
    small = max(_SMALL_OPENING, _SMALL_SHARE * border)
    rims = tuple(r for r in _rims(state, shell, limit) if r.length > small or _stands_free(r))
    open_ = sum(r.length for r in rims)
    volume = _volume(state, contacts, shell, rims)
    area = float(state.frame.part.areas[sorted(shell.panels)].sum())
    flat = abs(volume) < _FLAT * area**1.5 / np.sqrt(36 * np.pi)
    return Judged(state, contacts, shell, rims, volume, bool(flat), border, max(0.0, border - open_), limit)


def _stands_free(rim: Rim) -> bool:
    """Whether an open stretch, however short beside the whole border, is a whole side that meets nothing."""
    return any(s.length > _SMALL_OPENING and b - a > _WHOLE * s.length for s, (a, b) in rim.stretches)


def _ends(state: State, side: PanelSide, stretch: Stretch) -> Points:
    a, b = state.lift(side.panel, side.ends)
    u = (b - a) / side.length
    return np.array([a + stretch[0] * u, a + stretch[1] * u])


def _rims(state: State, shell: Shell, limit: float) -> tuple[Rim, ...]:
    """Put open stretches together to loops."""
    if not shell.open:
        return ()
    ends = np.array([_ends(state, *s) for s in shell.open])
    groups = linked(ends, _linking(limit))
    found = []
    for g in range(int(groups.max()) + 1):
        members = np.flatnonzero(groups == g)
        found.append(_rim(state, shell, limit, [shell.open[k] for k in members.tolist()], ends[members]))
    return tuple(sorted(found, key=lambda r: -r.length))


def linked(ends: Points, within: float) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Number the groups of stretches (k, 2, 3) that share an end within a distance."""
    count = len(ends)
    points = ends.reshape(-1, 3)
    far = np.linalg.norm(points[:, None] - points[None], axis=2)
    one, two = np.nonzero(np.triu(far < within, 1))
    return np.unique(components(count, one // 2, two // 2), return_inverse=True)[1]


def _rim(
    state: State, shell: Shell, limit: float, stretches: list[tuple[PanelSide, Stretch]], ends: Points
) -> Rim:
    panels = np.array([s.panel for s, _ in stretches])
    length = float(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).sum())
    if (panels == panels[0]).all() and _is_header(state, int(panels[0]), ends, limit):
        return Rim(tuple(stretches), 0.0, (int(panels[0]),), length, np.inf, np.empty((0, 3)))
    among, between = with_chords(state, stretches, panels, ends, limit)
    outer = chain_ends(among, between, _linking(limit))
    points = np.vstack(outer) if len(outer) > 2 else ends.reshape(-1, 3)
    points = points if len(points) > 3 else ends.reshape(-1, 3)
    centre = points.mean(axis=0)
    normal = np.linalg.svd(points - centre, full_matrices=False)[2][-1]
    bend = max(float(np.abs((points - centre) @ normal).max()), _overshoot(stretches))
    if (panels == panels[0]).all():
        bend = max(bend, _rise(ends))
    headers = tuple(
        sorted(
            {int(p) for p in panels if np.abs((ends[panels == p] - centre) @ normal).max() > bend + RIM_FLAT}
        )
    )
    profiles = alike_along(state, panels, ends, centre, normal, headers)
    headers = tuple(p for p in headers if p not in profiles)
    if headers and _wall_missing(state, shell, set(panels.tolist()), set(headers), normal):
        bend = max(bend, float(np.abs((ends.reshape(-1, 3) - centre) @ normal).max()))
    spanned = np.cross(ends[:, 0] - centre, ends[:, 1] - centre).sum(axis=0) / 2
    width = 4.0 * float(np.linalg.norm(spanned)) / max(length, 1.0)
    return Rim(tuple(stretches), bend, headers, length, width, points, profiles)


def _wall_missing(state: State, shell: Shell, panels: set[int], headers: set[int], normal: Points) -> bool:
    """Whether an uneven opening runs along a base: then a wall is missing there, and nothing is a header.

    A base is a panel on which two others or more hang, and that an opening above it doesn't meet
    square.
    """
    part = state.frame.part
    for panel in sorted(panels):
        others = [part.hinges[k].other(panel) for k in part.hinges_at(panel)]
        if sum(q in shell.panels for q in others) > 1 and abs(state.normal(panel) @ normal) > _LEANS:
            return True
    return panels == headers and len(panels) < _CROWN


def _overshoot(stretches: list[tuple[PanelSide, Stretch]]) -> float:
    """How far a side runs on beyond what it meets by a little: a wall too high, not a header, mm."""
    rest = [b - a for s, (a, b) in stretches if b - a < s.length - RIM_FLAT]
    return max((r for r in rest if r < _LEAST_RISE), default=0.0)


def _rise(ends: Points) -> float:
    """How far a chain of stretches stands off the straight between its ends, mm."""
    loose = loose_ends(ends)
    if len(loose) != 2 or np.linalg.norm(loose[1] - loose[0]) < NARROW_OPENING:
        return 0.0  # a border all round, but for reliefs at its corners
    along = (loose[1] - loose[0]) / np.linalg.norm(loose[1] - loose[0])
    away = ends.reshape(-1, 3) - loose[0]
    return float(np.linalg.norm(away - np.outer(away @ along, along), axis=1).max())


def _is_header(state: State, panel: int, ends: Points, limit: float) -> bool:
    """Whether the open edge of one panel rises above something that meets the panel along its foot."""
    loose = loose_ends(ends)
    if len(loose) != 2 or np.linalg.norm(loose[1] - loose[0]) < _LEAST_HEADER:
        return False
    if _rise(ends) < _LEAST_RISE:
        return False
    along = (loose[1] - loose[0]) / np.linalg.norm(loose[1] - loose[0])
    for k in state.frame.part.hinges_at(panel):
        middle = state.lift(panel, state.frame.part.hinges[k].ends).mean(axis=0) - loose[0]
        off = float(np.linalg.norm(middle - (middle @ along) * along))
        if abs(state.degrees[k]) < 1.0 and limit < off < _LEAST_RISE:
            return False  # straight on from a score that misses what it should fold round
    foot = PanelSide(panel, -1, state.lower(panel, loose))
    met = [s for found in touched(state, foot, limit).values() for s in found]
    rest = uncovered(foot.length, met, 2.0 * limit)
    return sum(b - a for a, b in rest) < 0.5 * foot.length


def _linking(limit: float) -> float:
    """How far apart ends of one loop of open stretches may lie, mm."""
    return 4.0 * limit + 1.0


def _volume(state: State, contacts: Contacts, shell: Shell, rims: tuple[Rim, ...]) -> float:
    """What the shell encloses, every rim closed by a fan from its middle (divergence theorem)."""
    members = sorted(shell.panels)
    # Seen from the middle of the largest rim, that rim counts for nothing, however it was pieced together.
    open_ = [r.corners for r in rims if len(r.corners)]
    anchor = (open_[0] if open_ else np.vstack([state.corners[p] for p in members])).mean(axis=0)
    total = 0.0
    faces = _faces(state, contacts, shell)
    if not open_:
        anchor = _where_short(state, faces, anchor)
    for p, area in faces.items():
        total += float((state.shift[p] - anchor) @ state.normal(p)) * area
    for rim in rims:
        ends = np.array([_ends(state, *s) for s in rim.stretches])
        panels = np.array([s.panel for s, _ in rim.stretches])
        if rim.profiles:
            one, two = (in_turn(ends[panels == p]) for p in rim.profiles)
            total += ruled_between(one, two[::-1], anchor)
            continue
        outer = chain_ends(panels, ends, _linking(0.0))
        middle = (np.vstack(outer) if outer else ends.reshape(-1, 3)).mean(axis=0)
        for p in np.unique(panels).tolist():
            spanned = -np.cross(ends[panels == p, 0] - middle, ends[panels == p, 1] - middle).sum(axis=0) / 2
            if p in rim.headers:  # what rises above the rim encloses nothing: cut it off at the rim
                above = _above(state, p, ends[panels == p])
                total -= float((state.shift[p] - anchor) @ state.normal(p)) * above
                spanned = spanned + state.normal(p) * above
            total += float((middle - anchor) @ spanned)
    return -total / 3.0


def _where_short(state: State, faces: dict[int, float], anchor: Points) -> Points:
    """A point in the plane of the face that its flaps don't fill: seen from there what is missing counts for nothing.

    The areas of a closed body add up to nothing as vectors; what is left over is what is missing.
    """
    missing = -sum((area * state.normal(p) for p, area in faces.items()), np.zeros(3))
    size = float(np.linalg.norm(missing))
    facing = [p for p in faces if float(state.normal(p) @ missing) > _FACING * size]
    if size < _LEAST_MISSING or not facing:
        return anchor
    return np.asarray(state.corners[max(facing, key=lambda p: (round(faces[p], 1), -p))].mean(axis=0))


def _faces(state: State, contacts: Contacts, shell: Shell) -> dict[int, float]:
    """Area that each panel adds to the shell; where panels that face one way overlap, once."""
    found: dict[int, float] = {}
    for p in sorted(shell.panels):
        alike = [
            shared
            for q, shared in contacts.flush[p].items()
            if q in found and state.normal(p) @ state.normal(q) > 0
        ]
        found[p] = state.frame.shapes[p].area - (area_of(alike) if alike else 0.0)
    return found


def _above(state: State, panel: int, ends: Points) -> float:
    """Area between a panel's open stretches and the straight that closes them, mm2."""
    flat = state.lower(panel, ends.reshape(-1, 3)).reshape(-1, 2, 2)
    origin = flat.reshape(-1, 2).mean(axis=0)
    a, b = flat[:, 0] - origin, flat[:, 1] - origin
    loop = loose_ends(ends)
    area = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()) / 2
    if len(loop) == 2:
        last, first = state.lower(panel, loop[::-1]) - origin
        area += float(last[0] * first[1] - last[1] * first[0]) / 2
    return area
