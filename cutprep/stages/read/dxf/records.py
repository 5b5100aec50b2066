"""Tags grouped into records, picked by group code in whole columns.

What an entity is stands in its tags in no fixed order, so nothing is parsed ahead: whoever
needs a number or a text asks for a group code over all records of interest at once.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterator

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.dxf.tags import Tags, Value

AGAIN = "Save or download it again."
#: Numbers beyond this are no coordinate, size or factor in any unit; their squares still are numbers.
_LARGEST = 1e15


class Records:
    """Tags grouped by record, picked by group code in whole columns.

    Parameters
    ----------
    tags
        All tags.

    Attributes
    ----------
    first
        (r + 1,) ndarray of int: index of the tag with which each record begins.
    kind
        r names, such as LINE.
    """

    def __init__(self, tags: Tags) -> None:
        self.tags = tags
        begins = np.flatnonzero(tags.code == 0)
        self.kind = [tags.text(i) for i in begins.tolist()]
        self.first: Index = np.append(begins, len(tags.code))
        counts = np.diff(self.first)
        lead = int(begins[0]) if len(begins) else len(tags.code)
        self.owner = np.concatenate(
            (np.full(lead, -1, np.int32), np.repeat(np.arange(len(begins), dtype=np.int32), counts))
        )
        code = np.where(_foreign_tags(tags), np.int16(-1), tags.code)
        self._order = np.argsort(code, kind="stable")
        self._sorted = code[self._order]

    def __len__(self) -> int:
        return len(self.kind)

    def find(self, code: int, chosen: Flags) -> Index:
        """Where a group code stands in the chosen records: tag indices, rising; `chosen` (m,) flags, (k,) indices."""
        low, high = np.searchsorted(self._sorted, (code, code + 1))
        at = self._order[low:high]
        return at[chosen[self.owner[at]] & (self.owner[at] >= 0)]

    def floats(self, at: Index) -> Points:
        """The numbers at some tags; (k,) indices, (k,) floats.

        Raises
        ------
        DrawingError
            When one of them is no number, not finite, or beyond every drawing.
        """
        try:
            numbers = self.tags.numbers(at)
        except ValueError:
            numbers = np.array([self._number(i) for i in at.tolist()])
        wrong = np.flatnonzero(~(np.abs(numbers) <= _LARGEST))
        if len(wrong):
            tag = int(at[wrong[0]])
            raise DrawingError(
                f"'{self.tags.text(tag)[:40]}' stands where a number up to {_LARGEST:.0e} must be",
                fix=AGAIN,
                place=self.place_of_tag(tag),
            )
        return numbers

    def _number(self, tag: int) -> float:
        text = self.tags.text(tag)
        try:
            return float(text.replace(",", "."))  # a writer that followed the user's locale
        except ValueError:
            raise DrawingError(
                f"'{text[:40]}' stands where a number must be", fix=AGAIN, place=self.place_of_tag(tag)
            ) from None

    def column(self, code: int, chosen: Flags, default: float) -> Points:
        """One number a record, (r,): the first with that code, else the default."""
        column = np.full(len(self), float(default))  # an int would cut every number off
        at = self.find(code, chosen)[::-1]
        column[self.owner[at]] = self.floats(at)
        return column

    def present(self, code: int, chosen: Flags) -> Flags:
        """Whether each record has a group code, (r,)."""
        flags = np.zeros(len(self), bool)
        flags[self.owner[self.find(code, chosen)]] = True
        return flags

    def texts(self, code: int, chosen: Flags, default: str = "") -> list[str]:
        """One text a record: the first with that code, else the default; `chosen` (m,) flags."""
        column = [default] * len(self)
        at = self.find(code, chosen)[::-1]
        for record, tag in zip(self.owner[at].tolist(), at.tolist(), strict=True):
            column[record] = self.tags.text(tag)
        return column

    def pairs(self, record: int, codes: Container[int] | None = None) -> Iterator[tuple[int, Value]]:
        """The tags of one record, its own name left out; those with some group codes, or all."""
        begin, end = int(self.first[record]) + 1, int(self.first[record + 1])
        for i, code in enumerate(self.tags.code[begin:end].tolist(), begin):
            if codes is None or code in codes:
                yield code, self.tags.value[i]

    def text(self, record: int, code: int, default: str = "") -> str:
        """The first text of one record with that code."""
        return next((str(value).strip() for _, value in self.pairs(record, (code,))), default)

    def number(self, record: int, code: int, default: float) -> float:
        """The first number of one record with that code; the default when it is none."""
        return as_number(self.text(record, code), default)

    def line(self, record: int) -> int | None:
        """Line in the file where a record begins; None in a binary file."""
        return int(self.tags.line[self.first[record]]) or None

    def place_of_tag(self, tag: int) -> Place:
        """Where a tag stands, with the entity it belongs to."""
        record = int(self.owner[tag])
        line = int(self.tags.line[tag]) + 1 if self.tags.line[tag] else None
        return Place(line=line, element=self.name(record) if record >= 0 else None)

    def name(self, record: int) -> str:
        """Short name for messages, such as `LINE '2F'`."""
        handle = self.text(record, 5)
        return f"{self.kind[record]} '{handle}'" if handle else self.kind[record]


def as_number(text: str, default: float) -> float:
    """A number from text, or the default when it is none or not finite."""
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return default
    return number if math.isfinite(number) else default


def _foreign_tags(tags: Tags) -> Flags:
    """Tags that belong to other programs (1000 and above, and 102 groups), not to the entity."""
    foreign = np.asarray(tags.code >= 1000)
    marks = np.flatnonzero(tags.code == 102)
    opened: int | None = None
    for i in marks.tolist():
        text = tags.text(i)
        if text.startswith("{") and opened is None:
            opened = i
        elif text == "}" and opened is not None:
            # A group never spans records; an unclosed one must not swallow the rest of the file.
            if not bool((tags.code[opened:i] == 0).any()):
                foreign[opened : i + 1] = True
            opened = None
    return foreign
