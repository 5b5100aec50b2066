"""Drawings per feature of DXF, and what the outside readers can be asked about each.

A feature is a name, some drawings (each written by ezdxf 1.4.5 in one or more releases, or by
hand as R12 text), and the references that are known to read it right.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.layouts import Modelspace
from ezdxf.xclip import XClip

from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.outside.dxf_references import (
    Xy,
    ezdxf_lines,
    farthest,
    gdal_lines,
    load,
    matrix_lines,
    scipy_lines,
    stray,
)

#: GDAL_POINTS asks only that GDAL's vertices lie on our lines: it cuts splines into few chords.
GDAL, ADDON, GDAL_POINTS, SCIPY = "GDAL", "ezdxf add-on", "GDAL's vertices", "scipy B-splines"
MATRICES = "ezdxf leaves, matrices multiplied"
BOTH = (GDAL, ADDON)
#: Hausdorff distance, mm.
WITHIN = 0.05
RELEASES = ("R12", "R2000", "R2010", "R2018")

Draw = Callable[[Document, Modelspace], None]


@dataclass(frozen=True)
class Feature:
    """A kind of content: drawings by name, and who is asked."""

    name: str
    drawings: tuple[tuple[str, Draw], ...]
    references: tuple[str, ...] = BOTH
    releases: tuple[str, ...] = ("R2010",)
    why: str = ""


def documents(feature: Feature) -> Iterator[tuple[str, Document]]:
    """Every drawing of a feature in every release."""
    for name, draw in feature.drawings:
        for release in feature.releases:
            doc = ezdxf.new(release, setup=True, units=4)
            doc.header["$INSUNITS"] = 4  # in R12 too, where ezdxf leaves it out
            draw(doc, doc.modelspace())
            yield f"{name} {release}", doc


def as_bytes(doc: Document, *, binary: bool = False) -> bytes:
    """The file as written to disk."""
    if binary:
        stream = io.BytesIO()
        doc.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode("utf-8" if doc.dxfversion >= "AC1021" else "cp1252")


def _line(doc: Document, space: Modelspace) -> None:
    space.add_line((0, 0), (40, 25))
    space.add_line((10, -5, 3), (20, 30, 3))


def _line_mirrored(doc: Document, space: Modelspace) -> None:
    space.add_line((0, 0), (40, 25), dxfattribs={"extrusion": (0, 0, -1)})


def _arcs(doc: Document, space: Modelspace) -> None:
    for i in range(6):
        space.add_arc((30 * i, 0), 4 + 2 * i, 50 * i, 50 * i + 37 * (i + 1))
    space.add_arc((0, 40), 10, 300, 45)


def _wound_arcs(doc: Document, space: Modelspace) -> None:
    space.add_arc((40, 40), 10, -30, 400)
    space.add_arc((0, 0), 10, 350, 730)


def _circles(doc: Document, space: Modelspace) -> None:
    for i, radius in enumerate((0.05, 0.4, 3, 25, 90)):
        space.add_circle((60 * i, 5 * i), radius)


def _mirrored_arcs(doc: Document, space: Modelspace) -> None:
    look = {"extrusion": (0, 0, -1)}
    space.add_arc((30, 0), 12, 20, 130, dxfattribs=look)
    space.add_circle((60, 10), 5, dxfattribs=look)
    space.add_lwpolyline([(0, 0, 0, 0, 0.5), (20, 0, 0, 0, -0.2), (20, 15)], close=True, dxfattribs=look)


def _tilted(doc: Document, space: Modelspace) -> None:
    for normal in ((0, 1, 1), (1, 0.5, 2), (1, 0, 0.01), (0.01, 0.01, 1), (-1, 2, -1)):
        look = {"extrusion": normal}
        space.add_circle((10, 5, 3), 12, dxfattribs=look)
        space.add_arc((10, 5, -3), 20, 10, 200, dxfattribs=look)
        space.add_lwpolyline(
            [(0, 0, 0, 0, 0.5), (20, 0), (20, 15, 0, 0, -1.4), (0, 9)], dxfattribs={**look, "elevation": 4}
        )


def _ellipses(doc: Document, space: Modelspace) -> None:
    space.add_ellipse((0, 0), (30, 0), 0.4)
    space.add_ellipse((50, 20), (10, 20), 0.1)
    space.add_ellipse((90, 0), (3, -12), 1.0, 0.3, 4.0)
    space.add_ellipse((120, 0), (0, 15), 0.6, 5.0, 1.0)
    space.add_ellipse((150, 0), (12, 0), 0.02, 0, math.pi)


def _mirrored_ellipses(doc: Document, space: Modelspace) -> None:
    look = {"extrusion": (0, 0, -1)}
    space.add_ellipse((20, 5), (10, 3), 0.5, 0.2, 2.0, dxfattribs=look)
    space.add_ellipse((60, 5), (10, 3), 0.5, dxfattribs=look)


def _light_polylines(doc: Document, space: Modelspace) -> None:
    space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 10)], close=True)
    space.add_lwpolyline([(20, 0), (30, 0), (30, 10), (20, 10)])
    space.add_lwpolyline([(40, 0, 0, 0, 1), (60, 0, 0, 0, 1)], close=True)
    space.add_lwpolyline([(80, 0, 0, 0, 0.3), (95, 4, 0, 0, -0.7), (90, 20, 0, 0, 2.5), (80, 15)], close=True)
    space.add_lwpolyline([(120, 0, 0, 0, 1e-7), (150, 0, 0, 0, -8), (152, 2)])


def _wide_polylines(doc: Document, space: Modelspace) -> None:
    space.add_lwpolyline([(0, 0), (20, 0), (20, 10)], dxfattribs={"const_width": 0})


def _polylines_2d(doc: Document, space: Modelspace) -> None:
    space.add_polyline2d([(0, 0), (10, 0), (10, 10), (0, 10)], close=True)
    space.add_polyline2d(
        [(40, 0, 0, 0, 0.6), (60, 0, 0, 0, -0.4), (60, 20)],
        format="xyseb",
        dxfattribs={"elevation": (0, 0, 7)},
    )


def _polylines_3d(doc: Document, space: Modelspace) -> None:
    space.add_polyline3d([(0, 0, 0), (10, 0, 5), (10, 10, 8), (0, 10, 2)], close=True)
    space.add_polyline3d([(20, 0, 0), (30, 5, 5), (35, 10, 8)])


def _splines(doc: Document, space: Modelspace) -> None:
    points = [(0, 0), (10, 20), (25, -10), (40, 15), (60, 0), (70, 12)]
    space.add_open_spline(points)
    space.add_open_spline([(x, y + 40) for x, y in points], degree=2)
    space.add_open_spline([(x, y + 80) for x, y in points], degree=5)
    space.add_rational_spline([(x, y + 160) for x, y in points], [1, 2, 0.5, 3, 1, 1])


def _straight_splines(doc: Document, space: Modelspace) -> None:
    space.add_open_spline([(0, 0), (10, 20), (25, -10), (40, 15)], degree=1)


def _closed_splines(doc: Document, space: Modelspace) -> None:
    points = [(0, 0, 0), (20, 0, 0), (25, 15, 0), (10, 25, 0), (-5, 12, 0)]
    space.add_spline().set_closed(points)
    space.add_spline().set_closed_rational([(x + 60, y, z) for x, y, z in points], [1, 3, 1, 0.4, 2])


def _kinked_splines(doc: Document, space: Modelspace) -> None:
    points = [(0, 0), (5, 10), (10, 10), (15, 0), (20, 10), (25, 10), (30, 0)]
    space.add_open_spline(points, knots=[0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2])
    space.add_open_spline([(x, y + 30) for x, y in points], knots=[2, 2, 2, 2, 3, 3, 5, 9, 9, 9, 9])


def _fit_splines(doc: Document, space: Modelspace) -> None:
    space.add_spline([(0, 0), (10, 20), (25, -10), (40, 15)])
    spline = space.add_spline([(0, 40), (10, 60), (25, 30)])
    spline.dxf.start_tangent, spline.dxf.end_tangent = (1, 0), (0, -1)
    space.add_spline([(60, 0), (80, 10)])


def _helix(doc: Document, space: Modelspace) -> None:
    space.add_helix(10, 5, 3)


def _block(doc: Document) -> str:
    block = doc.blocks.new("tab", base_point=(2, 1, 0))
    block.add_line((0, 0), (8, 0))
    block.add_polyline2d([(8, 0, 0), (8, 4, 0.6), (0, 4, 0)], format="xyb", close=True)
    block.add_circle((4, 2), 1)
    block.add_arc((4, 2), 1.6, 10, 190)
    return "tab"


def _inserts(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    space.add_blockref(name, (0, 0))
    space.add_blockref(name, (20, 0), dxfattribs={"rotation": 37})
    space.add_blockref(name, (40, 0), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 90})
    space.add_blockref(name, (70, 0), dxfattribs={"xscale": -1, "yscale": 1})


def _unequal_inserts(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    space.add_blockref(name, (0, 0), dxfattribs={"xscale": 3, "yscale": 0.5})
    space.add_blockref(name, (40, 0), dxfattribs={"xscale": 2, "yscale": -0.7, "rotation": 25})
    space.add_blockref(name, (-40, 0), dxfattribs={"xscale": 2, "extrusion": (0, 0, -1), "rotation": 25})


def _arrays(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    grid = {"column_count": 3, "row_count": 2, "column_spacing": 14.5, "row_spacing": 9.25}
    space.add_blockref(name, (0, 0), dxfattribs=grid)
    space.add_blockref(name, (0, 60), dxfattribs={**grid, "rotation": 30})


def _scaled_arrays(doc: Document, space: Modelspace) -> None:
    grid = {"column_count": 3, "row_count": 2, "column_spacing": 14.5, "row_spacing": 9.25}
    space.add_blockref(_block(doc), (60, 0), dxfattribs={**grid, "xscale": 0.5, "yscale": 0.8})


def _nested(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    middle = doc.blocks.new("middle", base_point=(1, 1))
    middle.add_blockref(name, (5, 0), dxfattribs={"rotation": 45})
    middle.add_blockref(name, (0, 12), dxfattribs={"xscale": -1.5, "yscale": 1.5})
    outer = doc.blocks.new("outer")
    outer.add_blockref("middle", (0, 0), dxfattribs={"rotation": -20})
    outer.add_line((0, 0), (3, 3))
    space.add_blockref("outer", (10, 10), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 77})


def _nested_unequal(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    middle = doc.blocks.new("middle")
    middle.add_blockref(name, (5, 0), dxfattribs={"rotation": 45})
    space.add_blockref("middle", (10, 10), dxfattribs={"xscale": 3, "yscale": 1})
    space.add_blockref("middle", (90, 10), dxfattribs={"xscale": 3, "yscale": -0.5, "rotation": 15})


#: Boundaries of clips, units of the block: a hexagon, a rectangle by its diagonal, and one with a notch.
_SEEN = (
    [(4, 1.4), (14, 3), (17, 5), (12, 8), (5, 7.6), (1, 5)],
    [(4, 2.4), (15, 7.7)],
    [(1, 0), (18, 0), (18, 9), (10, 3), (1, 9)],
)


def _clipped_inserts(doc: Document, space: Modelspace) -> None:
    doc.header["$XCLIPFRAME"] = 0  # the boundary itself is no line
    block = doc.blocks.new("window", base_point=(1, 2))
    for k in range(5):
        block.add_line((0, 2 * k), (20, 2 * k + 1))
    block.add_circle((10, 5), 4)
    block.add_lwpolyline([(2, 2), (18, 2), (18, 8.5), (2, 8.5)], close=True)
    looks = ({"rotation": 30, "xscale": 2, "yscale": 1.5}, {"xscale": -1}, {"rotation": -75})
    for k, (look, seen) in enumerate(zip(looks, _SEEN, strict=True)):
        insert = space.add_blockref("window", (60 * k, 10 * k), dxfattribs=look)
        XClip(insert).set_block_clipping_path(seen)
    space.add_blockref("window", (0, 80))


def _clips_within_clips(doc: Document, space: Modelspace) -> None:
    _clipped_inserts(doc, doc.blocks.new("wall"))
    insert = space.add_blockref("wall", (5, 5), dxfattribs={"rotation": 20})
    XClip(insert).set_block_clipping_path([(0, 0), (70, 0), (70, 30), (20, 90)])


def _tilted_inserts(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    space.add_blockref(name, (5, 5, 2), dxfattribs={"extrusion": (1, 0.5, 2), "rotation": 25, "xscale": 2})


def _spline_block(doc: Document, space: Modelspace) -> None:
    block = doc.blocks.new("wave")
    block.add_open_spline([(0, 0), (10, 20), (25, -10), (40, 15)])
    block.add_rational_spline([(0, 9), (10, 20), (25, -10), (40, 15)], [1, 2, 0.3, 1])
    block.add_ellipse((10, 0), (8, 2), 0.5, 0.5, 3)
    space.add_blockref("wave", (0, 0), dxfattribs={"xscale": 3, "yscale": 0.4, "rotation": 20})


def _attributes(doc: Document, space: Modelspace) -> None:
    name = _block(doc)
    doc.blocks.get(name).add_attdef("NAME", (0, 0))
    space.add_blockref(name, (0, 0)).add_attrib("NAME", "lid", (1, 1))


def _not_lines(doc: Document, space: Modelspace) -> None:
    space.add_line((0, 0), (50, 0))
    space.add_text("lid")
    space.add_mtext("lid")
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)])
    space.add_solid([(0, 0), (10, 0), (10, 10)])
    space.add_point((1, 1))
    space.add_linear_dim((0, 10), (0, 0), (50, 0)).render()
    space.add_ray((0, 0), (1, 1))
    space.add_xline((0, 0), (1, 1))
    space.add_leader([(0, 0), (5, 5), (9, 9)])


def _layers(doc: Document, space: Modelspace) -> None:
    doc.layers.add("off").off()
    doc.layers.add("frozen").freeze()
    doc.layers.add("unplotted").dxf.plot = 0
    for i, layer in enumerate(("0", "off", "frozen", "unplotted")):
        space.add_line((0, 10 * i), (50, 10 * i), dxfattribs={"layer": layer})
    space.add_line((0, 60), (50, 60), dxfattribs={"invisible": 1})


def _layer_zero(doc: Document, space: Modelspace) -> None:
    doc.layers.add("off").off()
    block = doc.blocks.new("half")
    block.add_line((0, 0), (10, 0))
    block.add_line((0, 5), (10, 5), dxfattribs={"layer": "off"})
    space.add_blockref("half", (0, 0), dxfattribs={"layer": "0"})
    space.add_blockref("half", (20, 0), dxfattribs={"layer": "off"})


def _paper(doc: Document, space: Modelspace) -> None:
    space.add_line((0, 0), (50, 0))
    doc.paperspace().add_line((0, 0), (0, 50))


def _multiline(doc: Document, space: Modelspace) -> None:
    space.add_mline([(0, 0), (40, 0), (40, 30)], dxfattribs={"scale_factor": 3})
    space.add_mline([(60, 0), (100, 0), (100, 30)], close=True, dxfattribs={"scale_factor": 3})


def _capped_multilines(doc: Document, space: Modelspace) -> None:
    for i, flags in enumerate((2, 16, 32, 64, 256, 512, 1024, 16 | 1024 | 2)):
        style = doc.mline_styles.new(f"cap {flags}")
        for offset in (0.5, 0.2, -0.3, -0.5):
            style.elements.append(offset)
        style.dxf.flags = flags
        points = [(0, 30 * i), (40, 30 * i), (60, 30 * i + 12)]
        space.add_mline(points, dxfattribs={"scale_factor": 6, "style_name": style.dxf.name})


def _faces(doc: Document, space: Modelspace) -> None:
    space.add_3dface([(0, 0, 0), (10, 0, 0), (10, 10, 5), (0, 10, 5)])
    space.add_3dface([(20, 0, 0), (30, 0, 0), (30, 10, 5)])


def _hidden_edges(doc: Document, space: Modelspace) -> None:
    space.add_3dface([(0, 0), (10, 0), (10, 10), (0, 10)], dxfattribs={"invisible_edges": 5})


def _meshes(doc: Document, space: Modelspace) -> None:
    mesh = space.add_polymesh((3, 4))
    for i in range(3):
        for j in range(4):
            mesh.set_mesh_vertex((i, j), (10 * i, 10 * j + i, i * j))
    polyface = space.add_polyface()
    polyface.append_faces([[(50, 0, 0), (60, 0, 0), (60, 10, 0)], [(60, 0, 0), (70, 0, 0), (60, 10, 0)]])


def _random(doc: Document, space: Modelspace) -> None:
    """Everything at once, nested three deep, from a seed."""
    rng = np.random.default_rng(11)
    names = []
    for level in range(3):
        block = doc.blocks.new(f"level {level}", base_point=(*rng.uniform(-5, 5, 2), 0))
        for _ in range(4):
            x, y = rng.uniform(-20, 20, 2)
            block.add_circle((x, y), rng.uniform(0.5, 6))
            block.add_arc((x, y), rng.uniform(0.5, 6), *rng.uniform(0, 360, 2))
            block.add_lwpolyline([(*rng.uniform(-20, 20, 2), 0, 0, rng.uniform(-2, 2)) for _ in range(4)])
            block.add_ellipse((x, y), (*rng.uniform(-6, 6, 2), 0), rng.uniform(0.1, 1), *rng.uniform(0, 6, 2))
        for name in names:
            _insert_anyhow(block, name, rng)
        names.append(block.name)
    for _ in range(4):
        _insert_anyhow(space, names[-1], rng)


def _insert_anyhow(space: object, name: str, rng: np.random.Generator) -> None:
    sign = rng.choice([-1, 1], 2)
    space.add_blockref(  # type: ignore[attr-defined]
        name,
        tuple(rng.uniform(-40, 40, 2)),
        dxfattribs={
            "rotation": rng.uniform(0, 360),
            "xscale": sign[0] * rng.uniform(0.4, 2),
            "yscale": sign[1] * rng.uniform(0.4, 2),
        },
    )


_NESTED = "ezdxf decomposes nested unequal scales through angles, which is wrong (1.4.5)"

FEATURES = (
    Feature("LINE", (("level", _line), ("mirrored plane", _line_mirrored)), releases=RELEASES),
    Feature("ARC", (("sweeps", _arcs),), releases=RELEASES),
    Feature("ARC wound up", (("angles beyond a turn", _wound_arcs),), references=(ADDON,),
            why="GDAL sweeps the stated difference; programs take angles modulo a turn"),
    Feature("CIRCLE", (("radii", _circles),), releases=RELEASES),
    Feature("ELLIPSE", (("whole and partial", _ellipses),), releases=("R2000", "R2010", "R2018")),
    Feature("mirrored plane", (("arcs", _mirrored_arcs), ("ellipses", _mirrored_ellipses))),
    Feature("tilted plane", (("five normals", _tilted),)),
    Feature("LWPOLYLINE", (("bulges", _light_polylines), ("width", _wide_polylines)), releases=("R2000", "R2018")),
    Feature("POLYLINE", (("flat", _polylines_2d), ("in space", _polylines_3d)), releases=RELEASES),
    Feature("SPLINE", (("open", _splines), ("kinks", _kinked_splines)), references=(ADDON, GDAL_POINTS, SCIPY)),
    Feature("SPLINE of degree 1", (("one", _straight_splines),), references=(GDAL_POINTS, SCIPY),
            why="the add-on rounds its corners off"),
    Feature("SPLINE closed, knots unclamped", (("two", _closed_splines),), references=(SCIPY,),
            why="GDAL and the add-on evaluate it beyond its range of parameters"),
    Feature("SPLINE by fit points", (("three", _fit_splines),), references=(ADDON,), why="GDAL joins fit points otherwise"),
    Feature("HELIX", (("three turns", _helix),), references=(GDAL,), why="the add-on draws none"),
    Feature("INSERT", (("placed", _inserts), ("unequal", _unequal_inserts)), releases=RELEASES),
    Feature(
        "INSERT with a clip", (("shapes", _clipped_inserts), ("nested", _clips_within_clips)), references=(ADDON,),
        why="GDAL reads them whole.",
    ),
    Feature("INSERT in a tilted plane", (("one", _tilted_inserts),)),
    Feature("INSERT arrays", (("grid", _arrays), ("scaled", _scaled_arrays)), releases=("R12", "R2010")),
    Feature("INSERT nested", (("three deep", _nested),), references=(*BOTH, MATRICES), releases=("R12", "R2010")),
    Feature("INSERT nested, unequal", (("turned", _nested_unequal), ("random", _random)), references=(GDAL_POINTS, MATRICES),
            why=_NESTED),
    Feature("curves under unequal scales", (("block", _spline_block),), references=(ADDON, GDAL_POINTS)),
    Feature("attributes", (("one", _attributes),)),
    Feature("text, hatch, dimension, point", (("beside a line", _not_lines),)),
    Feature("hidden layers", (("four", _layers), ("layer 0 in a block", _layer_zero)), references=(ADDON,),
            why="GDAL gives hidden lines, marked by their style"),
    Feature("paper space", (("one line", _paper),)),
    Feature("MLINE", (("corner", _multiline), ("joints and caps", _capped_multilines)), references=(ADDON,)),
    Feature("3DFACE", (("quad and triangle", _faces), ("hidden edges", _hidden_edges)), references=(ADDON,)),
    Feature("meshes", (("grid and faces", _meshes),), references=(ADDON,)),
)  # fmt: skip


@dataclass(frozen=True)
class Verdict:
    """One drawing laid beside one reference."""

    feature: str
    drawing: str
    reference: str
    off: float

    @property
    def agrees(self) -> bool:
        """Within the limit."""
        return self.off <= WITHIN


def judge(feature: Feature, folder: Path) -> Iterator[Verdict]:
    """Read every drawing of a feature and lay it beside every reference that is asked."""
    for name, doc in documents(feature):
        path = folder / "drawing.dxf"
        path.write_bytes(as_bytes(doc))
        lines = read(path, tolerance=Tolerance()).lines
        ours = [lines.points(i) for i in range(len(lines))]
        for reference in feature.references:
            yield Verdict(feature.name, name, reference, _distance(reference, ours, path))


def _distance(reference: str, ours: list[Xy], path: Path) -> float:
    if reference == GDAL_POINTS:
        return stray(gdal_lines(path), ours)
    if reference == GDAL:
        return farthest(ours, gdal_lines(path))
    theirs = {ADDON: ezdxf_lines, MATRICES: matrix_lines, SCIPY: scipy_lines}[reference]
    return farthest(ours, theirs(load(path)))
