"""The table of a piece's scores, as it is read at the scoring board."""

from __future__ import annotations

from cutprep.report.hands.table import table_of
from cutprep.template.kinds import KINDS
from tests.making import made
from tests.nets import Sketch


def test_a_score_from_edge_to_edge_is_pressed_all_the_way_and_others_from_where_to_where() -> None:
    strip = Sketch("strip").ring((0, 0), (76.2, 0), (76.2, 25.4), (0, 25.4))
    strip.score((25.4, 0), (25.4, 25.4)).score((50.8, 6.35), (50.8, 25.4))
    (work,), _ = made(strip.drawing())
    whole, part = table_of(work).board
    assert (whole.at, whole.runs) == (("1", "25.4"), ("all the way", "all the way"))
    assert (part.at, part.runs) == (("2", "50.8"), ("1/4 to 1", "6.4 to 25.4"))


def test_the_width_of_a_slot_is_told_to_thousandths_of_an_inch() -> None:
    """It is a layer of card and some room: a ruler's marks would hide it."""
    (work,) = made(KINDS["divider"].from_values(columns=2.0, rows=2.0, caliper=0.3))[0][:1]
    (row,) = table_of(work).slots
    assert row.fold.endswith("deep, 0.024 in (0.6 mm) wide")


def test_a_single_score_stands_at_one_distance() -> None:
    (work,), _ = made(KINDS["folded-card"].from_values())
    assert "Score line 1 at the distance of the table, while the card is flat and whole." in [
        step.text for step in work.prepared
    ]
