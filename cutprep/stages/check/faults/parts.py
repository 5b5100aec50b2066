"""Parts that are not what was meant: holes that lie outside, boxes without a single fold."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cutprep.geometry.planar.graph.graph import EdgeKind
from cutprep.geometry.planar.outlines import ring_polygons
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.survey import Survey

#: A part this many times smaller than the largest, and no wider than this, is more likely a hole that slipped
#: out of it; common practice, no published source. mm.
_SMALLER, _WIDEST = 50.0, 15.0
#: A box has so many panels or more; a drawing of more lines than the other is lace, not a box, nor a set of parts.
_PANELS, _LACE = 4, 5_000
#: A net has no more lines between panels than this many times its panels (webbed corners have most).
_LEAFY = 1.4
#: Pieces whose areas differ by no more than this share are tags in a row.
_ALIKE = 0.01


def find_small_parts(survey: Survey, rings: Lines) -> Iterator[Finding]:
    """Tell of small closed cuts that lie in no other outline, beside parts that are much larger."""
    if not 2 <= len(rings) <= _LACE:
        return
    polygons = ring_polygons(rings)
    area, bounds = shapely.area(polygons), shapely.bounds(polygons)
    wide = np.maximum(bounds[:, 2] - bounds[:, 0], bounds[:, 3] - bounds[:, 1])
    small = np.flatnonzero((area * _SMALLER < area.max()) & (wide <= _WIDEST))
    if not len(small):
        return
    depth = survey.outlines.depth(shapely.get_coordinates(shapely.point_on_surface(polygons[small])))
    small = small[depth == 1]
    if not len(small):
        return
    several = len(small) > 1
    yield Finding.of(
        "small-part",
        f"{len(small)} small closed cuts lie outside every other outline: each counts as a part of its own."
        if several
        else f"A closed cut {wide[small[0]]:.2f} mm wide lies outside every other outline: it counts as a part "
        "of its own.",
        places=tuple(place_of(rings, int(i)) for i in small[:MOST_PLACES]),
        measure=float(len(small)),
        limit=0.0,
        unit="parts",
    )


def find_all_cut(survey: Survey) -> Iterator[Finding]:
    """Tell of outlines that are cut into panels, as a box with its scores on the cut layer would be.

    The panels of a net are connected like a tree: by one line fewer than there are panels, or little more. Tags
    in a row do, too, but are all alike; a lattice has many more lines.
    """
    if len(survey.lines) > _LACE or _holds(survey).any() or not survey.noded.any():
        return
    graph = survey.graph
    inner = np.flatnonzero(graph.kind == EdgeKind.INNER)
    outlines = len(graph.ring) - 1
    if len(inner) < _PANELS - 1 or not graph.faces - outlines <= len(inner) <= _LEAFY * graph.faces:
        return
    edges = [
        graph.polyline(int(k))
        for k in np.flatnonzero(np.isin(graph.kind, (EdgeKind.INNER, EdgeKind.OUTLINE)))
    ]
    area = shapely.area(shapely.get_parts(shapely.polygonize([shapely.LineString(edge) for edge in edges])))
    if np.ptp(area) <= _ALIKE * area.max():
        return
    longest = int(inner[np.argmax(graph.lengths[inner])])
    yield Finding.of(
        "all-cut",
        f"Nothing is scored, and {len(area)} pieces lie side by side with cuts between them: they would fall apart.",
        places=(place_of(survey.lines, int(graph.line[longest]), graph.polyline(longest).mean(axis=0)),),
        measure=float(len(area)),
        limit=1.0,
        unit="pieces",
    )


def _holds(survey: Survey) -> Flags:
    """Lines that hold pieces together, (m,)."""
    held = (Operation.SCORE, Operation.PERFORATE, Operation.PARTIAL_CUT)
    return np.isin(survey.lines.operation, held)
