"""Rooms cut out by planes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.geometry.space.halfspaces import below, corners_of, room, section

BOX = np.array([[1, 0, 0, 3], [-1, 0, 0, 0], [0, 1, 0, 2], [0, -1, 0, 0], [0, 0, 1, 1], [0, 0, -1, 0]], float)


def test_a_box() -> None:
    faces = room(BOX, 100.0)
    assert len(faces) == 6
    points = corners_of(faces)
    assert points.min(axis=0) == pytest.approx([0, 0, 0])
    assert points.max(axis=0) == pytest.approx([3, 2, 1])
    assert len(np.unique(points.round(9), axis=0)) == 8


def test_an_empty_room() -> None:
    assert room(np.vstack((BOX, [[1, 0, 0, -1]])), 100.0) == []
    assert len(corners_of([])) == 0


def test_a_plane_that_only_touches_changes_nothing() -> None:
    slanted = np.array([[1, 1, 1, 6.0]]) / np.array([[math.sqrt(3)] * 3 + [math.sqrt(3)]])
    assert len(np.unique(corners_of(room(np.vstack((BOX, slanted)), 100.0)).round(6), axis=0)) == 8


def test_a_corner_cut_off() -> None:
    n = np.ones(3) / math.sqrt(3)
    plane = np.array([[*n, float(n @ np.array([2.5, 2, 1]))]])
    faces = room(np.vstack((BOX, plane)), 100.0)
    assert len(faces) == 7
    assert len(np.unique(corners_of(faces).round(9), axis=0)) == 10


def test_faces_run_counter_clockwise_from_outside_and_close() -> None:
    rng = np.random.default_rng(4)
    n = rng.normal(size=(40, 3))
    n /= np.linalg.norm(n, axis=1)[:, None]
    faces = room(np.column_stack((n, np.full(40, 5.0))), 100.0)
    area = sum(np.cross(f, np.roll(f, -1, axis=0)).sum(axis=0) / 2 for f in faces)
    assert np.abs(area).max() < 1e-9  # a closed surface
    volume = sum(float(f.mean(axis=0) @ np.cross(f, np.roll(f, -1, axis=0)).sum(axis=0)) / 6 for f in faces)
    assert volume > 4 / 3 * math.pi * 125


@pytest.mark.parametrize("jitter", [1e-10, 1e-9, 1e-8, 1e-6])
def test_planes_that_are_nearly_one_count_once(jitter: float) -> None:
    """Seven petals over an end lie in one plane but for rounding: the corners of their faces are nowhere in particular."""
    rng = np.random.default_rng(1)
    turns = 2 * np.pi * np.arange(7) / 7
    walls = np.column_stack((np.cos(turns), np.sin(turns), np.zeros(7), np.full(7, 50.0)))
    ends = np.tile([[0, 0, 1, 100.0], [0, 0, -1, 0.0]], (7, 1))
    prism = 7 * 50**2 * math.tan(math.pi / 7) * 100
    for _ in range(20):
        planes = np.vstack((walls, ends)) + jitter * rng.normal(size=(21, 4)) * [1, 1, 1, 50]
        turned = np.linalg.qr(rng.normal(size=(3, 3)))[0]
        planes[:, :3] = planes[:, :3] @ turned
        faces = room(planes, 150.0)
        spanned = (np.cross(f, np.roll(f, -1, axis=0)).sum(axis=0) / 2 for f in faces)
        volume = sum(float(f[0] @ v) / 3 for f, v in zip(faces, spanned, strict=True))
        assert volume == pytest.approx(prism, rel=100 * jitter)


def test_section_of_a_box_and_beyond_it() -> None:
    ring = section(BOX, 0.5, 100.0)
    assert ring.max(axis=0) == pytest.approx([3, 2])
    assert len(section(BOX, 1.5, 100.0)) == 0
    assert len(section(np.vstack((BOX, [[1, 0, 0, -1]])), 0.5, 100.0)) == 0


def test_below_keeps_what_lies_inside() -> None:
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    assert len(below(square, np.array([1.0, 0.0]), 2.0)) == 4
    assert below(square, np.array([1.0, 0.0]), 0.5)[:, 0].max() == 0.5
    assert len(below(square, np.array([1.0, 0.0]), -0.5)) == 0
