"""The making sheet of a template is what a maker would do: read kind by kind, not only in its order."""

from __future__ import annotations

import re

import pytest

from cutprep.template.kinds import KINDS
from tests.making import made


def steps(kind: str) -> str:
    works, _ = made(KINDS[kind].from_values())
    return " ".join(
        re.sub(r"[A-Z](, [A-Z])*( and [A-Z])?\b", "#", s.text) for work in works for s in work.steps
    )


@pytest.mark.parametrize(
    ("kind", "in_turn"),
    [
        ("hinged-box", ["glue flaps # inside wall #", "Put in what belongs inside", "Fold lid # over and tuck flap #"]),
        ("cake-slice", ["glue flap # inside wall #", "base #", "Put in what belongs inside", "Close the lid"]),
        ("tuck-carton", ["glue flap #", "Put in what belongs inside", "Close the lid"]),
        ("prism-carton", ["glue flap #", "base #", "Put in what belongs inside", "Close the lid"]),
        ("gathered-box", ["glue flap #", "Put in what belongs inside", "tie them with a ribbon"]),
    ],
)  # fmt: skip
def test_it_is_filled_before_it_is_closed_and_the_lid_is_never_glued(kind: str, in_turn: list[str]) -> None:
    said = steps(kind)
    at = [said.find(words) for words in in_turn]
    assert -1 not in at, (said, at)
    assert at == sorted(at)
    assert "glue" not in said[at[-1] :].replace("without glue", "").replace("not glued", "")


@pytest.mark.parametrize("kind", ["tray", "tray-with-lid", "shoulder-box", "polygon-box"])
def test_open_trays_are_glued_at_their_corners(kind: str) -> None:
    said = steps(kind)
    assert "Stand up walls" in said
    assert "lid #" not in said


@pytest.mark.parametrize("kind", ["folded-card", "place-card", "envelope-liner"])
def test_a_card_is_folded_once_and_not_glued(kind: str) -> None:
    said = steps(kind)
    assert "Fold score 1 into a" in said
    assert said.endswith("no part of it is glued to another.")


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_sentence_is_told_twice_and_pieces_go_by_their_names(kind: str) -> None:
    """A card to pin up: each step of a piece once, and the last ones in words that stand over the pieces."""
    works, joined = made(KINDS[kind].from_values())
    for work in works:
        texts = [step.text for step in work.steps]
        assert len(set(texts)) == len(texts)
    for step in joined:
        assert re.fullmatch(r"[A-Z].*[a-z]\.", step.text)
        assert any(work.piece.name in step.text for work in works), step.text
