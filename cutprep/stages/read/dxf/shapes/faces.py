"""The edges of faces and meshes.

Faces are drawn by their edges, as every viewer shows them from above; an edge that two faces
share is drawn once.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.entities import Remarks, complete, points
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, straight

#: Bits of a POLYLINE that is a mesh: closed in M, closed in N.
_CLOSED_M, _CLOSED_N = 1, 32
_POSITION, _FACE = 64, 128
_POLYFACE = 64

Edges = list[tuple[int, int]]


def shape_faces(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape 3DFACE entities by their visible edges; an all visible face is one closed line; `chosen` (k,) records."""
    chosen = complete(records, chosen, (10, 20, 11, 21, 12, 22), remarks)
    corners = np.stack([points(records, chosen, code) for code in (10, 11, 12, 13)], axis=1)
    lines: list[Points] = []
    owners: list[int] = []
    for i, record in enumerate(chosen.tolist()):
        corner = corners[i]
        if not any(code == 13 for code, _ in records.pairs(record)):
            corner[3] = corner[2]
        hidden = int(records.number(record, 70, 0))
        ring = np.vstack((corner, corner[:1]))
        if hidden & 15 == 0:
            lines.append(ring)
            owners.append(record)
            continue
        for side in range(4):
            if not hidden >> side & 1:
                lines.append(ring[side : side + 2])
                owners.append(record)
    return straight_lines(lines, owners)


def shape_meshes(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape POLYLINE entities that are polygon or polyface meshes, edge by edge; `chosen` (k,) records."""
    lines: list[Points] = []
    owners: list[int] = []
    for record in chosen.tolist():
        state = int(records.number(record, 70, 0))
        vertices = _following(records, record)
        node, edges = (_polyface if state & _POLYFACE else _grid)(records, record, vertices, state)
        usable = [(a, b) for a, b in edges if max(a, b) < len(node) and a != b]
        if not usable:
            remarks.broken.append(record)
        lines += [node[[a, b]] for a, b in usable]
        owners += [record] * len(usable)
    return straight_lines(lines, owners)


def _following(records: Records, record: int) -> list[int]:
    last = record + 1
    while last < len(records) and records.kind[last] == "VERTEX":
        last += 1
    return list(range(record + 1, last))


def _positions(records: Records, vertices: list[int]) -> Points:
    rows = [[records.number(v, code, 0.0) for code in (10, 20, 30)] for v in vertices]
    return np.array(rows, dtype=np.float64).reshape(-1, 3)


def _polyface(records: Records, _record: int, vertices: list[int], _state: int) -> tuple[Points, Edges]:
    """Faces name their corners from 1; a negative number hides the edge that begins there."""
    flags = [int(records.number(v, 70, 0)) for v in vertices]
    carriers = [v for v, b in zip(vertices, flags, strict=True) if b & _POSITION]
    edges: dict[tuple[int, int], None] = {}
    for vertex, bit in zip(vertices, flags, strict=True):
        if bit & _POSITION or not bit & _FACE:
            continue
        numbers = [int(records.number(vertex, code, 0)) for code in (71, 72, 73, 74)]
        ring = [n for n in numbers if n]
        for a, b in zip(ring, [*ring[1:], *ring[:1]], strict=True):
            if a > 0:
                edges[min(a, abs(b)) - 1, max(a, abs(b)) - 1] = None
    return _positions(records, carriers), list(edges)


def _grid(records: Records, record: int, vertices: list[int], state: int) -> tuple[Points, Edges]:
    """A grid of m x n vertices; a smoothed one is drawn by its smooth vertices."""
    smoothed = bool(state & 4)
    rows, columns = (int(records.number(record, code + (2 if smoothed else 0), 0)) for code in (71, 72))
    frame = [int(records.number(v, 70, 0)) & 16 for v in vertices]
    drawn = [v for v, f in zip(vertices, frame, strict=True) if not (smoothed and f)]
    if min(rows, columns) < 1 or rows * columns > len(
        drawn
    ):  # before counting up to what a damaged file asks for
        return _positions(records, []), []
    edges: Edges = []
    for i in range(rows):
        for j in range(columns):
            if i + 1 < rows or (state & _CLOSED_M and rows > 2):
                edges.append((i * columns + j, (i + 1) % rows * columns + j))
            if j + 1 < columns or (state & _CLOSED_N and columns > 2):
                edges.append((i * columns + j, i * columns + (j + 1) % columns))
    return _positions(records, drawn), edges


def straight_lines(lines: list[Points], owners: list[int]) -> SpatialLines:
    """Straight polylines, and the record of each; each (n, 3) drawing units."""
    node = np.vstack(lines) if lines else np.zeros((0, 3))
    counts = np.array([len(line) for line in lines], np.int64)
    return straight(node, counts, np.array(owners, np.int64))
