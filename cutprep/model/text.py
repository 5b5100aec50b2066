"""A text in a drawing that marks where each copy gets its own: `{name}`."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the table of settings asks for a figure of this module, and loads no numpy
    from cutprep.model.lines import Element

#: Height of a capital as a share of the font size, as in most sans-serif type; common practice, no published source.
CAPITAL = 0.7
#: Capitals of a long text are written no lower than this, mm; common practice, no published source.
LEAST_HEIGHT = 2.5
#: What stands in for a word of a list.
_FIELD = re.compile(r"\{\s*([^{}]*[^{}\s])\s*\}")


@dataclass(frozen=True, slots=True)
class TextPlace:
    """Where a text of each copy goes, and how.

    Attributes
    ----------
    words
        As drawn, such as `{name}, table {table}`.
    at
        Where its line stands, mm, y up: its beginning, middle or end, on the foot of the capitals.
    height
        Of a capital, mm.
    element
        Where it came from.
    turn
        Direction of writing, degrees counter-clockwise from x.
    anchor
        What stays at `at`: "start", "middle" or "end".
    """

    words: str
    at: tuple[float, float]
    height: float
    element: Element
    turn: float = 0.0
    anchor: str = "start"

    @property
    def fields(self) -> tuple[str, ...]:
        """Words of the list that it asks for, each once."""
        return fields_of(self.words)

    def moved(self, dx: float, dy: float) -> TextPlace:
        """The same place elsewhere, mm."""
        return replace(self, at=(self.at[0] + dx, self.at[1] + dy))

    def filled(self, row: dict[str, str]) -> str:
        """The text of one copy: its words by lower-case name; what the row lacks stays empty."""
        return " ".join(_FIELD.sub(lambda found: row.get(found[1].lower(), ""), self.words).split())


def fields_of(text: str) -> tuple[str, ...]:
    """Names between braces, each once, in lower case."""
    return tuple(dict.fromkeys(name.lower() for name in _FIELD.findall(text)))
