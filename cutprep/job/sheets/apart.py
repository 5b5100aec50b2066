"""Whether a drawing's pieces take fewer sheets laid each by itself than as they are drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from cutprep.errors import CutprepError
from cutprep.job.before import area_needed, area_within
from cutprep.job.job import Batch, Item, Job
from cutprep.job.loading import Loaded
from cutprep.job.pieces.own import only_its_pieces
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet
from cutprep.report.page import listed
from cutprep.stages.divide import divide

#: A drawing with more pieces than these is an arrangement of the maker's own; more copies take long to try.
_MOST_PIECES, _MOST_COPIES = 12, 400


def pieces_apart(
    job: Job,
    batch: Batch,
    drawings: Sequence[Loaded],
    templates: Sequence[Template],
    sheets: Sequence[Sheet],
    lay: Callable[[Job, Batch, Sequence[Template]], Sequence[Sheet]],
) -> Findings:
    """Try it where it could save a sheet, and tell when it does.

    Parameters
    ----------
    job, batch
        What is asked for.
    drawings, templates
        Of the batch.
    sheets
        As they are laid out.
    lay
        Lays templates out: the job, the batch with an item for each of them, and the templates.

    Returns
    -------
    Findings
        One note, or none.
    """
    runs = sum(sheet.runs for sheet in sheets)
    if job.amount != "copies" or batch.spots or not any(map(_may_part, batch.items, templates)):
        return ()
    if (runs - 1) * max(area_within(size, job) for size in batch.sheets) < area_needed(batch, templates):
        return ()
    items: list[Item] = []
    pieces: list[Template] = []
    parted: list[str] = []
    for item, one, template in zip(batch.items, drawings, templates, strict=True):
        if not _may_part(item, template):
            items.append(item)
            pieces.append(template)
            continue
        parted.append(template.name)
        for number in range(1, len(template.parts) + 1):
            own = replace(item, only=str(number))
            items.append(own)
            pieces.append(divide(only_its_pieces(one.drawing, own, job.tolerance), job.tolerance))
    if sum(item.copies for item in items) > _MOST_COPIES:
        return ()
    quick = replace(job, nesting=replace(job.nesting, effort="quick"))
    try:
        fewer = sum(sheet.runs for sheet in lay(quick, replace(batch, items=tuple(items)), pieces))
    except CutprepError:
        return ()
    if fewer >= runs:
        return ()
    names = listed([f"'{name}'" for name in dict.fromkeys(parted)])
    return (
        Finding.of(
            code="pieces-apart",
            problem=f"with each piece of {names} laid by itself {fewer} of the {runs} sheets of "
            f"'{batch.stock.name}' will do",
            measure=float(runs - fewer),
            unit="sheets",
        ),
    )


def _may_part(item: Item, template: Template) -> bool:
    """Whether its pieces are nothing but pieces, and none was asked for by name."""
    alone = not (item.only or item.less or template.loose or item.names is not None)
    return alone and template.artwork is None and 2 <= len(template.parts) <= _MOST_PIECES
