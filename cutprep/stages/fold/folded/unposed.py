"""A report of a posed drawing as one of the drawing: places turned back, panels numbered as the drawing has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.geometry.lines.pose import CanonicalPose
from cutprep.model.drawing import Drawing
from cutprep.model.duties import Feature
from cutprep.model.folded import Corner, Flap, FoldReport, Gusset, Hinge, Mate, Motion, Panel
from cutprep.model.lines import Index, Points
from cutprep.stages.fold.net.part import HingedPart
from cutprep.units import letters

#: Areas are compared, and places of equal panels, to so many decimals of mm2 and mm.
_DECIMALS = 3
#: What is left of a direction beyond so many decimals is noise.
_EXACT = 12


class DrawingPlaces:
    """Place in the drawing of a point of its pose.

    Parameters
    ----------
    drawing
        Where the points are.
    pose
        How it was laid.
    """

    def __init__(self, drawing: Drawing, pose: CanonicalPose) -> None:
        self.file = drawing.lines.element(0).file if len(drawing.lines) else None
        self.pose = pose

    def __call__(self, xy: Sequence[float]) -> Place:
        """The point of the drawing, and its file."""
        x, y = self.back(xy)
        return Place(file=self.file, xy=(x, y))

    def back(self, xy: Sequence[float]) -> tuple[float, float]:
        """The point of the drawing, mm."""
        return _spot(xy, self.pose)

    def within(self, polygon: shapely.Polygon) -> tuple[float, float]:
        """A point of a panel away from its edges, mm, where one would choose it in the drawing."""
        rings = [_ring(shapely.get_coordinates(r), self.pose) for r in (polygon.exterior, *polygon.interiors)]
        spot = shapely.Polygon(rings[0], rings[1:]).representative_point()
        x, y = self.pose.there(np.array([[spot.x, spot.y]]))[0].tolist()
        return x, y


def panels_of(part: HingedPart, at: DrawingPlaces) -> tuple[Panel, ...]:
    """The panels of a part, from the largest to the smallest, equal ones named as they lie in the drawing from left to right.

    Parameters
    ----------
    at
        Gives the place of a point of the pose in the drawing.
    """
    size = [round(p.area, _DECIMALS) for p in part.polygons]
    middles = [at.back(p.centroid.coords[0]) for p in part.polygons]
    spots = [(round(x, _DECIMALS), round(y, _DECIMALS)) for x, y in middles]
    names = [0] * len(size)
    first = 0
    for k in range(1, len(size) + 1):
        if k == len(size) or size[k] != size[first]:
            for name, p in enumerate(sorted(range(first, k), key=lambda p: spots[p]), start=first):
                names[p] = name
            first = k
    found = []
    for k, ring in enumerate(part.rings):
        holes = tuple(part.xy[[*h, h[0]]] for h in part.net.holes[part.panels[k]])
        inner = at.within(part.polygons[k])
        found.append(Panel(letters(names[k]), part.xy[[*ring, ring[0]]], holes, inner_point=inner))
    return tuple(found)


def unposed(report: FoldReport, pose: CanonicalPose) -> FoldReport:
    """Turn what a report tells back into the drawing; its panels are numbered by their names, its findings as they are."""
    order = sorted(
        range(len(report.panels)), key=lambda p: (len(report.panels[p].name), report.panels[p].name)
    )
    number = np.empty(len(order), np.int64)
    number[order] = np.arange(len(order))
    hinges = [_hinge(h, number, pose) for h in report.hinges]
    row = sorted(range(len(hinges)), key=lambda k: (hinges[k].a, hinges[k].b))
    planes = report.inside_planes * ([1.0, -1.0, 1.0, 1.0] if pose.mirrored else 1.0)
    (x, y), z = pose.vectors_back(np.array([report.up[:2]]))[0].round(_EXACT).tolist(), report.up[2]
    return replace(
        report,
        panels=tuple(_panel(report.panels[p], pose) for p in order),
        hinges=tuple(hinges[k] for k in row),
        mates=tuple(sorted((_mate(m, number, pose) for m in report.mates), key=_pair)),
        flaps=tuple(sorted((_flap(f, number) for f in report.flaps), key=lambda f: f.panel)),
        gussets=tuple(_gusset(g, number) for g in report.gussets),
        corners=tuple(_corner(c, pose) for c in report.corners),
        inside_planes=planes,
        motion=None if report.motion is None else _motion(report.motion, number, np.array(row, np.int64)),
        base=int(number[report.base]) if len(number) else report.base,
        up=(x + 0.0, y + 0.0, round(z, _EXACT) + 0.0),
        features=tuple(_feature(f, number, pose) for f in report.features),
        alternatives=tuple(unposed(r, pose) for r in report.alternatives),
    )


def _run(xy: Points, pose: CanonicalPose) -> Points:
    """What lay left of a run lies left of it."""
    back = pose.back(xy)
    return back[::-1] if pose.mirrored else back


def _ring(xy: Points, pose: CanonicalPose) -> Points:
    """A closed outline from its leftmost corner on."""
    ring = _run(xy, pose)[:-1]
    first = int(np.lexsort(ring.round(_DECIMALS).T[::-1])[0])
    return np.asarray(ring[[*range(first, len(ring)), *range(first + 1)]])


def _spot(xy: Sequence[float], pose: CanonicalPose) -> tuple[float, float]:
    x, y = pose.back(np.array(xy, np.float64)).tolist()
    return x, y


def _panel(panel: Panel, pose: CanonicalPose) -> Panel:
    outline, holes = _ring(panel.outline, pose), tuple(_ring(h, pose) for h in panel.holes)
    return replace(panel, outline=outline, holes=holes, inner_point=_spot(panel.inner_point, pose))


def _hinge(hinge: Hinge, number: Index, pose: CanonicalPose) -> Hinge:
    a, b = int(number[hinge.a]), int(number[hinge.b])
    ends = _run(hinge.ends, pose)
    if a > b:
        a, b, ends = b, a, ends[::-1]
    return replace(hinge, a=a, b=b, ends=ends)


def _mate(mate: Mate, number: Index, pose: CanonicalPose) -> Mate:
    return replace(
        mate,
        panel_a=int(number[mate.panel_a]),
        panel_b=int(number[mate.panel_b]),
        side_a=pose.back(mate.side_a),
        side_b=pose.back(mate.side_b),
    )


def _pair(mate: Mate) -> list[int]:
    return sorted((mate.panel_a, mate.panel_b))


def _flap(flap: Flap, number: Index) -> Flap:
    return replace(
        flap,
        panel=int(number[flap.panel]),
        on=int(number[flap.on]),
        target=None if flap.target is None else int(number[flap.target]),
        lies_on=tuple(int(number[p]) for p in flap.lies_on),
    )


def _gusset(gusset: Gusset, number: Index) -> Gusset:
    one, two = gusset.joins
    return replace(
        gusset,
        half_a=int(number[gusset.half_a]),
        half_b=None if gusset.half_b is None else int(number[gusset.half_b]),
        joins=(int(number[one]), int(number[two])),
    )


def _corner(corner: Corner, pose: CanonicalPose) -> Corner:
    return replace(corner, xy=_spot(corner.xy, pose))


def _feature(feature: Feature, number: Index, pose: CanonicalPose) -> Feature:
    panels = tuple(sorted(int(number[p]) for p in feature.panels))
    return replace(feature, xy=_spot(feature.xy, pose), panels=panels)


def _motion(motion: Motion, number: Index, row: Index) -> Motion:
    """Renumber panels and hinges; -1 stays what it is."""
    hinge = np.empty(len(row) + 1, np.int64)
    hinge[row], hinge[-1] = np.arange(len(row)), -1
    panel = np.append(number, -1)
    old = np.argsort(number)
    return Motion(
        number[motion.order],
        panel[motion.parent][old],
        hinge[motion.via][old],
        motion.fractions,
        motion.angles[:, row],
    )
