"""What is found in drawings: every row of the reading that is kept (`python -m tests.readings`)."""

from __future__ import annotations

from tests.kept_drawings import READINGS
from tests.readings import require_as_kept


def test_drawings_read_as_they_were_read() -> None:
    require_as_kept("drawings-checked", READINGS["drawings-checked"]())
