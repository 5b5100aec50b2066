"""Clips: lines are cut back to what shows.

A clip is an area: that of a nested viewport, or the union of the shapes in a `clipPath`. Lines wholly
inside stay as they are, vertex for vertex; the others are cut segment by segment, so that order,
direction and flags of what remains are kept.

Rules: CSS Masking 1, section 5 "Clipping Paths"; SVG 2, 3.6 "Overflow" for nested viewports.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
import shapely
from lxml import etree

from cutprep.geometry.affine import apply, invert
from cutprep.model.lines import Flags, Index, Points
from cutprep.read.limits import Limits
from cutprep.read.svg_document import Frame, href_of, passes
from cutprep.read.svg_lines import Flat, Shapes, flatten_shapes
from cutprep.read.svg_shapes import TRACERS, Sizes
from cutprep.read.svg_style import Style
from cutprep.read.svg_transform import Matrix, compose, is_flat, shift
from cutprep.read.svg_values import parse_url
from cutprep.read.svg_walk import Clip, Walk
from cutprep.tolerance import Tolerance

#: An area in mm; None when the clip can't be built and is not applied.
Area: TypeAlias = shapely.Geometry | None
_NOTHING = shapely.Polygon()


def clip_lines(flat: Flat, walk: Walk, tolerance: Tolerance, limits: Limits) -> Flat:
    """Cut lines back to the clips over them; what is lost is noted.

    Parameters
    ----------
    flat
        Lines as drawn.
    walk
        Knows the clip over each shape.
    tolerance
        A line along the clip's own edge stays when it is off by no more than `sagitta`.
    limits
        For the shapes of the clips themselves.
    """
    clip_of = np.array(walk.clip_of, dtype=np.int64)[flat.shape]
    if not (clip_of >= 0).any():
        return flat
    builder = _Areas(flat, walk, tolerance, limits)
    keys = {i: builder.key(i) for i in np.unique(clip_of[clip_of >= 0]).tolist()}
    groups: dict[object, list[int]] = {}
    for i, key in keys.items():
        groups.setdefault(key, []).append(i)
    pieces: dict[int, list[tuple[Points, Flags]]] = {}
    for members in groups.values():
        area = builder.area(members[0])
        lines = np.flatnonzero(np.isin(clip_of, members))
        if area is None:
            continue
        # Half of a stroke along the edge shows, so the line is kept.
        wider = shapely.buffer(area, tolerance.sagitta, join_style="mitre")
        pieces.update(_cut(flat, lines, wider, 4 * tolerance.sagitta))
    return _replace(flat, pieces, walk)


def _cut(
    flat: Flat, lines: Index, area: shapely.Geometry, least: float
) -> dict[int, list[tuple[Points, Flags]]]:
    """Cut the lines that are not wholly inside: line to what remains of it."""
    shapely.prepare(area)
    whole = shapely.linestrings(
        np.concatenate([flat.points(i) for i in lines.tolist()]),
        indices=np.repeat(np.arange(len(lines)), np.diff(flat.start)[lines]),
    )
    outside = lines[~np.asarray(shapely.covers(area, whole), dtype=bool)]
    return {i: _remains(flat.points(i), flat.curves(i), area, least) for i in outside.tolist()}


def _remains(
    points: Points, curved: Flags, area: shapely.Geometry, least: float
) -> list[tuple[Points, Flags]]:
    """Pieces of one line inside an area, in order; those that only touch it are no pieces."""
    segments = np.asarray(shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1)))
    inside = np.asarray(shapely.covers(area, segments), dtype=bool)
    across = np.flatnonzero(~inside & np.asarray(shapely.intersects(area, segments), dtype=bool))
    cut = dict(zip(across.tolist(), shapely.intersection(segments[across], area), strict=True))
    runs: list[tuple[list[Points], list[bool]]] = []
    is_open = False
    for i in np.flatnonzero(inside | np.isin(np.arange(len(segments)), across)).tolist():
        for a, b in [(points[i], points[i + 1])] if inside[i] else _parts(cut[i], points[i]):
            if not (is_open and bool((runs[-1][0][-1] == a).all())):
                runs.append(([a], [bool(curved[i]) and bool((a == points[i]).all())]))
            runs[-1][0].append(b)
            at_end = bool((b == points[i + 1]).all())
            runs[-1][1].append(at_end and bool(curved[i + 1]))
            is_open = True
    pieces = [(np.array(xy), np.array(flags)) for xy, flags in runs]
    if len(pieces) > 1 and bool((points[0] == points[-1]).all()):
        (first, first_flags), (last, last_flags) = pieces[0], pieces[-1]
        if bool((first[0] == points[0]).all() and (last[-1] == points[0]).all()):
            # A closed line that was cut elsewhere runs on through its first point.
            joined = np.vstack((last, first[1:])), np.concatenate((last_flags, first_flags[1:]))
            pieces = [*pieces[1:-1], joined]
    return [_with_plain_ends(*piece) for piece in pieces if _length(piece[0]) >= least]


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _with_plain_ends(points: Points, curved: Flags) -> tuple[Points, Flags]:
    if not bool((points[0] == points[-1]).all()):
        curved = curved.copy()
        curved[[0, -1]] = False
    return points, curved


def _parts(geometry: shapely.Geometry, begin: Points) -> list[tuple[Points, Points]]:
    """Straight pieces of one segment inside an area, in the direction of the segment."""
    pieces = []
    for part in shapely.get_parts(geometry):
        xy = shapely.get_coordinates(part)
        if len(xy) >= 2:
            far = np.hypot(*(xy - begin).T)
            pieces.append((float(far.min()), xy[int(far.argmin())], xy[int(far.argmax())]))
    return [(a, b) for _, a, b in sorted(pieces, key=lambda piece: piece[0]) if not bool((a == b).all())]


def _replace(flat: Flat, pieces: dict[int, list[tuple[Points, Flags]]], walk: Walk) -> Flat:
    """Put what remains in the place of the lines that were cut."""
    if not pieces:
        return flat
    xy, curved, shape = [], [], []
    for i in range(len(flat.shape)):
        rows = slice(flat.start[i], flat.start[i + 1])
        for points, flags in pieces.get(i, [(flat.xy[rows], flat.curved[rows])]):
            xy.append(points)
            curved.append(flags)
            shape.append(flat.shape[i])
    for i, remains in pieces.items():
        walk.notes.count("clip-applied" if remains else "clip-left-out", walk.place_of(int(flat.shape[i])))
    counts = np.array([len(points) for points in xy], dtype=np.int64)
    return flat._replace(
        xy=np.concatenate(xy) if xy else np.empty((0, 2)),
        curved=np.concatenate(curved) if curved else np.empty(0, dtype=bool),
        start=np.concatenate(([0], np.cumsum(counts))).astype(np.int64),
        shape=np.array(shape, dtype=np.int64),
    )


class _Areas:
    """Builds the areas of clips, each once."""

    def __init__(self, flat: Flat, walk: Walk, tolerance: Tolerance, limits: Limits) -> None:
        self.flat = flat
        self.walk = walk
        self.document = walk.document
        self.tolerance = tolerance
        self.limits = limits
        self._known: dict[object, Area] = {}
        self._busy: list[etree._Element] = []

    def key(self, index: int) -> object:
        """What an area depends on: clips with the same key have the same area."""
        if index < 0:
            return None
        clip = self.walk.clips[index]
        by_box = clip.node is not None and clip.node.get("clipPathUnits") == "objectBoundingBox"
        return (clip.node, clip.box, clip.frame.matrix, index if by_box else -1, self.key(clip.outer))

    def area(self, index: int) -> Area:
        """Area of a clip and those around it."""
        key = self.key(index)
        if key not in self._known:
            clip = self.walk.clips[index]
            own = self._viewport(clip) if clip.node is None else self._clip_path(clip.node, clip.frame, index)
            outer = self.area(clip.outer) if clip.outer >= 0 else None
            if own is None and clip.node is not None:
                self.walk.notes.count("clip-ignored", self.document.place(clip.node, ""))
            self._known[key] = _both(own, outer)
        return self._known[key]

    def _viewport(self, clip: Clip) -> Area:
        x, y, w, h = clip.box
        m = clip.frame.matrix
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        return shapely.Polygon([(m[0] * u + m[2] * v + m[4], m[1] * u + m[3] * v + m[5]) for u, v in corners])

    def _clip_path(self, node: etree._Element, frame: Frame, index: int) -> Area:
        """Area of a `clipPath` (5.1): the union of its shapes, within its own clip."""
        matrix: Matrix | None = frame.matrix
        if node.get("clipPathUnits") == "objectBoundingBox":
            matrix = self._box_matrix(frame, index)
            if matrix is None:
                return _NOTHING
        within = Frame(matrix or frame.matrix, self._style_around(node, frame), "", frame.width, frame.height)
        own = self.document.own(node)
        style = self.document.style(own, within)
        matrix = self.document.matrix(node, own, within, style)
        if matrix is None:
            return _NOTHING
        self._busy.append(node)
        inner = Frame(matrix, style, "", frame.width, frame.height)
        areas = [self._shape(child, inner) for child in node]
        limit = self._referred(own.declared.values.get("clip-path"), inner, index)
        self._busy.pop()
        if any(area is None for area in areas):
            return None
        return _both(shapely.union_all([area for area in areas if area is not None]), limit)

    def _style_around(self, node: etree._Element, frame: Frame) -> Style:
        """Style that a `clipPath` inherits from where it stands, not from where it is used."""
        style = Style()
        for outer in reversed([*node.iterancestors()]):
            within = Frame(frame.matrix, style, "", frame.width, frame.height)
            style = self.document.style(self.document.own(outer), within)
        return style

    def _referred(self, text: str | None, frame: Frame, index: int) -> Area:
        """Area of the clip on a clip or on one of its shapes; None when there is none."""
        url = parse_url(text) if text else None
        target = self.document.target(url[0], "clipPath") if url else None
        if target is None:
            return None
        if any(each is target for each in self._busy):  # it refers to itself; that reference is void
            self.walk.notes.count("clip-ignored", self.document.place(target, ""))
            return None
        return self._clip_path(target, frame, index)

    def _shape(self, node: etree._Element, frame: Frame, *, used: bool = False) -> Area:
        """Area of one shape of a clip; None when it can't be told."""
        kind = self.document.kind(node)
        own = self.document.own(node)
        if kind not in {*TRACERS, "use", "text"} or own.declared.values.get("display", "").strip() == "none":
            return _NOTHING
        style = self.document.style(own, frame)
        if not passes(node) or (not style.visible and kind != "use"):
            return _NOTHING
        if kind == "text":
            return None
        matrix = self.document.matrix(node, own, frame, style)
        if matrix is None:
            return _NOTHING
        inner = Frame(matrix, style, "", frame.width, frame.height)
        limit = self._referred(own.declared.values.get("clip-path"), inner, -1)
        if kind == "use":
            return _NOTHING if used else _both(self._used(node, inner), limit)
        trace = self.document.trace(node, kind, own, inner, style)
        shapes = Shapes()
        shapes.add(trace, matrix)
        flat = flatten_shapes(
            shapes, self.tolerance, coordinate=self.limits.coordinate, most_points=self.limits.points
        )
        rings = [flat.points(i) for i in range(len(flat.shape))]
        return _both(fill(rings, style.clip_rule), limit)

    def _used(self, node: etree._Element, frame: Frame) -> Area:
        target = self.document.ids.get(href_of(node)[1:])
        if target is None:
            return _NOTHING
        sizes = Sizes(node.get, self.document.scale(frame, frame.style))
        matrix = compose(frame.matrix, shift(sizes.length("x", "x"), sizes.length("y", "y")))
        return self._shape(target, Frame(matrix, frame.style, "", frame.width, frame.height), used=True)

    def _box_matrix(self, frame: Frame, index: int) -> Matrix | None:
        """Matrix from the unit square onto the box of everything under a clip; None without a box."""
        if index < 0 or is_flat(frame.matrix):
            return None
        shapes = [i for i, clip in enumerate(self.walk.clip_of) if index in self._chain(clip)]
        lines = np.flatnonzero(np.isin(self.flat.shape, shapes))
        if not len(lines):
            return None
        a, b, c, d, e, f = frame.matrix
        back = invert([[a, c, e], [b, d, f]])
        xy = apply(back, np.concatenate([self.flat.points(i) for i in lines.tolist()]))
        (left, top), (right, bottom) = xy.min(axis=0), xy.max(axis=0)
        w, h = float(right - left), float(bottom - top)
        if not (w > self.tolerance.zero and h > self.tolerance.zero):
            return None
        return compose(frame.matrix, (w, 0.0, 0.0, h, float(left), float(top)))

    def _chain(self, index: int) -> Iterable[int]:
        while index >= 0:
            yield index
            index = self.walk.clips[index].outer


def _both(a: Area, b: Area) -> Area:
    """What lies in both areas; None is everything."""
    if a is None or b is None:
        return a if b is None else b
    return shapely.intersection(a, b)


def fill(rings: list[Points], rule: str) -> shapely.Geometry:
    """Area that lines enclose by a fill rule (SVG 2, 13.4.2 "Fill properties: the fill-rule property").

    Parameters
    ----------
    rings
        (n, 2) ndarray of float each; open ones are closed.
    rule
        "nonzero" or "evenodd".
    """
    rings = [
        ring if (ring[0] == ring[-1]).all() else np.vstack((ring, ring[:1]))
        for ring in rings
        if len(ring) >= 3
    ]
    rings = [ring for ring in rings if len(ring) >= 4]
    if not rings:
        return _NOTHING
    if len(rings) == 1 and shapely.is_valid(alone := shapely.Polygon(rings[0])):
        return alone
    edges = shapely.union_all([shapely.LineString(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges)))
    if not len(faces):
        return _NOTHING
    winding = _winding(shapely.get_coordinates(shapely.point_on_surface(faces)), rings)
    filled = winding % 2 != 0 if rule == "evenodd" else winding != 0
    return shapely.union_all(faces[filled])


def _winding(points: Points, rings: list[Points]) -> Index:
    """How often the rings run round each point, (k,); counter-clockwise is positive."""
    a = np.concatenate([ring[:-1] for ring in rings])
    b = np.concatenate([ring[1:] for ring in rings])
    turns = np.zeros(len(points), dtype=np.int64)
    for i, (x, y) in enumerate(points):
        side = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
        up = (a[:, 1] <= y) & (b[:, 1] > y) & (side > 0)
        down = (a[:, 1] > y) & (b[:, 1] <= y) & (side < 0)
        turns[i] = int(up.sum()) - int(down.sum())
    return turns
