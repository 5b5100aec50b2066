"""Commands as a maker types them one after the other, and all that is answered: the readings that are kept (`python -m tests.readings`)."""

from __future__ import annotations

import pytest

from tests.kept_commands import READINGS
from tests.readings import require_as_kept


@pytest.mark.parametrize("name", READINGS)
def test_what_is_answered_reads_as_it_was_read(name: str) -> None:
    require_as_kept(name, READINGS[name]())
