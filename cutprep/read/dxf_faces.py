"""The rarer line work: multilines, and the edges of faces and meshes.

Faces are drawn by their edges, as every viewer shows them from above; an edge that two faces
share is drawn once.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.read.dxf_entities import Remarks, complete, points
from cutprep.read.dxf_shapes import Shapes, straight
from cutprep.read.dxf_structure import Records, as_number

#: Bits of a multiline's state (group 71) and of its style (group 70), DXF reference.
_MLINE_CLOSED, _NO_START_CAP, _NO_END_CAP = 2, 4, 8
_START_CAP, _END_CAP = 16, 256
#: Bits of a POLYLINE that is a mesh: closed in M, closed in N.
_CLOSED_M, _CLOSED_N = 1, 32
_POSITION, _FACE = 64, 128
_POLYFACE = 64

Edges = list[tuple[int, int]]


def shape_faces(records: Records, chosen: Index, remarks: Remarks) -> Shapes:
    """Shape 3DFACE entities by their visible edges; an all visible face is one closed line."""
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
    return _straight(lines, owners)


def shape_meshes(records: Records, chosen: Index, remarks: Remarks) -> Shapes:
    """Shape POLYLINE entities that are polygon or polyface meshes, edge by edge."""
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
    return _straight(lines, owners)


def _following(records: Records, record: int) -> list[int]:
    last = record + 1
    while last < len(records) and records.kind[last] == "VERTEX":
        last += 1
    return list(range(record + 1, last))


def _places(records: Records, vertices: list[int]) -> Points:
    rows = [[records.number(v, code, 0.0) for code in (10, 20, 30)] for v in vertices]
    return np.array(rows, dtype=np.float64).reshape(-1, 3)


def _polyface(records: Records, _record: int, vertices: list[int], _state: int) -> tuple[Points, Edges]:
    """Faces name their corners from 1; a negative number hides the edge that begins there."""
    bits = [int(records.number(v, 70, 0)) for v in vertices]
    places = [v for v, b in zip(vertices, bits, strict=True) if b & _POSITION]
    edges: dict[tuple[int, int], None] = {}
    for vertex, bit in zip(vertices, bits, strict=True):
        if bit & _POSITION or not bit & _FACE:
            continue
        numbers = [int(records.number(vertex, code, 0)) for code in (71, 72, 73, 74)]
        ring = [n for n in numbers if n]
        for a, b in zip(ring, [*ring[1:], *ring[:1]], strict=True):
            if a > 0:
                edges[min(a, abs(b)) - 1, max(a, abs(b)) - 1] = None
    return _places(records, places), list(edges)


def _grid(records: Records, record: int, vertices: list[int], state: int) -> tuple[Points, Edges]:
    """A grid of m x n vertices; a smoothed one is drawn by its smooth vertices."""
    smoothed = bool(state & 4)
    rows, columns = (int(records.number(record, code + (2 if smoothed else 0), 0)) for code in (71, 72))
    frame = [int(records.number(v, 70, 0)) & 16 for v in vertices]
    drawn = [v for v, f in zip(vertices, frame, strict=True) if not (smoothed and f)]
    edges: Edges = []
    for i in range(rows):
        for j in range(columns):
            if i + 1 < rows or (state & _CLOSED_M and rows > 2):
                edges.append((i * columns + j, (i + 1) % rows * columns + j))
            if j + 1 < columns or (state & _CLOSED_N and columns > 2):
                edges.append((i * columns + j, i * columns + (j + 1) % columns))
    return _places(records, drawn), edges if rows * columns <= len(drawn) else []


def shape_multilines(records: Records, chosen: Index, styles: dict[str, int], remarks: Remarks) -> Shapes:
    """Shape MLINE entities: each of their parallel lines, with breaks and straight caps.

    Parameters
    ----------
    styles
        Handle (upper case) to the record of each MLINESTYLE.
    """
    lines: list[Points] = []
    owners: list[int] = []
    for record in chosen.tolist():
        own = _multiline(records, record, styles)
        if not own:
            remarks.broken.append(record)
        lines += own
        owners += [record] * len(own)
    return _straight(lines, owners)


def _multiline(records: Records, record: int, styles: dict[str, int]) -> list[Points]:
    vertices = _multiline_vertices(records, record)
    if len(vertices) < 2 or not vertices[0][2]:
        return []
    state = int(records.number(record, 71, 0))
    closed = bool(state & _MLINE_CLOSED)
    elements = min(len(v[2]) for v in vertices)
    lines: list[Points] = []
    for element in range(elements):
        at = np.array([place + miter * params[element][0] for place, miter, params, _ in vertices])
        nexts = np.roll(at, -1, axis=0)
        last = len(vertices) if closed else len(vertices) - 1
        broken = any(len(v[2][element]) > 2 for v in vertices[:last])
        if not broken:
            lines.append(np.vstack((at, at[:1])) if closed else at)
            continue
        for i in range(last):
            lines += _dashes(at[i], nexts[i], vertices[i][3], vertices[i][2][element])
    style = styles.get(records.text(record, 340).upper())
    look = int(records.number(style, 70, 0)) if style is not None else 0
    if not closed:
        lines += _caps(vertices, state, look)
    return lines


def _caps(vertices: list[_Vertex], state: int, look: int) -> list[Points]:
    """Straight caps across the ends."""
    caps = []
    for vertex, wanted in (
        (vertices[0], look & _START_CAP and not state & _NO_START_CAP),
        (vertices[-1], look & _END_CAP and not state & _NO_END_CAP),
    ):
        reach = [p[0] for p in vertex[2]]
        if wanted and len(reach) > 1:
            caps.append(np.array([vertex[0] + vertex[1] * r for r in (min(reach), max(reach))]))
    return caps


def _dashes(begin: Points, end: Points, direction: Points, params: list[float]) -> list[Points]:
    """Strokes between the breaks of one element; params[1:] are where strokes and gaps begin."""
    marks = [begin + direction * p for p in params[1:]]
    if len(marks) % 2:
        marks.append(end)
    return [np.array(pair) for pair in zip(marks[::2], marks[1::2], strict=True)]


_Vertex = tuple[Points, Points, list[list[float]], Points]


def _multiline_vertices(records: Records, record: int) -> list[_Vertex]:
    """Place, miter direction, numbers of each element, and direction of the next stroke."""
    found: list[_Vertex] = []
    for code, value in records.pairs(record):
        number = as_number(str(value), 0.0)
        if code == 11:
            found.append((np.array([number, 0.0, 0.0]), np.zeros(3), [], np.zeros(3)))
        if not found:
            continue
        place, miter, params, direction = found[-1]
        axis, kind = divmod(code, 10)
        if axis in {1, 2, 3} and kind in {1, 2, 3}:
            (place, direction, miter)[kind - 1][axis - 1] = number
        elif code == 74:
            params.append([])
        elif code == 41 and params:
            params[-1].append(number)
    return [(p, m, [e or [0.0] for e in params], d) for p, m, params, d in found]


def _straight(lines: list[Points], owners: list[int]) -> Shapes:
    node = np.vstack(lines) if lines else np.zeros((0, 3))
    counts = np.array([len(line) for line in lines], np.int64)
    return straight(node, counts, np.array(owners, np.int64))
