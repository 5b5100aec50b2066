"""The picture of findings: markers, a legend, words, and close looks at what is too small to be seen."""

from __future__ import annotations

import re

import numpy as np
import pytest

from cutprep.errors import Place
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.report.pictures.findings import before_and_after, findings_picture
from cutprep.report.pictures.lettering import SMALL

TWINS = Drawing(
    "twins",
    Lines.of(
        [np.array([[0.0, 0.0], [80.0, 0.0]]), np.array([[0.0, 0.3], [80.0, 0.3]]), np.array([[0.0, 50.0], [80.0, 50.0]])],
        operation=Operation.CUT,
    ),
)  # fmt: skip
NEAR = Finding.of(
    "near-double", "Two cut lines run 0.30 mm apart over 80.00 mm",
    measure=0.3, unit="mm", places=(Place(xy=(40.0, 0.0)),),
)  # fmt: skip
FAR = Finding.of(
    "doubled-line", "Two lines are one", measure=80.0, unit="mm", places=(Place(xy=(40.0, 50.0)),)
)


def texts(picture: str) -> list[str]:
    return re.findall(r">([^<>]+)</text>", picture)


def test_it_has_a_legend_of_the_marks_that_occur_and_the_findings_in_words() -> None:
    told = texts(findings_picture(TWINS, (FAR, NEAR)))
    assert {"error", "warning", "numbers as in the list"} <= set(told)
    assert "note" not in told
    assert any(t.startswith("1 ") and "error" in t for t in told)
    assert "Two cut lines run 0.30 mm apart" in " ".join(told)
    assert "Two cut lines" not in " ".join(texts(findings_picture(TWINS, (FAR, NEAR), words=False)))


def test_lines_that_nearly_meet_are_shown_much_larger() -> None:
    """At 28 times 0.3 mm is 8.4 mm apart: two lines to the eye."""
    picture = findings_picture(TWINS, (NEAR,))
    assert "1: 28 times larger" in texts(picture)
    lens = picture[picture.index("<rect x=") :]
    heights = sorted({float(y) for y in re.findall(r'class="cut" d="M[-\d.]+ ([-\d.]+)L', lens)})
    assert len(heights) == 2
    assert round(heights[1] - heights[0], 1) == 8.4
    assert "times larger" not in findings_picture(TWINS, (FAR,))


def test_before_and_after_have_one_scale_and_legible_words() -> None:
    picture = before_and_after(TWINS, (NEAR,), TWINS)
    assert {"before", "mended"} <= set(texts(picture))
    wide, view = re.search(r'width="([\d.]+)mm".*?viewBox="0 0 ([\d.]+)', picture).groups()  # type: ignore[union-attr]
    sizes = [float(s) for s in re.findall(r'font-size="([\d.]+)"', picture)]
    assert min(sizes) * float(wide) / float(view) >= 0.97 * SMALL
    assert float(wide) <= 180.1


TALL = Drawing("tall", Lines.of([np.array([[0.0, 0], [20, 0], [20, 900], [0, 900], [0, 0]])], operation=Operation.CUT))  # fmt: skip


@pytest.mark.parametrize("drawing", [TWINS, TALL], ids=lambda d: d.name)
def test_a_picture_is_not_stretched_and_goes_on_a_page(drawing: Drawing) -> None:
    """Its size in print has the proportions of what is drawn; with a list below it still fits A4."""
    for picture in (before_and_after(drawing, (FAR,), drawing), findings_picture(drawing, (FAR,))):
        wide, high, across, down = map(
            float,
            re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"', picture).groups(),  # type: ignore[union-attr]
        )  # fmt: skip
        assert high / down == pytest.approx(wide / across, abs=1e-3)
        assert wide <= 180.01
        assert high <= 260


def test_each_word_of_the_legend_begins_just_behind_its_mark() -> None:
    picture = findings_picture(TWINS, (FAR, NEAR))
    for shape, at, half, word in (("rect", "x", "width", "error"), ("ellipse", "cx", "rx", "warning")):
        mark, text = re.search(
            rf"(<{shape} [^>]*>)<text [^>]*>1</text>(<text [^>]*>){word}<", picture
        ).groups()  # type: ignore[union-attr]
        sizes = {k: float(v) for k, v in re.findall(r'(\w+)="(-?[\d.]+)"', mark)}
        where = {k: float(v) for k, v in re.findall(r'([\w-]+)="(-?[\d.]+)"', text)}
        assert 'style="text-anchor:start"' in text
        assert 0 < where["x"] - (sizes[at] + sizes[half]) < where["font-size"]
