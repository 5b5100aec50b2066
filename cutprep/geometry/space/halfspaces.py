"""Convex rooms given by half-spaces: their corners, their sections, and whether anything is left.

A room is cut out of a large block, one plane after the other. scipy's half-space intersection
does the same through qhull, but needs a point known to lie inside, and 110 MB.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Flags, Points

#: A corner within this of a plane lies on it, as a share of the block's size.
_ON = 1e-10
#: Planes that differ by less, as a share of the block's size, are one: their faces would meet in corners that no double holds.
_ONE = 1e-7


def block(half: float) -> list[Points]:
    """Faces of a cube round the origin, (4, 3) each."""
    faces = []
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for sign in (-1.0, 1.0):
            face = np.empty((4, 3))
            face[:, axis] = sign * half
            face[:, u] = np.array([-half, half, half, -half])[:: int(sign)]
            face[:, v] = np.array([-half, -half, half, half])[:: int(sign)]
            faces.append(face)
    return faces


def room(planes: Points, half: float) -> list[Points]:
    """Faces of the room n.x <= d.

    Parameters
    ----------
    planes
        (k, 4) ndarray of float: nx, ny, nz, d with unit normals, mm.
    half
        Half the edge of a block that surely holds the room, mm.

    Returns
    -------
    list of (n, 3) ndarray of float
        Empty when nothing is left.
    """
    faces = block(half)
    for plane in planes[_first_of_alike(planes / [1.0, 1.0, 1.0, half])]:
        faces = _clipped(faces, plane[:3], float(plane[3]), _ON * half)
        if not faces:
            break
    return faces


def _first_of_alike(rows: Points) -> Flags:
    """Which rows, (n, k), are like none before them, (n,) bool."""
    first = np.ones(len(rows), bool)
    for k, row in enumerate(rows):
        first[k] = not (np.abs(rows[:k][first[:k]] - row) < _ONE).all(axis=1).any()
    return first


def _clipped(faces: list[Points], normal: Points, far: float, on: float) -> list[Points]:
    start = np.concatenate(([0], np.cumsum([len(f) for f in faces])))
    out = np.concatenate(faces) @ normal - far
    highest = np.maximum.reduceat(out, start[:-1])
    if highest.max() <= on:
        return faces
    nearest = np.minimum.reduceat(np.abs(out), start[:-1])
    kept: list[Points] = []
    rim: list[Points] = []
    for k, (high, near) in enumerate(zip(highest.tolist(), nearest.tolist(), strict=True)):
        side = out[start[k] : start[k + 1]]
        if high <= on:
            kept.append(faces[k])
            if near <= on:
                rim.append(faces[k][np.abs(side) <= on])
            continue
        inner, cut = _cut_face(faces[k], side, on)
        rim.append(cut)
        if len(inner) >= 3:
            kept.append(inner)
    lid = _lid(np.concatenate(rim), normal, on) if rim else np.empty((0, 3))
    if len(kept) < 3 or len(lid) < 3:
        return []
    return [*kept, lid]


def _cut_face(face: Points, side: Points, on: float) -> tuple[Points, Points]:
    """The part of a face below a plane, and its points on the plane."""
    points, cut = [], []
    for a, b, s, t in zip(face, np.roll(face, -1, axis=0), side, np.roll(side, -1), strict=True):
        if s <= on:
            points.append(a)
            if s >= -on:
                cut.append(a)
        if (s < -on and t > on) or (s > on and t < -on):
            point = a + (b - a) * (s / (s - t))
            points.append(point)
            cut.append(point)
    return np.array(points).reshape(-1, 3), np.array(cut).reshape(-1, 3)


def _lid(points: Points, normal: Points, on: float) -> Points:
    """Order points of a plane round their middle, counter-clockwise from outside."""
    if not len(points):
        return np.empty((0, 3))
    centre = points.mean(axis=0)
    away = points - centre
    first = away[int(np.abs(away).sum(axis=1).argmax())]
    size = np.linalg.norm(first)
    if size <= on:
        return np.empty((0, 3))
    u = first / size
    angle = np.arctan2(away @ np.cross(normal, u), away @ u)
    ring = points[np.argsort(angle, kind="stable")]
    step = np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1)
    return np.asarray(ring[step > on])


def corners_of(faces: list[Points]) -> Points:
    """Corners of a room, (n, 3), each as often as faces meet there."""
    return np.concatenate(faces) if faces else np.empty((0, 3))


def section(planes: Points, z: float, half: float) -> Points:
    """Section of a room at a height: a convex polygon.

    Parameters
    ----------
    planes
        (k, 4) ndarray of float.

    Returns
    -------
    (n, 2) ndarray of float
        Corners counter-clockwise, mm; empty when nothing is left.
    """
    ring = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    for nx, ny, nz, d in planes.tolist():
        size = float(np.hypot(nx, ny))
        far = d - nz * z
        if size < _ON:
            if far < -_ON * half:
                return np.empty((0, 2))
            continue
        ring = below(ring, np.array([nx, ny]) / size, far / size)
        if len(ring) < 3:
            return np.empty((0, 2))
    return ring


def below(ring: Points, normal: Points, far: float) -> Points:
    """Cut a convex polygon down to n.x <= far; ring (n, 2) mm, unit normal (2,), far mm."""
    side = ring @ normal - far
    if side.max(initial=-1.0) <= 0:
        return ring
    points = []
    for a, b, s, t in zip(ring, np.roll(ring, -1, axis=0), side, np.roll(side, -1), strict=True):
        if s <= 0:
            points.append(a)
        if (s < 0 < t) or (t < 0 < s):
            points.append(a + (b - a) * (s / (s - t)))
    return np.array(points).reshape(-1, 2)
