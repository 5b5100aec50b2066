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
