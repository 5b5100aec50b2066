"""A text belongs to the card that it stands on, whichever way it is turned."""

from __future__ import annotations

import math

import pytest

from cutprep.job.names.fitting import part_at
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.model.text import TextPlace
from cutprep.stages.divide import divide
from cutprep.tolerance import Tolerance

#: Nine tags of 20 mm, 1 mm apart, row by row from below.
TAGS = [
    [(x, y), (x + 20, y), (x + 20, y + 20), (x, y + 20), (x, y)] for y in (0, 21, 42) for x in (0, 21, 42)
]


@pytest.mark.parametrize("turn", range(0, 360, 45))
def test_letters_of_8_mm_that_begin_3_mm_outside_the_middle_tag_stand_on_it(turn: int) -> None:
    """Their middle lies 4 mm above the base line, as the text looks: 1 mm inside."""
    template = divide(Drawing("tags", Lines.of(TAGS, operation=Operation.CUT)), Tolerance())
    up = math.radians(turn + 90)
    side = 10 / max(abs(math.cos(up)), abs(math.sin(up)))  # from the tag's middle to its edge
    at = tuple(31 - (side + 3) * reach for reach in (math.cos(up), math.sin(up)))
    place = TextPlace("Ana", at, 8.0, Element(layer="names"), float(turn), "middle")
    number = part_at(template, place)
    assert number is not None
    assert template.lines.points(template.parts[number].outline).mean(axis=0) == pytest.approx(
        (29, 29), abs=3
    )
    far = TextPlace("Ana", (31.0, 200.0), 8.0, Element(layer="names"))
    assert part_at(template, far) is None
