"""Sections, header, tables and blocks; what is mended in the frame, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.stages.read.dxf.structure import Structure, read_structure
from cutprep.stages.read.dxf.tags import read_tags
from tests.dxf_text import MM, Entity, block, drawing, entity, layer, line, section, text

LINES = section("ENTITIES", line(0, 0, 10, 0), line(0, 5, 10, 5))


def structure(source: str) -> Structure:
    return read_structure(read_tags(source.encode()))


def drawn(source: str) -> int:
    found = structure(source)
    return sum(found.records.kind[i] == "LINE" for i in np.flatnonzero(found.entities))


def test_header_tables_blocks_entities() -> None:
    found = structure(
        drawing(
            line(0, 0, 1, 1), tables=[layer("cut", 1)], blocks=[block("Tab", line(0, 0, 1, 0), base=(2, 3))]
        )
    )
    assert found.variable("$INSUNITS", 70) == 4
    assert found.variable("$LTSCALE", 40) is None
    assert len(found.tables["LAYER"]) == 1
    tab = found.blocks["tab"]
    assert (tab.name, tab.base, tab.foreign) == ("Tab", (2, 3, 0), False)
    assert [found.records.kind[i] for i in range(tab.first, tab.last)] == ["LINE"]
    assert not found.repairs


def test_no_header_is_none_not_a_default() -> None:
    assert structure(text([LINES])).header is None


def test_a_header_number_that_is_none() -> None:
    found = structure(text([section("HEADER", [(9, "$INSUNITS"), (70, "mm")]), LINES]))
    assert found.variable("$INSUNITS", 70) is None


def test_a_later_block_of_the_same_name_wins() -> None:
    found = structure(drawing(line(0, 0, 1, 1), blocks=[block("a"), block("A", line(0, 0, 1, 0))]))
    assert found.blocks["a"].last - found.blocks["a"].first == 1


def test_a_block_without_end_runs_to_the_next() -> None:
    broken = [pair for pair in block("a", line(0, 0, 1, 0)) if pair != (0, "ENDBLK")]
    found = structure(drawing(line(0, 0, 1, 1), blocks=[broken, block("b")]))
    assert found.blocks["a"].last - found.blocks["a"].first == 1


def _without(pairs: Entity, wanted: tuple[int, object]) -> Entity:
    return [pair for pair in pairs if pair != wanted]


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (text([MM, LINES], end=False), "end mark is missing"),
        (text([MM, _without(LINES, (0, "ENDSEC"))]), "no end"),
        (text([_without(MM, (0, "ENDSEC")), LINES]), "no end"),
        (text([line(0, 0, 1, 0), line(0, 0, 1, 5)]), "outside any section"),
        (text([MM, LINES, section("OBJECTS", entity("DICTIONARY"))], end=False), "end mark is missing"),
        (
            text([MM, LINES, [(0, "SECTION"), (2, "OBJECTS"), (0, "DICTIONARY")]], end=False),
            "OBJECTS section",
        ),
        (text([MM, LINES]).replace("LINE\n", "LINE\n\n", 1), "blank line"),
        ("junk\n" + text([MM, LINES]), "no group code"),
    ],
)
def test_the_frame_is_mended_and_said(source: str, said: str) -> None:
    found = structure(source)
    assert drawn(source) == 2
    assert any(said in sentence for sentence, _ in found.repairs)


WHOLE = text([MM, section("BLOCKS", block("a", line(0, 0, 1, 0))), LINES])


@pytest.mark.parametrize("keep", range(1, len(WHOLE.splitlines()) - 3))
def test_a_file_that_breaks_off_within_its_line_work_is_refused(keep: int) -> None:
    cut = "\n".join(WHOLE.splitlines()[:keep])
    with pytest.raises(DrawingError, match="breaks off"):
        structure(cut)


def test_junk_among_the_line_work_is_refused_with_its_line() -> None:
    source = text([MM, LINES]).replace(" 10\n0\n", " 10\n0\njunk\n", 1)
    with pytest.raises(DrawingError, match="'junk' stands where") as caught:
        structure(source)
    assert caught.value.place.line == source.split("\n").index("junk") + 1
    assert caught.value.place.element == "LINE"


def test_junk_in_the_header_is_stepped_over() -> None:
    source = text([MM, LINES]).replace(" 70\n4\n", " 70\n4\njunk\n", 1)
    assert drawn(source) == 2


def test_repeated_sections_are_joined() -> None:
    assert drawn(text([MM, LINES, LINES])) == 4
