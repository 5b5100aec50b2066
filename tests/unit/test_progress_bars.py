"""Bars in the maker's words, that end full."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Thread

import pytest

from cutprep.cli.progress import Bars, progress_bar


class Screen:
    """Stands for the bars of the terminal."""

    def __init__(self) -> None:
        self.bars: list[dict[str, object]] = []
        self.seen: list[str] = []

    def add_task(self, description: str, *, total: int | None) -> int:
        self.bars.append({"words": description, "done": 0, "total": total})
        return len(self.bars) - 1

    def update(self, task: int, *, completed: int, total: int | None, description: str = "") -> None:
        bar = self.bars[task]
        bar |= {"done": completed, "total": total, "words": description or bar["words"]}
        self.seen.append(f"{bar['words']}: {completed}/{total}")

    @property
    def full(self) -> list[str]:
        return [str(bar["words"]) for bar in self.bars if bar["done"] == bar["total"]]


def test_every_bar_ends_full_although_the_last_copies_came_by_packing() -> None:
    screen = Screen()
    bars = Bars(screen)
    for told in (("drawings", 1, 2), ("drawings", 2, 2), ("nest", 0, 24), ("nest", 21, 24)):
        bars(*told)
    bars("nest: packing", 13, 0)
    assert screen.seen[-1] == "looking for room for the last 3: 13/None"
    bars("nest", 18, 24)  # another try begins: nothing goes back
    assert screen.seen[-1] == "laying out copies: 21/24"
    bars("sheets", 1, 2)
    assert screen.full == [
        "reading and checking drawings",
        "laying out copies",
        "looking for room for the last 3",
    ]
    bars.end()
    assert len(screen.full) == len(screen.bars) == 4


def test_the_next_card_begins_its_bar_anew() -> None:
    screen = Screen()
    bars = Bars(screen)
    for told in (("nest", 5, 5), ("sheets", 1, 1), ("nest", 1, 5)):
        bars(*told)
    assert screen.seen[-1] == "laying out copies: 1/5"
    bars("nest: packing", 4, 0)
    assert screen.bars[-1]["words"] == "looking for room for the last 4"
    bars("nest", 5, 5)
    bars("nest: packing", 9, 0)
    assert screen.bars[-1]["words"] == "looking for a tighter layout"


@contextmanager
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[bytes]]:
    """Make stderr a terminal; what it got stands in the list when it is closed."""
    pty = pytest.importorskip("pty", reason="only POSIX opens terminals so")
    ours, theirs = pty.openpty()
    shown: list[bytes] = []

    def read() -> None:
        try:
            while more := os.read(ours, 4096):
                shown.append(more)
        except OSError:  # how Linux says that the other end is closed
            os.close(ours)

    reader = Thread(target=read)
    reader.start()
    with monkeypatch.context() as patch, os.fdopen(theirs, "w", encoding="utf-8") as stderr:
        patch.setattr(sys, "stderr", stderr)
        for name, value in (("TERM", "xterm"), ("COLUMNS", "100"), ("NO_COLOR", "1")):
            patch.setenv(name, value)
        yield shown
    reader.join(timeout=30)


def test_a_person_at_a_terminal_sees_words_and_bars_and_they_go_when_all_is_done(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with terminal(monkeypatch) as shown, progress_bar() as tell:
        tell("drawings", 1, 2)  # the rest of both comes without being told
        tell("sheets", 1, 3)
    text = b"".join(shown).decode()
    last = text[: text.rindex("%")].rpartition("reading and checking drawings")[2].splitlines()
    assert [row.split()[-1].rstrip("%") for row in last if row.strip()] == ["100", "100"]
    assert "writing and proving sheets" in last[-1]
    # Hidden cursor shown again, and a line wiped for each bar: the result stands where they stood.
    assert text.endswith("\x1b[?25h\r\x1b[1A\x1b[2K\x1b[1A\x1b[2K")


def test_no_bar_goes_into_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_bar() as tell:
        tell("drawings", 1, 2)
    assert capsys.readouterr() == ("", "")
