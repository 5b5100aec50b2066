"""Inserts: placed, nested, arrayed; cycles and bombs refused; what is missing told."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from tests.asserting import assert_same_lines
from tests.dxf_text import MM, Entity, block, drawing, entity, insert, line, read_text, section, text

STROKE = block("tab", line(0, 0, 4, 0), base=(1, 0))


def placed(*inserts: Entity, blocks: list[Entity] | None = None) -> np.ndarray:
    lines = read_text(drawing(*inserts, blocks=blocks or [STROKE])).lines
    return np.array([lines.points(i) for i in range(len(lines))])


def test_the_base_point_goes_to_the_insertion_point() -> None:
    assert placed(insert("tab", 10, 5)).tolist() == [[[9, 5], [13, 5]]]


def test_names_are_found_whatever_their_case() -> None:
    assert len(placed(insert("TAB"))) == 1


def test_scale_then_rotation_quarter_turns_exact() -> None:
    got = placed(insert("tab", 10, 5, (41, 2), (42, -1), (50, 90)))
    assert got.tolist() == [[[10, 3], [10, 11]]]


def test_a_scale_of_zero_is_taken_as_one() -> None:
    assert placed(insert("tab", 0, 0, (41, 0))).tolist() == [[[-1, 0], [3, 0]]]


def test_mirrored_through_the_normal() -> None:
    # DXF reference, arbitrary axis algorithm: the normal (0, 0, -1) turns x round.
    assert placed(insert("tab", 10, 5, (210, 0), (220, 0), (230, -1))).tolist() == [[[-9, 5], [-13, 5]]]


def test_arrays_are_turned_but_not_scaled() -> None:
    grid = [(70, 2), (71, 2), (44, 10), (45, 7), (41, 2)]
    got = placed(insert("tab", 0, 0, *grid, (50, 90)))
    assert sorted(got[:, 0].tolist()) == [[-7, -2], [-7, 8], [0, -2], [0, 8]]


def test_an_array_without_spacing_lies_in_one_place() -> None:
    assert len(placed(insert("tab", 0, 0, (70, 5), (71, 7)))) == 1


def test_unequal_scales_under_rotation_in_nested_blocks() -> None:
    # By hand: (4 - 1, 0) turned by 45 degrees, then x doubled.
    outer = block("outer", insert("tab", 0, 0, (50, 45)))
    got = placed(insert("outer", 0, 0, (41, 2)), blocks=[STROKE, outer])[0]
    half = math.sqrt(0.5)
    assert got == pytest.approx(np.array([[-2 * half, -half], [6 * half, 3 * half]]))


def test_a_circle_under_unequal_scales_is_an_ellipse() -> None:
    ring = block("ring", entity("CIRCLE", (8, "0"), (10, 0), (20, 0), (40, 5)))
    lines = read_text(drawing(insert("ring", 0, 0, (41, 3)), blocks=[ring])).lines
    assert lines.closed[0]
    assert lines.bounds == (-15, -5, 15, 5)
    x, y = lines.points(0).T
    assert np.allclose((x / 15) ** 2 + (y / 5) ** 2, 1)


def test_an_insert_is_as_good_as_its_lines() -> None:
    direct = read_text(drawing(line(9, 5, 13, 5))).lines
    assert_same_lines(read_text(drawing(insert("tab", 10, 5), blocks=[STROKE])).lines, direct)


def test_a_block_that_is_not_inserted_is_not_drawn() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), blocks=[STROKE]))
    assert len(found.lines) == 1
    assert not found.notes


@pytest.mark.parametrize(
    "blocks",
    [
        [block("a", line(0, 0, 1, 0), insert("a", 5))],
        [block("a", insert("b")), block("b", insert("c")), block("c", line(0, 0, 1, 0), insert("A"))],
    ],
)
def test_a_block_that_holds_itself_is_refused(blocks: list[Entity]) -> None:
    with pytest.raises(DrawingError, match="holds itself: a >") as caught:
        read_text(drawing(insert("a"), blocks=blocks))
    # The inner insert, which closes the ring, is the last one of the blocks.
    rows = drawing(insert("a"), blocks=blocks).splitlines()
    assert caught.value.place.line is not None
    assert rows[caught.value.place.line] == "INSERT"
    assert "ENTITIES" not in rows[: caught.value.place.line]
    assert "ENDBLK" in rows[caught.value.place.line :]
    assert caught.value.place.element == "INSERT"


def test_a_cycle_that_is_never_inserted_harms_nobody() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), blocks=[block("a", insert("a"))]))
    assert len(found.lines) == 1


def test_one_block_on_two_ways_is_no_cycle() -> None:
    blocks = [STROKE, block("a", insert("tab")), block("b", insert("tab"), insert("a", 9))]
    assert len(placed(insert("b"), insert("a"), blocks=blocks)) == 3


def test_a_missing_block_is_left_out_with_a_warning() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), insert("lid"), insert("lid", 5)))
    assert [(n.code, n.measure) for n in found.notes] == [("missing-block", 2)]
    assert "lid" in found.notes[0].problem


@pytest.mark.parametrize("flags", [4, 12, 8])
def test_a_block_in_another_file_is_left_out_with_a_warning(flags: int) -> None:
    found = read_text(drawing(line(0, 0, 1, 0), insert("other"), blocks=[block("other", flags=flags)]))
    assert [n.code for n in found.notes] == ["foreign-block"]


def test_a_missing_block_in_a_block_counts_only_where_that_is_drawn() -> None:
    blocks = [block("unused", insert("gone")), STROKE]
    assert not read_text(drawing(insert("tab"), blocks=blocks)).notes


@pytest.mark.parametrize(
    "source",
    [
        drawing(insert("tab", 0, 0, (70, 30000), (71, 30000), (44, 1), (45, 1)), blocks=[STROKE]),
        drawing(
            insert("b29"),
            blocks=[STROKE, block("b0", insert("tab"), insert("tab", 1))]
            + [block(f"b{i}", insert(f"b{i - 1}"), insert(f"b{i - 1}", 1)) for i in range(1, 30)],
        ),
        drawing(
            line(0, 0, 1, 0),
            insert("b29"),
            blocks=[block("b0")]
            + [block(f"b{i}", insert(f"b{i - 1}"), insert(f"b{i - 1}", 1)) for i in range(1, 30)],
        ),
    ],
    ids=["array", "doubling", "doubling nothing"],
)
def test_insert_bombs_are_refused_before_they_go_off(source: str) -> None:
    with pytest.raises(DrawingError, match="or more elements"):
        read_text(source)


def test_depth_is_limited() -> None:
    blocks = [STROKE, block("b0", insert("tab"))]
    blocks += [block(f"b{i}", insert(f"b{i - 1}")) for i in range(1, 300)]
    with pytest.raises(DrawingError, match="250 deep"):
        read_text(drawing(insert("b299"), blocks=blocks))
    assert len(read_text(drawing(insert("b240"), blocks=blocks)).lines) == 1


def test_the_limit_counts_lines_not_inserts() -> None:
    many = block("many", *(line(0, i, 1, i) for i in range(60)))
    source = drawing(insert("many", 0, 0, (70, 4), (44, 5)), blocks=[many])
    assert len(read_text(source, limits=Limits(expanded=244)).lines) == 240
    with pytest.raises(DrawingError):
        read_text(source, limits=Limits(expanded=243))


def test_coordinates_that_grow_out_of_numbers_are_refused() -> None:
    blocks = [STROKE, block("b0", insert("tab", 0, 0, (41, 1e15)))]
    blocks += [block(f"b{i}", insert(f"b{i - 1}", 0, 0, (41, 1e15))) for i in range(1, 40)]
    with pytest.raises(DrawingError, match="coordinate is"):
        read_text(drawing(insert("b39"), blocks=blocks))


def test_blocks_in_another_unit_are_told() -> None:
    tables = section(
        "TABLES", entity("BLOCK_RECORD", (2, "Tab"), (70, 1)), entity("BLOCK_RECORD", (2, "x"), (70, 1))
    )
    source = text([MM, tables, section("BLOCKS", STROKE), section("ENTITIES", insert("tab"))])
    assert [n.code for n in read_text(source).notes] == ["block-unit"]


def test_a_block_that_has_its_name_only_in_group_3_is_found() -> None:
    """The DXF Reference (BLOCK) gives the name twice, in groups 2 and 3; some programs write one of them."""
    unnamed = [(3, value) if code == 2 else (code, value) for code, value in STROKE]
    assert placed(insert("tab", 10, 5), blocks=[unnamed]).tolist() == [[[9, 5], [13, 5]]]
