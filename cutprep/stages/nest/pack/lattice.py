"""Interlocked step and repeat: the best lattice found from the outline itself, not from its box.

A *cell* is one copy, or a copy and its half turn side by side; a lattice repeats the cell by two
steps u and v. Which steps are allowed is read from the cell's no-fit polygon N (all shifts of
the cell at which it would touch itself): u lies on the edge of N, and v on the edge of N
repeated along u, where it encloses the least area with u. Lattices with u along the sheet's
edges give straight rows; the densest of all are kept too, and with free turns they are turned so
that u runs along an edge.

References
----------
J. Stoyan and G. Yaskov name such packings double-lattice packings; the construction from the
Minkowski difference follows G. Kuperberg and W. Kuperberg, "Double-lattice packings of convex
bodies in the plane", Discrete & Computational Geometry 5 (1990), 389-397.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.affine import apply, turn
from cutprep.model.lines import Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.edge import edge_of
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.shape import fills_its_box, shifted
from cutprep.stages.nest.pack.greedy import Board
from cutprep.stages.nest.pack.grid import SLACK

#: Points tried along the edge of a no-fit polygon: offsets of a pair, and first steps.
_OFFSETS = 16
_STEPS = 16
#: Rounds in which the neighbourhood of the best offsets is looked at more closely, and how many.
_REFINEMENTS = 2
_BEST = 4
#: Positions of the lattice tried on the sheet, in each direction.
_PHASES = 8
#: Second steps are looked for so far to both sides, in first steps: what lies beyond is the same lattice again.
_WINDOW = 0.5 + 1e-6  # not a tolerance: rounding
#: Lattices that are tried in all positions.
_REFINED = 12


@dataclass(frozen=True, slots=True)
class Lattice:
    """Poses with their offsets, repeated by two steps.

    Attributes
    ----------
    members
        Pose and offset (x, y) of each copy in a cell, mm.
    u, v
        The steps, mm.
    """

    members: tuple[tuple[Pose, float, float], ...]
    u: tuple[float, float]
    v: tuple[float, float]

    @property
    def cell(self) -> float:
        """Area of sheet that one copy takes up, mm2."""
        return abs(self.u[0] * self.v[1] - self.u[1] * self.v[0]) / len(self.members)


def lattices_for(board: Board, demand: int) -> tuple[Lattice, ...]:
    """All lattices worth counting, whatever the size of the board; none for boxes, whose densest is the plain grid."""
    if fills_its_box(board.shapes[demand], board.allowed[demand][0]):
        return ()
    return tuple(lattices(board, demand))


def lattice_packing(board: Board, demand: int, found: Sequence[Lattice]) -> Pattern:
    """Take the lattice that places most copies of one demand on an empty sheet.

    All lattices are counted in a few positions, the most promising in many.
    """
    counts = [len(laid(board, demand, lattice, phases=1)) for lattice in found]
    order = sorted(range(len(found)), key=lambda k: (-counts[k], found[k].cell))
    best: list[PatternPlacement] = []
    for k in order[:_REFINED]:
        placements = laid(board, demand, found[k], phases=_PHASES)
        if len(placements) > len(best):
            best = placements
    return Pattern(tuple(best), "interlocked step and repeat")


def lattices(board: Board, demand: int) -> Iterator[Lattice]:
    """The lattices worth counting: straight rows first, then the densest of any direction."""
    allowed = board.allowed[demand]
    free = any(pose.turn % 90.0 for pose in allowed)
    bases = [pose for pose in allowed if pose.turn % 180.0 in (0.0, 90.0)] or list(allowed)
    bases = [pose for pose in bases if pose.turn < 180.0] or bases[:1]
    known: dict[Pose, list[Lattice]] = {}
    for pose in bases:
        before = Pose((pose.turn - 90.0) % 360.0, pose.mirror)
        if before in known:  # a search from here would find the same ones lying on their side
            yield from map(_on_its_side, known[before])
            continue
        found = _rows(board, demand, pose)
        known[pose] = list(found)
        yield from found
        found.sort(key=lambda lattice: lattice.cell)
        for lattice in found[:3]:
            region = _self_region(board, demand, lattice.members)
            edge = edge_of(region)
            least = board.shapes[demand].solid.area
            steps = _steps(lattice.members, region, edge.at(edge.stations(_STEPS)), least)
            tilted = sorted(steps, key=lambda item: item.cell)[:4]
            known[pose] += tilted
            yield from tilted
            if free:
                yield from (_straightened(item) for item in tilted)


def _rows(board: Board, demand: int, pose: Pose) -> list[Lattice]:
    """Lattices in straight rows: of one copy, and of the copy with its half turn.

    The half turn's offset is tried at stations along the edge of the no-fit polygon, then between
    the best stations and their neighbours.
    """
    found = _rows_of(board, demand, ((pose, 0.0, 0.0),))
    back = Pose((pose.turn + 180.0) % 360.0, pose.mirror)
    if back not in board.allowed[demand]:
        return found
    edge = edge_of(board.nofit.polygon(demand, pose, demand, back))
    tried: dict[float, float] = {}
    stations = edge.stations(_OFFSETS)
    for _ in range(_REFINEMENTS + 1):
        for position, (x, y) in zip(stations.tolist(), edge.at(stations).tolist(), strict=True):
            rows = _rows_of(board, demand, ((pose, 0.0, 0.0), (back, x, y)))
            tried[position] = min((row.cell for row in rows), default=np.inf)
            found += rows
        stations = _between_best(tried)
    return found


def _rows_of(board: Board, demand: int, members: tuple[tuple[Pose, float, float], ...]) -> list[Lattice]:
    region = _self_region(board, demand, members)
    return list(_steps(members, region, _axis_steps(region), board.shapes[demand].solid.area))


def _between_best(tried: dict[float, float]) -> Points:
    """Stations halfway between the best ones and their neighbours."""
    order = sorted(tried)
    best = sorted(range(len(order)), key=lambda k: (tried[order[k]], k))[:_BEST]
    pairs = {pair for k in best for pair in ((k - 1, k), (k, k + 1)) if pair[0] >= 0 and pair[1] < len(order)}
    return np.array(sorted((order[i] + order[j]) / 2 for i, j in pairs))


def laid(board: Board, demand: int, lattice: Lattice, phases: int = _PHASES) -> list[PatternPlacement]:
    """Copies of a lattice that lie inside the sheet, in the position that holds most.

    Parameters
    ----------
    phases
        Positions tried within a cell, in each direction, beside those against the edges.
    """
    starts = [np.array(shapely.bounds(board.start(demand, pose))) for pose, _, _ in lattice.members]
    if any(np.isnan(start).any() for start in starts):
        return []
    at = _positions(lattice, starts, phases)
    inside = []
    for (pose, x, y), start in zip(lattice.members, starts, strict=True):
        here = at + np.array([x, y])
        hit = ((here >= start[:2]) & (here <= start[2:])).all(axis=2)
        if board.usable.keep_out:
            region = board.start(demand, pose)
            shapely.prepare(region)
            hit &= shapely.intersects_xy(region, here[..., 0], here[..., 1])
        inside.append(hit)
    k = int(np.argmax(np.sum([hit.sum(axis=1) for hit in inside], axis=0)))
    return [
        PatternPlacement(demand, pose, float(px + x), float(py + y))
        for (pose, x, y), hit in zip(lattice.members, inside, strict=True)
        for px, py in at[k][hit[k]]
    ]


def _positions(lattice: Lattice, starts: Sequence[Points], phases: int) -> Points:
    """Every cell near the sheet, for every position of the lattice: (positions, cells, 2)."""
    basis = np.array([lattice.u, lattice.v])
    inverse = np.linalg.inv(basis)
    corner = np.min([start[:2] for start in starts], axis=0)
    shifts = _shifts(lattice, starts, phases)
    shifts = corner + np.mod((shifts - corner) @ inverse, 1.0) @ basis
    pad = np.abs(basis).sum(axis=0) + np.abs([m[1:] for m in lattice.members]).max(axis=0)
    low, high = -pad, np.max([start[2:] for start in starts], axis=0) - corner + pad
    ends = np.array([(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]) @ inverse
    first, last = np.floor(ends.min(axis=0)).astype(int), np.ceil(ends.max(axis=0)).astype(int)
    i, j = np.meshgrid(*(np.arange(f, t + 1) for f, t in zip(first, last, strict=True)), indexing="ij")
    grid = np.column_stack((i.ravel(), j.ravel())) @ basis
    grid = grid[((grid >= low) & (grid <= high)).all(axis=1)]
    return np.asarray(shifts[:, None, :] + grid[None, :, :])


def _shifts(lattice: Lattice, starts: Sequence[Points], phases: int) -> Points:
    """Positions of the lattice to try: against the left and lower edge, and within a cell."""
    xs = [start[0] - x for start, (_, x, _) in zip(starts, lattice.members, strict=True)]
    ys = [start[1] - y for start, (_, _, y) in zip(starts, lattice.members, strict=True)]
    corners = np.array([(x, y) for x in xs for y in ys])
    # One row of the lattice may touch the left edge while another touches the lower one.
    slid = [
        corner + k * np.array(step)
        for corner in corners
        for step in (lattice.u, lattice.v)
        for k in (-2.0, -1.0, 1.0, 2.0)
    ]
    level = [(x, s[1]) for x in xs for s in slid] + [(s[0], y) for y in ys for s in slid]
    part = np.arange(phases) / phases
    a, b = np.meshgrid(part, part, indexing="ij")
    within = np.column_stack((a.ravel(), b.ravel())) @ np.array([lattice.u, lattice.v])
    return np.concatenate((corners, corners[0] + within, np.array(level if phases > 1 else level[::4])))


def _self_region(board: Board, demand: int, members: Sequence[tuple[Pose, float, float]]) -> BaseGeometry:
    """Shifts at which a cell would touch itself."""
    regions = []
    for pose, x, y in members:
        for other, ox, oy in members:
            region = board.nofit.polygon(demand, pose, demand, other)
            regions.append(shifted(region, x - ox, y - oy))
    whole: BaseGeometry = shapely.union_all(regions)
    return whole


def _axis_steps(region: BaseGeometry) -> Points:
    """Least steps along x and along y beyond which the region is never met again, (2, 2)."""
    _, _, right, top = region.bounds
    along = region.intersection(shapely.LineString([(0.0, 0.0), (right + 1.0, 0.0)]))
    upward = region.intersection(shapely.LineString([(0.0, 0.0), (0.0, top + 1.0)]))
    return np.array([(along.bounds[2], 0.0), (0.0, upward.bounds[3])])


def _steps(
    members: tuple[tuple[Pose, float, float], ...], region: BaseGeometry, firsts: Points, least: float
) -> Iterator[Lattice]:
    """For each first step the second one that encloses the least area; `least` is that of one copy."""
    shapely.prepare(region)
    _, _, right, top = region.bounds
    for u in firsts:
        length = float(np.hypot(*u))
        if length <= 0:
            continue
        repeats = min(12, math.ceil(math.hypot(right, top) / length) + 1)
        if not _are_clear(region, np.arange(1, repeats + 1)[:, None] * u):
            continue
        v = _second_step(region, u, repeats, least * len(members) / length)
        if v is not None:
            yield Lattice(members, (float(u[0]), float(u[1])), (float(v[0]), float(v[1])))


def _second_step(region: BaseGeometry, u: Points, repeats: int, lowest: float) -> Points | None:
    length = float(np.hypot(*u))
    # Below the least height the copies themselves would take up more area than the cell.
    lowest *= 1 - SLACK
    corners = _between_repeats(region, u, lowest)
    height = (u[0] * corners[:, 1] - u[1] * corners[:, 0]) / length
    middle = (height > lowest) & (np.abs(corners @ u / length) <= _WINDOW * length)
    order = np.flatnonzero(middle)[np.argsort(height[middle], kind="stable")]
    points = shapely.get_coordinates(region)
    tall = float(np.abs(u[0] * points[:, 1] - u[1] * points[:, 0]).max()) / length
    for k in order[:24].tolist():
        v = corners[k]
        rows = max(1, math.ceil(tall / height[k]))
        i, j = np.meshgrid(np.arange(-repeats, repeats + 1), np.arange(1, rows + 1), indexing="ij")
        if _are_clear(region, i.reshape(-1, 1) * u + j.reshape(-1, 1) * v):
            return np.asarray(v)
    return None


def _between_repeats(region: BaseGeometry, u: Points, lowest: float) -> Points:
    """Corners of a region repeated along u, where it lies higher above u than that, for one step along u at least.

    Only what lies so high is repeated, since uniting whole regions is the longest part of the search for lattices.
    """
    length = float(np.hypot(*u))
    x, y = u / length
    far = math.hypot(*region.bounds[2:]) + 1.0
    # Cut a little lower, so that no corner of the cut itself is taken.
    low = lowest * (1 - SLACK)
    frame = [(x * a - y * h, y * a + x * h) for a, h in ((-far, low), (far, low), (far, far), (-far, far))]
    high = shapely.intersection(region, shapely.Polygon(frame))
    along = shapely.get_coordinates(high) @ u / length
    if not len(along):
        return np.zeros((0, 2))
    first, last = math.ceil(-_WINDOW - along.max() / length), math.floor(_WINDOW - along.min() / length)
    repeated = [shifted(high, k * float(u[0]), k * float(u[1])) for k in range(first, last + 1)]
    return np.asarray(shapely.get_coordinates(shapely.union_all(repeated)))


def _are_clear(region: BaseGeometry, points: Points) -> bool:
    """Whether no point lies inside the region (its edge is clear)."""
    inside = shapely.contains_xy(region, points[:, 0], points[:, 1])
    if not inside.any():
        return True
    edge = shapely.boundary(region)
    depth = shapely.distance(edge, shapely.points(points[inside]))
    return bool(depth.max() < 1e-9)  # not a tolerance: rounding of coordinates


def _on_its_side(lattice: Lattice) -> Lattice:
    """The lattice given a quarter turn, exactly."""
    members = tuple((Pose((pose.turn + 90.0) % 360.0, pose.mirror), -y, x) for pose, x, y in lattice.members)
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    return Lattice(members, (-uy, ux), (-vy, vx))


def _straightened(lattice: Lattice) -> Lattice:
    """The lattice turned so that its first step runs along x."""
    angle = round(math.degrees(math.atan2(lattice.u[1], lattice.u[0])), 6)
    back = turn(-angle)
    members = tuple(
        (Pose((pose.turn - angle) % 360.0, pose.mirror), *_turned(back, x, y))
        for pose, x, y in lattice.members
    )
    return Lattice(members, _turned(back, *lattice.u), _turned(back, *lattice.v))


def _turned(matrix: Points, x: float, y: float) -> tuple[float, float]:
    point = apply(matrix, np.array([[x, y]]))[0]
    return float(point[0]), float(point[1])
