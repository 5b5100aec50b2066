"""From what was found to findings, bounded however much was found."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES
from cutprep.units import plural

T = TypeVar("T")

#: So many findings of one kind are told one by one; the rest is summed up in one more.
MOST_FINDINGS = 2000


def tell(
    faults: Sequence[T], make: Callable[[T], Finding], total: Callable[[T], float] | None = None
) -> Iterator[Finding]:
    """Make a finding of each fault; of thousands, sum up those beyond the first.

    Parameters
    ----------
    faults
        What was found.
    make
        Makes the finding of one.
    total
        The measure of one, where measures may be added up.
    """
    yield from map(make, faults[:MOST_FINDINGS])
    more = faults[MOST_FINDINGS:]
    if not more:
        return
    shown = [make(fault) for fault in more[:MOST_PLACES]]
    first = shown[0]
    measure = sum(map(total, more)) if total else first.measure
    yield replace(
        first,
        problem=f"{plural(len(more), 'more finding')} of this kind. The first of them: {first.problem}",
        places=tuple(place for finding in shown for place in finding.places[:1]),
        measure=measure,
    )
