"""The picture of a kind: flat with letters, folded beside it."""

from __future__ import annotations

import pytest
from lxml import etree

from cutprep.job.gallery import drawn_picture, entry_of
from cutprep.job.shown.picture import flat_and_folded
from cutprep.template.kinds import KINDS
from tests.folding import folded_kind


def test_flat_with_its_letters_and_folded_beside_it() -> None:
    drawing = KINDS["tray"].from_values()
    ends = drawing.lines.points(0)[:2]
    root = etree.fromstring(
        flat_and_folded(
            "a <tray>", drawing, [("length", "L", ends[0], ends[1])], folded_kind("tray")
        ).encode()
    )
    assert root.get("aria-label") == "a <tray>"
    (line,) = root.xpath("//*[@data-of='length']")
    assert line.get("data-letter") == "L"
    assert "L" in [text.text for text in root.iter("{*}text")]
    panels = root.xpath("//*[@data-panel]")
    assert len(panels) == 9  # base, walls and tabs, folded


@pytest.mark.parametrize("name", ["swing-tag", "pyramid"])
def test_a_kind_drawn_anew_is_the_picture_that_comes_with_the_program(name: str) -> None:
    """Letters and all, though nothing is known of them beforehand."""
    assert drawn_picture(KINDS[name]) == entry_of(KINDS[name]).picture


def test_letters_stay_when_other_dimensions_are_typed() -> None:
    """A cup as wide as it is high: its width stays level."""

    def letters(picture: str) -> list[tuple[str | None, ...]]:
        marks = etree.fromstring(picture.encode()).xpath("//*[@data-letter]")
        return [tuple(one.get(f"data-{key}") for key in ("of", "letter", "lies")) for one in marks]

    usual = letters(entry_of(KINDS["cup"]).picture)
    assert {("width", "W", "level"), ("height", "H", "upright")} <= set(usual)
    assert letters(drawn_picture(KINDS["cup"], words={"width": "70mm"})) == usual
