"""From faults to a bounded number of findings."""

from __future__ import annotations

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES
from cutprep.model.findings.telling import MOST_FINDINGS, tell


def _make(k: int) -> Finding:
    return Finding.of("crumb", f"Fault {k}.", places=(Place(line=k),), measure=float(k))


def test_few_are_told_one_by_one() -> None:
    """In their order."""
    assert [f.measure for f in tell(range(5), _make)] == [0, 1, 2, 3, 4]
    assert list(tell([], _make)) == []


def test_thousands_are_summed_up() -> None:
    """One more finding holds their number, the first places and the sum."""
    count = MOST_FINDINGS + 500
    found = list(tell(range(count), _make, float))
    assert len(found) == MOST_FINDINGS + 1
    assert found[-1].problem == f"500 more findings of this kind. The first of them: Fault {MOST_FINDINGS}."
    assert len(found[-1].places) == MOST_PLACES
    assert sum(f.measure or 0 for f in found) == sum(range(count))
    assert list(tell(range(count), _make))[-1].measure == MOST_FINDINGS
