"""Dimensions that only the folded piece has."""

from __future__ import annotations

import pytest

from cutprep.job.shown.standing import standing
from cutprep.template.kinds import KINDS
from tests.folding import folded_kind


@pytest.mark.parametrize(
    ("name", "dimension", "upright"),
    [
        ("pyramid", "height", True),
        ("cup", "height", True),
        ("cup", "width", False),
        ("treat-box", "base", False),
        ("milk-carton", "rise", True),
    ],
)
def test_it_is_as_long_as_the_dimension(name: str, dimension: str, *, upright: bool) -> None:
    """As drawn crease to crease: a layer of card more."""
    size = KINDS[name].values()[dimension]
    (report,) = folded_kind(name)
    shown = standing(report, size)
    assert shown is not None
    assert shown.upright is upright
    assert shown.length == pytest.approx(size, abs=0.5)


def test_what_is_nowhere_on_the_piece_is_not_shown_and_neither_is_what_does_not_grow() -> None:
    (report,) = folded_kind("pyramid")
    assert standing(report, 400.0) is None
    assert standing(report, KINDS["pyramid"].values()["height"], report, 0.5) is None
