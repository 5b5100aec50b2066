"""A folded part as a case: the section that it leaves free inside, and the one that it takes up.

The scores lie at half the card's thickness, so a wall takes half a thickness of the room inside
and as much outside. Every layer on its inside, such as a glued tab or a turned-in wall, takes a
whole thickness more. Glue flaps are taken to lie inside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.space.halfspaces import section
from cutprep.geometry.space.hinged import angles_at as angles_of
from cutprep.geometry.space.hinged import carry, pose_panels, tree_of
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.model.lines import Points

#: A panel whose normal is nearer to upright than this closes an end (cosine).
_END = 0.9
#: A corner that bends by less than this is none, mm.
_STRAIGHT = 1e-4  # not a tolerance: rounding where two sections lie on one another
#: Verdicts of parts that have an inside.
_CASES = frozenset({Verdict.CLOSED, Verdict.OPEN_BOX, Verdict.MOVABLE})


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A part seen along the way that it opens, or along its longest way when it is closed.

    Attributes
    ----------
    name
        Of the part.
    inner, outer
        (n, 2) ndarray of float each: convex section free inside, and taken up outside, mm.
    height_in, height_out
        Along the third way: the room, and what the part takes up, mm.
    floor, roof
        Whether each end is closed.
    thickness
        Of its card, mm.
    layers
        The most layers on the inside of one wall.
    xy
        Where the part lies in its drawing, mm.
    example
        The part is movable: its sizes are those of its regular position.
    """

    name: str
    inner: Points
    outer: Points
    height_in: float
    height_out: float
    floor: bool
    roof: bool
    thickness: float
    layers: int
    xy: tuple[float, float]
    example: bool = False

    @property
    def tube(self) -> bool:
        """Whether both ends are open."""
        return not self.floor and not self.roof


def case_of(report: FoldReport) -> Case | None:
    """See a folded part as a case; None when it has no inside of straight walls."""
    tree = tree_of(report)
    if report.verdict not in _CASES or tree is None:
        return None
    turn, shift = pose_panels(tree, angles_of(report, 1.0))
    walls = [k for k, p in enumerate(report.panels) if p.role is Role.BODY and p.layer == 0]
    z = np.array(report.up)
    x = _along(report, turn, z)
    if x is None:
        return None
    frame = np.array([x, np.cross(z, x), z])
    corners = {k: carry(turn[k], shift[k], report.panels[k].outline) @ frame.T for k in walls}
    every = np.concatenate(list(corners.values()))
    low, high = float(every[:, 2].min()), float(every[:, 2].max())
    side = -1.0 if report.inside_up else 1.0
    layers = _layers(report)
    rows: list[tuple[Points, float, int]] = []
    ends = [0, 0]
    for k in walls:
        normal = side * (frame @ turn[k][:, 2])
        if abs(float(normal[2])) > _END:
            ends[int(normal[2] > 0)] = 1 + layers.get(k, 0)
        else:
            rows.append((normal, float((corners[k] @ normal).mean()), layers.get(k, 0)))
    t = report.thickness
    inside = np.array([(*n, d - t / 2 - t * count) for n, d, count in rows]).reshape(-1, 4)
    outside = np.array([(*n, d + t / 2) for n, d, _ in rows]).reshape(-1, 4)
    half = 4.0 * float(np.abs(every).max()) + 1.0
    inner = min((section(inside, h, half) for h in (low, high) if _is_open(h == high, ends)), key=_area)
    outer = [section(outside, h, half) for h in (low, high)]
    if len(inner) < 3 or np.abs(inner).max() > 0.9 * half or any(len(o) < 3 for o in outer):
        return None
    hull = shapely.MultiPoint(np.concatenate(outer).round(6)).convex_hull.simplify(_STRAIGHT)
    hull = shapely.orient_polygons(hull)
    return Case(
        name=report.name,
        inner=inner,
        outer=shapely.get_coordinates(hull)[:-1],
        height_in=high - low - sum((e - 0.5) * t for e in ends if e),
        height_out=high - low + sum(0.5 * t for e in ends if e),
        floor=bool(ends[0]),
        roof=bool(ends[1]),
        thickness=t,
        layers=max((count for *_, count in rows), default=0),
        xy=report.panels[report.base].inner_point,
        example=report.verdict is Verdict.MOVABLE,
    )


def _is_open(top: bool, ends: list[int]) -> bool:
    """Whether the section at an end counts: the open ones, or both of a closed part."""
    return not ends[int(top)] or all(ends)


def _area(ring: Points) -> float:
    return float(shapely.Polygon(ring).area) if len(ring) > 2 else 0.0


def _along(report: FoldReport, turn: Points, z: Points) -> Points | None:
    """Direction of the base's longest side, square to the way up."""
    steps = np.diff(report.panels[report.base].outline, axis=0) @ turn[report.base][:, :2].T
    level = steps - (steps @ z)[:, None] * z
    size = np.linalg.norm(level, axis=1)
    best = int(size.round(2).argmax())
    return None if size[best] < 1.0 else np.asarray(level[best] / size[best])


def _layers(report: FoldReport) -> dict[int, int]:
    """How many layers lie on each wall."""
    found: dict[int, int] = {}
    for flap in report.flaps:
        for wall in flap.lies_on or (() if flap.target is None else (flap.target,)):
            found[wall] = max(found.get(wall, 0), flap.layer)
    return found
