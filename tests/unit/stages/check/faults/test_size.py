"""Sizes that are wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.model.findings.finding import Severity
from cutprep.stages.check.faults.size import STANDARD
from tests.drawn import Pen, box, codes, faults


def test_the_expected_size_either_way_round() -> None:
    """Within half a percent or half a millimetre."""
    pen = Pen().cut(box(10, 10, 130, 95))
    assert codes(pen, expect=(130, 95)) == []
    assert codes(pen, expect=(95, 130.4)) == []


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (25.4, "millimetres were taken for inches"), (1 / 25.4, "inches were taken for millimetres"),
        (96 / 25.4, "pixels of 1/96 in were taken for millimetres"), (2.0, ""), (72 / 96, "points were taken for pixels"),
        (90 / 96, "pixels of 1/90 in, as old drawing programs have them, were taken for pixels of 1/96 in"),
        (96 / 90, "pixels of 1/96 in were taken for pixels of 1/90 in"),
    ],
)  # fmt: skip
def test_another_size_is_an_error_with_its_ratio(factor: float, words: str) -> None:
    """And with a guess at the unit that slipped."""
    found = faults(Pen().cut(box(0, 0, 130 * factor, 95 * factor)), expect=(130, 95))
    size = next(f for f in found if f.code == "size")
    assert size.severity is Severity.ERROR
    assert size.measure == pytest.approx(factor, rel=0.01)
    assert words in size.problem
    assert size.unit == "ratio"
    assert ("would measure 130.0 x 95.0 mm" in size.problem) == bool(words)


def test_a_line_alone_has_another_size_too() -> None:
    """Its width of 0 is no share of anything to scale by."""
    (found,) = [f for f in faults(Pen().cut([(0, 0), (0, 95)]), expect=(130, 95)) if f.code == "size"]
    assert "draw it wider" in found.fix


def test_two_ratios_are_both_told() -> None:
    """A drawing squeezed in one direction."""
    found = faults(Pen().cut(box(0, 0, 130, 190)), expect=(130, 95))
    assert "1 times as wide and 2 times as high" in found[0].problem
    assert "100 % in width, 50 % in height" in found[0].fix


@pytest.mark.parametrize("page", [(793.7, 1122.5), (8.268, 11.693), (595.3, 841.9), (280, 396), (21, 29.7)])
def test_a_page_that_is_a_sheet_in_another_unit(page: tuple[float, float]) -> None:
    """A4 in pixels, inches, points, points for pixels, centimetres."""
    drawing = replace(Pen().cut(box(0, 0, 6, 9)).drawing, page=page)
    assert codes(drawing) == ["size"]


def test_pages_as_they_are_sold_say_nothing() -> None:
    """Every standard sheet, both ways round, and a page cut to the template."""
    for width, height in STANDARD:
        for page in ((width, height), (height, width)):
            assert codes(replace(Pen().cut(box(1, 1, 90, 90)).drawing, page=page)) == []
    assert codes(replace(Pen().cut(box(0, 0, 90, 70)).drawing, page=(90, 70))) == []


@pytest.mark.parametrize(
    ("page", "sheet", "cause"),
    [
        ((744.09 * 25.4 / 96, 1052.36 * 25.4 / 96), "A4 (210.0 x 297.0 mm)", "pixels of 1/90 in"),
        ((765 * 25.4 / 96, 990 * 25.4 / 96), "US letter (215.9 x 279.4 mm)", "pixels of 1/90 in"),
        ((595.28 * 25.4 / 96, 841.89 * 25.4 / 96), "A4 (210.0 x 297.0 mm)", "points were taken for pixels"),
        ((612, 792), "US letter (215.9 x 279.4 mm)", "points were taken for millimetres"),
    ],
)
def test_a_page_names_the_sheet_and_the_cause(page: tuple[float, float], sheet: str, cause: str) -> None:
    """A page of 90 px to the inch was once told to be a sheet that is none, with another cause.

    Sheets: ISO 216 and ANSI/ASME Y14.1 (from memory); their sizes in points as every page description has them.
    """
    (found,) = faults(replace(Pen().cut(box(0, 0, 60, 96)).drawing, page=page))
    assert f"times {sheet}" in found.problem
    assert cause in found.problem
    ratio = page[0] / float(sheet.partition("(")[2].split()[0])
    assert f"would measure {60 / ratio:.1f} x {96 / ratio:.1f} mm" in found.problem


@pytest.mark.parametrize(
    ("named", "unit", "said"),
    [
        (True, 25.4 / 96, "--units can't change: scale it to 106.7 %"),
        (False, 25.4 / 96, "--units px90;"),
        (False, None, "with --units, or scale it to 106.7 %"),
    ],
)
def test_the_way_out_is_one_that_works(named: bool, unit: float | None, said: str) -> None:
    """A file that names its unit is not mended by an option that does nothing then."""
    page = (210 * 90 / 96, 297 * 90 / 96)
    drawing = replace(Pen().cut(box(0, 0, 60, 90)).drawing, page=page, unit_mm=unit, unit_named=named)
    (found,) = faults(drawing)
    assert said in found.fix


def test_a_carton_of_three_metres_stops_the_job() -> None:
    """130 x 95 mm read as inches, and a strip that is only long."""
    drawing = replace(Pen().cut(box(0, 0, 3302, 2413)).drawing, unit_mm=25.4, unit_named=True)
    (found,) = faults(drawing)
    assert found.severity is Severity.ERROR
    assert (
        "millimetres were taken for inches: without that slip it would measure 130.0 x 95.0 mm"
        in found.problem
    )
    assert "scale it to 3.937 %" in found.fix
    (long,) = faults(Pen().cut(box(0, 0, 3302, 600)))
    assert long.severity is Severity.ERROR
    assert codes(drawing, expect=(3302, 2413)) == []


def test_a_drawing_too_small_or_too_large_for_any_template() -> None:
    """A box of 2 mm, and one of 3 m."""
    assert codes(Pen().cut(box(0, 0, 2, 3))) == ["size"]
    assert codes(Pen().cut(box(0, 0, 3000, 3000))) == ["size"]


def test_lines_beyond_the_page() -> None:
    """By how much, at the farthest point; guides don't count."""
    pen = Pen().cut(box(0, 0, 50, 50), [(60, 10), (104, 10)])
    found = [f for f in faults(replace(pen.drawing, page=(100, 100))) if f.code == "off-page"]
    assert found[0].measure == pytest.approx(4)
    assert found[0].severity is Severity.ERROR
    assert found[0].places[0].xy == pytest.approx((104, 10))


def test_larger_than_the_sheet_or_the_machine() -> None:
    """Either way round; by how much."""
    pen = Pen().cut(box(0, 0, 250, 100))
    assert codes(pen, sheet=(210, 297), area=(150, 300)) == []
    found = faults(pen, sheet=(210, 240), area=(90, 300))
    assert {f.code: round(f.measure or 0) for f in found} == {
        "larger-than-sheet": 10,
        "larger-than-machine": 10,
    }


@pytest.mark.parametrize(
    ("side", "severity", "word"), [(7.9, Severity.WARNING, "small"), (1501, Severity.ERROR, "large")]
)
def test_a_size_that_no_template_has_is_told_by_its_side(side: float, severity: Severity, word: str) -> None:
    """In mm and without a limit, for it is a guess; a small one may be meant, a large one can't be cut."""
    (found,) = [f for f in faults(Pen().cut(box(0, 0, side, side))) if f.code == "size"]
    assert (found.severity, found.measure, found.limit, found.unit) == (severity, side, None, "mm")
    assert f"too {word} for a template" in found.problem
