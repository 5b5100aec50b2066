"""Lines to parts: which outlines come away from the sheet, and what lies on each.

What an outline is, `geometry/planar` says. Each becomes one closed line here, a *ring*, however it was drawn;
what the outlines leave of their lines (slits, edges between panels, tails that run past) stays as cuts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.geometry.affine import shift
from cutprep.geometry.lines.rings import depths, parents, signed_areas
from cutprep.geometry.planar.graph.drawn import outline_lines, rest_lines
from cutprep.geometry.planar.graph.graph import EdgeKind
from cutprep.geometry.planar.plane import Plane
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import WORKED, Operation
from cutprep.model.part import Part, Template
from cutprep.tolerance import Tolerance


def divide(drawing: Drawing, tolerance: Tolerance) -> Template:
    """Divide a classified drawing into parts.

    Parameters
    ----------
    drawing
        Every line classified; guides and unplaced lines are left out of the template.
    tolerance
        `coincide` joins ends.

    Returns
    -------
    Template
        Outlines run counter-clockwise and holes clockwise; the lower left of its worked lines is
        the origin. Without any closed cut it has no parts and all its lines are loose.
    """
    worked = drawing.lines.take(np.isin(drawing.lines.operation, WORKED))
    lines = close_rings(worked, tolerance)
    left, bottom, _, _ = lines.bounds
    lines = lines.transform(shift(-left, -bottom))
    cuts = np.flatnonzero(_bounds_something(lines, tolerance)).tolist()
    rings = [lines.points(i) for i in cuts]
    parent = parents(rings)
    depth = depths(parent)
    lines = _orient(lines, cuts, depth)
    owner, loose = _owners(lines, cuts, rings, parent, depth, tolerance)
    holes: dict[int, list[int]] = defaultdict(list)
    for hole, around in enumerate(parent):
        holes[around].append(cuts[hole])
    inner: dict[int, list[int]] = defaultdict(list)
    for line, ring in owner.items():
        inner[ring].append(line)
    parts: list[Part] = []
    for k, i in enumerate(cuts):
        if depth[k] % 2:
            continue
        name = _name(lines, i, len(parts))
        parts.append(Part(outline=i, holes=tuple(holes[k]), inner=tuple(inner[k]), name=name))
    artwork = None if drawing.artwork is None else drawing.artwork.moved(-left, -bottom)
    return Template(drawing.name, lines, tuple(parts), loose=loose, grain=main_fold(lines), artwork=artwork)


def close_rings(lines: Lines, tolerance: Tolerance) -> Lines:
    """Make one closed line of every outline.

    Lines of which no outline took anything stay as they are drawn, in their order; what is left of others
    and the outlines follow.
    """
    if not ((lines.operation == Operation.CUT) & ~lines.closed).any():
        return lines
    plane = Plane(lines, tolerance)
    graph = plane.graph
    taken = np.zeros(len(lines), bool)
    taken[graph.line[graph.kind == EdgeKind.OUTLINE]] = True
    if not taken.any():
        return lines
    left = rest_lines(graph, taken)
    return Lines.concat([lines.take(~taken), left, outline_lines(graph)])


def _bounds_something(lines: Lines, tolerance: Tolerance) -> Flags:
    """Which lines are closed cuts around more than a thread, (m,)."""
    found: Flags = lines.closed & (lines.operation == Operation.CUT)
    return found & (np.abs(signed_areas(lines)) > tolerance.coincide * lines.lengths / 2)


def _name(lines: Lines, outline: int, number: int) -> str:
    return lines.element(outline).label or f"part {number + 1}"


def _orient(lines: Lines, cuts: Sequence[int], depth: Sequence[int]) -> Lines:
    """Turn outlines counter-clockwise and holes clockwise."""
    reverse = np.zeros(len(lines), bool)
    rows = np.asarray(cuts, np.int64)
    reverse[rows] = (signed_areas(lines)[rows] > 0) == (np.asarray(depth, np.int64) % 2 == 1)
    return lines.take(np.arange(len(lines)), reverse)


def _owners(
    lines: Lines,
    cuts: Sequence[int],
    rings: Sequence[Points],
    parent: Sequence[int],
    depth: Sequence[int],
    tolerance: Tolerance,
) -> tuple[dict[int, int], tuple[int, ...]]:
    """Find for each line that is no ring the ring (an even one) of the part it lies on."""
    rest = np.setdiff1d(np.arange(len(lines)), np.asarray(cuts, dtype=np.int64))
    if not len(rest):
        return {}, ()
    polygons = shapely.make_valid([shapely.Polygon(ring) for ring in rings])
    areas = shapely.area(polygons)
    middles = shapely.line_interpolate_point(
        [shapely.LineString(lines.points(int(i))) for i in rest], 0.5, normalized=True
    )
    found: dict[int, int] = {}
    near, around = shapely.STRtree(polygons).query(middles, predicate="dwithin", distance=tolerance.coincide)
    for row, ring in sorted(
        zip(near.tolist(), around.tolist(), strict=True), key=lambda pair: areas[pair[1]]
    ):
        even = ring if depth[ring] % 2 == 0 else parent[ring]
        found.setdefault(int(rest[row]), even)
    return found, tuple(int(i) for i in rest if int(i) not in found)


def main_fold(lines: Lines) -> float | None:
    """Direction of most of the fold length, degrees in [0, 180), or None without straight folds."""
    step = np.diff(lines.xy, axis=0)
    inside = np.ones(len(step), bool)
    inside[lines.start[1:-1] - 1] = False
    folds = np.isin(np.repeat(lines.operation, lines.counts)[:-1], (Operation.SCORE, Operation.PERFORATE))
    step = step[inside & folds & ~lines.curved[:-1]]
    length = np.hypot(*step.T)
    if not length.sum() > 0:
        return None
    degrees = np.degrees(np.arctan2(step[:, 1], step[:, 0])) % 180
    binned = np.round(degrees).astype(int) % 180
    return float(np.argmax(np.bincount(binned, weights=length, minlength=180)))
