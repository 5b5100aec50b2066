"""The bench that measures stages one by one finds each of them where the job calls it."""

from __future__ import annotations

import pytest

from tests.bench.stage_growth import STAGES, room_of


@pytest.mark.parametrize("name", [name for names in STAGES.values() for name in names])
def test_a_stage_is_where_it_is_measured(name: str) -> None:
    assert callable(getattr(room_of(name), name))
