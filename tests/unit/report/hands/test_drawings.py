"""Pieces that were laid out by themselves stand with the rest of their drawing again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.profile import shelf
from cutprep.report.hands.drawings import card_in_words, whole_drawings
from cutprep.report.outcome import TemplateOutcome
from tests.making import template_of


def card(left: float, width: float, scores: int, *, hole: bool = False) -> Drawing:
    """A rectangle with upright scores, and a round hole where that is asked for."""
    right = left + width
    rows = [np.array([(left, 0.0), (right, 0.0), (right, 40.0), (left, 40.0), (left, 0.0)])]
    rows += [np.array([(x, 0.0), (x, 40.0)]) for x in np.linspace(left, right, scores + 2)[1:-1]]
    if hole:
        turn = np.linspace(0, 2 * np.pi, 24)
        ring = np.column_stack((left + 6 + 2 * np.cos(turn), 20 + 2 * np.sin(turn)))
        rows.append(np.vstack((ring[:-1], ring[:1])))
    operation = [Operation.CUT, *[Operation.SCORE] * scores, *[Operation.CUT] * hole]
    return Drawing("set", Lines.of(rows, operation=operation))


def piece(drawing: Drawing, copies: int, name: str = "") -> TemplateOutcome:
    return replace(template_of(drawing), copies=copies, drawing="0 set.svg", piece=name)


def test_a_piece_stands_where_the_drawing_has_it_with_its_own_lines() -> None:
    """Its lines come behind those of the rest, as often as a copy of the rest needs it."""
    rest, lid = piece(card(0, 60, 3), 2), piece(card(70, 30, 1, hole=True), 4, "lid")
    (whole,) = whole_drawings([rest, lid])
    assert (whole.copies, whole.parts, len(whole.lines)) == (2, 3, 4 + 3 + 3)
    for part, template, corner in zip(whole.divided, (rest, lid, lid), (0, 70, 70), strict=True):
        (own,) = template.divided
        for now, then in (
            ([part.outline], [own.outline]),
            (part.holes, own.holes),
            (sorted(part.inner), sorted(own.inner)),
        ):
            assert len(now) == len(then)
            for here, there in zip(now, then, strict=True):
                moved = template.lines.points(there) + np.array((corner, 0))
                assert np.allclose(whole.lines.points(here), moved)
                assert whole.lines.operation[here] == template.lines.operation[there]
    assert len(whole.folds) == len(rest.folds) + len(lid.folds)
    assert card_in_words(whole) == rest.stock.title


def test_another_card_is_said_and_what_is_not_shared_evenly_stays_by_itself() -> None:
    rest, lid = piece(card(0, 60, 3), 2), piece(card(70, 30, 1), 2, "lid")
    kraft = replace(lid, stock=shelf.stock("kraft-280"))
    (whole,) = whole_drawings([rest, kraft])
    assert card_in_words(whole) == f"{rest.stock.title}; the lid: {kraft.stock.title}"
    assert card_in_words(whole_drawings([rest, replace(kraft, piece="2")])[0]).endswith(
        f"; piece 2: {kraft.stock.title}"
    )
    for other in (
        replace(lid, copies=3),
        replace(lid, copies=1),
        replace(lid, drawing="1 set.svg"),
        replace(lid, piece=""),
    ):
        assert whole_drawings([rest, other]) == (rest, other)
    none = replace(rest, copies=0)
    assert whole_drawings([none, lid]) == (none, lid)
