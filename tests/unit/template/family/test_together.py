"""A set comes together in an order in which it can be done."""

from __future__ import annotations

import tomllib

import pytest

from cutprep.tables import Table
from cutprep.template.family.fitting import count_of
from cutprep.template.family.pieces import changed, read_set
from cutprep.template.family.ready import READY, ready_set
from cutprep.template.family.together import set_together


def _place(steps: tuple[str, ...], *words: str) -> int:
    """Number of the only step with all of these words."""
    (found,) = [i for i, text in enumerate(steps) if all(word in text for word in words)]
    return found


def test_cartons_are_filled_and_the_divider_stands_before_they_go_into_the_tray() -> None:
    steps = set_together(ready_set("boxes-in-tray"))
    assert _place(steps, "Fill each carton") < _place(steps, "Put 6 x carton into the tray")
    assert _place(steps, "divider") < _place(steps, "one in each cell")
    assert "3 along its length and 2 across" in steps[-1]


def test_other_columns_are_told() -> None:
    steps = set_together(changed(ready_set("boxes-in-tray"), [("tray.columns", "4")]))
    assert "Put 8 x carton into the tray, 4 along its length and 2 across" in steps[-1]


def test_the_inner_box_is_shut_before_the_outer_one() -> None:
    steps = set_together(ready_set("box-in-box"))
    assert steps == (
        "Fill the inner and slip its lid over it; nothing is glued now.",
        "Put the inner into the outer, then slip its lid over it; nothing is glued now.",
    )


def test_an_envelope_is_lined_before_the_card_goes_in_and_sealed_last() -> None:
    steps = set_together(ready_set("card-in-envelope"))
    assert _place(steps, "liner") < _place(steps, "Put the card")
    assert steps[-1].endswith("then fold its flap down and seal it.")


@pytest.mark.parametrize("name", READY)
def test_every_step_names_pieces_of_the_set_and_every_piece_is_named(name: str) -> None:
    one = ready_set(name)
    text = " ".join(set_together(one))
    assert all(piece.name in text for piece in one.pieces)
    assert "None" not in text
    assert "{" not in text


def test_every_one_of_six_envelopes_gets_its_liner_and_its_card() -> None:
    text = """
title = "Cards in a box"
[[piece]]
name = "card"
kind = "folded-card"
[[piece]]
name = "envelope"
kind = "envelope"
takes = "card"
[[piece]]
name = "liner"
kind = "envelope-liner"
stands_in = "envelope"
[[piece]]
name = "box"
kind = "tray"
takes = "envelope"
layers = 6
height = "20mm"
"""
    one = read_set(Table(tomllib.loads(text)))
    assert [count_of(one, piece) for piece in one.pieces] == [6, 6, 6, 1]
    steps = set_together(one)
    assert _place(steps, "Slide one liner into each envelope") < _place(
        steps, "Put one card into each envelope"
    )
    assert steps[-1] == "Put 6 x envelope into the box, 6 on one another."
