"""What a job leaves of its sheets: the shape of all that was worked, and the room beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.job.job import Job
from cutprep.job.own.offcuts import Offcut, free_name, offcuts, write_offcuts
from cutprep.job.own.written import write_own
from cutprep.job.record.read import Record, RecordedSheet, load_record
from cutprep.job.sheets.used import used_areas
from cutprep.model.lines import Lines
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.report.costs import area_of
from cutprep.report.outcome import Outcome
from cutprep.stages.nest.item.offcut import largest_clear
from cutprep.stages.write.svg_file import write_svg
from cutprep.tolerance import Tolerance

#: What was worked takes this much on both sides of its lines, mm; lines nearer than twice that close a shape
#: that bridges leave open.
_BESIDE = 0.5
#: Fineness in which room is looked for, mm.
_CELL = 2.0
#: An offcut without a clear rectangle of such sides is not worth keeping, mm; common practice, no published source.
LEAST = 40.0


def keep_left_over(folder: Path, sheet: int | None = None) -> tuple[Offcut, ...]:
    """Keep what is left of the sheets of a job that was cut; of a job on an offcut, what is left of that.

    Parameters
    ----------
    folder
        That `prepare` wrote.
    sheet
        Number of the only sheet; None: all that differ.

    Returns
    -------
    tuple of Offcut
        Those with room enough to be worth keeping.

    Raises
    ------
    CutprepError
        When the folder holds no job, or the files can't be written.
    """
    record = load_record(folder)
    chosen = [one for one in record.sheets if sheet in (None, one.number)]
    if not chosen:
        raise JobError(f"the job has no sheet {sheet}", fix=f"It has {len(record.sheets)}.")
    kept = dict(offcuts())
    known = {one.of: one for one in kept.values()}
    marks = [_mark(record, one) for one in chosen]
    if all(mark in known for mark in marks):  # what is kept twice is kept once
        return tuple(known[mark] for mark in marks)
    chosen = [one for one, mark in zip(chosen, marks, strict=True) if mark not in known]
    before = _lain_on(record, kept)
    used = [_used(one, before) for one in chosen]
    if before is not None:
        rest = before.count - sum(one.runs for one in chosen)
        kept = {**kept, before.name: replace(before, count=rest)} if rest > 0 else _without(kept, before.name)
    found: list[Offcut] = []
    for one, shape in zip(chosen, used, strict=True):
        left = _left(record, one, shape, [*kept, *(other.name for other in found)])
        if left is not None:
            write_own(left.drawing, _drawn(shape, left))
            found.append(left)
    write_offcuts([*kept.values(), *found])
    return tuple(found)


def _mark(record: Record, sheet: RecordedSheet) -> str:
    """What tells a sheet of a job from all others."""
    return f"{record.data['digest']['whole'][:16]}-{sheet.number}"


def _without(kept: dict[str, Offcut], name: str) -> dict[str, Offcut]:
    return {one: offcut for one, offcut in kept.items() if one != name}


def _lain_on(record: Record, kept: dict[str, Offcut]) -> Offcut | None:
    """The offcut on which a job lay: it kept clear of its drawing."""
    told = [row.get("offcut", {}).get("value") for row in record.data["settings"].get("stock", [])]
    return next((kept[name] for name in told if name in kept), None)


def _used(sheet: RecordedSheet, before: Offcut | None) -> shapely.Geometry:
    """What was worked on a sheet, closed shapes filled, mm2."""
    shape = worked(sheet.planned)
    if before is None:
        return shape
    return shapely.union_all([shape, *used_areas(before.drawing, "", 0.0, Tolerance())])


def worked(moves: Moves) -> shapely.Geometry:
    """The shape of all that a tool touched; what lies inside a closed line belongs to it.

    Parameters
    ----------
    moves
        The plan of a sheet.
    """
    edges = np.stack((moves.begin, moves.xy), axis=1)[moves.down]
    if not len(edges):
        return shapely.Polygon()
    touched = shapely.union_all(shapely.linestrings(edges)).buffer(_BESIDE)
    return shapely.union_all([shapely.Polygon(part.exterior) for part in shapely.get_parts(touched)])


def clear_rectangle(used: shapely.Geometry, page: Sequence[float]) -> tuple[float, float, float, float]:
    """The largest rectangle of a sheet that nothing was worked in: left, bottom, right, top, mm."""
    columns, rows = (int(side // _CELL) for side in page)
    x, y = np.meshgrid((np.arange(columns) + 0.5) * _CELL, (np.arange(rows) + 0.5) * _CELL)
    wide = shapely.buffer(used, _CELL)
    shapely.prepare(wide)
    row, column, tall, across = largest_clear(np.asarray(~shapely.contains_xy(wide, x, y)))
    return column * _CELL, row * _CELL, (column + across) * _CELL, (row + tall) * _CELL


def _left(
    record: Record, sheet: RecordedSheet, used: shapely.Geometry, taken: Sequence[str]
) -> Offcut | None:
    clear = clear_rectangle(used, sheet.page)
    if min(clear[2] - clear[0], clear[3] - clear[1]) < LEAST:
        return None
    stock = str(record.data["sheets"][record.sheets.index(sheet)]["stock"])
    width, height = sheet.page
    return Offcut(
        name=free_name(stock, taken),
        stock=stock,
        like=str(stocks_told(record.data).get(stock, {}).get("stock", {}).get("value", stock)),
        size=sheet.page,
        clear=clear,
        free=round(width * height - float(shapely.area(used)), 1),
        count=sheet.runs,
        job=record.title,
        of=_mark(record, sheet),
    )


def stocks_told(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What a job says of each card, by its name: cards stand in the settings in the order in which they are cut."""
    names = list(dict.fromkeys(str(row["stock"]) for row in data["sheets"]))
    told = [row for row in data["settings"].get("stock", []) if "stock" in row]
    return dict(zip(names, told, strict=True)) if len(told) == len(names) else {}


def _drawn(used: shapely.Geometry, offcut: Offcut) -> str:
    """A drawing whose closed cuts show what was worked."""
    rings = [shapely.get_coordinates(part.exterior) for part in shapely.get_parts(used)]
    lines = Lines.of(rings, operation=Operation.CUT)
    return write_svg(lines, page=offcut.size, title=f"{offcut.name}, used already")


def fitting(stock: str, area: float, sizes: Sequence[tuple[float, float]]) -> Offcut | None:
    """The smallest offcut of a card on which parts have some hope to fit.

    Parameters
    ----------
    stock
        What the job calls the card, or its profile.
    area
        Of all its parts, mm2.
    sizes
        Width and height of each template, mm: each must go into the largest clear rectangle, turned or not.
    """
    long, short = max(map(max, sizes), default=0.0), max(map(min, sizes), default=0.0)
    for one in offcuts().values():
        left, bottom, right, top = one.clear
        room = sorted((right - left, top - bottom))
        # Seldom is more than two thirds of a sheet used; common practice, no published source.
        if (
            stock in (one.stock, one.like)
            and area <= one.free * 2 / 3
            and short <= room[0]
            and long <= room[1]
        ):
            return one
    return None


def offered(job: Job, outcome: Outcome) -> list[Offcut]:
    """For each card of a job an offcut on which its parts might lie; none for what lies on offcuts already."""
    taken = {batch.stock.name for batch in job.batches if batch.keep_out_drawn}
    found = []
    for stock in outcome.stocks:
        area = math.fsum(
            area_of(done.sheet.templates[spot.template], spot.part) * done.runs
            for done in outcome.sheets
            if done.stock.name == stock.name
            for spot in done.sheet.placements
        )
        sizes = [t.size for t in outcome.templates if t.stock.name == stock.name]
        one = None if stock.name in taken else fitting(stock.name, area, sizes)
        found += [] if one is None else [one]
    return found
