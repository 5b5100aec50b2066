"""Every code of the catalogue is met: the smallest thing that gives it gives it."""

from __future__ import annotations

import pytest

from cutprep.model.findings.catalogue import CATALOGUE
from tests.examples import drawings, folding, machine_files, mending, reading, sheets

ROOMS = (reading, drawings, mending, folding, sheets, machine_files)
EXAMPLES = {code: make for room in ROOMS for code, make in room.EXAMPLES.items()}


def test_every_code_has_its_example() -> None:
    """Each once, and none for a code that is gone."""
    assert sum(len(room.EXAMPLES) for room in ROOMS) == len(EXAMPLES)
    assert set(EXAMPLES) == set(CATALOGUE)


@pytest.mark.parametrize("code", sorted(EXAMPLES))
def test_the_code_is_met(code: str) -> None:
    found = {finding.code: finding for finding in EXAMPLES[code]()}
    assert code in found
    told = found[code]
    assert told.severity in CATALOGUE[code].severities
    assert told.mend in CATALOGUE[code].mends
    assert told.problem
