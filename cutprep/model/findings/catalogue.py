"""The one catalogue of findings: every code with its severity, what it means, what to do, and whether `mend` cures it.

A code is named after the fault, never changes its meaning, and stands in `--json` output; scripts
may rely on it. No finding can be made with a code that stands not here, and docs/FINDINGS.md is
written from it.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import chain

from cutprep.model.findings.codes import drawing, folding, machine_files, mending, reading, sheets
from cutprep.model.findings.entry import Entry

#: Room to the entries that are its own unless they say otherwise, in the order of a job.
TABLES: dict[str, tuple[Entry, ...]] = {
    "read": reading.ENTRIES,
    "check": drawing.ENTRIES,
    "mend": mending.ENTRIES,
    "fold": folding.ENTRIES,
    "nest": sheets.ENTRIES,
    "readback": machine_files.ENTRIES,
}

_ALL = tuple(
    chain.from_iterable(
        (entry if entry.rooms else replace(entry, rooms=(room,)) for entry in entries)
        for room, entries in TABLES.items()
    )
)
#: Code to its entry.
CATALOGUE: dict[str, Entry] = {entry.code: entry for entry in _ALL}
if len(CATALOGUE) < len(_ALL):
    raise ValueError("a code stands twice in the catalogue")


def entry_of(code: str) -> Entry:
    """Look a code up.

    Raises
    ------
    ValueError
        When it stands not in the catalogue.
    """
    try:
        return CATALOGUE[code]
    except KeyError:
        raise ValueError(
            f"'{code}' stands not in the catalogue of findings (cutprep/model/findings/codes/)"
        ) from None
