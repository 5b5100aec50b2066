"""Sheets that are cut alike are one sheet, with how often it is run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cutprep.model.sheet import Sheet


def equal_together(sheets: Iterable[Sheet]) -> list[Sheet]:
    """Each sheet that differs once, in the order in which they first come; runs are added, notes kept once."""
    equal: dict[object, list[Sheet]] = {}
    for sheet in sheets:
        equal.setdefault(_layout(sheet), []).append(sheet)
    return [
        replace(
            alike[0],
            runs=sum(sheet.runs for sheet in alike),
            notes=tuple(dict.fromkeys(note for sheet in alike for note in sheet.notes)),
        )
        for alike in equal.values()
    ]


def _layout(sheet: Sheet) -> object:
    """What makes two sheets the same for the machine; copies keep their own numbers."""
    placements = tuple(replace(placement, copy=0) for placement in sheet.placements)
    extra = (sheet.extra.xy.tobytes(), sheet.extra.start.tobytes())
    return sheet.width, sheet.height, placements, sheet.dropped, extra
