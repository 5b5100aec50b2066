"""Transform lists and origins."""

from __future__ import annotations

import pytest

from cutprep.stages.read.svg.shapes.transform import (
    IDENTITY,
    about,
    compose,
    is_flat,
    parse_origin,
    parse_transform,
    shift,
    size_factor,
    turn,
)
from cutprep.stages.read.svg.values import LengthContext

BOX = LengthContext(200, 100)


@pytest.mark.parametrize(
    ("text", "matrix"),
    [
        ("", IDENTITY), ("none", IDENTITY),
        ("translate(5)", (1, 0, 0, 1, 5, 0)), ("translate(5 6)", (1, 0, 0, 1, 5, 6)),
        ("translate(5-6)", (1, 0, 0, 1, 5, -6)), ("scale(2)", (2, 0, 0, 2, 0, 0)), ("scale(2,3)", (2, 0, 0, 3, 0, 0)),
        ("rotate(90)", (0, 1, -1, 0, 0, 0)), ("rotate(90 5 5)", (0, 1, -1, 0, 10, 0)),
        ("skewX(45)", (1, 0, 1, 1, 0, 0)), ("skewY(45)", (1, 1, 0, 1, 0, 0)),
        ("matrix(1 2 3 4 5 6)", (1, 2, 3, 4, 5, 6)),
        ("translate(5)scale(2)", (2, 0, 0, 2, 5, 0)), ("translate(5) , scale(2)", (2, 0, 0, 2, 5, 0)),
    ],
)  # fmt: skip
def test_lists(text: str, matrix: tuple[float, ...]) -> None:
    assert parse_transform(text, None) == pytest.approx(matrix)
    assert parse_transform(text, BOX) == pytest.approx(matrix)


@pytest.mark.parametrize(
    "text",
    [
        "foo(1)", "translate(1 2 3)", "rotate(1 2)", "scale()", "matrix(1 2 3)", "translate(5", "translate(a)",
        "translate(5) x", "5 5", "scale(1e999)", "skewX(1 2)", "translate(,5)",
    ],
)  # fmt: skip
def test_an_error_voids_the_whole_list(text: str) -> None:
    assert parse_transform(text, None) is None
    assert parse_transform(f"translate(9 9) {text}", BOX) is None


@pytest.mark.parametrize(
    ("text", "matrix"),
    [
        ("translate(1in, 10%)", (1, 0, 0, 1, 96, 10)), ("translateX(4px)", (1, 0, 0, 1, 4, 0)),
        ("translateY(50%)", (1, 0, 0, 1, 0, 50)), ("ROTATE(0.25turn)", (0, 1, -1, 0, 0, 0)),
        ("rotate(100grad)", (0, 1, -1, 0, 0, 0)), ("scaleX(2)", (2, 0, 0, 1, 0, 0)), ("scaleY(2)", (1, 0, 0, 2, 0, 0)),
    ],
)  # fmt: skip
def test_units_and_more_functions_stand_in_css_only(text: str, matrix: tuple[float, ...]) -> None:
    assert parse_transform(text, BOX) == pytest.approx(matrix)
    assert parse_transform(text, None) is None


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("10 20", (10, 20)), ("10px 20px 3px", (10, 20)), ("50% 50%", (100, 50)), ("center", (100, 50)),
        ("left", (0, 50)), ("top", (100, 0)), ("bottom right", (200, 100)), ("right bottom", (200, 100)),
        ("10", (10, 50)), ("top 10", (10, 0)),
    ],
)  # fmt: skip
def test_origins(text: str, point: tuple[float, float]) -> None:
    assert parse_origin(text, BOX) == pytest.approx(point)


@pytest.mark.parametrize("text", ["", "x", "left right", "top bottom", "1 2 3 4"])
def test_no_origins(text: str) -> None:
    assert parse_origin(text, BOX) is None


def test_matrices() -> None:
    assert compose(shift(1, 2), turn(90)) == (0, 1, -1, 0, 1, 2)
    assert about(turn(180), 5, 5) == (-1, 0, 0, -1, 10, 10)
    assert turn(-90) == (0, -1, 1, 0, 0, 0)
    assert is_flat((1, 1, 1, 1, 0, 0))
    assert is_flat((float("inf"), 0, 0, 1, 0, 0))
    assert not is_flat(IDENTITY)
    assert size_factor((2, 0, 0, -8, 5, 5)) == 4
