"""Stock profiles."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from cutprep.errors import ProfileError
from cutprep.profile import shelf
from cutprep.profile.stock import Stock, load_stock

LEAST = 'caliper = "0.3mm"\n[[sheet]]\nname = "A4"\nsize = "210x297mm"\n'


def load(tmp_path: Path, text: str) -> Stock:
    path = tmp_path / "honey.toml"
    path.write_text(text)
    return load_stock(path)


def test_the_least_profile_has_the_defaults_of_the_class(tmp_path: Path) -> None:
    found = load(tmp_path, LEAST)
    plain = Stock("honey", "honey", 0.3, found.sheets)
    assert math.isnan(found.grammage)
    assert (found.grain, found.strip, found.speed_factor, found.passes, found.note) == (
        plain.grain,
        plain.strip,
        plain.speed_factor,
        plain.passes,
        plain.note,
    )
    assert [(s.name, s.width, s.height, s.at_hand, s.price) for s in found.sheets] == [
        ("A4", 210.0, 297.0, None, None)
    ]


def test_sheets_are_named_whatever_the_case(tmp_path: Path) -> None:
    found = load(tmp_path, LEAST)
    assert found.sheet_named("a4") is found.sheets[0]
    assert found.sheet_named("A5") is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (LEAST.replace("0.3mm", "0mm"), "caliper"),
        (LEAST.replace('"0.3mm"', "0.3"), "has no unit"),
        (LEAST.replace("0.3mm", "11mm"), "caliper"),
        (LEAST.replace("210x297mm", "210mm"), "size"),
        (LEAST.replace('size = "210x297mm"\n', ""), "size"),
        ('caliper = "0.3mm"\n', "sheet"),
        ("grain = 180\n" + LEAST, "grain"),
        ("passes = 0\n" + LEAST, "passes"),
        ("speed_factor = 0\n" + LEAST, "speed_factor"),
        ("grammage = -1\n" + LEAST, "grammage"),
        ("colour = 1\n" + LEAST, "colour"),
        ("[[[\n", "TOML"),
        ("a = " + "[" * 5000, "nested too deeply"),
        ("passes = " + "9" * 5000, "TOML"),
        ("passes = " + "9" * 400 + "\n" + LEAST, "beyond all limits"),
    ],
)
def test_what_makes_no_sense_is_refused(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(ProfileError, match=words):
        load(tmp_path, text)


@pytest.mark.parametrize("name", sorted(shelf.stocks()))
def test_shipped_stocks_are_sound(name: str) -> None:
    stock = shelf.stock(name)
    assert stock.name == name
    assert 0.05 < stock.caliper < 2
    assert stock.sheets
    assert len({size.name.lower() for size in stock.sheets}) == len(stock.sheets)
