"""The real size of a page, and fitting a viewBox into a viewport."""

from __future__ import annotations

import pytest

from cutprep.errors import DrawingError, JobError
from cutprep.stages.read.svg.shapes.viewport import ViewBox, find_page_size, fit, parse_view_box


@pytest.mark.parametrize(
    ("text", "box"),
    [
        ("0 0 10 20", (0, 0, 10, 20)), ("0,0,10,20", (0, 0, 10, 20)), (" -5 -5 1e1 20 ", (-5, -5, 10, 20)),
        ("0 0 0 0", (0, 0, 0, 0)), ("0 0 -1 5", None), ("0 0 5", None), ("0 0 5 5 5", None), ("0 0 5mm 5", None),
        (None, None),
    ],
)  # fmt: skip
def test_view_boxes(text: str | None, box: tuple[float, ...] | None) -> None:
    assert parse_view_box(text) == box


@pytest.mark.parametrize(
    ("aspect", "matrix"),
    [
        (None, (2, 2, 0, 10)), ("xMidYMid", (2, 2, 0, 10)), ("xMinYMin", (2, 2, 0, 0)), ("xMaxYMax meet", (2, 2, 0, 20)),
        ("xMidYMid slice", (4, 4, -10, 0)), ("xMinYMin slice", (4, 4, 0, 0)), ("none", (2, 4, 0, 0)),
        ("garbage", (2, 2, 0, 10)), ("defer xMinYMin", (2, 2, 0, 0)),
    ],
)  # fmt: skip
def test_fitting(aspect: str | None, matrix: tuple[float, ...]) -> None:
    a, b, c, d, e, f = fit(ViewBox(0, 0, 10, 10), 20, 40, aspect)
    assert (a, d, e, f) == matrix
    assert (b, c) == (0, 0)


def test_real_units_give_the_size() -> None:
    page = find_page_size("210mm", "297mm", "0 0 210 297", None, None)
    assert page.size == (210, 297)
    assert page.matrix == (1, 0, 0, -1, 0, 297)
    assert page.assumed == ""
    assert "210mm" in page.note


def test_px_is_a_ninety_sixth_of_an_inch() -> None:
    page = find_page_size("96px", "192px", None, None, None)
    assert page.size == pytest.approx((25.4, 50.8))
    assert page.assumed == "px"


def test_numbers_without_a_unit_are_px_unless_told() -> None:
    assert find_page_size("96", "96", None, None, None).size == pytest.approx((25.4, 25.4))
    assert find_page_size("96", "96", None, None, None).assumed == "nothing"
    told = find_page_size("96", "50", None, None, "mm")
    assert told.size == (96, 50)
    assert told.assumed == ""
    assert "as told" in told.note
    assert find_page_size(None, None, "0 0 8 10", None, "in").size == pytest.approx((8 * 25.4, 10 * 25.4))


def test_a_unit_in_the_file_goes_before_the_one_told() -> None:
    page = find_page_size("100mm", "50mm", "0 0 10 5", None, "in")
    assert page.size == (100, 50)
    assert page.named
    with pytest.raises(JobError, match="'parsecs' is not known"):
        find_page_size("100mm", "50mm", "0 0 10 5", None, "parsecs")


def test_a_missing_side_follows_from_the_view_box() -> None:
    assert find_page_size("100mm", None, "0 0 10 5", None, None).size == (100, 50)
    assert find_page_size(None, "100mm", "0 0 10 5", None, None).size == (200, 100)


def test_no_size_at_all() -> None:
    page = find_page_size(None, None, None, None, None)
    assert page.size is None
    assert page.scale.width == 100


def test_percentages_of_the_page_are_those_of_its_view_box() -> None:
    assert find_page_size("100%", "50%", "0 0 96 192", None, None).size == pytest.approx((25.4, 25.4))
    assert find_page_size("100%", "50%", None, None, None).size is None


def test_a_stretched_page_is_told() -> None:
    assert find_page_size("100mm", "100mm", "0 0 10 5", "none", None).stretched
    assert not find_page_size("100mm", "100mm", "0 0 10 5", None, None).stretched


@pytest.mark.parametrize(
    ("width", "height", "box"),
    [("0", "10", None), ("-5mm", "10mm", None), ("10", "10", "0 0 0 10"), (None, None, "0 0 5 0")],
)
def test_a_page_without_area_is_an_error(width: str | None, height: str | None, box: str | None) -> None:
    with pytest.raises(DrawingError, match="nothing of the drawing shows"):
        find_page_size(width, height, box, None, None)


def test_an_unknown_unit_is_an_error() -> None:
    with pytest.raises(JobError, match="parsec"):
        find_page_size("5", "5", None, None, "parsec")
