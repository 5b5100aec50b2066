"""What goes into a folded box: does a thing of given size fit, how many, and a set in a tray.

The number found is a lower bound: "at least so many".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.geometry.space.halfspaces import room, section
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.stages.fold.fit.floor_packing import MOST, TOUCH, counter_clockwise, packed, place_footprints
from cutprep.units import at_least_0, plural

#: A thing that is larger than its room by this still fits, mm: sizes in inches are rounded so.
_FITS = 1e-3  # not a tolerance: a hundredth of what a maker can measure


@dataclass(frozen=True, slots=True)
class ItemPosition:
    """Where one thing stands: middle of its footprint, mm, and whether it is turned."""

    x: float
    y: float
    z: float
    turn: float


@dataclass(frozen=True, slots=True)
class Holding:
    """How many things go in.

    Attributes
    ----------
    count
        At least so many.
    upright
        Size of the thing as it stands: along, across, up, mm.
    spots
        Where they stand, in the frame of the base.
    exact
        No more can go in.
    words
        For the maker.
    """

    count: int
    upright: tuple[float, float, float]
    spots: tuple[ItemPosition, ...]
    exact: bool
    words: str

    @property
    def fits(self) -> bool:
        """Whether at least one goes in."""
        return self.count > 0


def holds(
    report: FoldReport, size: Sequence[float], *, clearance: float = 0.0, lying: bool = True
) -> Holding:
    """Count things of one size in a folded part.

    Parameters
    ----------
    size
        Length, width, height of the thing, mm.
    clearance
        Between two things, mm; half of it to the walls.
    lying
        The thing may lie on any side; False keeps its height up.

    Raises
    ------
    JobError
        When the part has no known inside, the size is not above 0, or the clearance is below 0.
    """
    at_least_0(clearance, "the room between two things")
    if report.inside_mm is None or not len(report.inside_planes):
        raise JobError(
            f"the inside of {report.name} is not known, so nothing can be said about what it holds",
            fix="It has to close as a convex box first; see its findings.",
        )
    if len(size) != 3 or not all(np.isfinite(v) and v > 0 for v in size):
        raise JobError("the size of what goes in must be three lengths above 0", fix="Write 40x40x60mm.")
    a, b, c = (float(v) for v in size)
    ways = [(max(a, b), min(a, b), c)]
    if lying:
        ways = sorted({(p, q, r) for p, q, r in permutations((a, b, c)) if p >= q})
    best = max((_stacked(report, way, clearance) for way in ways), key=lambda h: h.count)
    if not best.count and any(_turned_fits(report, way, clearance) for way in ways):
        return Holding(1, best.upright, (), False, "one fits when it stands askew")
    if not best.count:
        return Holding(0, best.upright, (), True, _no_fit(report, (a, b, c)))
    exact = (best.count + 1) * a * b * c > room_volume(report) or (
        not lying and _one_layer_full(report, best, clearance)
    )
    along, across, up = best.upright
    word = "exactly" if exact else "at least"
    words = (
        f"{word} {best.count} of {a:g} x {b:g} x {c:g} mm {'fits' if best.count == 1 else 'fit'}{_with_room(clearance)}, "
        f"standing {up:g} mm high on {along:g} x {across:g} mm"
    )
    return Holding(best.count, best.upright, best.spots, exact, words)


def _with_room(clearance: float) -> str:
    """What is said of the room between things and to the walls."""
    return f" with {clearance:g} mm between them and {clearance / 2:g} mm to the wall" if clearance else ""


def room_volume(report: FoldReport) -> float:
    """Volume of the room inside, mm3."""
    faces = room(report.inside_planes, _reach(report.inside_planes))
    centre = np.concatenate(faces).mean(axis=0)
    total = 0.0
    for face in faces:
        ring = face - centre
        area = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0) / 2
        total += abs(float(ring[0] @ area)) / 3
    return total


def _one_layer_full(report: FoldReport, best: Holding, clearance: float) -> bool:
    """Whether only one layer has room, and its floor is too small for one thing more."""
    low, high = _heights(report)
    along, across, up = best.upright
    each = (along + clearance) * (across + clearance)
    widest = max(layer(report.inside_planes, z, z).area for z in np.linspace(low, high, 9))
    return high - low < 2 * up and widest < (best.count + 1) * each


def _no_fit(report: FoldReport, size: tuple[float, float, float]) -> str:
    assert report.inside_mm is not None
    inside = " x ".join(f"{v:.1f}" for v in report.inside_mm)
    return f"{size[0]:g} x {size[1]:g} x {size[2]:g} mm does not fit: the inside is {inside} mm"


def _stacked(report: FoldReport, way: tuple[float, float, float], clearance: float) -> Holding:
    """Stand things in layers."""
    along, across, up = (max(v - _FITS, TOUCH) for v in way)
    low, high = _heights(report)
    spots: list[ItemPosition] = []
    z = low
    while z + up <= high + TOUCH and len(spots) < MOST:
        found = packed(layer(report.inside_planes, z, z + up), along, across, clearance)
        spots += [ItemPosition(x, y, z, turn) for x, y, turn in found]
        z += up
    return Holding(len(spots), way, tuple(spots), False, "")


def _heights(report: FoldReport) -> tuple[float, float]:
    faces = room(report.inside_planes, _reach(report.inside_planes))
    z = np.concatenate(faces)[:, 2]
    return float(z.min()), float(z.max())


def _reach(planes: Points) -> float:
    """Half a block that holds the room: its planes are no further off than this."""
    return 20.0 * float(np.abs(planes[:, 3]).max()) + 1.0


def layer(planes: Points, low: float, high: float) -> shapely.Polygon:
    """Floor that is free at all heights between two, mm; in a convex room, given by its planes, (k, 4), the ends decide."""
    reach = _reach(planes)
    pad = TOUCH * 1e-2  # not a tolerance: keeps a section in the plane of an end from vanishing
    rings = [section(planes, z, reach) for z in (low + pad, max(low + pad, high - pad))]
    if any(len(r) < 3 for r in rings):
        return shapely.Polygon()
    common = shapely.Polygon(rings[0]).intersection(shapely.Polygon(rings[1]))
    return common if isinstance(common, shapely.Polygon) else shapely.Polygon()


def _turned_fits(report: FoldReport, way: tuple[float, float, float], clearance: float) -> bool:
    """Whether one thing fits when it is turned about the upright, by steps of 3 degrees."""
    half = (np.array(way) - _FITS + np.array([clearance, clearance, 0.0])) / 2
    planes = report.inside_planes
    for degrees in range(3, 90, 3):
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        turned = planes[:, :3] @ np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        shrunk = np.column_stack((planes[:, :3], planes[:, 3] - np.abs(turned) @ half + TOUCH))
        if room(shrunk, _reach(planes)):
            return True
    return False


def set_in_tray(tray: FoldReport, box: FoldReport, *, clearance: float = 1.0) -> Holding:
    """Count folded boxes standing in a folded tray.

    Parameters
    ----------
    tray, box
        Both folded; the box closes as a convex one.
    clearance
        Between two boxes, mm; half of it to the wall.

    Raises
    ------
    JobError
        When the inside of the tray or the size of the box is not known, or the clearance is below 0.
    """
    at_least_0(clearance, "the room between two things")
    if tray.inside_mm is None or box.drawn_mm is None:
        raise JobError(
            f"{tray.name if tray.inside_mm is None else box.name} has no known size",
            fix="It has to close as a convex box first; see its findings.",
        )
    outside = footprint(box, clearance)
    height = box.drawn_mm[2] + box.thickness
    low, _ = _heights(tray)
    floor = layer(tray.inside_planes, low, low + min(height, tray.inside_mm[2]))
    shapes = {0.0: outside, 90.0: outside @ np.array([[0.0, 1.0], [-1.0, 0.0]])}
    ways = [place_footprints(floor, shapes), *(place_footprints(floor, {t: s}) for t, s in shapes.items())]
    put = max(ways, key=len)
    above = height - tray.inside_mm[2]
    size = (float(np.ptp(outside[:, 0])), float(np.ptp(outside[:, 1])), height)
    if not put:
        wide, deep, _ = tray.inside_mm
        own = " x ".join(f"{v - clearance:.1f}" for v in size[:2])
        words = f"no box fits: it stands on {own} mm, and the floor is {wide:.1f} x {deep:.1f} mm"
    else:
        fit = "fits" if len(put) == 1 else "fit"
        words = f"at least {plural(len(put), 'box', 'boxes')} {fit}{_with_room(clearance)}"
        if above > 0:
            words += f"; {'it stands' if len(put) == 1 else 'they stand'} {above:.1f} mm above the rim"
    return Holding(len(put), size, tuple(ItemPosition(x, y, low, t) for x, y, t in put), False, words)


def footprint(box: FoldReport, clearance: float) -> Points:
    """Outer footprint of a box, grown by half a clearance all round: (n, 2), round its middle."""
    planes = box.inside_planes.copy()
    low, high = _heights(box)
    grown = np.column_stack((planes[:, :3], planes[:, 3] + box.thickness))
    rings = [section(grown, z, _reach(grown)) for z in (low, (low + high) / 2, high)]
    hull = shapely.MultiPoint(np.concatenate([r for r in rings if len(r)])).convex_hull
    if clearance:
        hull = hull.buffer(clearance / 2, join_style="mitre")
    ring = counter_clockwise(hull)
    return np.asarray(ring - (ring.min(axis=0) + ring.max(axis=0)) / 2)
