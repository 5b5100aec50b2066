"""Is a layout right? Everything that nesting promises, checked with shapely on the result itself.

Nothing here knows how a layout was found: hand-made placements are checked by the same code.
Gap: the parts widened by half the gap do not intersect beyond a millionth of a square
millimetre, and their distance is the gap at least; with gap 0 the parts themselves must not
intersect beyond that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.stages.nest.item.demand import Demand, Pose, is_allowed, pieces
from cutprep.stages.nest.item.pattern import Pattern, numbered
from cutprep.stages.nest.item.shape import Shape, polygon_of, shape_of, transformed
from cutprep.stages.nest.item.usable_area import UsableArea
from cutprep.stages.nest.nesting import Area
from cutprep.units import plural

#: What the templates of a proof, or their parts, take up, by identity and part.
Taken: TypeAlias = dict[tuple[int, int | None], tuple[Template, Shape]]

#: Largest area by which two parts may seem to overlap, mm2, and largest shortfall of a distance, mm:
#: what floating point leaves of parts that touch.
OVERLAP = 1e-6  # not a tolerance: rounding of coordinates, far below what a machine can step


def verify_layout(
    sheets: Sequence[Sheet],
    *,
    demands: Sequence[Demand] | None = None,
    grain: float | None = None,
    keep_out: Sequence[Area] = (),
    windows: bool = False,
    taken: Taken | None = None,
) -> Findings:
    """Check sheets: overlap, gap, margins, areas to keep out of, turns, grain, counts.

    Parameters
    ----------
    sheets
        Each with its own margin and gap.
    demands
        What was asked for; None checks neither turns nor counts.
    grain
        Direction of the stock's grain, degrees, or None.
    keep_out
        Areas of every sheet that stay free.
    windows
        Whether parts may lie in the waste windows of others.
    taken
        What former proofs of the same templates worked out; more is added to it.

    Returns
    -------
    Findings
        Errors; empty when the layout is right.
    """
    taken = {} if taken is None else taken
    seen: set[tuple[object, ...]] = set()
    found: list[Finding] = []
    for sheet in sheets:
        key = _sheet_key(sheet)
        if key not in seen:
            seen.add(key)
            found += _check_sheet(sheet, taken, keep_out, windows=windows)
    if demands is not None:
        found += _check_turns(sheets, demands, grain)
        found += _check_counts(sheets, demands)
    return tuple(found)


def is_right(
    pattern: Pattern,
    demands: Sequence[Demand],
    usable: UsableArea,
    *,
    windows: bool = False,
    taken: Taken | None = None,
) -> bool:
    """Whether a pattern passes every check but that of the counts.

    Parameters
    ----------
    pattern, demands
        Where copies lie, and what they are copies of.
    usable
        Usable area of the sheet.
    windows
        Whether parts may lie in the waste windows of others.
    taken
        As for `verify_layout`.
    """
    sheet = Sheet(
        number=1,
        width=usable.size.width,
        height=usable.size.height,
        stock="",
        templates=tuple(demand.template for demand in demands),
        placements=numbered(pattern),
        margin=usable.margin,
        gap=usable.gap,
    )
    return not verify_layout([sheet], keep_out=usable.keep_out, windows=windows, taken=taken)


def _sheet_key(sheet: Sheet) -> tuple[object, ...]:
    placements = tuple((p.template, p.x, p.y, p.turn, p.mirror, p.part) for p in sheet.placements)
    templates = tuple(id(t) for t in sheet.templates)
    return sheet.width, sheet.height, sheet.margin, sheet.gap, templates, placements


def _check_sheet(
    sheet: Sheet, shapes: Taken, keep_out: Sequence[Area], *, windows: bool
) -> Iterator[Finding]:
    taken = np.array([_taken(sheet, p, shapes, windows=windows) for p in sheet.placements], dtype=object)
    if not len(taken):
        return
    yield from _check_edges(sheet, taken)
    yield from _check_keep_out(sheet, taken, keep_out)
    yield from _check_pairs(sheet, taken)


def _taken(sheet: Sheet, placement: Placement, shapes: Taken, *, windows: bool) -> shapely.Geometry:
    template, part = sheet.templates[placement.template], placement.part
    known = shapes.get((id(template), part))
    if known is None:
        single = template
        if part is not None:
            single = Template(template.name, template.lines, (template.parts[part],))
        # The template is kept with it: while it lives, no other has its id.
        known = shapes[id(template), part] = template, shape_of(single)
    shape = known[1]
    return transformed(shape.body if windows else shape.solid, placement.matrix)


def _check_edges(sheet: Sheet, taken: np.ndarray[tuple[int], np.dtype[np.object_]]) -> Iterator[Finding]:
    bounds = shapely.bounds(taken)
    usable = np.array([sheet.margin, sheet.margin, sheet.width - sheet.margin, sheet.height - sheet.margin])
    over = np.concatenate((usable[:2] - bounds[:, :2], bounds[:, 2:] - usable[2:]), axis=1)
    for i in np.flatnonzero(over.max(axis=1) > OVERLAP).tolist():
        side = ("left", "lower", "right", "upper")[int(over[i].argmax())]
        beyond = float(over[i].max())
        yield Finding.of(
            code="outside-margin",
            problem=f"sheet {sheet.number}: copy {sheet.placements[i].copy} lies {beyond:.3f} mm "
            f"beyond the {side} margin of {sheet.margin:g} mm",
            fix="Move it inwards, or make the margin smaller.",
            places=(_where(sheet, i),),
            measure=beyond,
            limit=0.0,
        )


def _check_keep_out(
    sheet: Sheet, taken: np.ndarray[tuple[int], np.dtype[np.object_]], keep_out: Sequence[Area]
) -> Iterator[Finding]:
    for polygon in map(polygon_of, keep_out):
        area = shapely.area(shapely.intersection(taken, polygon))
        left, bottom, right, top = polygon.bounds
        for i in np.flatnonzero(area > OVERLAP).tolist():
            yield Finding.of(
                code="on-keep-out",
                problem=f"sheet {sheet.number}: copy {sheet.placements[i].copy} lies on the area to keep out "
                f"of from {left:g}, {bottom:g} to {right:g}, {top:g} mm",
                fix="Move it off, or make that area smaller.",
                places=(_where(sheet, i),),
                measure=float(area[i]),
                limit=0.0,
                unit="mm2",
            )


def _check_pairs(sheet: Sheet, taken: np.ndarray[tuple[int], np.dtype[np.object_]]) -> Iterator[Finding]:
    """Every pair of copies that lies closer than the gap."""
    tree = shapely.STRtree(taken)
    first, second = tree.query(taken, predicate="dwithin", distance=sheet.gap)
    below = first < second
    first, second = first[below], second[below]
    if not len(first):
        return
    if sheet.gap > 0:
        wide = shapely.buffer(taken, sheet.gap / 2)
        common = shapely.area(shapely.intersection(wide[first], wide[second]))
        short = sheet.gap - shapely.distance(taken[first], taken[second])
        wrong = (common > OVERLAP) | (short > OVERLAP)
    else:
        common = shapely.area(shapely.intersection(taken[first], taken[second]))
        wrong = common > OVERLAP
    for k in np.flatnonzero(wrong).tolist():
        yield _too_close(sheet, taken, int(first[k]), int(second[k]))


def _too_close(sheet: Sheet, taken: np.ndarray[tuple[int], np.dtype[np.object_]], i: int, j: int) -> Finding:
    area = float(shapely.area(shapely.intersection(taken[i], taken[j])))
    distance = float(shapely.distance(taken[i], taken[j]))
    copies = f"copies {sheet.placements[i].copy} and {sheet.placements[j].copy}"
    overlaps = area > OVERLAP
    return Finding.of(
        code="overlap" if overlaps else "gap-too-small",
        problem=f"sheet {sheet.number}: {copies} overlap by {area:.3f} mm2"
        if overlaps
        else f"sheet {sheet.number}: {copies} are {distance:.3f} mm apart; the gap is {sheet.gap:g} mm",
        fix="Move them apart." if overlaps else "Move them apart, or make the gap smaller.",
        places=(_where(sheet, i), _where(sheet, j)),
        measure=area if overlaps else distance,
        limit=0.0 if overlaps else sheet.gap,
        unit="mm2" if overlaps else "mm",
    )


def _check_turns(
    sheets: Sequence[Sheet], demands: Sequence[Demand], grain: float | None
) -> Iterator[Finding]:
    by_template = {id(demand.template): demand for demand in demands}
    for sheet in sheets:
        for i, placement in enumerate(sheet.placements):
            demand = by_template.get(id(sheet.templates[placement.template]))
            if demand is None or is_allowed(demand, Pose(placement.turn, placement.mirror), grain):
                continue
            way = f"turned by {placement.turn:g} degrees" + (" and mirrored" if placement.mirror else "")
            yield Finding.of(
                code="turn-not-allowed",
                problem=f"sheet {sheet.number}: copy {placement.copy} is {way}; "
                f"'{demand.template.name}' allows {'no' if demand.turns == 'never' else demand.turns} turns"
                + ("" if grain is None else f" with the grain along {grain:g} degrees"),
                fix="Turn it back, or allow more turns.",
                places=(_where(sheet, i),),
                measure=placement.turn,
                unit="deg",
            )


def _check_counts(sheets: Sequence[Sheet], demands: Sequence[Demand]) -> Iterator[Finding]:
    asked: Counter[tuple[int, int | None]] = Counter()
    names: dict[tuple[int, int | None], str] = {}
    for demand in demands:
        for piece, part in pieces(demand):
            asked[id(demand.template), part] += demand.copies
            names[id(demand.template), part] = piece.template.name
    placed: Counter[tuple[int, int | None]] = Counter()
    for sheet in sheets:
        for placement in sheet.placements:
            for key in _counted(sheet.templates[placement.template], placement.part, asked):
                placed[key] += sheet.runs
    for key in dict.fromkeys([*asked, *placed]):
        if asked[key] != placed[key]:
            yield Finding.of(
                code="copies-wrong",
                problem=f"{plural(placed[key], 'copy', 'copies')} of '{names.get(key, 'another template')}' "
                f"{'is' if placed[key] == 1 else 'are'} placed; {asked[key]} {'is' if asked[key] == 1 else 'are'} asked for",
                fix="Add or take away copies.",
                measure=float(placed[key]),
                limit=float(asked[key]),
                unit="copies",
            )


def _counted(
    template: Template, part: int | None, asked: Mapping[tuple[int, int | None], int]
) -> list[tuple[int, int | None]]:
    """What a placement counts for: a whole copy counts for all its parts where these are asked for."""
    if part is None and (id(template), None) not in asked and (id(template), 0) in asked:
        return [(id(template), k) for k in range(len(template.parts))]
    return [(id(template), part)]


def _where(sheet: Sheet, i: int) -> Place:
    placement = sheet.placements[i]
    return Place(
        element=f"{sheet.templates[placement.template].name}, copy {placement.copy}",
        xy=(placement.x, placement.y),
    )
