"""Clips over inserts: which are followed, and which are told."""

from __future__ import annotations

import pytest

from cutprep.stages.read.dxf.shapes import clip
from tests.dxf_text import MM, Entity, block, entity, insert, line, read_text, section, text

#: From (0, 0) to (10, 0), in a block of its own.
STROKE = block("tab", line(0, 0, 10, 0))
SEEN = [(2.0, -1.0), (7.0, 1.0)]  # a rectangle by its diagonal
UNIT = (1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0)


def objects(*, on: int = 1, inverted: bool = False, inverse: tuple[float, ...] = UNIT) -> Entity:
    """What clips the insert with the handle 30."""
    corners = [pair for x, y in SEEN for pair in ((10, x), (20, y))]
    rows = [
        entity(
            "DICTIONARY", (5, "31"), (102, "{ACAD_REACTORS"), (330, "99"), (102, "}"), (330, "30"), (3, "ACAD_FILTER")
        ),
        entity("DICTIONARY", (5, "32"), (330, "31"), (3, "SPATIAL")),
        entity(
            "SPATIAL_FILTER", (5, "33"), (330, "32"), (70, 2), *corners, (71, on), (72, 1), (40, 5.0), (73, 0),
            *((40, value) for value in (*inverse, *UNIT)),
        ),
    ]  # fmt: skip
    if inverted:
        rows += [
            entity("DICTIONARY", (5, "34"), (330, "33"), (3, "ACAD_XREC_ROUNDTRIP")),
            entity(
                "XRECORD", (5, "35"), (330, "34"), (102, "ACAD_INVERTEDCLIP_ROUNDTRIP"), (10, 0.0), (20, 0.0)
            ),
        ]
    return section("OBJECTS", *rows)


def ends(*inserts: Entity, **how: object) -> tuple[list[list[float]], list[str]]:
    """Where lines begin and end in x, and the codes of the notes."""
    found = read_text(text([MM, section("BLOCKS", STROKE), section("ENTITIES", *inserts), objects(**how)]))
    lines = [found.lines.points(i)[[0, -1], 0].round(2).tolist() for i in range(len(found.lines))]
    return lines, [note.code for note in found.notes]


def test_the_clipped_insert_alone_is_cut_back() -> None:
    lines, codes = ends(insert("tab", 0, 0, (5, "30")), insert("tab", 0, 9, (5, "40")), insert("tab", 0, 5))
    assert lines == [[2, 7], [0, 10], [0, 10]]
    assert codes == ["clip-applied"]


def test_the_boundary_goes_along_with_the_insert_and_is_laid_back_by_its_matrix() -> None:
    assert ends(insert("tab", 100, 0, (5, "30"), (41, 2)))[0] == [[104, 114]]
    there = (1, 0, 0, 1, 0, 1, 0, 0, 0, 0, 1, 0)  # drawn one to the left of where the block was then
    assert ends(insert("tab", 0, 0, (5, "30")), inverse=there)[0] == [[3, 8]]


def test_a_clip_that_is_switched_off_hides_nothing() -> None:
    assert ends(insert("tab", 0, 0, (5, "30")), on=0) == ([[0, 10]], [])


def test_what_is_not_followed_is_read_whole_and_told() -> None:
    assert ends(insert("tab", 0, 0, (5, "30")), inverted=True) == ([[0, 10]], ["clip-ignored"])
    lines, codes = ends(insert("tab", 0, 0, (5, "30"), (70, 2), (44, 50)))
    assert lines == [[0, 10], [50, 60]]
    assert codes == ["clip-ignored"]


def test_an_insert_that_is_hidden_all_over_is_left_out() -> None:
    lines, codes = ends(
        insert("tab", 0, 0, (5, "30")), line(0, 3, 5, 3), inverse=(1, 0, 0, 50, 0, 1, 0, 0, 0, 0, 1, 0)
    )
    assert lines == [[0, 5]]
    assert codes == ["clip-applied"]


def test_too_much_to_be_cut_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clip, "_MOST_CUTS", 1.0)
    assert ends(insert("tab", 0, 0, (5, "30"))) == ([[0, 10]], ["clip-ignored"])
