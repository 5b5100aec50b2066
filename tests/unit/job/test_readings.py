"""What a job is in its files and what is made of it later: every row of the readings that are kept (`python -m tests.readings`)."""

from __future__ import annotations

import pytest

from tests import kept_after, kept_asked, kept_jobs, kept_laid
from tests.readings import require_as_kept

READINGS = {
    name: read
    for kept in (kept_jobs, kept_asked, kept_after, kept_laid)
    for name, read in kept.READINGS.items()
}


@pytest.mark.parametrize("name", READINGS)
def test_a_job_reads_as_it_was_read(name: str) -> None:
    require_as_kept(name, READINGS[name]())
