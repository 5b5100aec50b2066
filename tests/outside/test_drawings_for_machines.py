"""A sheet for a machine that takes only a drawing opens at its size in readers that know nothing of cutprep.

SVG: resvg (resvg_py) draws it, svgelements reads it. DXF: GDAL (pyogrio) and ezdxf's own bounding box.
"""

from __future__ import annotations

import io
import re
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
from cutprep.job.record.read import load_record
from cutprep.model.findings.finding import errors
from cutprep.profile.machine import Machine
from cutprep.profile.machine_table import load_machine
from cutprep.report.outcome import Outcome
from cutprep.stages.readback.compare.proof import prove

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


#: What is changed, as pairs for `re.sub`, applied once.
SPOILT = {
    "svg": {
        "a layer moved": (r'<g id="knife"', '<g transform="translate(5)" id="knife"'),
        "a page twice as wide": (r'width="304.8mm"', 'width="609.6mm"'),
        "a page twice as high": (r'height="304.8mm"', 'height="609.6mm"'),
        "another scale": (r'viewBox="0 0 304.8 304.8"', 'viewBox="0 0 152.4 152.4"'),
        "another origin": (r'viewBox="0 0', 'viewBox="5 0'),
        "a page in inches": (r'width="304.8mm" height="304.8mm"', 'width="304.8in" height="304.8in"'),
        "a line hidden": (r"<path d", '<path display="none" d'),
        "a layer renamed": (r'c:label="knife"', 'c:label="blade"'),
        "cuts in the score's layer": (r'c:label="knife"', 'c:label="fold lines"'),
        "a colour changed": (r"#1f77b4", "#ff0000"),
        "a place moved": (r'd="M', 'd="M1'),
        "a place moved by 0.1 mm": (r'(id="knife"[^\n]*\n<path d="M\d+\.)(\d)', r"\g<1>0\2"),
        "an end lost": (r'(id="knife"[^\n]*\n<path d="[^"]*) [-\d.]+ [-\d.]+(Z?")', r"\1\2"),
        "a line lost": (r'(id="fold-lines"[^\n]*\n)<path[^\n]*\n', r"\1"),
        "a line twice": (r'(id="fold-lines"[^\n]*\n)(<path[^\n]*\n)', r"\1\2\2"),
        "two lines in each other's turn": (
            r'(id="fold-lines"[^\n]*\n)(<path[^\n]*\n)(<path[^\n]*\n)',
            r"\1\3\2",
        ),
        "a line worked from its other end": (r'<path d="M(88\S+ \S+)L(\S+ \S+)"/>', r'<path d="M\2L\1"/>'),
        "a line closed": (r'(id="fold-lines"[^\n]*\n<path d="[^"]*)"', r'\1Z"'),
        "a curve": (r'(id="fold-lines"[^\n]*\n<path d="[^"]*)"', r'\1Q9 9 5 5"'),
        "the frame lost": (r'<g id="frame"[\s\S]*?</g>\n', ""),
        "the layers in each other's turn": (
            r'(<g id="fold-lines"[\s\S]*?</g>\n)(<g id="knife"[\s\S]*?</g>\n)',
            r"\2\1",
        ),
        "a layer within a layer": (r'</g>\n(<g id="knife"[\s\S]*?</g>\n)', r"\1</g>\n"),
        "a style sheet": (r"</title>", "</title>\n<style>path{display:none}</style>"),
        "a picture": (r"</svg>", '<image href="x.png"/></svg>'),
        "a reference": (r"</svg>", '<use href="#knife" x="9"/></svg>'),
        "dashes": (r'stroke-dasharray="none"', 'stroke-dasharray="2 2"'),
        "words put in": (r"</svg>", "<text>honey</text></svg>"),
        "a remark": (r"</svg>", "<!-- x --></svg>"),
        "the end lost": (r"</svg>", ""),
        "something after the end": (r"</svg>\n", "</svg>\n<g>\n"),
    },
    "dxf": {
        "inches": (r"(\$INSUNITS\n 70\n)4", r"\g<1>1"),
        "no unit": (r"  9\n\$INSUNITS\n 70\n4\n", ""),
        "a layer renamed": (r"\nfold lines\n", "\nfolds\n"),
        "cuts in the score's layer": (
            r"(LWPOLYLINE\n(?:(?!LWPOLYLINE)[\s\S])*?  8\n)knife\n",
            r"\1fold lines\n",
        ),
        "a colour changed": (r"(\nfold lines\n(?:[^\n]*\n)*?420\n)\d+", r"\g<1>16711680"),
        "a colour that is no number": (r"(420\n)\d+", r"\1red"),
        "a layer frozen": (r"(\nfold lines\n 70\n)0", r"\g<1>1"),
        "a layer that is off": (r"(\nfold lines\n 70\n0\n 62\n)", r"\1-"),
        "a layer's state that is no number": (r"(\nfold lines\n 70\n)0", r"\1x"),
        "another kind of line": (r"LWPOLYLINE", "POLYLINE"),
        "a place moved": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 10\n)", r"\g<1>1"),
        "a place that is no number": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 10\n)", r"\1x"),
        "a place that is not there": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 10\n)[^\n]*", r"\1nan"),
        "a line closed": (r"(ENTITIES[\s\S]*\nfold lines\n[\s\S]*? 70\n)0", r"\g<1>1"),
        "a bulge": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 20\n[^\n]*\n)", r"\1 42\n0.5\n"),
        "an elevation": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 70\n\d\n)", r"\1 38\n5.0\n"),
        "a direction of its own": (r"(ENTITIES[\s\S]*\nknife\n[\s\S]*? 70\n\d\n)", r"\g<1>230\n-1.0\n"),
        "a colour of a line": (r"(ENTITIES[\s\S]*\nknife\n)", r"\1 62\n3\n"),
        "a line type": (r"(ENTITIES[\s\S]*\nknife\n)", r"\1  6\nDASHED\n"),
        "a line hidden": (r"(ENTITIES[\s\S]*\nknife\n)", r"\1 60\n1\n"),
        "a line on paper": (r"(ENTITIES[\s\S]*\nknife\n)", r"\1 67\n1\n"),
        "a circle put in": (r"(ENTITIES\n)", r"\1  0\nCIRCLE\n  8\nknife\n 10\n9.0\n 20\n9.0\n 40\n5.0\n"),
        "a block put in": (r"(ENTITIES\n)", r"\1  0\nINSERT\n  8\nknife\n  2\nB\n 10\n0.0\n 20\n0.0\n"),
        "a line lost": (r"(ENTITIES\n)  0\nLWPOLYLINE\n(?:(?!  0\n)[^\n]*\n)*", r"\1"),
        "every line lost": (r"(ENTITIES\n)[\s\S]*?(  0\nENDSEC)", r"\1\2"),
        "the end lost": (r"EOF", ""),
    },
}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("drawings")
    for language in SPOILT:
        prepared(folder, language)
        assert verify(folder / language).sound
    return folder


@pytest.mark.parametrize(("language", "title"), [(k, t) for k, rows in SPOILT.items() for t in rows])
def test_a_spoilt_drawing_is_named(language: str, title: str, sound: Path) -> None:
    """By the file's bytes, and by the reader alone, which knows nothing of them."""
    path = sound / language / f"sheet-01.{language}"
    right = path.read_text(encoding="utf-8")
    text = re.sub(*SPOILT[language][title], right, count=1)
    assert text != right, title
    path.write_text(text, encoding="utf-8")
    try:
        found = errors(verify(path.parent).everything)
    finally:
        path.write_text(right, encoding="utf-8")
    assert found
    for finding in found:
        now, instead, planned = finding.problem.partition(": ")[2].rstrip(".").partition(" instead of ")
        assert finding.problem
        assert not instead or now != planned, "what differs must be seen"
    record = load_record(path.parent)
    (sheet,) = record.sheets
    proof = prove(sheet.planned, text, language, record.machine, within=0.005, page=sheet.page)
    assert errors(proof.findings)
