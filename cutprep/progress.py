"""How long work tells that it goes on: a protocol with one method, and the silent one.

Stages call the progress they are given; the command line shows it, tests record it.
"""

from __future__ import annotations

from typing import Protocol

#: Stage to what it is for the maker.
WORDS = {
    "drawings": "reading and checking drawings",
    "nest": "laying out copies",
    "nest: packing": "looking for a tighter layout",
    "nest: fewer sheets": "looking for a layout with fewer sheets",
    "order": "finding a short way",
    "sheets": "writing and proving sheets",
}


class Progress(Protocol):
    """Told how far a stage has come."""

    def __call__(self, stage: str, done: int, total: int) -> None:
        """Report that `done` of `total` pieces of `stage` are finished."""


def silent(stage: str, done: int, total: int) -> None:
    """Report nothing."""
