"""Lines cut back to an area: what lies within it stays, in order, direction and flags.

Lines wholly inside stay as they are, vertex for vertex; the others are cut segment by segment. Serves the clips of
SVG and the boundaries of inserts in DXF.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

import numpy as np
import shapely

from cutprep.model.lines import Flags, Index, Points

Pieces = list[tuple[Points, Flags]]


class Flat(Protocol):
    """Lines on the plane."""

    @property
    def xy(self) -> Points:
        """Vertices, (n, 2), mm."""

    @property
    def curved(self) -> Flags:
        """Which of them lie on a curve, (n,)."""

    @property
    def start(self) -> Index:
        """Where each line starts, and the last one ends, (m + 1,)."""


def cut_back(
    flat: Flat, lines: Index, area: shapely.Geometry, least: float, spend: Callable[[float], None]
) -> dict[int, Pieces]:
    """Cut the lines that are not wholly inside: line to what remains of it.

    Parameters
    ----------
    flat
        Lines.
    lines
        (k,) ndarray of int: those to be cut.
    area
        What they are cut back to, mm.
    least
        Shortest piece, mm.
    spend
        Told of the work, segments times corners, before it is done; may refuse it by an exception.
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
    spend(float(len(across) * shapely.get_num_coordinates(area)))
    cut = dict(zip(across.tolist(), shapely.intersection(segments[across], area), strict=True))
    first = (np.cumsum(counts) - counts).tolist()
    return {
        line: _remains(*_line(flat, line), inside[i : i + n], cut, i, least)
        for line, i, n in zip(lines.tolist(), first, counts.tolist(), strict=True)
    }


def put_in_place(flat: Flat, pieces: Mapping[int, Pieces]) -> tuple[Points, Flags, Index, Index]:
    """Put what remains in the place of the lines that were cut.

    Returns
    -------
    xy, curved, start, line
        Columns as before, and for each line the one that it was, (m,).
    """
    xy, curved, line = [], [], []
    for i in range(len(flat.start) - 1):
        for points, flags in pieces.get(i, [_line(flat, i)]):
            xy.append(points)
            curved.append(flags)
            line.append(i)
    counts = np.array([len(points) for points in xy], dtype=np.int64)
    return (
        np.concatenate(xy) if xy else np.empty((0, 2)),
        np.concatenate(curved) if curved else np.empty(0, dtype=bool),
        np.concatenate(([0], np.cumsum(counts))).astype(np.int64),
        np.array(line, dtype=np.int64),
    )


def _line(flat: Flat, i: int) -> tuple[Points, Flags]:
    rows = slice(int(flat.start[i]), int(flat.start[i + 1]))
    return flat.xy[rows], flat.curved[rows]


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
