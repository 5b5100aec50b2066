"""Jobs with a printed layer: marks, what stays free for them, pages, and what is refused."""

from __future__ import annotations

import json

import numpy as np
import pypdfium2
import pytest

import cutprep
from cutprep.geometry.affine import apply
from cutprep.job.printing import possible
from cutprep.job.printing.marks import ARM, BLEED, kept_for_marks, mark_spots
from cutprep.model.operation import Operation
from tests.printed import TAG, with_print

NAMED = '<text x="30" y="60" font-size="7" text-anchor="middle" fill="#1a5a2a">{name}</text>'


@pytest.fixture
def tag(tmp_path):
    path = tmp_path / "tag.svg"
    path.write_text(TAG)
    return path


def test_marks_lie_in_the_corners_clear_of_the_printers_border():
    spots = mark_spots(210, 297, 5)
    assert spots.tolist() == [[9, 9], [201, 9], [201, 288], [9, 288]]
    for (x, y), (left, bottom, right, top) in zip(
        sorted(spots.tolist()), sorted(kept_for_marks(210, 297, 5)), strict=True
    ):
        assert left <= x - ARM
        assert x + ARM <= right
        assert bottom <= y - ARM
        assert y + ARM <= top


@pytest.mark.parametrize(("edge", "inset"), [(5.0, 3 / 8), (25.4 / 4, 1 / 2), (25.4 * 3 / 8, 5 / 8)])
def test_marks_lie_on_eighths_for_one_who_measures_in_inches(edge: float, inset: float):
    spots = mark_spots(8.5 * 25.4, 11 * 25.4, edge, "in") / 25.4
    assert spots.round(9).tolist() == [
        [inset, inset],
        [8.5 - inset, inset],
        [8.5 - inset, 11 - inset],
        [inset, 11 - inset],
    ]
    for (x, y), (left, bottom, right, top) in zip(
        sorted((spots * 25.4).tolist()),
        sorted(kept_for_marks(8.5 * 25.4, 11 * 25.4, edge, "in")),
        strict=True,
    ):
        assert min(x - left, right - x, y - bottom, top - y) >= ARM
        assert max(min(x - left, right - x), min(y - bottom, top - y)) == pytest.approx(ARM + 1 + BLEED)


def test_a_printed_sheet_in_inches_says_where_its_marks_are_in_inches(tag, tmp_path):
    cutprep.prepare(tag, copies=2, sheet="letter", unit="in", effort="quick", out=tmp_path / "out")
    page = (tmp_path / "out" / "job-sheet.html").read_text()
    assert "Then marks 1 and 2 are 7 3/4 in apart, and marks 1 and 4 10 1/4 in" in page
    assert "mark 1: 0.375in,0.375in; mark 2: 8.125in,0.375in; mark 3: 8.125in,10.625in; mark 4:" in page
    assert "within 0.020 in, run the machine file" in page
    assert "such as --align 0.375in,0.375in=X,Y" in page


def test_parts_stay_clear_of_marks_and_of_the_border(tag, tmp_path):
    outcome = cutprep.prepare(tag, copies=4, sheet="A4", effort="quick", out=tmp_path / "out", printer_edge=8)
    (sheet,) = outcome.sheets
    xy = sheet.placed.xy
    width, height = sheet.sheet.width, sheet.sheet.height
    edge = 8 + BLEED
    assert xy.min() >= edge - 1e-6
    assert (xy.max(axis=0) <= np.array([width, height]) - edge + 1e-6).all()
    for left, bottom, right, top in kept_for_marks(width, height, 8):
        inside = (xy > (left, bottom)).all(axis=1) & (xy < (right, top)).all(axis=1)
        assert not inside.any()
    assert (tmp_path / "out" / "sheet-01-print.pdf").read_bytes().startswith(b"%PDF-1.7")
    page = (tmp_path / "out" / "job-sheet.html").read_text()
    assert "Print sheet-01-print.pdf on each card at 100 %" in page
    assert "mark 1: 12mm,12mm" in page
    assert "<td>print sheet-01-print.pdf<br>then " in page


def test_the_same_job_gives_the_same_page_and_verify_knows_it(tag, tmp_path):
    for name in ("a", "b"):
        cutprep.prepare(tag, copies=2, sheet="A4", effort="quick", out=tmp_path / name)
    one, two = ((tmp_path / name / "sheet-01-print.pdf").read_bytes() for name in ("a", "b"))
    assert one == two
    assert "sheet-01-print.pdf" in json.dumps(json.loads((tmp_path / "a" / "job.json").read_text()))


def test_a_sheet_found_elsewhere_is_cut_there_and_a_slip_is_refused(tag, tmp_path):
    first = cutprep.prepare(tag, copies=2, sheet="A4", effort="quick", out=tmp_path / "a")
    again = {"copies": 2, "sheet": "A4", "effort": "quick", "places": tmp_path / "a" / "job.json"}
    moved = cutprep.prepare(
        tag, out=tmp_path / "b", align=["9mm,9mm=10mm,9.5mm", "201mm,9mm=202mm,9.5mm"], **again
    )
    assert np.allclose(moved.sheets[0].placed.xy - first.sheets[0].placed.xy, (1, 0.5), atol=0.01)
    (told,) = (f.problem for f in moved.findings if f.code == "aligned")
    assert "shifted by 1.00 mm, 0.50 mm; 2 points leave nothing over" in told
    with pytest.raises(cutprep.CutprepError, match=r"scale of 1\.0052"):
        cutprep.prepare(tag, out=tmp_path / "c", align=["9mm,9mm=9mm,9mm", "201mm,9mm=202mm,9mm"], **again)
    wide = cutprep.prepare(
        tag, out=tmp_path / "c", align=["9mm,9mm=9mm,9mm", "201mm,9mm=202mm,9mm"], align_scale=1, **again
    )
    assert wide.sheets[0].placed.xy[:, 0].max() > first.sheets[0].placed.xy[:, 0].max()


def test_what_can_not_be_printed_is_refused_before_the_layout(tag, tmp_path, monkeypatch):
    with pytest.raises(cutprep.CutprepError, match="face down"):
        cutprep.prepare(tag, out=tmp_path / "out", face_down=True)
    with pytest.raises(cutprep.CutprepError, match="a print has one side"):
        cutprep.prepare(tag, out=tmp_path / "out", mirror=True)
    monkeypatch.setattr(possible, "can_render", lambda: False)
    with pytest.raises(cutprep.CutprepError, match="two libraries more"):
        cutprep.prepare(tag, out=tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('<text x="9" y="60" font-size="6">Honey</text>', "print-text"),
        ('<text x="9" y="60" font-size="6" fill="none">Honey</text>', "print-text-missing"),
    ],
)
def test_texts_that_need_a_font_are_told(tmp_path, text, code):
    path = tmp_path / "tag.svg"
    path.write_text(with_print("").replace('</g>\n<g id="cut"', f'{text}</g>\n<g id="cut"'))
    outcome = cutprep.prepare(path, sheet="A4", effort="quick", out=tmp_path / "out")
    assert [f.code for f in outcome.findings if f.code.startswith("print")] == [code]


def test_a_text_of_each_copy_is_printed_on_it_and_the_artwork_stands_once(tmp_path):
    path = tmp_path / "tag.svg"
    path.write_text(with_print("").replace('</g>\n<g id="cut"', f'{NAMED}</g>\n<g id="cut"'))
    outcome = cutprep.prepare(path, names=["Ana", "Zoë"], sheet="A4", effort="quick", out=tmp_path / "out")
    (sheet,) = outcome.sheets
    assert sorted(t.text for t in sheet.sheet.templates if t.words) == ["Ana", "Zoë"]
    assert not (sheet.placed.operation == Operation.PRINT).any()
    page = (tmp_path / "out" / "sheet-01-print.pdf").read_bytes()
    assert page.count(b"/Subtype /Image") == 1
    picture = pypdfium2.PdfDocument(page)[0].render(scale=3).to_numpy()[:, :, ::-1].astype(np.int16)
    ink = (abs(picture - np.array((0x1A, 0x5A, 0x2A), np.int16)).max(axis=2) < 20).nonzero()
    scale = 3 * 72 / 25.4
    for spot in sheet.sheet.placements:
        text = sheet.sheet.templates[spot.template].words[0]
        xy = apply(spot.matrix, np.vstack(text.strokes))
        x, y = ink[1] / scale, sheet.sheet.height - ink[0] / scale
        low, high = xy.min(axis=0) - 0.5, xy.max(axis=0) + 0.5
        assert ((x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])).sum() > 100


def test_a_place_for_words_alone_needs_a_list_to_be_printed(tmp_path):
    path = tmp_path / "tag.svg"
    ground = TAG[TAG.index('<g id="print">') : TAG.index("</g>")]
    path.write_text(TAG.replace(ground, f'<g id="print">{NAMED}'))
    for names, page in ((None, None), (["Ana"], "sheet-01-print.pdf")):
        out = tmp_path / ("named" if names else "bare")
        outcome = cutprep.prepare(path, names=names, sheet="A4", effort="quick", out=out)
        assert [s.print_file or None for s in outcome.sheets] == [page]


@pytest.mark.parametrize(
    "taken",
    [
        '<rect width="9" height="9" fill="url(http://example.org/a.svg#b)"/>',
        '<rect width="9" height="9" style="filter: url( other.svg#b )"/>',
        '<use href="other.svg#b"/>',
        '<style>@import "other.css";</style><rect width="9" height="9"/>',
    ],
)
def test_nothing_is_printed_from_another_file(tmp_path, taken):
    path = tmp_path / "tag.svg"
    path.write_text(with_print(taken))
    with pytest.raises(cutprep.CutprepError, match="other files are never opened"):
        cutprep.prepare(path, sheet="A4", effort="quick", out=tmp_path / "out")
