"""Inserts with a clip boundary: their lines are cut back to what shows.

The boundary is a SPATIAL_FILTER object (DXF reference, OBJECTS section): its vertices, laid back by the inverse matrix
of the insert that it was drawn for, lie in the units of the block, and so go along with each instance of it. Clips lie
within clips where blocks do. A clip that shows what lies outside its boundary, or lies over an array, is not followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import reduce

import numpy as np
import shapely

from cutprep.model.lines import Index, Points
from cutprep.stages.read.cutting_back import Pieces, cut_back, put_in_place
from cutprep.stages.read.dxf.blocks import BlockGraph, Instances
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.entities import flags_of
from cutprep.stages.read.dxf.shapes.flat import FlatLines
from cutprep.stages.read.dxf.structure import Structure
from cutprep.tolerance import Tolerance

_INVERTED = "ACAD_INVERTEDCLIP_ROUNDTRIP"
#: Instances with clips over them, corners of one boundary, and segments times corners in all: so much is worked at.
_MOST_AREAS, _MOST_CORNERS, _MOST_CUTS = 2_000, 10_000, 20e6
#: A line along the boundary shows, mm.
_EDGE = 1e-3  # not a tolerance: rounding of coordinates in text


class ClipTooInvolvedError(Exception):
    """Cutting back takes too much work."""


@dataclass(slots=True)
class Clips:
    """INSERT records with a clip.

    Attributes
    ----------
    boundary
        Record to the (n, 2) corners of its boundary, units of the block.
    ignored
        Records whose clip can't be followed.
    lost
        Records of which lines were cut off.
    """

    boundary: dict[int, Points] = field(default_factory=dict)
    ignored: list[int] = field(default_factory=list)
    lost: set[int] = field(default_factory=set)


def find_clips(structure: Structure, walk: BlockGraph) -> Clips:
    """Find the clips over inserts.

    A filter hangs on three links, each the owner handle (330) of the next: spatial filter, filter dictionary,
    extension dictionary, insert.
    """
    records, clips = structure.records, Clips()
    objects = np.flatnonzero(structure.objects).tolist()
    filters = [i for i in objects if records.kind[i] == "SPATIAL_FILTER"]
    if not filters:
        return clips
    owner = records.texts(330, structure.objects)
    handle = records.texts(5, structure.objects)
    above = {handle[i]: owner[i] for i in objects}
    inverted = {
        above.get(owner[i], "") for i in objects if records.kind[i] == "XRECORD" and _is_inverted(records, i)
    }
    by_insert = {above.get(above.get(owner[i], ""), ""): i for i in filters}
    own = records.texts(5, flags_of(records, walk.inserts))
    for insert, cells in zip(walk.inserts.tolist(), walk.cells.tolist(), strict=True):
        clip = by_insert.get(own[insert]) if own[insert] else None
        if clip is None or records.number(clip, 71, 1.0) == 0:  # switched off
            continue
        boundary = None if cells > 1 or handle[clip] in inverted else _boundary(records, clip)
        if boundary is None:
            clips.ignored.append(insert)
        else:
            clips.boundary[insert] = boundary
    return clips


def _is_inverted(records: Records, record: int) -> bool:
    rows = range(int(records.first[record]), int(records.first[record + 1]))
    return any(records.tags.text(i) == _INVERTED for i in rows)


def _boundary(records: Records, clip: int) -> Points | None:
    """Corners in the units of the block; None when there are none."""
    flags = flags_of(records, np.array([clip]))
    x, y, cells = (records.floats(records.find(code, flags)) for code in (10, 20, 40))
    if not 2 <= len(x) == len(y) <= _MOST_CORNERS:
        return None
    corners = np.column_stack((x, y))
    if len(cells) >= 24:  # the last two matrices of three rows; a distance may stand before them
        inverse = cells[-24:-12].reshape(3, 4)
        corners = corners @ inverse[:2, :2].T + inverse[:2, 3]
    if len(corners) == 2:  # a rectangle by its diagonal
        (left, low), (right, high) = corners
        corners = np.array([(left, low), (right, low), (right, high), (left, high)])
    return corners if np.isfinite(corners).all() else None


def clip_inserts(
    flat: FlatLines, instance: Index, instances: Instances, clips: Clips, tolerance: Tolerance
) -> FlatLines:
    """Cut lines back to the clips over them.

    Parameters
    ----------
    flat
        Lines, mm.
    instance
        (m,) ndarray of int: of which instance each is.
    instances
        Knows the clips over each.
    clips
        Their boundaries; told what can't be followed, and what was lost.
    tolerance
        Pieces shorter than four times `sagitta` are dropped.
    """
    if not clips.boundary:
        return flat
    over = instances.clip[instance]
    clipped = np.flatnonzero(over >= 0)
    order = clipped[np.argsort(over[clipped], kind="stable")]
    groups = [rows for rows in np.split(order, np.flatnonzero(np.diff(over[order])) + 1) if len(rows)]
    left = _MOST_CUTS

    def spend(cuts: float) -> None:
        nonlocal left
        left -= cuts
        if left < 0:
            raise ClipTooInvolvedError

    pieces: dict[int, Pieces] = {}
    ignored: set[int] = set()
    for count, rows in enumerate(groups):
        chain = _chain(instances, int(over[rows[0]]))
        inserts = [int(instances.record[i]) for i in chain]
        try:
            if count >= _MOST_AREAS:
                raise ClipTooInvolvedError
            area = _area(
                [(instances.matrix[i], clips.boundary[r]) for i, r in zip(chain, inserts, strict=True)]
            )
            wider = shapely.buffer(area, _EDGE, join_style="mitre")
            found = cut_back(flat, rows, wider, 4 * tolerance.sagitta, spend)
        except ClipTooInvolvedError:
            ignored.update(inserts)
            continue
        pieces.update(found)
        if found:
            clips.lost.update(inserts)
    clips.ignored += sorted(ignored)
    if not pieces:
        return flat
    xy, curved, start, line = put_in_place(flat, pieces)
    return replace(
        flat,
        xy=xy,
        curved=curved,
        start=start,
        line=flat.line[line],
        tilt=flat.tilt[line],
        height=flat.height[line],
    )


def _chain(instances: Instances, clip: int) -> list[int]:
    """The instances whose clips lie over this one, itself first."""
    chain = []
    while clip >= 0:
        chain.append(clip)
        clip = int(instances.outer[clip])
    return chain


def _area(clips: Sequence[tuple[Points, Points]]) -> shapely.Geometry:
    """What all of the clips show: matrix to mm, and corners, of each."""
    rings = [corners @ matrix[:2, :2].T + matrix[:2, 3] for matrix, corners in clips]
    if not all(np.isfinite(ring).all() for ring in rings):
        raise ClipTooInvolvedError
    return reduce(shapely.intersection, (shapely.make_valid(shapely.Polygon(ring)) for ring in rings))
