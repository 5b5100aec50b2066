"""Limits are numbers above 0, and hold for a whole run."""

from __future__ import annotations

import dataclasses

import pytest

from cutprep.read.limits import Limits


def test_defaults_are_above_any_template() -> None:
    limits = Limits()
    assert limits.points > limits.curve_points > 100_000
    assert limits.coordinate > 1e6


@pytest.mark.parametrize("field", [f.name for f in dataclasses.fields(Limits)])
def test_a_limit_below_one_is_a_programming_error(field: str) -> None:
    with pytest.raises(ValueError, match=field):
        Limits(**{field: 0})
