"""Which copy on which sheet gets which text: in the order of the list, from the top of the first sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutprep.errors import PlanError
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.units import plural


def deal(sheets: Sequence[Sheet], own: Mapping[int, Sequence[Template]]) -> list[Sheet]:
    """Give every copy of some templates its own text.

    Parameters
    ----------
    sheets
        Each that differs once, with its runs.
    own
        Number of a template to one template for each of its copies, in the order of the list.

    Returns
    -------
    list of Sheet
        A sheet with such copies stands once for each run, since each run is another; copies are numbered anew, in the order
        of reading, line by line.

    Raises
    ------
    PlanError
        When more or fewer copies lie on the sheets than there are texts.
    """
    if not own:
        return list(sheets)
    _require_counts(sheets, own)
    given = dict.fromkeys(own, 0)
    found: list[Sheet] = []
    copy = 1
    for sheet in sheets:
        named = any(placement.template in own for placement in sheet.placements)
        for _ in range(sheet.runs if named else 1):
            numbers = {key: copy + k for k, key in enumerate(_in_reading_order(sheet))}
            found.append(_dealt(sheet, numbers, own, given, runs=1 if named else sheet.runs))
            copy += len(numbers) * (1 if named else sheet.runs)
    return found


def _require_counts(sheets: Sequence[Sheet], own: Mapping[int, Sequence[Template]]) -> None:
    placed = Counter(
        template
        for sheet in sheets
        for template, _ in {(placement.template, placement.copy) for placement in sheet.placements}
        for _ in range(sheet.runs)
    )
    for number, templates in own.items():
        if placed[number] != len(templates):
            raise PlanError(
                f"{plural(placed[number], 'copy', 'copies')} of '{templates[0].name}' are placed, and its list has "
                f"{plural(len(templates), 'text')}",
                fix="Place as many as the list has, or let cutprep lay them out.",
            )


def _dealt(
    sheet: Sheet,
    numbers: Mapping[tuple[int, int], int],
    own: Mapping[int, Sequence[Template]],
    given: dict[int, int],
    runs: int,
) -> Sheet:
    templates = list(sheet.templates)
    index: dict[tuple[int, int], int] = {}
    for key in numbers:
        if key[0] in own:
            index[key] = len(templates)
            templates.append(own[key[0]][given[key[0]]])
            given[key[0]] += 1
    placements = tuple(
        replace(placement, template=index.get(key, placement.template), copy=numbers[key])
        for placement in sheet.placements
        for key in [(placement.template, placement.copy)]
    )
    return replace(sheet, templates=tuple(templates), placements=placements, runs=runs)


def _in_reading_order(sheet: Sheet) -> list[tuple[int, int]]:
    """Template and copy of everything on a sheet: line by line from the top, from left to right."""
    middles: dict[tuple[int, int], tuple[float, float, float]] = {}
    for placement in sheet.placements:
        middles.setdefault(
            (placement.template, placement.copy), _middle(sheet.templates[placement.template], placement)
        )
    rows: list[list[tuple[int, int]]] = []
    level = 0.0
    for key, (_, y, high) in sorted(middles.items(), key=lambda item: -item[1][1]):
        if not rows or level - y > high / 2:
            rows.append([])
            level = y
        rows[-1].append(key)
    return [key for row in rows for key in sorted(row, key=lambda one: middles[one][0])]


def _middle(template: Template, placement: Placement) -> tuple[float, float, float]:
    """Middle and height of a copy on the sheet, mm."""
    left, bottom, right, top = template.lines.transform(placement.matrix).bounds
    return (left + right) / 2, (bottom + top) / 2, top - bottom
