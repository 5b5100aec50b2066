"""Sizes that are wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.model.finding import Severity
from cutprep.stages.check.size import SLIPS, STANDARD
from tests.drawn import Pen, box, codes, faults


def test_the_expected_size_either_way_round() -> None:
    """Within half a percent or half a millimetre."""
    pen = Pen().cut(box(10, 10, 130, 95))
    assert codes(pen, expect=(130, 95)) == []
    assert codes(pen, expect=(95, 130.4)) == []


@pytest.mark.parametrize(
    ("factor", "words"),
    [(25.4, "millimetres taken for inches"), (1 / 25.4, "inches taken for millimetres"), (96 / 25.4, "pixels"), (2.0, "")],
)  # fmt: skip
def test_another_size_is_an_error_with_its_ratio(factor: float, words: str) -> None:
    """And with a guess at the unit that slipped."""
    found = faults(Pen().cut(box(0, 0, 130 * factor, 95 * factor)), expect=(130, 95))
    size = next(f for f in found if f.code == "size")
    assert size.severity is Severity.ERROR
    assert size.measure == pytest.approx(factor, rel=0.01)
    assert words in size.problem
    assert size.unit == "ratio"


def test_two_ratios_are_both_told() -> None:
    """A drawing squeezed in one direction."""
    found = faults(Pen().cut(box(0, 0, 130, 190)), expect=(130, 95))
    assert "as wide" in found[0].problem


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
    assert len(SLIPS) == 5


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
