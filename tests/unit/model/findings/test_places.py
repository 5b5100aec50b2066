"""Places of lines."""

from __future__ import annotations

from cutprep.model.findings.places import place_of
from tests.drawn import Pen


def test_a_place_names_its_element() -> None:
    """With a point given, or its first."""
    lines = Pen().cut([(1, 2), (3, 4)]).lines
    place = place_of(lines, 0)
    assert (place.file, place.line, place.element, place.layer) == ("drawn.svg", 1, "path 'p0'", "cut")
    assert place.xy == (1, 2)
    assert place_of(lines, 0, (5, 6)).xy == (5, 6)
