"""Lengths, numbers, colours and paints."""

from __future__ import annotations

import math

import pytest

from cutprep.stages.read.svg.values import (
    BLACK,
    NO_PAINT,
    Length,
    LengthContext,
    Paint,
    css_colour,
    parse_length,
    parse_lengths,
    parse_number,
    parse_numbers,
    parse_paint,
    parse_url,
)

RED = Paint(seen=True, colour="#ff0000")


@pytest.mark.parametrize(
    ("text", "px"),
    [
        ("5", 5), ("5px", 5), ("1in", 96), ("25.4mm", 96), ("2.54cm", 96), ("72pt", 96), ("6pc", 96),
        ("101.6Q", 96), ("1IN", 96), (" 5 px ", 5), ("1e1", 10), ("-.5", -0.5), ("2em", 20), ("2ex", 10),
        ("10%", 3),
    ],
)  # fmt: skip
def test_lengths(text: str, px: float) -> None:
    length = parse_length(text)
    assert length is not None
    assert LengthContext(30, 40, font=10).px(length, "x") == pytest.approx(px)


def test_percentages_refer_to_width_height_and_diagonal() -> None:
    scale = LengthContext(30, 40)
    half = Length(50, "%")
    assert scale.px(half, "x") == 15
    assert scale.px(half, "y") == 20
    assert scale.px(half, "o") == pytest.approx(25 / math.sqrt(2))


@pytest.mark.parametrize(
    "text", ["", "mm", "5 5", "5zz", "1e999", "NaN", "inf", "5rem", "--5", "5px;", "0x10"]
)
def test_no_lengths(text: str) -> None:
    assert parse_length(text) is None


def test_real_lengths_know_their_millimetres() -> None:
    inch, px = parse_length("1in"), parse_length("96px")
    assert inch is not None
    assert px is not None
    assert inch.is_real
    assert inch.mm == 25.4
    assert not px.is_real


def test_numbers() -> None:
    assert parse_number("50%") == 0.5
    assert parse_number("0.25") == 0.25
    assert parse_number("5px") is None
    assert parse_numbers("1,2 3-4") == ([1, 2, 3, -4], "")
    assert parse_numbers(" 1 2 x 3") == ([1, 2], "x 3")
    assert parse_numbers("1,,2") == ([1], ",2")
    assert parse_numbers("") == ([], "")
    assert parse_numbers("1 1e999 3") == ([1], "1e999 3")


def test_lists_of_lengths() -> None:
    assert parse_lengths("2, 1mm 3%") == [Length(2, ""), Length(1, "mm"), Length(3, "%")]
    assert parse_lengths("2 x") is None


@pytest.mark.parametrize(
    ("text", "paint"),
    [
        ("red", RED), ("#F00", RED), ("#ff0000", RED), ("rgb(255, 0, 0)", RED), ("rgb(100% 0% 0%)", RED),
        ("hsl(0, 100%, 50%)", RED), ("#ff000080", RED), ("#f00 icc-color(x, 1)", RED),
        ("transparent", Paint(seen=False, colour="#000000")), ("rgba(255,0,0,0)", Paint(False, "#ff0000")),
        ("#12345", None), ("nothing", None), ("", None),
    ],
)  # fmt: skip
def test_colours(text: str, paint: Paint | None) -> None:
    assert css_colour(text) == paint


def test_paints() -> None:
    servers = {"g"}
    assert parse_paint("none", RED, servers) == NO_PAINT
    assert parse_paint("currentColor", RED, servers) == RED
    assert parse_paint("url(#g)", RED, servers) == Paint(seen=True)
    assert parse_paint("url('#g') none", RED, servers) == Paint(seen=True)
    assert parse_paint("url(#missing)", RED, servers) == NO_PAINT
    assert parse_paint("url(#missing) black", RED, servers) == BLACK
    assert parse_paint("url(#missing) currentColor", RED, servers) == RED
    assert parse_paint("garbage", RED, servers) is None


def test_urls() -> None:
    assert parse_url("url(#a) none") == ("a", "none")
    assert parse_url("url( '#a b' )") == ("a b", "")
    assert parse_url("url(other.svg#a)") == ("", "")
    assert parse_url("none") is None
