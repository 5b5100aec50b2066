"""What is shown while a job runs: one bar for each kind of work, in the maker's words, full when it is done."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from cutprep.cli import show
from cutprep.progress import WORDS, Progress, silent


@dataclass(slots=True)
class _Stage:
    """A bar on the screen, and how far it is."""

    task: Any
    done: int = 0
    total: int = 0
    full: bool = False


class Bars:
    """Shows stages on bars; of a stage whose end is not known, that it goes on.

    Parameters
    ----------
    bar
        A rich `Progress`, or what has its `add_task` and `update`.
    """

    def __init__(self, bar: Any) -> None:
        self._bar = bar
        self._stages: dict[str, _Stage] = {}

    def __call__(self, stage: str, done: int, total: int) -> None:
        """Take what a stage tells; one that begins ends those before it."""
        now = self._stages.get(stage)
        if now is None:
            self._end_others(stage)
            now = self._stages[stage] = _Stage(
                self._bar.add_task(WORDS.get(stage, stage), total=total or None)
            )
        elif now.full or now.total != total:  # the next card, or another try
            self._end_others(stage)
            now.done, now.full = 0, False
        # A search that starts anew has not lost what was found.
        now.done = done if stage == "nest: fewer sheets" else max(now.done, done)
        now.total = total
        self._bar.update(now.task, description=self._words(stage), completed=now.done, total=total or None)
        if total and now.done >= total:
            self._fill(now)

    def end(self) -> None:
        """Fill every bar: the work is done."""
        for stage in self._stages.values():
            self._fill(stage)

    def _words(self, stage: str) -> str:
        have = self._stages.get("nest: fewer sheets")
        if have is not None and stage.startswith("nest:"):
            return f"{have.done} sheets; trying for {have.done - 1}"
        placed = self._stages.get("nest")
        if stage == "nest: packing" and placed is not None and 0 < placed.done < placed.total:
            return f"looking for room for the last {placed.total - placed.done}"
        return WORDS.get(stage, stage)

    def _end_others(self, stage: str) -> None:
        """Fill the bars of what comes before; packing goes on beside the laying out that asks for it."""
        for name, other in self._stages.items():
            if name.partition(":")[0] != stage.partition(":")[0]:
                self._fill(other)

    def _fill(self, stage: _Stage) -> None:
        if not stage.full:
            stage.full = True
            whole = stage.total or 1
            self._bar.update(stage.task, completed=whole, total=whole)


@contextmanager
def progress_bar() -> Iterator[Progress]:
    """A progress callback that shows bars on a terminal and is silent elsewhere."""
    console = show.err()
    if not show.on_screen(console):
        yield silent
        return
    from rich.progress import BarColumn, TaskProgressColumn, TextColumn
    from rich.progress import Progress as RichProgress

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
    with RichProgress(*columns, console=console, transient=True) as bar:
        bars = Bars(bar)
        yield bars
        bars.end()
