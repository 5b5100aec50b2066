"""Clips: lines are cut back to what shows.

Lines wholly inside a clip's area stay as they are, vertex for vertex; the others are cut segment by
segment, so that order, direction and flags of what remains are kept.
"""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.limits import Limits
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.svg.shapes.area import Areas, Budget, TooInvolvedError
from cutprep.stages.read.svg.shapes.lines import FlatShapes
from cutprep.stages.read.svg.walk import DocumentWalk
from cutprep.tolerance import Tolerance

Pieces = list[tuple[Points, Flags]]


def clip_lines(flat: FlatShapes, walk: DocumentWalk, tolerance: Tolerance, limits: Limits) -> FlatShapes:
    """Cut lines back to the clips over them; what is lost is noted.

    Parameters
    ----------
    flat
        Lines as drawn.
    walk
        Knows the clip over each shape.
    tolerance
        A line along the clip's own edge stays when it is off by no more than `sagitta`.
    limits
        For the shapes of the clips themselves.
    """
    clip_of = np.array(walk.clip_of, dtype=np.int64)[flat.shape]
    clipped = np.flatnonzero(clip_of >= 0)
    if not len(clipped):
        return flat
    areas = Areas(flat, walk, tolerance, limits)
    keys = np.array(areas.key_of, dtype=np.int64)[clip_of[clipped]]
    order = np.argsort(keys, kind="stable")
    groups = np.split(clipped[order], np.flatnonzero(np.diff(keys[order])) + 1)
    areas.prepare(int(clip_of[lines[0]]) for lines in groups)
    pieces: dict[int, Pieces] = {}
    for lines in groups:
        area = areas.area(int(clip_of[lines[0]]))
        if area is not None:
            # Half of a stroke along the edge shows, so the line is kept.
            try:
                areas.budget.spend(corners=float(shapely.get_num_coordinates(area)))
                wider = shapely.buffer(area, tolerance.sagitta, join_style="mitre")
                pieces.update(_cut(flat, lines, wider, 4 * tolerance.sagitta, areas.budget))
            except TooInvolvedError:
                walk.notes.count("clip-ignored", walk.place_of(int(flat.shape[lines[0]])), len(lines))
    return _replace(flat, pieces, walk)


def _cut(
    flat: FlatShapes, lines: Index, area: shapely.Geometry, least: float, budget: Budget
) -> dict[int, Pieces]:
    """Cut the lines that are not wholly inside: line to what remains of it.

    Raises
    ------
    TooInvolvedError
        When too many segments cross too large an area.
    """
    shapely.prepare(area)
    counts = np.diff(flat.start)[lines]
    rows = np.repeat(flat.start[:-1][lines] - (np.cumsum(counts) - counts), counts) + np.arange(counts.sum())
    whole = shapely.linestrings(flat.xy[rows], indices=np.repeat(np.arange(len(lines)), counts))
    lines = lines[~np.asarray(shapely.covers(area, whole), dtype=bool)]
    if not len(lines):
        return {}
    counts = np.diff(flat.start)[lines] - 1
    rows = np.repeat(flat.start[:-1][lines] - (np.cumsum(counts) - counts), counts) + np.arange(counts.sum())
    segments = np.asarray(shapely.linestrings(np.stack((flat.xy[rows], flat.xy[rows + 1]), axis=1)))
    inside = np.asarray(shapely.covers(area, segments), dtype=bool)
    across = np.flatnonzero(~inside & np.asarray(shapely.intersects(area, segments), dtype=bool))
    budget.spend(cuts=float(len(across) * shapely.get_num_coordinates(area)))
    cut = dict(zip(across.tolist(), shapely.intersection(segments[across], area), strict=True))
    first = (np.cumsum(counts) - counts).tolist()
    return {
        line: _remains(flat.points(line), flat.curves(line), inside[i : i + n], cut, i, least)
        for line, i, n in zip(lines.tolist(), first, counts.tolist(), strict=True)
    }


def _remains(
    points: Points, curved: Flags, inside: Flags, cut: dict[int, shapely.Geometry], first: int, least: float
) -> Pieces:
    """Pieces of one line, in order; those that only touch the area are no pieces.

    Parameters
    ----------
    points, curved
        The line.
    inside
        Which of its segments lie inside.
    cut
        What remains of those that lie across, by their number; the line's own begin with `first`.
    least
        Shortest piece.
    """
    runs: list[tuple[list[Points], list[bool]]] = []
    for i, whole in enumerate(inside.tolist()):
        if not whole and first + i not in cut:
            continue
        for a, b in [(points[i], points[i + 1])] if whole else _parts(cut[first + i], points[i]):
            if not (runs and bool((runs[-1][0][-1] == a).all())):
                runs.append(([a], [bool(curved[i]) and bool((a == points[i]).all())]))
            runs[-1][0].append(b)
            runs[-1][1].append(bool(curved[i + 1]) and bool((b == points[i + 1]).all()))
    pieces = _join_ends([(np.array(xy), np.array(flags)) for xy, flags in runs], points)
    return [_with_plain_ends(*piece) for piece in pieces if _length(piece[0]) >= least]


def _join_ends(pieces: Pieces, points: Points) -> Pieces:
    """Let a closed line that was cut elsewhere run on through its first point."""
    if len(pieces) < 2 or not bool((points[0] == points[-1]).all()):
        return pieces
    (head, head_flags), (tail, tail_flags) = pieces[0], pieces[-1]
    if not bool((head[0] == points[0]).all() and (tail[-1] == points[0]).all()):
        return pieces
    joined = np.vstack((tail, head[1:])), np.concatenate((tail_flags, head_flags[1:]))
    return [*pieces[1:-1], joined]


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _with_plain_ends(points: Points, curved: Flags) -> tuple[Points, Flags]:
    if not bool((points[0] == points[-1]).all()):
        curved = curved.copy()
        curved[[0, -1]] = False
    return points, curved


def _parts(geometry: shapely.Geometry, begin: Points) -> list[tuple[Points, Points]]:
    """Straight pieces of one segment inside an area, in the direction of the segment."""
    pieces = []
    for part in shapely.get_parts(geometry):
        xy = shapely.get_coordinates(part)
        if len(xy) >= 2:
            far = np.hypot(*(xy - begin).T)
            pieces.append((float(far.min()), xy[int(far.argmin())], xy[int(far.argmax())]))
    return [(a, b) for _, a, b in sorted(pieces, key=lambda piece: piece[0]) if not bool((a == b).all())]


def _replace(flat: FlatShapes, pieces: dict[int, Pieces], walk: DocumentWalk) -> FlatShapes:
    """Put what remains in the place of the lines that were cut."""
    if not pieces:
        return flat
    xy, curved, shape = [], [], []
    for i in range(len(flat.shape)):
        rows = slice(flat.start[i], flat.start[i + 1])
        for points, flags in pieces.get(i, [(flat.xy[rows], flat.curved[rows])]):
            xy.append(points)
            curved.append(flags)
            shape.append(flat.shape[i])
    for i, remains in pieces.items():
        walk.notes.count("clip-applied" if remains else "clip-left-out", walk.place_of(int(flat.shape[i])))
    counts = np.array([len(points) for points in xy], dtype=np.int64)
    return flat._replace(
        xy=np.concatenate(xy) if xy else np.empty((0, 2)),
        curved=np.concatenate(curved) if curved else np.empty(0, dtype=bool),
        start=np.concatenate(([0], np.cumsum(counts))).astype(np.int64),
        shape=np.array(shape, dtype=np.int64),
    )
