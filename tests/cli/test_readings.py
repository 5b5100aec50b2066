"""Commands as a maker types them one after the other, and all that is answered: the readings that are kept (`python -m tests.readings`)."""

from __future__ import annotations

import pytest

from tests import kept_commands, kept_rest
from tests.readings import require_as_kept

READINGS = {**kept_commands.READINGS, **kept_rest.READINGS}


@pytest.mark.parametrize("name", READINGS)
def test_what_is_answered_reads_as_it_was_read(name: str) -> None:
    require_as_kept(name, READINGS[name]())
