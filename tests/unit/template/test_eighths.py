"""Dimensions in sixteenths of an inch are told, with the nearest that come out in eighths."""

from __future__ import annotations

import pytest

from cutprep.template.eighths import eighths
from cutprep.template.kinds import KINDS


@pytest.mark.parametrize(
    ("kind", "words", "told"),
    [
        ("tray", {"length": "6in", "width": "3 1/2in", "height": "1 1/8in"}, ()),
        (
            "tray",
            {"length": '6 1/16"', "height": "1 1/8in"},
            ("length 6 1/16\" isn't in eighths of an inch; 6 in or 6 1/8 in would be.",),
        ),
        ("tray", {"length": "77.7875mm"}, ()),  # millimetres have no eighths
        # A bag is folded in the middle of its sides: half of 2 1/8 in is 1 1/16 in.
        (
            "gusseted-bag",
            {"length": "4in", "width": "2 1/8in"},
            ("width 2 1/8in puts a score on a sixteenth of an inch; 2 in or 2 1/4 in wouldn't.",),
        ),
        ("gusseted-bag", {"length": "4in", "width": "2 1/4in"}, ()),
    ],
)
def test_what_comes_out_in_eighths(kind: str, words: dict[str, str], told: tuple[str, ...]) -> None:
    assert eighths(KINDS[kind], words) == told


def test_only_what_can_be_drawn_is_offered() -> None:
    """A tab of 25 mm is too deep for a wall of 1 in."""
    (told,) = eighths(KINDS["tray"], {"height": "1 1/16in", "tab": "25mm"})
    assert told == "height 1 1/16in isn't in eighths of an inch; 1 1/8 in would be."


@pytest.mark.parametrize("name", sorted(KINDS))
def test_what_is_not_named_comes_out_in_eighths_too(name: str) -> None:
    """One dimension in inches, and every other length as it comes: it can be drawn, and no score lies on a sixteenth."""
    kind = KINDS[name]
    first, *rest = (d for d in kind.dimensions if d.plain)
    words = {first.name: f"{round(first.default / 3.175)}/8in"}
    given = kind.read(words)
    for d in rest:
        eighth = float(given[d.name]) / 3.175
        assert eighth == pytest.approx(round(eighth), abs=1e-9) or given[d.name] == d.default < 3
    assert kind.from_words(words).page == kind.from_values(**given).page
    assert eighths(kind, words) == ()


@pytest.mark.parametrize("name", ["envelope", "envelope-liner", "folded-card"])
def test_a6_is_a6_in_inches_too(name: str) -> None:
    """ISO 216: A6 is 105 x 148 mm; to eighths of an inch it would be 104.8 x 149.2 mm, in which no A6 card fits."""
    kind = KINDS[name]
    for given in (kind.read({}, "in"), kind.read({kind.dimensions[2].name: "1/4in"})):
        assert sorted((given["width"], given["height"])) == [105.0, 148.0]
    # with a side of her own it is no A6, and the other side comes out in eighths
    eighth = float(kind.read({"width": "4 1/2in"})["height"]) / 3.175
    assert eighth == pytest.approx(round(eighth))


def test_millimetres_keep_their_defaults() -> None:
    tray = KINDS["tray"]
    assert tray.read({"length": "150mm"}) == {"length": 150.0}
    assert tray.read({}, "in")["tab"] == pytest.approx(12.7)
    assert tray.read({"tab": "14mm", "length": "6in"})["tab"] == 14.0
