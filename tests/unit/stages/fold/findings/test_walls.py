"""A sleeve whose opposite walls are not quite equal: it closes all the same, but askew."""

from __future__ import annotations

import pytest

from tests.folding import folded
from tests.nets import sleeve, tube


@pytest.mark.parametrize("widths", [(60, 30, 57.5, 30), (30, 60, 27.5, 60), (60, 57.5, 60, 60)])
def test_a_wall_drawn_too_narrow_is_named_with_its_opposite(widths):
    (found,) = folded(tube(*widths)).found("walls-uneven")
    assert found.measure == pytest.approx(2.5)
    x = [0.0]
    for width in widths:
        x.append(x[-1] + width)
    narrow = next(k for k in range(4) if abs(widths[k] - widths[k - 2]) > 1)
    spots = sorted(p.xy[0] for p in found.places)
    for spot, wall in zip(spots, sorted((narrow, (narrow + 2) % 4)), strict=True):
        assert x[wall] < spot < x[wall + 1]


@pytest.mark.parametrize(
    "sound",
    [
        sleeve(),
        tube(60, 30, 59.5, 30),  # an allowance for the card
        tube(60, 30, 40, 30),  # a trapezoid, meant so
        tube(40, 40, 40),
        tube(40, 40, 38, 40, 40, 40),
    ],
)
def test_other_tubes_are_left_alone(sound):
    assert not folded(sound).found("walls-uneven")
