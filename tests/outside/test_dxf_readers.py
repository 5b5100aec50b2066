"""Our DXF reading beside GDAL 3.12.4, ezdxf 1.4.5 and scipy 1.17.1, feature by feature.

Which drawings and which references: dxf_features.py; how they are asked: dxf_references.py. The
same table is printed by `python -m tests.bench.read_dxf features`.
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.addons import r12writer

from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.outside.dxf_features import FEATURES, Feature, as_bytes, documents, judge
from tests.outside.dxf_references import ezdxf_lines, farthest, gdal_lines, load


@pytest.mark.parametrize("feature", FEATURES, ids=lambda f: f.name)
def test_agrees_with_the_references(feature: Feature, tmp_path: Path) -> None:
    verdicts = list(judge(feature, tmp_path))
    assert verdicts
    assert not [v for v in verdicts if not v.agrees]


@pytest.mark.parametrize(
    "feature", [f for f in FEATURES if f.name in {"LINE", "INSERT", "SPLINE"}], ids=lambda f: f.name
)
def test_binary_files_are_the_same_drawing(feature: Feature, tmp_path: Path) -> None:
    for _, doc in documents(feature):
        plain, packed = tmp_path / "a.dxf", tmp_path / "b.dxf"
        plain.write_bytes(as_bytes(doc))
        packed.write_bytes(as_bytes(doc, binary=True))
        a, b = read(plain, tolerance=Tolerance()), read(packed, tolerance=Tolerance())
        assert len(a.lines) == len(b.lines)
        # The text form keeps 16 digits, the binary form all bits.
        assert np.allclose(a.lines.xy, b.lines.xy, atol=1e-9)
        assert [x.layer for x in a.lines] == [x.layer for x in b.lines]


def test_a_file_written_by_r12writer(tmp_path: Path) -> None:
    path = tmp_path / "tray.dxf"
    with r12writer(path) as dxf:
        dxf.add_line((0, 0), (17, 23), layer="cut")
        dxf.add_circle((0, 0), radius=2, layer="cut")
        dxf.add_arc((0, 0), radius=3, start=0, end=175, layer="score")
        dxf.add_polyline_2d([(0, 0), (5, 0, 0.4), (5, 5)], format="xyb", closed=True)
        dxf.add_polyline([(0, 0, 0), (9, 9, 0), (12, 3, 0)])
    found = read(path, tolerance=Tolerance())
    assert [n.code for n in found.notes] == ["unit-assumed"]
    assert len(found.lines) == 5
    assert {x.layer for x in found.lines} == {"cut", "score", "0"}
    ours = [found.lines.points(i) for i in range(5)]
    # Its own template would make it metres: the reason for our own header scan.
    assert load(path).units == 6
    assert farthest(ours, ezdxf_lines(load(path))) < 0.05


def test_a_file_written_by_gdal(tmp_path: Path) -> None:
    path = tmp_path / "tray.dxf"
    shapes = [
        shapely.LineString([(0, 0), (30, 10), (40, 40)]),
        shapely.box(50, 0, 90, 20),
        shapely.Point(120, 10).buffer(9),
        shapely.MultiLineString([[(0, 60), (10, 70)], [(20, 60), (30, 75)]]),
    ]
    pyogrio.raw.write(
        path,
        geometry=shapely.to_wkb(shapes),
        field_data=[np.array(["cut", "cut", "score", "draw"], dtype=object)],
        fields=["Layer"],
        driver="DXF",
        geometry_type="Unknown",
        crs="EPSG:3857",
        dataset_options={"INSUNITS": "MILLIMETERS"},
    )
    found = read(path, tolerance=Tolerance())
    assert [x.layer for x in found.lines] == ["cut", "draw", "draw"]
    # Areas are written as fills without an outline, which are told and never cut.
    assert [(n.code, n.measure) for n in found.notes] == [("fill-left-out", 2)]
    ours = [found.lines.points(i) for i in range(3)]
    wanted = [shapely.get_coordinates(p) for i in (0, 3) for p in shapely.get_parts(shapes[i])]
    assert farthest(ours, wanted) < 1e-9
    assert farthest(ours, gdal_lines(path)) < 1e-9


def test_a_file_without_header_is_not_taken_for_metres(tmp_path: Path) -> None:
    path = tmp_path / "bare.dxf"
    path.write_text(
        "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n80\n21\n0\n0\nENDSEC\n0\nEOF\n"
    )
    assert ezdxf.readfile(path).units == 6
    assert read(path, tolerance=Tolerance()).lines.lengths.tolist() == [80]
