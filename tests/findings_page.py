"""docs/FINDINGS.md, written from the catalogue: `python -m tests.findings_page`."""

from __future__ import annotations

from pathlib import Path

import cutprep
from cutprep.model.findings.catalogue import CATALOGUE, TABLES
from cutprep.model.findings.entry import Entry, Mend

PAGE = Path(cutprep.__file__).parent.parent / "docs" / "FINDINGS.md"

HEAD = """# What is told of a drawing, a job and a machine file

<!-- Written from the catalogue in cutprep/model/findings/codes/ by `python -m tests.findings_page`. -->

Every finding has a code, a severity (error, warning, note), the places concerned (file, line, element,
layer, position in mm), the figure found with its limit, one sentence on what is there and what it would do at the
machine, and one on what to do. Codes never change their meaning; scripts may rely on them.

An error stops `prepare` unless you say `--despite-findings`; what `fold` calls an error is a warning to `check` and
`prepare`, since a part that does not close can still be cut. Where two severities stand, the usual one comes first.

*Mend* says whether `cutprep mend` cures it: `yes`; `when asked`, by an option that says what is meant; `-`, where
only you can. A finding itself says which of them holds for it (`mend` in `--json`: `safe`, `ask`, `none`).

The measure of `doubled-line` and `doubled-across-operations` is the length that would be run again: the sum
of the lengths less the length of the union, so three lines on each other over 10 mm measure 20 mm.
"""

SECTIONS = {
    "read": "Reading and classifying",
    "check": "The drawing",
    "mend": "What mending did",
    "fold": "Folding",
    "nest": "Sheets: laying out, order, blade",
    "readback": "Machine files",
}

TAIL = """
## What mending does about lines of different operations on each other (`--keep`)

| word | what stays |
| --- | --- |
| `report` | both; the finding stays an error |
| `cut` | the stronger operation |
| `score` | the weaker operation |
| `outline` | the cut where it bounds the card; the score where card lies on both sides |
"""

_MEND = {Mend.SAFE: "yes", Mend.ASK: "when asked", Mend.NONE: "-"}


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for room, entries in TABLES.items():
        parts.append(f"\n## {SECTIONS[room]}\n\n| code | severity | meaning | what to do | mend |\n")
        parts.append("| --- | --- | --- | --- | --- |\n")
        parts += [_row(CATALOGUE[entry.code]) for entry in entries]
    return "".join([*parts, TAIL])


def _row(entry: Entry) -> str:
    severities = ", ".join(s.value for s in entry.severities)
    mends = ", ".join(_MEND[m] for m in entry.mends)
    return f"| `{entry.code}` | {severities} | {entry.meaning} | {entry.advice or '-'} | {mends} |\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
