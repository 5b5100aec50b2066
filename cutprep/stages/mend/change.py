"""One change of a drawing: the lines after it, and what is told of it."""

from __future__ import annotations

from collections.abc import Iterable

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.model.lines import Lines

#: Codes of what is told of changes that the maker does not want.
LEFT = ("left-as-wished", "nothing-to-leave")
#: Lines after a change, and what was changed.
Change = tuple[Lines, Findings]


def told(
    code: str,
    before: str,
    after: str,
    places: Iterable[Place],
    measure: float | None = None,
    limit: float | None = None,
    *,
    unit: str = "mm",
) -> Finding:
    """Tell of one change: what was there before, and what is there now.

    Parameters
    ----------
    code
        Of the catalogue.
    before, after
        What was there, and what is there now, as sentences.
    places
        Where.
    measure, limit
        The figure and what it is held against, in `unit`.
    unit
        "mm" unless said.
    """
    return Finding.of(
        code=code,
        problem=before,
        fix=after,
        places=tuple(places),
        measure=measure,
        limit=limit,
        unit=unit,
    )


def made(changes: Findings) -> Findings:
    """The changes alone; of what was left as drawn a check of the mended drawing tells."""
    return tuple(f for f in changes if f.severity is Severity.NOTE and f.code not in LEFT)


def wished(changes: Findings) -> Findings:
    """What the maker has said about single changes: those that were left, and what meets none."""
    return tuple(finding for finding in changes if finding.code in LEFT)
