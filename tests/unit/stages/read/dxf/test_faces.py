"""Faces, meshes and multilines."""

from __future__ import annotations

import pytest

from tests.dxf_text import Entity, drawing, entity, line, read_text


def segments(source: str) -> set[tuple[tuple[float, ...], ...]]:
    """Every straight piece, whatever its direction."""
    lines = read_text(source).lines
    return {
        tuple(sorted((tuple(a), tuple(b))))
        for i in range(len(lines))
        for a, b in zip(lines.points(i)[:-1].tolist(), lines.points(i)[1:].tolist(), strict=True)
    }


def face(*corners: tuple[float, float, float], more: Entity = ()) -> Entity:  # type: ignore[assignment]
    pairs: Entity = []
    for i, (x, y, z) in enumerate(corners):
        pairs += [(10 + i, x), (20 + i, y), (30 + i, z)]
    return entity("3DFACE", (8, "cut"), *pairs, *more)


def test_a_face_is_one_closed_line() -> None:
    found = read_text(drawing(face((0, 0, 0), (5, 0, 0), (5, 5, 3), (0, 5, 3))))
    assert found.lines.closed.tolist() == [True]
    assert [n.code for n in found.notes] == ["projected"]


def test_a_triangle_with_and_without_its_fourth_corner() -> None:
    corners = ((0, 0, 0), (5, 0, 0), (5, 5, 0))
    for shape in (face(*corners), face(*corners, corners[2])):
        assert len(read_text(drawing(shape)).lines.points(0)) == 4


def test_hidden_edges_are_not_drawn() -> None:
    shape = face((0, 0, 0), (5, 0, 0), (5, 5, 0), (0, 5, 0), more=[(70, 5)])
    assert segments(drawing(shape)) == {((5, 0), (5, 5)), ((0, 0), (0, 5))}


def vertex(x: float, y: float, flags: int, *more: tuple[int, object]) -> Entity:
    return entity("VERTEX", (8, "cut"), (10, x), (20, y), (30, 0), (70, flags), *more)


def mesh(flags: int, m: int, n: int, *vertices: Entity, more: Entity = ()) -> Entity:  # type: ignore[assignment]
    head = entity("POLYLINE", (8, "cut"), (66, 1), (70, flags), (71, m), (72, n), *more)
    return [*head, *(pair for v in vertices for pair in v), (0, "SEQEND")]


def test_a_polyface_draws_shared_edges_once_and_hidden_ones_never() -> None:
    corners = [vertex(x, y, 192) for x, y in ((0, 0), (5, 0), (5, 5), (0, 5))]
    faces = [vertex(0, 0, 128, (71, 1), (72, 2), (73, -3)), vertex(0, 0, 128, (71, -1), (72, 3), (73, 4))]
    found = read_text(drawing(mesh(64, 4, 2, *corners, *faces)))
    assert len(found.lines) == 4
    assert segments(drawing(mesh(64, 4, 2, *corners, *faces))) == {
        ((0, 0), (5, 0)), ((5, 0), (5, 5)), ((0, 5), (5, 5)), ((0, 0), (0, 5)),
    }  # fmt: skip


def test_a_grid_mesh_open_and_closed() -> None:
    grid = [vertex(i, j, 64) for i in range(3) for j in range(4)]
    assert len(segments(drawing(mesh(16, 3, 4, *grid)))) == 3 * 3 + 2 * 4
    assert len(segments(drawing(mesh(16 | 1, 3, 4, *grid)))) == 3 * 3 + 3 * 4
    assert len(segments(drawing(mesh(16 | 1 | 32, 3, 4, *grid)))) == 3 * 4 + 3 * 4


def test_a_smoothed_mesh_is_drawn_by_its_smooth_vertices() -> None:
    frame = [vertex(9 * i, 9 * j, 80) for i in range(2) for j in range(2)]
    fine = [vertex(i, j, 72) for i in range(3) for j in range(3)]
    shape = mesh(16 | 4, 2, 2, *frame, *fine, more=[(73, 3), (74, 3)])
    assert len(segments(drawing(shape))) == 12


@pytest.mark.parametrize(("rows", "columns"), [(2_147_483_648, 0), (0, 2_147_483_648), (-3, -4), (-1, 4)])
def test_a_mesh_without_a_sound_count_is_left_out_at_once(rows: int, columns: int) -> None:
    """Found by the fuzzer's grammar: nothing times a thousand million was counted up to."""
    grid = [vertex(i, j, 64) for i in range(3) for j in range(4)]
    found = read_text(drawing(mesh(16, rows, columns, *grid), line(0, 0, 5, 0)))
    assert len(found.lines) == 1
    assert [note.code for note in found.notes] == ["broken-left-out"]


def test_a_mesh_that_lacks_vertices_is_left_out_with_a_warning() -> None:
    for shape in (
        mesh(16, 3, 4, vertex(0, 0, 64)),
        mesh(16, 2**31, 2**31, vertex(0, 0, 64)),
        mesh(64, 3, 1, vertex(0, 0, 128, (71, 1), (72, 7))),
    ):
        found = read_text(drawing(shape, line(0, 0, 1, 0)))
        assert [n.code for n in found.notes] == ["broken-left-out"]
