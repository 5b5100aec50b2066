"""What a job is in its files and what is made of it later: every row of the readings that are kept (`python -m tests.readings`)."""

from __future__ import annotations

import pytest

from tests.kept_jobs import READINGS
from tests.readings import require_as_kept


@pytest.mark.parametrize("name", READINGS)
def test_a_job_reads_as_it_was_read(name: str) -> None:
    require_as_kept(name, READINGS[name]())
