"""Bars in the maker's words, that end full."""

from __future__ import annotations

from cutprep.cli.progress import Bars


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
