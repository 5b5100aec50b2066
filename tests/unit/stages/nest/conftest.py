"""Efforts that tests can wait for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.stages.nest.item.problem import EFFORTS


@pytest.fixture
def packer_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Normal effort has two seconds of work, of which placing one by one may take a tenth before the packer is asked."""
    monkeypatch.setitem(EFFORTS, "normal", replace(EFFORTS["normal"], search=0.1, seconds=2.0))
