"""Letters as single strokes: of the height asked for, accented, and told when they are lacking."""

from __future__ import annotations

import string

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.template.letters import letters, missing

#: Accented letters of western, northern and central European names.
ACCENTED = "ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÑÒÓÔÕÖØÙÚÛÜÝàáâãäåæçèéêëìíîïñòóôõöøùúûüýÿßĄąĆćČčĎďĐđĘęĚěĞğŁłŃńŇňŐőŒœŘřŚśŞşŠšŤťŮůŰűŹźŻżŽžȘșȚț"


def box(text: str, height: float = 21.0) -> tuple[np.ndarray, np.ndarray]:
    points = np.concatenate(letters(text, height)[0])
    return points.min(axis=0), points.max(axis=0)


@pytest.mark.parametrize("letter", string.ascii_uppercase)
def test_capitals_are_as_high_as_asked_and_stand_on_the_line(letter: str) -> None:
    """Q alone reaches below the line: its tail."""
    low, high = box(letter, 7.0)
    assert high[1] == pytest.approx(7.0)
    assert low[1] == pytest.approx(-2 / 3 if letter == "Q" else 0.0)


def test_every_printable_letter_and_all_accents_can_be_written() -> None:
    assert missing(string.ascii_letters + string.digits + string.punctuation + " " + ACCENTED) == ""


@pytest.mark.parametrize("letter", ACCENTED)
def test_a_mark_adds_ink_beside_that_of_its_letter(letter: str) -> None:
    strokes, width = letters(letter, 21)
    assert strokes
    assert width > 0
    if letter in "ÀÁÂÃÄÅÉÓÖÜŐŮŽ":
        assert box(letter)[1][1] > 21
    if letter in "ÇçĄąĘęŞşȘș":
        assert box(letter)[0][1] < 0


def test_letters_keep_clear_of_one_another() -> None:
    """No letter reaches into the width of its neighbour, whatever the pair."""
    for letter in string.ascii_letters + string.digits + "ÄÖÜäöüéøł":
        strokes, width = letters(letter, 21)
        points = np.concatenate(strokes)
        assert points[:, 0].min() > -0.5, letter
        assert points[:, 0].max() < width + 0.5, letter


def test_an_accent_takes_the_place_of_a_dot() -> None:
    assert len(letters("í", 10)[0]) == len(letters("i", 10)[0])


def test_twice_the_same() -> None:
    one, two = letters("Zoë & Łukasz", 8), letters("Zoë & Łukasz", 8)
    assert one[1] == two[1]
    assert all((a == b).all() for a, b in zip(one[0], two[0], strict=True))


def test_all_lacking_letters_are_named_once() -> None:
    assert missing("日本日 A") == "日本"
    with pytest.raises(JobError, match="'日', '本'"):
        letters("日本日 A", 8)
