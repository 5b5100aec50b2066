"""A sheet for a machine that takes only a drawing opens at its size in readers that know nothing of cutprep.

SVG: resvg (resvg_py) draws it, svgelements reads it. DXF: GDAL (pyogrio) and ezdxf's own bounding box.
"""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import resvg_py
from ezdxf import bbox
from PIL import Image
from svgelements import SVG

from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.verify import verify
from cutprep.profile.machine import Machine, load_machine
from cutprep.report.outcome import Outcome

SAMPLES = Path(__file__).parents[2] / "samples"
PROFILE = """title = "A machine that takes only a drawing"
area = "305x305mm"
languages = ["svg", "dxf"]
frame = {frame}
first_turn = "none"
[[tool]]
name = "scoring stylus"
kind = "stylus"
number = 2
does = ["score"]
speed = 60
force = 8
layer = "fold lines"
colour = "#1f77b4"
[[tool]]
name = "knife"
number = 1
does = ["cut"]
speed = 40
force = 20
"""
SIDE = 304.8


def machine(folder: Path, *, frame: bool = True) -> Machine:
    path = folder / "home.toml"
    path.write_text(PROFILE.format(frame=str(frame).lower()), encoding="utf-8")
    return load_machine(path)


def prepared(folder: Path, language: str, *, frame: bool = True) -> Outcome:
    job = make_job(
        SAMPLES / "jar-carton.svg", copies=1, machine=machine(folder, frame=frame), language=language,
        sheet="12in", effort="quick",
    )  # fmt: skip
    return prepare_job(job, folder / language)


def test_svg_has_the_sheet_s_size(tmp_path: Path) -> None:
    prepared(tmp_path, "svg")
    path = tmp_path / "svg" / "sheet-01.svg"
    drawing = SVG.parse(str(path), ppi=25.4)
    assert (drawing.width, drawing.height) == pytest.approx((SIDE, SIDE), abs=0.01)
    assert drawing.bbox() == pytest.approx((0, 0, SIDE, SIDE), abs=0.01)
    png = resvg_py.svg_to_bytes(svg_path=str(path), dpi=254, background="white")  # ten dots a mm
    dark = np.array(Image.open(io.BytesIO(bytes(png))).convert("L")) < 250
    assert dark.shape == (3048, 3048)
    assert dark[:3].any()
    assert dark[-3:].any()
    assert dark[:, :3].any()
    assert dark[:, -3:].any()


def test_dxf_has_the_sheet_s_size(tmp_path: Path) -> None:
    prepared(tmp_path, "dxf")
    path = tmp_path / "dxf" / "sheet-01.dxf"
    document = ezdxf.readfile(path)  # type: ignore[attr-defined]
    assert document.units == 4  # mm
    box = bbox.extents(document.modelspace())
    assert tuple(box.extmin)[:2] == pytest.approx((0, 0), abs=0.001)
    assert tuple(box.extmax)[:2] == pytest.approx((SIDE, SIDE), abs=0.001)
    _, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    names = list(columns[0])
    assert list(dict.fromkeys(names)) == ["frame", "fold lines", "knife"]
    assert len(shapes) == len(names)


@pytest.mark.parametrize("language", ["svg", "dxf"])
def test_its_lines_are_the_plan_s_in_working_order(language: str, tmp_path: Path) -> None:
    """By ezdxf and svgelements: as many lines as the plan has strokes, each from its start to its end."""
    outcome = prepared(tmp_path, language, frame=False)
    planned = outcome.sheets[0].planned
    begun = np.flatnonzero(np.diff(np.concatenate(([False], planned.down)).astype(int)) == 1)
    starts = planned.begin[begun]
    path = tmp_path / language / f"sheet-01.{language}"
    if language == "svg":
        paths = SVG.parse(str(path), ppi=25.4).select(lambda e: type(e).__name__ == "Path")
        found = np.array([(one.first_point.x, SIDE - one.first_point.y) for one in paths])
    else:
        space = ezdxf.readfile(path).modelspace()  # type: ignore[attr-defined]
        found = np.array([tuple(line[0])[:2] for line in space])
    assert found.shape == starts.shape
    np.testing.assert_allclose(found, starts, atol=0.001)


@pytest.mark.parametrize("language", ["svg", "dxf"])
def test_the_job_sheet_says_what_to_type_in(language: str, tmp_path: Path) -> None:
    prepared(tmp_path, language)
    page = (tmp_path / language / "job-sheet.html").read_text(encoding="utf-8")
    table = page.partition('class="layers"')[2].partition("</table>")[0]
    for word in ("fold lines", "#1f77b4", "scoring stylus", "60 mm/s", "knife", "40 mm/s", "20"):
        assert word in table


SPOILT = {
    "svg": {
        "a layer moved": ('<g id="knife"', '<g transform="translate(5)" id="knife"'),
        "a page twice as large": ('width="304.8mm"', 'width="609.6mm"'),
        "a line hidden": ("<path d", '<path display="none" d'),
        "a layer renamed": ('c:label="knife"', 'c:label="blade"'),
        "cuts in the score's layer": ('c:label="knife"', 'c:label="fold lines"'),
        "a colour changed": ("#1f77b4", "#ff0000"),
        "a place moved": ('d="M', 'd="M1'),
        "dashes": ('stroke-dasharray="none"', 'stroke-dasharray="2 2"'),
        "words put in": ("</svg>", "<text>honey</text></svg>"),
        "a remark": ("</svg>", "<!-- x --></svg>"),
        "the end lost": ("</svg>", ""),
        "something after the end": ("</svg>\n", "</svg>\n<g>\n"),
    },
    "dxf": {
        "inches": ("$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1"),
        "a layer renamed": ("\nfold lines\n", "\nfolds\n"),
        "another kind of line": ("LWPOLYLINE", "POLYLINE"),
        "the end lost": ("EOF", ""),
    },
}


@pytest.mark.parametrize(("language", "title"), [(k, t) for k, rows in SPOILT.items() for t in rows])
def test_a_spoilt_drawing_is_named(language: str, title: str, tmp_path: Path) -> None:
    prepared(tmp_path, language)
    out = tmp_path / language
    assert verify(out).sound
    path = out / f"sheet-01.{language}"
    old, new = SPOILT[language][title]
    text = path.read_text(encoding="utf-8")
    assert old in text, title
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    found = [f for f in verify(out).everything if f.severity.value == "error"]
    assert found
    assert all(f.problem for f in found)
