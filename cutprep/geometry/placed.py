"""All lines of a sheet where they really lie, with the part that each belongs to."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.model.lines import Codes, Flags, Lines, Sources
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Lines of one sheet in sheet coordinates; all columns have one entry a line.

    Attributes
    ----------
    lines
        mm, origin at the sheet's lower left.
    part
        (m,) ndarray of int32: running number of the placed part, -1 for none (loose lines,
        shared cuts).
    outline
        (m,) ndarray of bool: after this line the part is loose; shared cuts count as outlines.
    depth
        (m,) ndarray of int8: how many holes of its part lie around the line; a hole's own ring has
        the depth of what is around it.
    placement
        (m,) ndarray of int32: index into the sheet's placements, -1 for `extra` lines.
    row
        (m,) ndarray of int32: index into the template's (or `extra`'s) lines.
    """

    lines: Lines
    part: Sources
    outline: Flags
    depth: Codes
    placement: Sources
    row: Sources


def placed_lines(sheet: Sheet) -> Placed:
    """Lay a sheet's placements out.

    Parameters
    ----------
    sheet
        Lines listed in `dropped` are left out, `extra` lines are added at the end.
    """
    tables = {i: _columns(template) for i, template in enumerate(sheet.templates)}
    pieces: list[Lines] = []
    columns: dict[str, list[np.ndarray[tuple[int], np.dtype[np.int64]]]] = defaultdict(list)
    first = 0
    for number, placement in enumerate(sheet.placements):
        template = sheet.templates[placement.template]
        part, outline, depth = tables[placement.template]
        keep = np.ones(len(template.lines), bool)
        if number < len(sheet.dropped):
            keep[list(sheet.dropped[number])] = False
        if placement.part is not None:
            keep &= part == placement.part
        rows = np.flatnonzero(keep)
        pieces.append(template.lines.take(rows).transform(placement.matrix))
        columns["part"].append(np.where(part[rows] >= 0, part[rows] + first, -1))
        columns["outline"].append(outline[rows])
        columns["depth"].append(depth[rows])
        columns["placement"].append(np.full(len(rows), number))
        columns["row"].append(rows)
        first += len(template.parts)
    extra = len(sheet.extra)
    pieces.append(sheet.extra)
    columns["part"].append(np.full(extra, -1))
    columns["outline"].append((sheet.extra.operation == Operation.CUT).astype(np.int64))
    columns["depth"].append(np.zeros(extra, np.int64))
    columns["placement"].append(np.full(extra, -1))
    columns["row"].append(np.arange(extra))
    joined = {name: np.concatenate(blocks) for name, blocks in columns.items()}
    return Placed(
        lines=Lines.concat(pieces),
        part=joined["part"].astype(np.int32),
        outline=joined["outline"].astype(bool),
        depth=joined["depth"].astype(np.int8),
        placement=joined["placement"].astype(np.int32),
        row=joined["row"].astype(np.int32),
    )


def _columns(template: Template) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], ...]:
    """Part, outline and depth of each line of a template."""
    m = len(template.lines)
    part, outline, depth = np.full(m, -1), np.zeros(m, np.int64), np.zeros(m, np.int64)
    for number, piece in enumerate(template.parts):
        part[[piece.outline, *piece.holes, *piece.inner]] = number
        outline[piece.outline] = 1
        if piece.holes and piece.inner:
            holes = shapely.STRtree([shapely.Polygon(template.lines.points(h)) for h in piece.holes])
            middles = shapely.line_interpolate_point(
                [shapely.LineString(template.lines.points(i)) for i in piece.inner], 0.5, normalized=True
            )
            inside, _ = holes.query(middles, predicate="within")
            np.add.at(depth, np.asarray(piece.inner)[inside], 1)
    return part, outline, depth
