"""Same inputs, options and seed, same bytes; every effort and language: tests/faults/same.py."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.faults.same import prepared


@pytest.mark.parametrize(
    ("effort", "drawings"), [("quick", ["display-tray.svg", "swing-tag.svg"]), ("normal", ["divider.svg"])]
)
def test_the_same_bytes_on_one_old_processor_and_on_two(
    tmp_path: Path, effort: str, drawings: Sequence[str]
) -> None:
    first = prepared(tmp_path / "a", effort, hashes=0, one_processor=False, drawings=drawings)
    again = prepared(tmp_path / "b", effort, hashes=1, one_processor=True, drawings=drawings)
    assert len(first) > 8
    assert first == again
