"""Lengths in every form a maker writes them."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutprep import units
from cutprep.errors import JobError, Place
from cutprep.units import length, say_length, say_sides, say_size, say_time, say_volume, size, unit_name


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3mm", 3.0),
        ("28.5 mm", 28.5),
        ("2.54cm", 25.4),
        ("1/8in", 3.175),
        ("1 1/8 in", 28.575),
        ('1-1/8"', 28.575),
        ("-1 1/2in", -38.1),
        ("12pt", 12 * 25.4 / 72),
        ("96px", 25.4),
        ("40q", 10.0),
        (".5IN", 12.7),
        ("1,5mm", 1.5),
        ("1 ft", 304.8),
        ("2 inches", 50.8),
        ("6½in", 165.1),
        ("6 ½ in", 165.1),
        ("¾in", 19.05),
        ("1⅛”", 28.575),
        ("1 1/8''", 28.575),
        ("1 1⁄8 in", 28.575),
        ("-2¼in", -57.15),
        ("90px90", 25.4),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert length(text) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "mm",
        "3",
        "3 parsecs",
        "1/0in",
        "1e3mm",
        "nan mm",
        "inf mm",
        "3mm 4",
        "3" * 70 + "mm",
        "--3mm",
        "3'",
        "½½in",
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(JobError) as caught:
        length(text)
    assert caught.value.fix.startswith(("Write ", "Use one of: mm, cm, ")), caught.value.fix


def test_a_bare_number_needs_a_stated_unit() -> None:
    assert length("2", bare="in") == 50.8
    with pytest.raises(JobError, match="has no unit"):
        length("2")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("305x305mm", (305, 305)),
        ("12x12in", (304.8, 304.8)),
        ("8 1/2in x 11in", (215.9, 279.4)),
        ("130 × 95 mm", (130, 95)),
        ("1in x 30mm", (25.4, 30)),
        ("6½x4''", (165.1, 101.6)),
    ],
)
def test_sizes(text: str, wanted: tuple[float, float]) -> None:
    assert size(text) == pytest.approx(wanted)


@pytest.mark.parametrize("text", ["305", "305x", "0x10mm", "-5x10mm", "3x4x5mm", "3x4"])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(JobError) as refused:
        size(text)
    quoted = re.findall("'(.*?)'", refused.value.problem)
    assert quoted
    assert all(part in text for part in quoted)
    assert refused.value.fix.startswith(("Write ", "Both sides must be above 0")), refused.value.fix


def test_unknown_unit_lists_the_known_ones() -> None:
    with pytest.raises(JobError, match="mm, cm"):
        unit_name("furlong")


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (3.0, "mm", "3.0 mm"),
        (25.4, "in", "1 in"),
        (28.575, "in", "1 1/8 in"),
        (0.0, "in", "0 in"),
        (-38.1, "in", "-1 1/2 in"),
        (26.1, "in", "1 in (1.028 in)"),
        (12.34, "cm", "1.23 cm"),
    ],
)
def test_saying_lengths(mm: float, unit: str, text: str) -> None:
    assert say_length(mm, unit) == text


def test_saying_sizes_names_the_unit_once() -> None:
    assert say_size(210, 297) == "210.0 x 297.0 mm"
    assert say_size(215.9, 279.4, "in") == "8 1/2 x 11 in"
    assert say_sides((101.6, 76.2, 25.4), "in") == "4 x 3 x 1 in"
    assert say_sides((101.3, 76.2, 25.4), "in") == "4 x 3 x 1 in (3.988 x 3.000 x 1.000 in)"
    assert say_sides((101.3, 76.2), "cm") == "10.13 x 7.62 cm"


def test_volumes_are_said_in_cubic_centimetres_or_inches() -> None:
    """1 in is 25.4 mm by definition, so a cubic inch is 16.387064 cubic centimetres."""
    assert say_volume(16387.064) == "16.4 cm3"
    assert say_volume(16387.064, "in") == "1.0 cu in"
    assert say_volume(2_345_678.0) == "2346 cm3"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (59.4, "59 s"),
        (59.6, "1 min 00 s"),
        (185, "3 min 05 s"),
        (3725, "1 h 02 min"),
        (float("inf"), "unknown"),
    ],
)
def test_saying_times(seconds: float, text: str) -> None:
    assert say_time(seconds) == text


@given(st.integers(0, 400), st.sampled_from([2, 4, 8, 16]), st.integers(0, 15))
def test_sixteenths_survive_a_round_trip(whole: int, parts: int, count: int) -> None:
    mm = (whole + (count % parts) / parts) * 25.4
    assert length(say_length(mm, "in")) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("mm", "inches"),
    [
        ("from 0, 25.4 to 50.8, 12.7 mm: fold it", "from 0.000, 1.000 to 2.000, 0.500 in: fold it"),
        ("left at -25.40, 6.35 mm, but", "left at -1.000, 0.250 in, but"),
        ("129 cm2 less of the last sheet", "20.0 sq in less of the last sheet"),
        ("flaps G and I overlap by 100.8 mm2 on panel D", "flaps G and I overlap by 0.156 sq in on panel D"),
        ("an acceleration of 900 mm2/s2", "an acceleration of 900 mm2/s2"),
        ("on layer 3, 25.4 mm long at 200 mm/s", "on layer 3, 1 in long at 200 mm/s"),
    ],
)
def test_positions_in_a_sentence_are_told_in_decimals_of_her_unit(mm: str, inches: str) -> None:
    assert units.in_unit(mm, "in") == inches
    assert units.in_unit(mm, "mm") == mm


def test_a_place_is_told_in_her_unit() -> None:
    place = Place(file="tag.svg", xy=(50.8, 25.4))
    assert str(units.place_in(place, "in")) == "tag.svg (at 2.000, 1.000 in)"
    assert str(units.place_in(place, "cm")) == "tag.svg (at 5.08, 2.54 cm)"
    assert units.place_in(place, "in") == place
    with pytest.raises(JobError) as fault, units.told_in("in"):
        raise JobError("a gap of 50.8 mm", fix="Take 25.4 mm.", place=place)
    assert str(fault.value) == "tag.svg (at 2.000, 1.000 in): a gap of 2 in. Take 1 in."


def test_limits_are_told_exactly() -> None:
    """A sixteenth that is off by more than 0.2 mm would contradict what was typed: 7 mm is no 1/4 in."""
    said = "height is 6.35 mm; it must be from 7 mm to 500 mm"
    assert (
        units.in_unit(said, "in", exact=True) == "height is 1/4 in; it must be from 0.276 in to 19 11/16 in"
    )
    with pytest.raises(JobError) as fault, units.told_in("in", exact=True):
        raise JobError("no", fix="Use at most 8.6 mm.")
    assert fault.value.fix == "Use at most 0.339 in."


@pytest.mark.parametrize("text", ["6in", '6 1/16"', "6''", "6½″", "6 inches", "2 IN"])
def test_what_is_typed_in_inches(text: str) -> None:
    assert units.in_inches(text)
    assert units.worked_in(["12mm", text]) == "in"


@pytest.mark.parametrize("text", ["12mm", "2.54 cm", "heart", "in", "", "6", "Ana in the inn"])
def test_what_is_not(text: str) -> None:
    assert not units.in_inches(text)
    assert units.worked_in([text], "cm") == "cm"
