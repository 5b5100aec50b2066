"""The drawings that we write, read by other people's code.

SVG: svgelements 1.9.6 (`SVG.parse`, at 96 px an inch) and resvg 0.48 (through resvg_py 0.5) for the size of
the picture. DXF: GDAL (through pyogrio 0.13), whose DXF driver shares nothing with ezdxf. PDF: sizes of
ISO 216 and ANSI/ASME Y14.1 in points of 1/72 in (ISO 32000-1, 8.3.2.3), and poppler's `pdftotext` and
`pdfinfo` where they are installed.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pyogrio.raw
import pytest
import resvg_py
import shapely
import svgelements

from cutprep.errors import JobError
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.pdf.by_hand import PAPERS, spread, write_pdf
from cutprep.stages.write.svg_file import write_svg
from tests.plans import circle

HEXAGON = np.array(
    [[60.0, 10], [90, 27.3205], [90, 61.9615], [60, 79.282], [30, 61.9615], [30, 27.3205], [60, 10]]
)
LINES = Lines.of(
    [HEXAGON, circle(60, 44.641, 12.5), [(30, 27.3205), (90, 61.9615)], [(5, 5), (25, 5), (25, 12)]],
    operation=[Operation.CUT, Operation.CUT, Operation.SCORE, Operation.DRAW],
)


def test_svgelements_reads_the_same_lines() -> None:
    """One path each, in mm, in the order of the layers."""
    text = write_svg(LINES, page=(200, 100))
    drawing = svgelements.SVG.parse(io.StringIO(text), ppi=25.4)  # one pixel a millimetre
    paths = [e for e in drawing.elements() if isinstance(e, svgelements.Path)]
    assert len(paths) == len(LINES)
    for i, path in enumerate(paths):
        spots = np.array([(segment.end.x, 100 - segment.end.y) for segment in path])
        gaps = np.hypot(*(spots[:, None] - LINES.points(i)[None]).transpose(2, 0, 1))
        assert gaps.min(axis=1).max() < 1e-3
        assert gaps.min(axis=0).max() < 1e-3


def test_resvg_gives_the_page_its_real_size() -> None:
    """200 mm at 96 dpi are 755.9 pixels."""
    picture = bytes(resvg_py.svg_to_bytes(svg_string=write_svg(LINES, page=(200, 100)), dpi=96))
    width, height = (int.from_bytes(picture[k : k + 4]) for k in (16, 20))  # PNG, IHDR
    assert (width, height) == (round(200 / 25.4 * 96), round(100 / 25.4 * 96))


def test_gdal_reads_the_same_lines_and_layers(tmp_path: Path) -> None:
    path = tmp_path / "plan.dxf"
    path.write_text(write_dxf(LINES))
    meta, _, geometry, columns = pyogrio.raw.read(path)
    layer = columns[list(meta["fields"]).index("Layer")]
    assert sorted(layer) == ["cut", "cut", "draw", "score"]
    theirs = shapely.from_wkb(geometry)
    for i in range(len(LINES)):
        ours = shapely.LineString(LINES.points(i))
        assert min(shapely.hausdorff_distance(ours, other, densify=0.1) for other in theirs) < 1e-3


def test_gdal_reads_arcs_where_we_say_them(tmp_path: Path) -> None:
    """A bulge is tan(sweep / 4): GDAL strokes it to points on the circle."""
    curved = Lines.of(
        [circle(60, 44, 12.5)], operation=Operation.CUT, curved=[np.ones(len(circle(60, 44, 12.5)))]
    )
    path = tmp_path / "arcs.dxf"
    path.write_text(write_dxf(curved, arcs=True))
    (theirs,) = shapely.from_wkb(pyogrio.raw.read(path)[2])
    spots = shapely.get_coordinates(theirs)
    np.testing.assert_allclose(np.hypot(*(spots - (60, 44)).T), 12.5, atol=1e-6)
    assert shapely.length(theirs) == pytest.approx(2 * np.pi * 12.5, rel=1e-3)


# --- PDF ---------------------------------------------------------------------------------------

POINT = 72 / 25.4


def operators(pdf: bytes) -> list[str]:
    """The drawing operators of each page, decompressed."""
    streams = re.findall(rb"/FlateDecode.*?stream\n(.*?)\nendstream", pdf, re.DOTALL)
    return [zlib.decompress(s).decode("latin-1") for s in streams]


def horizontal_lengths(text: str) -> list[float]:
    """Lengths in points of single horizontal strokes."""
    number = r"(-?[\d.]+)"
    return [
        float(x1) - float(x0)
        for x0, y0, x1, y1 in re.findall(rf"{number} {number} m\n{number} {number} l\nS", text)
        if y0 == y1
    ]


@pytest.mark.parametrize(("paper", "points"), [("A4", (595.276, 841.890)), ("letter", (612.0, 792.0))])
def test_every_page_has_the_paper_and_both_check_bars(paper: str, points: tuple[float, float]) -> None:
    """210 x 297 mm and 8.5 x 11 in; 100 mm = 283.465 pt, 4 in = 288 pt exactly."""
    pdf = write_pdf(LINES, page=(400, 500), paper=paper)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    pages = operators(pdf)
    assert len(boxes) == len(pages) > 0
    for box in boxes:
        assert sorted(map(float, box)) == pytest.approx(points, abs=1e-3)
    for page in pages:
        lengths = horizontal_lengths(page)
        assert min(abs(length - 100 * POINT) for length in lengths) < 1e-3
        assert min(abs(length - 288) for length in lengths) < 1e-3


def test_the_drawing_is_there_in_full_size() -> None:
    """All vertices of the hexagon, at 72 points an inch, shifted together."""
    (page,) = operators(write_pdf(LINES, page=(120, 90)))
    found = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+) [ml]\n", page), float)
    shift = (
        found[np.argmin(np.hypot(*(found - HEXAGON[0] * POINT - (8 * POINT, 24 * POINT)).T))]
        - HEXAGON[0] * POINT
    )
    for vertex in np.vstack((HEXAGON, LINES.points(1))):
        assert np.hypot(*(found - vertex * POINT - shift).T).min() < 1e-3


def test_tiles_cover_the_sheet_and_overlap() -> None:
    """No spot of a 610 x 410 mm sheet is left out, and each joint is shown twice."""
    for paper in PAPERS:
        grid = spread((0, 0, 610, 410), paper, 10)
        tiles = [
            shapely.box(t.left, t.bottom, t.left + grid.window[0], t.bottom + grid.window[1])
            for t in grid.tiles
        ]
        assert shapely.box(0, 0, 610, 410).difference(shapely.union_all(tiles)).area < 1e-9
        strips = [a.intersection(b) for k, a in enumerate(tiles) for b in tiles[:k] if a.intersects(b)]
        assert min(min(s.bounds[2] - s.bounds[0], s.bounds[3] - s.bounds[1]) for s in strips) >= 10 - 1e-9


def test_pages_without_lines_are_left_out_and_bytes_repeat() -> None:
    corner = Lines.of([[(5, 5), (30, 5)]], operation=Operation.CUT)
    pdf = write_pdf(corner, page=(600, 600), title="Waben (Größe) ✓")
    assert pdf == write_pdf(corner, page=(600, 600), title="Waben (Größe) ✓")
    assert len(operators(pdf)) == 1
    assert not re.search(rb"/(CreationDate|ModDate|ID)\b", pdf)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [({"paper": "A5"}, "not known"), ({"overlap": 150.0}, "no room"), ({"page": (9000, 9000)}, "pages")],
)
def test_wrong_wishes_are_refused(wrong: dict[str, object], words: str) -> None:
    with pytest.raises(JobError, match=words):
        write_pdf(LINES, **wrong)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
def test_poppler_reads_it_without_complaint(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(write_pdf(LINES, page=(305, 305), title="Waben (Größe) \\ fair"))
    done = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True)
    assert not done.stderr
    for words in ("Waben (Größe) \\ fair", "100 mm", "4 in", "print at 100 %", "score"):
        assert words in done.stdout
