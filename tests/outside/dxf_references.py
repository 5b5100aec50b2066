"""Readers of DXF that share no code with ours, and the distance between what two readers saw.

- GDAL's DXF driver (in pyogrio 0.13.0: GDAL 3.12.4), curves in steps of a quarter degree;
- the drawing add-on of ezdxf 1.4.5, the lines it would put on paper, flattened to 0.002 mm;
- the entities of each block flattened by ezdxf, placed by the product of its insert matrices;
- for splines, the B-splines of scipy 1.17.1.

All are asked for line work only. What either is known to get wrong or to leave out is named
beside the feature in dxf_features.py, not hidden here.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import shapely
from ezdxf import recover
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d, ImageData
from ezdxf.addons.drawing.config import Configuration, HatchPolicy, LinePolicy, ProxyGraphicPolicy, TextPolicy
from ezdxf.addons.drawing.properties import BackendProperties
from ezdxf.document import Drawing as Document
from ezdxf.entities import DXFGraphic, Insert
from ezdxf.math import Matrix44, Vec2
from ezdxf.path import make_path
from numpy.typing import NDArray
from scipy.interpolate import BSpline

Xy = NDArray[np.float64]

#: What is no line work: never drawn by us, so not asked from the references either.
NOT_LINES = frozenset(
    {
        "TEXT", "MTEXT", "ATTRIB", "ATTDEF", "HATCH", "SOLID", "TRACE", "MPOLYGON", "DIMENSION", "ARC_DIMENSION",
        "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE", "POINT", "RAY", "XLINE", "IMAGE",
        "WIPEOUT", "ACAD_TABLE", "ACAD_PROXY_ENTITY", "VIEWPORT", "SHAPE", "3DSOLID", "BODY", "REGION", "SURFACE",
        "MESH", "OLE2FRAME", "OLEFRAME", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY",
    }
)  # fmt: skip
_NOT_LINE_CLASSES = frozenset((
    "AcDbText", "AcDbMText", "AcDbHatch", "AcDbTrace", "AcDbDimension", "AcDbLeader", "AcDbMLeader", "AcDbPoint",
    "AcDbAttribute", "AcDbAttributeDefinition", "AcDb3dSolid", "AcDbModelerGeometry", "AcDbXline", "AcDbRay",
    "AcDbSubDMesh",
))  # fmt: skip


class _Ink(Backend):
    """Collects lines, drops everything else."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[Xy] = []
        self._kinds: list[str] = []

    def enter_entity(self, entity: DXFGraphic, properties: object) -> None:
        self._kinds.append(entity.dxftype())

    def exit_entity(self, entity: DXFGraphic) -> None:
        self._kinds.pop()

    def _add(self, points: Iterable[Vec2]) -> None:
        if NOT_LINES.isdisjoint(self._kinds):
            line = np.array([(p.x, p.y) for p in points])
            if len(line) > 1:
                self.lines.append(line)

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None: ...

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        self._add((start, end))

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        for part in path.sub_paths():
            self._add(part.flattening(self.config.max_flattening_distance))

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None: ...

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None: ...

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None: ...

    def set_background(self, color: str) -> None: ...

    def clear(self) -> None: ...

    def finalize(self) -> None: ...


def load(path: Path) -> Document:
    """The file as ezdxf sees it, by its recover mode where the plain one refuses."""
    try:
        return ezdxf.readfile(path)
    except (ezdxf.DXFError, OSError):
        return recover.readfile(path)[0]


def ezdxf_lines(document: Document, mm_per_unit: float = 1.0) -> list[Xy]:
    """Lines of model space as the drawing add-on draws them, mm."""
    ink = _Ink()
    config = Configuration(
        line_policy=LinePolicy.SOLID,
        hatch_policy=HatchPolicy.IGNORE,
        text_policy=TextPolicy.IGNORE,
        proxy_graphic_policy=ProxyGraphicPolicy.IGNORE,
        max_flattening_distance=0.002 / mm_per_unit,
        infinite_line_length=0.0,
    )
    context = RenderContext(document, export_mode=True)
    Frontend(context, ink, config=config).draw_layout(document.modelspace())
    return [line * mm_per_unit for line in ink.lines]


def gdal_lines(path: Path, mm_per_unit: float = 1.0) -> list[Xy]:
    """Lines as GDAL's DXF driver gives them, mm; areas by their outlines.

    It draws dimensions and leaders as lines; those carry the handle of what they belong to.
    """
    marks = {e.dxf.handle for e in load(path).entitydb.values() if e.dxftype() in NOT_LINES}
    pyogrio.set_gdal_config_options(
        {"OGR_ARC_STEPSIZE": "0.25", "OGR_ARC_MAX_GAP": "0", "DXF_MAX_BSPLINE_CONTROL_POINTS": "10000"}
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of what it leaves out
        meta, _, geometry, fields = pyogrio.raw.read(
            path, columns=["SubClasses", "PaperSpace", "EntityHandle"]
        )
    columns = dict(zip(meta["fields"].tolist(), fields, strict=True))
    lines: list[Xy] = []
    for i, wkb in enumerate(geometry):
        classes = str(columns.get("SubClasses", [""] * len(geometry))[i])
        paper = columns.get("PaperSpace", [False] * len(geometry))[i]
        skip = columns["EntityHandle"][i] in marks or not _NOT_LINE_CLASSES.isdisjoint(classes.split(":"))
        if wkb is None or skip or bool(paper == 1):
            continue
        parts = np.array([shapely.from_wkb(wkb)])
        while any(part.geom_type.startswith(("Multi", "Geometry")) for part in parts):
            parts = shapely.get_parts(parts)
        for part in parts:
            outline = shapely.get_parts(shapely.boundary(part)) if part.geom_type == "Polygon" else [part]
            lines += [shapely.get_coordinates(p) * mm_per_unit for p in outline if p.geom_type != "Point"]
    return [line for line in lines if len(line) > 1]


def farthest(a: list[Xy], b: list[Xy]) -> float:
    """Hausdorff distance between two sets of lines, sampled every 0.1 mm or 5,000 times, mm."""
    if not a or not b:
        return 0.0 if not a and not b else float("inf")
    return max(_one_way(a, b), _one_way(b, a))


def matrix_lines(document: Document) -> list[Xy]:
    """Lines of model space: ezdxf flattens each entity in its block, its insert matrices place it.

    The way round ezdxf's own decomposition of nested inserts, which goes through angles and scales.
    """
    return list(_leaves(document.modelspace(), Matrix44()))


def _leaves(entities: Iterable[DXFGraphic], matrix: Matrix44) -> Iterator[Xy]:
    for entity in entities:
        if isinstance(entity, Insert):
            for cell in entity.multi_insert() if entity.mcount > 1 else [entity]:
                yield from _leaves(entity.block() or (), cell.matrix44() * matrix)
        elif entity.dxftype() not in NOT_LINES:
            points = matrix.transform_vertices(make_path(entity).flattening(0.001))
            yield np.array([(p.x, p.y) for p in points])


def scipy_lines(document: Document) -> list[Xy]:
    """The SPLINE entities of model space by scipy's B-splines, over their range of parameters."""
    lines = []
    for entity in document.modelspace().query("SPLINE"):
        control = np.array(entity.control_points)
        weights = np.array(entity.weights) if len(entity.weights) else np.ones(len(control))
        knots, degree = np.array(entity.knots), entity.dxf.degree
        curve = BSpline(knots, np.column_stack((control * weights[:, None], weights)), degree)
        stops = np.unique(knots[degree : len(control) + 1])
        parameters = np.unique(np.concatenate([np.linspace(a, b, 600) for a, b in pairwise(stops)]))
        points = curve(parameters)
        lines.append(points[:, :2] / points[:, 3:])
    return lines


def stray(points: list[Xy], lines: list[Xy]) -> float:
    """Largest distance of any of the vertices from the lines, mm."""
    pieces = np.concatenate([np.stack((line[:-1], line[1:]), axis=1) for line in lines])
    tree = shapely.STRtree(shapely.linestrings(pieces))
    _, off = tree.query_nearest(
        shapely.points(np.concatenate(points)), return_distance=True, all_matches=False
    )
    return float(off.max())


def _one_way(a: list[Xy], b: list[Xy]) -> float:
    total = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in a)
    step = max(0.1, total / 5_000)
    return stray(
        [shapely.get_coordinates(shapely.segmentize(shapely.LineString(line), step)) for line in a], b
    )
