"""Limits keep their order."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest

from cutprep.tolerance import Tolerance


def test_defaults_keep_their_order() -> None:
    t = Tolerance()
    assert t.coincide < t.doubled < t.near
    assert t.sagitta < t.blade
    assert t.gap > t.coincide


@pytest.mark.parametrize("bad", [{"coincide": 0.2}, {"near": 0.05}, {"sagitta": 0.0}, {"gap": float("nan")}])
def test_nonsense_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="toleranc"):
        Tolerance(**bad)


def test_nobody_changes_a_limit_under_way() -> None:
    with pytest.raises(FrozenInstanceError):
        Tolerance().gap = 1.0  # type: ignore[misc]
