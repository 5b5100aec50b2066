"""What DEVELOPERS.md and docs/HOUSE.md show of the code is so."""

from __future__ import annotations

import re

import pytest

from tests.contributors import DEVELOPERS, PICTURES, ROOT, chain, floors, place_of, with_table

AGAIN = "run python -m tests.contributors"


def test_the_table_of_rooms_is_made_from_the_tree() -> None:
    page = DEVELOPERS.read_text(encoding="utf-8")
    assert with_table(page) == page, AGAIN


@pytest.mark.parametrize(("name", "draw"), [("house-chain.svg", chain), ("house-floors.svg", floors)])
def test_the_pictures_show_the_tree(name: str, draw: object) -> None:
    assert (PICTURES / name).read_text(encoding="utf-8") == draw(), AGAIN  # type: ignore[operator]


def test_the_chain_names_stages_that_are_there() -> None:
    text = (PICTURES / "house-chain.svg").read_text(encoding="utf-8")
    for stage in (
        "read",
        "classify",
        "mend",
        "divide",
        "nest",
        "order",
        "blade",
        "write",
        "readback",
        "motion",
    ):
        assert stage in text
        assert place_of(stage).exists()


def test_the_page_shows_pictures_that_are_there() -> None:
    page = (ROOT / "docs" / "HOUSE.md").read_text(encoding="utf-8")
    shown = re.findall(r'src="([^"]+)"', page)
    assert len(shown) == 3
    assert all((ROOT / "docs" / name).is_file() for name in shown)
