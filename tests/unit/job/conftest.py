"""How long the search for a sheet less goes on is not the subject here."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True, scope="module")
def _brief(brief_search: None) -> None:
    """Every test of this folder searches for a moment only."""
