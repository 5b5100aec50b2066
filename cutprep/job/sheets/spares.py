"""Sheets that only spare copies need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from cutprep.job.job import Batch, Job
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.sheet import Sheet


def sheets_for_spares(job: Job, batch: Batch, sheets: Sequence[Sheet], before: int) -> Findings:
    """Point out sheets that the job would not need without its spare copies.

    Parameters
    ----------
    job, batch
        What is asked for; an item's spares are what goes beyond its share of the sets.
    sheets
        Of this batch.
    before
        How many sheets of other batches come first.

    Returns
    -------
    Findings
        One for each such sheet.
    """
    if job.amount != "copies" or batch.spots:
        return ()
    spare = [item.copies - item.in_set * job.sets if item.in_set else 0 for item in batch.items]
    found = []
    for number, sheet in reversed(list(enumerate(sheets, before + 1))):
        held = Counter(
            template
            for template, _ in {(placement.template, placement.copy) for placement in sheet.placements}
        )
        if not held or any(count > spare[template] for template, count in held.items()):
            continue
        runs = min(sheet.runs, *(spare[template] // count for template, count in held.items()))
        for template, count in held.items():
            spare[template] -= count * runs
        copies = " and ".join(
            f"{count * runs} spare cop{'y' if count * runs == 1 else 'ies'} of '{sheet.templates[template].name}'"
            for template, count in sorted(held.items())
        )
        found.append(
            Finding.of(
                code="sheet-for-spares",
                problem=f"{_said(number, runs, sheet.runs)} needed only for {copies}",
                measure=float(sum(held.values()) * runs),
                unit="copies",
            )
        )
    return tuple(reversed(found))


def _said(number: int, spared: int, runs: int) -> str:
    """The sheet, or so many of its runs."""
    if spared == runs:
        return f"sheet {number} is"
    return f"{spared} of the {runs} runs of sheet {number} {'is' if spared == 1 else 'are'}"
