"""The page to print, against PDFium (pypdfium2), and the SVG itself, against nothing of ours.

Where a copy lies is read from the machine file, as the cutter would run it; PDFium says what is printed there.
"""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest

import cutprep
from tests.printed import TAG

_DOTS = 10  # to the millimetre
_GROUND, _DOT, _WHITE = (0xF4, 0xC4, 0x30), (0x7A, 0x4A, 0x12), (255, 255, 255)


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("printed")
    (folder / "tag.svg").write_text(TAG)
    outcome = cutprep.prepare(
        folder / "tag.svg", copies=5, sheet="A4", turns="free", effort="quick", out=folder / "out"
    )
    page = pypdfium2.PdfDocument(folder / "out" / "sheet-01-print.pdf")[0]
    picture = page.render(scale=_DOTS * 25.4 / 72).to_numpy()[:, :, ::-1]  # PDFium gives blue first
    return outcome.sheets[0], page, picture


def colour_at(picture: np.ndarray, x: float, y: float) -> tuple[int, ...]:
    return tuple(picture[picture.shape[0] - 1 - int(y * _DOTS), int(x * _DOTS)].tolist())


def near(one: tuple[int, ...], two: tuple[int, ...]) -> bool:
    return max(abs(a - b) for a, b in zip(one, two, strict=True)) <= 3


def test_the_page_has_the_size_of_the_sheet(job):
    sheet, page, _ = job
    assert page.get_size() == pytest.approx(
        (sheet.sheet.width / 25.4 * 72, sheet.sheet.height / 25.4 * 72), abs=0.01
    )


def test_each_copy_is_printed_where_it_is_cut(job):
    """The tag's corners, as the blade finds them, and its dot, 15 mm right of and 60 mm above its lower left one."""
    sheet, _, picture = job
    outlines = [sheet.placed.points(i) for i in range(len(sheet.placed)) if sheet.placed.closed[i]]
    assert len(outlines) == 5
    for ring in outlines:
        # The lower edge is the one side of 50 mm; up is where the middle of the ring lies.
        sides = np.hypot(*np.diff(ring, axis=0).T)
        k = int(np.abs(sides - 50).argmin())
        a, b = ring[k], ring[k + 1]
        right = (b - a) / 50
        up = np.array([-right[1], right[0]])
        if (ring.mean(axis=0) - a) @ up < 0:
            a, right, up = b, -right, -up
        assert near(colour_at(picture, *(a + 15 * right + 60 * up)), _DOT)
        assert near(colour_at(picture, *(a + 15 * right + 51 * up)), _GROUND)
        assert near(colour_at(picture, *(a + 25 * right + 10 * up)), _GROUND)
        # It reaches beyond the cut, but not as far as a neighbour.
        assert near(colour_at(picture, *(a + 25 * right - 1.2 * up)), _GROUND)
    printed = (
        (np.abs(picture.astype(int) - _WHITE).max(axis=2) > 40).mean() * picture.shape[0] * picture.shape[1]
    )
    tag = 50 * 90 - 100
    assert 5 * tag < printed / _DOTS**2 < 5 * 54 * 94


def test_marks_stand_where_the_job_sheet_says(job):
    sheet, _, picture = job
    for x, y in sheet.marks.tolist():
        assert colour_at(picture, x, y)[0] < 120
        assert colour_at(picture, x + 3, y)[0] < 120
        assert near(colour_at(picture, x + 3, y + 2.5), _WHITE) or x > 100
        assert near(colour_at(picture, x - 3, y - 2.5), _WHITE)
