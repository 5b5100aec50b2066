"""Lines to parts: which closed cuts come away from the sheet, and what lies on each.

Terms: a *ring* is a closed cut line; a *clump* is a set of open cut lines whose ends meet and
that bounds something together. A clump whose lines form one loop becomes one ring. A clump
with cuts running through its middle (panels drawn next to each other with a shared edge) keeps
its outer boundary as the ring, and the shared edges stay as cuts inside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.affine import shift
from cutprep.geometry.rings import depths, parents, signed_area
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines, Points
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
    cuts = np.flatnonzero(lines.closed & (lines.operation == Operation.CUT)).tolist()
    rings = [lines.points(i) for i in cuts]
    parent = parents(rings)
    depth = depths(parent)
    lines = _orient(lines, cuts, depth)
    owner, loose = _owners(lines, cuts, rings, parent, depth, tolerance)
    parts: list[Part] = []
    for k, i in enumerate(cuts):
        if depth[k] % 2:
            continue
        holes = tuple(cuts[h] for h in range(len(cuts)) if parent[h] == k)
        inner = tuple(line for line, ring in owner.items() if ring == k)
        parts.append(Part(outline=i, holes=holes, inner=inner, name=_name(lines, i, len(parts))))
    return Template(drawing.name, lines, tuple(parts), loose=loose, grain=main_fold(lines))


def _name(lines: Lines, outline: int, number: int) -> str:
    return lines.element(outline).label or f"part {number + 1}"


def _orient(lines: Lines, cuts: Sequence[int], depth: Sequence[int]) -> Lines:
    """Turn outlines counter-clockwise and holes clockwise."""
    reverse = np.zeros(len(lines), bool)
    for i, level in zip(cuts, depth, strict=True):
        reverse[i] = (signed_area(lines.points(i)) > 0) == bool(level % 2)
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


def close_rings(lines: Lines, tolerance: Tolerance) -> Lines:
    """Join open cut lines whose ends meet into closed ones.

    Returns
    -------
    Lines
        Ends within `tolerance.coincide` are made equal where a ring closes. Cuts that lead
        nowhere (slits) and every other line are left as they are.
    """
    open_cuts = np.flatnonzero((lines.operation == Operation.CUT) & ~lines.closed)
    if not len(open_cuts):
        return lines
    nodes = _nodes(lines, open_cuts, tolerance.coincide)
    used: set[int] = set()
    made: list[Lines] = []
    for clump in _clumps(nodes):
        ring = _loop(lines, open_cuts, nodes, clump) or _boundary(lines, open_cuts, nodes, clump)
        if ring is not None:
            made.append(ring.lines)
            used.update(int(open_cuts[e]) for e in ring.edges)
    if not made:
        return lines
    keep = np.setdiff1d(np.arange(len(lines)), np.fromiter(used, dtype=np.int64))
    return Lines.concat([lines.take(keep), *made])


@dataclass(frozen=True, slots=True)
class _Nodes:
    """Ends of the open cuts, gathered: `pair[e]` are the two nodes of edge e, `xy` where they lie."""

    pair: np.ndarray[tuple[int, int], np.dtype[np.int64]]
    xy: Points


@dataclass(frozen=True, slots=True)
class _Ring:
    lines: Lines
    edges: tuple[int, ...]


def _nodes(lines: Lines, edges: np.ndarray[tuple[int], np.dtype[np.int64]], within: float) -> _Nodes:
    """Gather ends that lie within a distance of each other, nearest first, without chaining on."""
    ends = np.concatenate((lines.xy[lines.start[edges]], lines.xy[lines.start[edges + 1] - 1]))
    tree = shapely.STRtree(list(map(shapely.Point, ends)))
    a, b = tree.query(tree.geometries, predicate="dwithin", distance=within)
    a, b = a[a < b], b[a < b]
    label = np.arange(len(ends))
    members = {i: [i] for i in range(len(ends))}
    for k in np.argsort(np.hypot(*(ends[a] - ends[b]).T), kind="stable").tolist():
        low, high = sorted((int(label[a[k]]), int(label[b[k]])))
        if low == high:
            continue
        group = members[low] + members[high]
        if np.ptp(ends[group], axis=0).max() <= within:
            label[members[high]] = low
            members[low] = group
            del members[high]
    names, first = np.unique(label, return_index=True)
    compact = np.searchsorted(names, label)
    return _Nodes(np.column_stack(np.split(compact, 2)), ends[first])


def _clumps(nodes: _Nodes) -> list[list[int]]:
    """Connected sets of edges after all dangling ones are pruned."""
    alive = set(range(len(nodes.pair)))
    at: dict[int, set[int]] = {}
    for e, (a, b) in enumerate(nodes.pair.tolist()):
        at.setdefault(a, set()).add(e)
        at.setdefault(b, set()).add(e)
    loose = [n for n, edges in at.items() if _degree(nodes, edges, n) == 1]
    while loose:
        node = loose.pop()
        for e in [e for e in at[node] if e in alive]:
            alive.discard(e)
            for other in nodes.pair[e].tolist():
                at[other].discard(e)
                if _degree(nodes, at[other], other) == 1:
                    loose.append(other)
    clumps = []
    while alive:
        queue, clump = [min(alive)], []
        alive.discard(queue[0])
        while queue:
            e = queue.pop()
            clump.append(e)
            for node in nodes.pair[e].tolist():
                more = sorted(at[node] & alive)
                alive.difference_update(more)
                queue.extend(more)
        clumps.append(sorted(clump))
    return clumps


def _degree(nodes: _Nodes, edges: set[int], node: int) -> int:
    return sum(int((nodes.pair[e] == node).sum()) for e in edges)


def _loop(
    lines: Lines, rows: np.ndarray[tuple[int], np.dtype[np.int64]], nodes: _Nodes, clump: list[int]
) -> _Ring | None:
    """Join a clump in which every node has two ends into one ring; None for any other clump."""
    at: dict[int, list[int]] = {}
    for e in clump:
        for node in nodes.pair[e].tolist():
            at.setdefault(node, []).append(e)
    if any(len(edges) != 2 for edges in at.values()):
        return None
    e, node = clump[0], int(nodes.pair[clump[0], 0])
    points, curved = [], []
    for _ in clump:
        forward = int(nodes.pair[e, 0]) == node
        row = lines.points(int(rows[e]))[:: 1 if forward else -1].copy()
        flags = lines.curves(int(rows[e]))[:: 1 if forward else -1]
        row[0] = nodes.xy[node]
        points.append(row[:-1])
        curved.append(flags[:-1])
        node = int(nodes.pair[e, 1 if forward else 0])
        first, second = at[node]
        e = second if first == e else first
    ring = np.vstack([*points, points[0][:1]])
    if len(ring) < 4:
        return None
    flags = np.append(np.concatenate(curved), False)
    return _Ring(_one(lines, int(rows[clump[0]]), ring, flags), tuple(clump))


def _boundary(
    lines: Lines, rows: np.ndarray[tuple[int], np.dtype[np.int64]], nodes: _Nodes, clump: list[int]
) -> _Ring | None:
    """Take the outer boundary of a clump with shared edges as its ring."""
    snapped = []
    for e in clump:
        row = lines.points(int(rows[e])).copy()
        row[0], row[-1] = nodes.xy[nodes.pair[e, 0]], nodes.xy[nodes.pair[e, 1]]
        snapped.append(shapely.LineString(row))
    whole = shapely.union_all(list(shapely.polygonize(snapped).geoms))
    if not isinstance(whole, shapely.Polygon) or whole.is_empty:
        return None
    outer = shapely.LineString(whole.exterior.coords)
    shapely.prepare(outer)
    edge = tuple(e for e, line in zip(clump, snapped, strict=True) if outer.covers(line))
    ring = np.asarray(whole.exterior.coords)[:, :2]
    bends = {tuple(p) for e in edge for p in lines.points(int(rows[e]))[lines.curves(int(rows[e]))].tolist()}
    flags = np.array([tuple(p) in bends for p in ring.tolist()])
    return _Ring(_one(lines, int(rows[edge[0]]), ring, flags), edge) if edge else None


def _one(lines: Lines, like: int, ring: Points, curved: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Lines:
    """One closed line with the operation and the source of another."""
    return Lines(
        xy=ring,
        start=np.array([0, len(ring)]),
        operation=lines.operation[like : like + 1],
        fold=lines.fold[like : like + 1],
        source=lines.source[like : like + 1],
        curved=curved,
        elements=lines.elements,
    )
