"""The shape of a template as its neighbours on the sheet see it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.errors import Place, PlanError
from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.model.sheet import Placement
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.nesting import Area

Box: TypeAlias = tuple[float, float, float, float]

#: Half the width given to a line that belongs to no part, so that neighbours keep off it, mm.
_LINE_WIDTH = 0.05
#: From so many vertices on it is tried first whether areas lie apart: a twentieth of the time of their union.
_MANY = 2000
#: Rounding of areas, mm2.
_ROUNDING = 1e-6  # not a tolerance: areas of a sheet have ten digits before it


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """What a template takes up.

    Attributes
    ----------
    solid
        Union of the filled outlines and of the loose lines, in the template's coordinates, mm.
    body
        The same with the waste windows open: holes that no line of the template crosses.
    area
        Area of the parts less their holes, mm2.
    """

    template: Template
    solid: BaseGeometry
    body: BaseGeometry
    area: float


def shape_of(template: Template) -> Shape:
    """Work out what a template takes up.

    Raises
    ------
    PlanError
        When the template has no line at all, or an outline is open; it says which.
    """
    if not len(template.lines):
        raise PlanError(f"'{template.name}' holds no line", fix="Look at its layers with `cutprep check`.")
    if not template.parts:
        return _hull(template)
    _refuse_open(template)
    pierced = _polygons(template, with_holes=True)
    filled = _polygons(template, with_holes=False) if any(part.holes for part in template.parts) else pierced
    loose = _stray(template, template.loose)
    inner = _stray(template, tuple(i for part in template.parts for i in part.inner))
    parts = body = _united(pierced)
    whole = body if filled is pierced else _united(filled)
    # A score that ends on the outline has a width, but takes up nothing beyond it: it must not make the body larger
    # than the solid, which was laid out inside the margin.
    outside = [line.intersection(whole) for line in inner if not line.covered_by(body)]
    return Shape(
        template=template,
        solid=_with(whole, loose),
        body=_with(body, [*loose, *outside]),
        area=float(shapely.area(parts)),
    )


def _united(areas: list[BaseGeometry]) -> BaseGeometry:
    """Unite areas; of those with very many vertices it is enough to see that they lie apart."""
    if len(areas) > 1 and int(shapely.get_num_coordinates(areas).sum()) > _MANY:
        beside = shapely.MultiPolygon(list(shapely.get_parts(areas)))
        if beside.is_valid:
            return beside
    whole: BaseGeometry = shapely.union_all(areas)
    return whole


def _with(area: BaseGeometry, more: list[BaseGeometry]) -> BaseGeometry:
    """An area with others; by itself it has been united already."""
    whole: BaseGeometry = shapely.union_all([area, *more]) if more else area
    return whole


def _hull(template: Template) -> Shape:
    """What a template without a closed outline takes up: the convex hull of its lines."""
    lines = [shapely.LineString(template.lines.points(i)) for i in range(len(template.lines))]
    hull = shapely.convex_hull(shapely.union_all(shapely.buffer(lines, _LINE_WIDTH, cap_style="square")))
    return Shape(template=template, solid=hull, body=hull, area=float(hull.area))


def polygon_of(area: Area) -> shapely.Polygon:
    """An area as a polygon."""
    return area if isinstance(area, shapely.Polygon) else shapely.box(*area)


def matrix_of(pose: Pose, x: float = 0.0, y: float = 0.0) -> Points:
    """The (2, 3) matrix of a pose at a position, mm; quarter turns are exact."""
    return Placement(template=0, x=x, y=y, turn=pose.turn, mirror=pose.mirror).matrix


def posed(geometry: BaseGeometry, pose: Pose) -> BaseGeometry:
    """Turn a geometry as a pose says, about the template's origin."""
    return transformed(geometry, matrix_of(pose))


def transformed(geometry: BaseGeometry, matrix: Points) -> BaseGeometry:
    """Apply a (2, 3) affine matrix to a geometry."""
    moved: BaseGeometry = shapely.transform(geometry, lambda xy: apply(matrix, xy))
    return moved


def shifted(geometry: BaseGeometry, dx: float, dy: float) -> BaseGeometry:
    """Move a geometry."""
    step = np.array([dx, dy])
    moved: BaseGeometry = shapely.transform(geometry, lambda xy: xy + step)
    return moved


def box_at(shape: Shape, pose: Pose) -> Box:
    """Left, bottom, right, top of a shape in a pose, about the template's origin, mm."""
    points = apply(matrix_of(pose), shapely.get_coordinates(shape.solid))
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def fills_its_box(shape: Shape, pose: Pose, share: float = 1.0) -> bool:
    """Whether a shape fills its box: copies can't interlock then, and the five-block heuristic does as well as can be."""
    left, bottom, right, top = box_at(shape, pose)
    return bool(shape.solid.area >= (right - left) * (top - bottom) * share - _ROUNDING)


def _refuse_open(template: Template) -> None:
    """Refuse a template of which an outline or a hole is open."""
    closed = template.lines.closed.tolist()
    for i in (i for part in template.parts for i in (part.outline, *part.holes)):
        if not closed[i]:
            element = template.lines.element(i)
            raise PlanError(
                f"an outline of '{template.name}' is open, so what it takes up is not known",
                fix="Close it; `mend` does so for small gaps.",
                place=Place(file=element.file, line=element.line, element=element.name or None),
            )


def _polygons(template: Template, *, with_holes: bool) -> list[BaseGeometry]:
    """The card of each part, made all at once; what is invalid is taken apart at its crossings."""
    rings = [(part.outline, *(part.holes if with_holes else ())) for part in template.parts]
    lines = template.lines.take([i for own in rings for i in own])
    made = np.asarray(shapely.linearrings(lines.xy, indices=np.repeat(np.arange(len(lines)), lines.counts)))
    owner = np.repeat(np.arange(len(rings)), list(map(len, rings)))
    polygons: list[BaseGeometry] = list(np.asarray(shapely.polygons(made, indices=owner)))
    for k in np.flatnonzero(~shapely.is_valid(polygons)).tolist():
        valid = shapely.get_parts(shapely.make_valid(polygons[k]))
        polygons[k] = shapely.union_all(valid[shapely.get_dimensions(valid) == 2])
    return polygons


def _stray(template: Template, index: tuple[int, ...]) -> list[BaseGeometry]:
    """Worked lines as thin areas."""
    worked = [i for i in index if template.lines.operation[i] not in (Operation.GUIDE, Operation.UNPLACED)]
    lines = [shapely.LineString(template.lines.points(i)) for i in worked]
    return list(shapely.buffer(lines, _LINE_WIDTH, quad_segs=2, cap_style="square")) if lines else []
