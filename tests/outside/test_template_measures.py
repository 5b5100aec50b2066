"""Measures of templates against what others publish.

Creases: the FEFCO/ESBO code of fibreboard cases, as case makers give it out: dimensions are internal, length x breadth x height in
mm, the length the larger one of the opening; they are measured on the flat blank from the centres of the creases, the
thickness of the board borne in mind. ISO 216:2007: A5 is 148 x 210 mm, A6 105 x 148 mm; half of a sheet of the A series is
the next one. US letter, 8 1/2 x 11 in: ANSI/ASME Y14.1, from memory.
"""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.operation import Operation
from cutprep.template.kinds import KINDS


def creases(name: str, axis: int, **words: float | str) -> list[float]:
    """Distances between neighbouring creases that run across an axis, mm."""
    lines = KINDS[name].from_values(**words).lines
    ends = [lines.points(int(i))[[0, -1]] for i in np.flatnonzero(lines.operation == Operation.SCORE)]
    at = {round(float(e[0, axis]), 6) for e in ends if abs(float(e[0, axis] - e[1, axis])) < 1e-9}
    return np.diff(sorted(at)).tolist()


@pytest.mark.parametrize("t", [0.0, 0.4, 1.0])
def test_from_crease_to_crease_lies_the_inside_and_the_board(t: float) -> None:
    """The FEFCO rule: what is asked for is inside, so half the board lies beyond it at either crease."""
    size = {"length": 120.0, "width": 80.0, "height": 60.0, "caliper": t}
    assert creases("tray", 0, **size) == pytest.approx([120 + t])
    assert creases("tray", 1, **size) == pytest.approx([80 + t])
    assert creases("tuck-carton", 0, **size) == pytest.approx(
        [80 + t, 120 + t, 80]
    )  # the last under the flap
    assert 60 + t in [pytest.approx(step) for step in creases("tuck-carton", 1, **size)]
    assert creases("hinged-box", 1, **size)[:2] == pytest.approx([80 + t, 60 + t])


def test_a_folded_card_is_half_a_sheet_of_iso_216() -> None:
    card = KINDS["folded-card"]
    assert card.from_values().page == (210.0, 148.0)  # A5, which folds to A6
    assert (card.values()["width"], card.values()["height"]) == (105.0, 148.0)


def test_an_envelope_takes_a_card_of_iso_216_with_its_play() -> None:
    envelope = KINDS["envelope"].values()
    assert (envelope["width"], envelope["height"]) == (148.0, 105.0)
    assert creases("envelope", 0)[0] == pytest.approx(148 + envelope["play"])
    assert creases("envelope", 1)[0] == pytest.approx(105 + envelope["play"])


def test_a_card_of_half_a_us_letter_sheet_fills_that_sheet() -> None:
    page = KINDS["folded-card"].from_words({"width": "5 1/2in", "height": "8 1/2in"}).page
    assert page == pytest.approx((279.4, 215.9))


@pytest.mark.parametrize(
    ("card", "play", "sold"),
    [
        # ISO 269 (from memory): C6, 114 x 162 mm, takes a sheet of A6.
        (("148mm", "105mm"), "4mm", (162.0, 114.0)),
        # US sizes, common practice, from memory: A7 is 5 1/4 x 7 1/4 in for a card of 5 x 7, A2 4 3/8 x 5 3/4 for 4 1/4 x 5 1/2.
        (("7in", "5in"), "1/4in", (7.25 * 25.4, 5.25 * 25.4)),
        (("5 1/2in", "4 1/4in"), "1/8in", (5.75 * 25.4, 4.375 * 25.4)),
    ],
)
def test_an_envelope_is_no_larger_than_the_one_sold_for_its_card(
    card: tuple[str, str], play: str, sold: tuple[float, float]
) -> None:
    """Its face, between its folds, holds the card; what is sold for that card has as much room or a little more."""
    lines = KINDS["envelope"].from_words({"width": card[0], "height": card[1], "play": play}).lines
    ends = [lines.points(int(i))[[0, -1]] for i in np.flatnonzero(lines.operation == Operation.SCORE)]
    face = [float(np.ptp([end[:, axis] for end in ends])) for axis in (0, 1)]
    for mine, theirs in zip(face, sold, strict=True):
        assert theirs - 10.0 <= mine <= theirs + 1e-6
