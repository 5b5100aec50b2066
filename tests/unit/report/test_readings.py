"""What the maker reads on pages and sees in pictures: every row of the readings that are kept (`python -m tests.readings`)."""

from __future__ import annotations

import pytest

from tests.kept_readings import READINGS
from tests.readings import FOLDER, every_reading, require_as_kept, same


@pytest.mark.parametrize("name", READINGS)
def test_a_page_reads_as_it_was_read(name: str) -> None:
    require_as_kept(name, READINGS[name]())


def test_no_reading_is_kept_that_nothing_is_compared_with() -> None:
    assert {path.stem for path in FOLDER.iterdir()} == set(every_reading())


def test_a_change_of_a_word_or_of_a_place_is_seen() -> None:
    """The comparison itself: a place may move by the last digit that is kept, a word or a figure of a page by nothing."""
    assert same("  path cut M1 2.3", "  path cut M1 2.4")
    assert not same("  path cut M1 2.3", "  path cut M1 2.5")
    assert not same("  path cut M1 2.3", "  path score M1 2.3")
    assert not same("li: 2.3 mm", "li: 2.4 mm")
