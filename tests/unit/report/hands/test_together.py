"""How the pieces of a template come together: what goes over, into and onto what (common practice, no published source)."""

from __future__ import annotations

import pytest

from cutprep.geometry.affine import shift
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.template.kinds import KINDS
from tests.making import made


def joined(drawing: Drawing) -> list[str]:
    return [step.text for step in made(drawing)[1]]


def beside(one: Drawing, other: Drawing) -> Drawing:
    """Two drawings as one, without names."""
    lines = other.lines.transform(shift(one.lines.bounds[2] + 10, 0.0))
    return Drawing("two", Lines.concat([one.lines, lines]))


@pytest.mark.parametrize(
    ("kind", "words", "last"),
    [
        ("drawer-and-sleeve", {}, "Fill the drawer and slide it into the sleeve; nothing is glued."),
        ("polygon-box", {"sides": "5"}, "Fill the base and slip the lid over it; nothing is glued."),
        ("exploding-box", {"layers": "1"}, "Fill layer 1, stand up its walls and slip the lid over them; nothing is glued."),
        ("swing-tag", {"ring": "12mm"}, "Glue the ring onto the tag as a reinforcement, hole on hole."),
    ],
)  # fmt: skip
def test_the_last_step_says_what_goes_over_into_or_onto_what(
    kind: str, words: dict[str, str], last: str
) -> None:
    assert joined(KINDS[kind].from_words(words))[-1] == last


def test_a_frame_is_glued_into_the_base_before_anything_is_put_in() -> None:
    assert joined(KINDS["shoulder-box"].from_values(play=0.0)) == [
        "Push the frame down into the base until it stands on the bottom, and glue it to the walls of the base there.",
        "Put in what belongs inside, and slip the lid over the frame; the lid is not glued.",
    ]


@pytest.mark.parametrize(
    ("height", "words"),
    [(20.0, "close it and slide piece 2 over it"), (62.0, "slide it into piece 2")],
)
def test_a_band_goes_over_a_box_and_a_box_into_a_sleeve(height: float, words: str) -> None:
    box = KINDS["tuck-carton"].from_values(length=40.0, width=30.0, height=60.0, tuck=10.0)
    sleeve = KINDS["sleeve"].from_values(length=41.6, width=31.6, height=height, seam=6.0)
    (text,) = joined(beside(box, sleeve))
    assert words in text


def test_pieces_that_do_not_fit_each_other_are_not_said_to() -> None:
    small, large = (KINDS["tray"].from_values(length=size) for size in (60.0, 132.0))
    assert joined(beside(small, large)) == []
