"""Multilines: parallel lines, breaks, joints and caps."""

from __future__ import annotations

import numpy as np
import pytest

from tests.dxf_text import MM, Entity, drawing, entity, line, read_text, section, text


def segments(source: str) -> set[tuple[tuple[float, ...], ...]]:
    """Every straight piece, whatever its direction."""
    lines = read_text(source).lines
    return {
        tuple(sorted((tuple(a), tuple(b))))
        for i in range(len(lines))
        for a, b in zip(lines.points(i)[:-1].tolist(), lines.points(i)[1:].tolist(), strict=True)
    }


def multiline(*vertices: Entity, state: int = 1) -> Entity:
    head = entity("MLINE", (8, "cut"), (2, "STANDARD"), (340, "AB"), (71, state), (10, 0), (20, 0), (30, 0))
    return [*head, *(pair for v in vertices for pair in v)]


def station(x: float, y: float, *params: list[float]) -> Entity:
    pairs: Entity = [(11, x), (21, y), (31, 0), (12, 1), (22, 0), (32, 0), (13, 0), (23, 1), (33, 0)]
    for numbers in params:
        pairs += [(74, len(numbers)), *((41, n) for n in numbers), (75, 0)]
    return pairs


def test_a_multiline_is_its_parallel_lines() -> None:
    shape = multiline(station(0, 0, [2, 0], [-1, 0]), station(10, 0, [2, 0], [-1, 0]))
    assert segments(drawing(shape)) == {((0, 2), (10, 2)), ((0, -1), (10, -1))}


def test_a_closed_multiline() -> None:
    corners = [station(x, y, [1, 0]) for x, y in ((0, 0), (10, 0), (10, 5))]
    found = read_text(drawing(multiline(*corners, state=3)))
    assert found.lines.closed.tolist() == [True]


def test_breaks_in_a_multiline() -> None:
    shape = multiline(station(0, 0, [0, 0, 3, 5]), station(10, 0, [0, 0]))
    assert segments(drawing(shape)) == {((0, 0), (3, 0)), ((5, 0), (10, 0))}


def test_caps_are_drawn_as_the_style_says() -> None:
    shape = multiline(station(0, 0, [2, 0], [-1, 0]), station(10, 0, [2, 0], [-1, 0]))
    style = section("OBJECTS", entity("MLINESTYLE", (5, "ab"), (2, "STANDARD"), (70, 16 | 256)))
    source = text([MM, section("ENTITIES", shape), style])
    assert {((0, -1), (0, 2)), ((10, -1), (10, 2))} < segments(source)
    quiet = source.replace(" 71\n1\n", " 71\n5\n")
    assert segments(source) - segments(quiet) == {((0, -1), (0, 2))}


STROKES = multiline(*(station(x, 0, [3, 0], [2, 0], [-1, 0], [-2, 0]) for x in (0, 10, 20)))


def styled(look: int) -> str:
    style = section("OBJECTS", entity("MLINESTYLE", (5, "ab"), (2, "STANDARD"), (70, look)))
    return text([MM, section("ENTITIES", STROKES), style])


def test_joints() -> None:
    assert segments(styled(2)) - segments(styled(0)) == {((10, -2), (10, 3))}


@pytest.mark.parametrize(
    ("look", "box"),
    [(64, (-2.5, -2, 20, 3)), (1024, (0, -2, 22.5, 3)), (32, (-1.5, -2, 20, 3)), (512, (0, -2, 21.5, 3))],
)
def test_round_caps_bulge_outwards(look: int, box: tuple[float, ...]) -> None:
    assert read_text(styled(look)).lines.bounds == pytest.approx(box, abs=0.02)


def test_a_multiline_without_stations_is_left_out_with_a_warning() -> None:
    found = read_text(drawing(multiline(station(0, 0, [1])), multiline(), line(0, 0, 1, 0)))
    assert [(n.code, n.measure) for n in found.notes] == [("broken-left-out", 2)]
    assert np.array_equal(found.lines.counts, [2])
