"""Areas of clips: what a `clipPath` or a nested viewport lets show.

The shapes of all clips are gathered first and flattened together, since a drawing that was made from
a page description may have thousands of clips with one rectangle each.

Rules: CSS Masking 1, section 5 "Clipping Paths"; SVG 2, 3.6 "Overflow", 13.4.2 "fill-rule".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
import shapely
from lxml import etree

from cutprep.geometry.affine import apply, invert
from cutprep.limits import Limits
from cutprep.model.lines import Index, Points
from cutprep.stages.read.svg.document import ElementContext
from cutprep.stages.read.svg.elements import href_of, passes
from cutprep.stages.read.svg.shapes.basic import TRACERS, Sizes
from cutprep.stages.read.svg.shapes.lines import FlatShapes, Shapes, flatten_shapes
from cutprep.stages.read.svg.shapes.transform import Matrix, compose, is_flat, shift
from cutprep.stages.read.svg.style import Style
from cutprep.stages.read.svg.values import parse_url
from cutprep.stages.read.svg.walk import Clip, DocumentWalk
from cutprep.tolerance import Tolerance

#: An area in mm; None is everywhere.
Area: TypeAlias = shapely.Geometry | None
NOTHING = shapely.Polygon()
#: Clips on clips on clips, beyond which the innermost is passed over.
_DEEPEST = 32
#: What one area may take, and twice as much all areas of a drawing together: corners of outlines that may cross,
#: their crossings, faces times segments, segments that are cut times corners, corners that are widened. Counted, so that a
#: drawing is read in the same way everywhere.
_MOST = {"tangled": 100_000.0, "crossings": 200_000.0, "sides": 100e6, "cuts": 20e6, "corners": 500_000.0}
_ALL_TO_ONE = 2.0
_SAMPLE = 200


class TooInvolvedError(Exception):
    """The outlines of an area cross too often for it to be worked out in a reasonable time."""


class Budget:
    """Work that is left for the areas of a drawing, by kind."""

    def __init__(self) -> None:
        self.left = {kind: _ALL_TO_ONE * most for kind, most in _MOST.items()}

    def spend(self, **work: float) -> None:
        """Take from what is left.

        Raises
        ------
        TooInvolvedError
            When one area takes too much, or all of them together.
        """
        for kind, amount in work.items():
            if not amount <= min(_MOST[kind], self.left[kind]):
                raise TooInvolvedError
            self.left[kind] -= amount


@dataclass(slots=True, eq=False)
class _Plan:
    """How an area is made: the union of shapes, each within its limit, within a limit.

    Attributes
    ----------
    parts
        (shape, fill rule, limit) each.
    limit
        The area of the clip on this clip.
    is_known
        False when it holds something whose area can't be told, such as text.
    """

    parts: list[tuple[int, str, _Plan | None]] = field(default_factory=list)
    limit: _Plan | None = None
    is_known: bool = True


class Areas:
    """Areas of all clips of a walk.

    Parameters
    ----------
    flat
        Lines as drawn, for clips that are measured by what they clip.
    walk
        Knows the clips.
    tolerance, limits
        For the shapes of the clips.

    Attributes
    ----------
    key_of
        Number of the area of each clip; clips with the same number have the same area.
    budget
        Work that is left for all of them.
    """

    def __init__(self, flat: FlatShapes, walk: DocumentWalk, tolerance: Tolerance, limits: Limits) -> None:
        self.flat = flat
        self.walk = walk
        self.document = walk.document
        self.tolerance = tolerance
        self.limits = limits
        self.key_of = self._keys()
        self._shapes = Shapes()
        self._rings: dict[int, list[Points]] = {}
        self._plans: dict[int, _Plan] = {}
        self._areas: dict[int, Area] = {}
        self._busy: list[etree._Element] = []
        self._around: dict[tuple[etree._Element, float, float], Style] = {}
        self.budget = Budget()

    def _keys(self) -> list[int]:
        """What an area depends on, as a number; a clip's outer one stands before it."""
        numbers: dict[object, int] = {}
        keys: list[int] = []
        for i, clip in enumerate(self.walk.clips):
            outer = keys[clip.outer] if clip.outer >= 0 else -1
            own = i if _by_box(clip) else -1
            keys.append(
                numbers.setdefault((clip.node, clip.box, clip.frame.matrix, own, outer), len(numbers))
            )
        return keys

    def prepare(self, clips: Iterable[int]) -> None:
        """Gather and flatten the shapes of clips and of all that lie around them."""
        boxes = self._boxes()
        for first in clips:
            for i in _chain(self.walk, first):
                clip, key = self.walk.clips[i], self.key_of[i]
                if clip.node is not None and key not in self._plans:
                    box = boxes.get(i)
                    matrix = clip.frame.matrix if not _by_box(clip) else box
                    self._plans[key] = self._plan(clip.node, clip.frame, matrix) if matrix else _Plan()
        flat = flatten_shapes(
            self._shapes, self.tolerance, coordinate=self.tolerance.reach, most_points=self.limits.points
        )
        for line, shape in enumerate(flat.shape.tolist()):
            self._rings.setdefault(shape, []).append(flat.points(line))

    def area(self, index: int) -> Area:
        """Area of a clip within all those around it."""
        area: Area = None
        for i in reversed([*_chain(self.walk, index)]):
            key = self.key_of[i]
            if key not in self._areas:
                self._areas[key] = _both(self._own(self.walk.clips[i], key), area)
            area = self._areas[key]
        return area

    def _own(self, clip: Clip, key: int) -> Area:
        if clip.node is None:
            x, y, w, h = clip.box
            a, b, c, d, e, f = clip.frame.matrix
            corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
            return shapely.Polygon([(a * u + c * v + e, b * u + d * v + f) for u, v in corners])
        try:
            area = self._build(self._plans[key])
        except TooInvolvedError:
            area = None
        if area is None:
            self.walk.notes.count("clip-ignored", self.document.place(clip.node, ""))
        return area

    def _build(self, plan: _Plan | None) -> Area:
        if plan is None or not plan.is_known:
            return None
        parts = [
            _both(fill(self._rings.get(shape, []), rule, self.budget), self._build(limit))
            for shape, rule, limit in plan.parts
        ]
        union = (
            parts[0] if len(parts) == 1 else shapely.union_all([part for part in parts if part is not None])
        )
        return _both(union, self._build(plan.limit))

    def _plan(self, node: etree._Element, frame: ElementContext, matrix: Matrix) -> _Plan:
        """Gather what a `clipPath` is made of (5.1)."""
        plan = _Plan()
        own = self.document.own(node)
        within = ElementContext(matrix, self._style_around(node, frame), "", frame.width, frame.height)
        style = self.document.style(own, within)
        whole = self.document.matrix(node, own, within, style)
        if whole is None:
            return plan
        inner = ElementContext(whole, style, "", frame.width, frame.height)
        self._busy.append(node)
        for child in node:
            self._add(plan, child, inner)
        plan.limit = self._referred(
            own.declared.values.get("clip-path"), ElementContext(matrix, style, "", frame.width, frame.height)
        )
        self._busy.pop()
        return plan

    def _style_around(self, node: etree._Element, frame: ElementContext) -> Style:
        """Style that a `clipPath` inherits from where it stands, not from where it is used."""
        key = (node, frame.width, frame.height)
        if key not in self._around:
            self._around[key] = self._inherited(node, frame)
        return self._around[key]

    def _inherited(self, node: etree._Element, frame: ElementContext) -> Style:
        style = Style()
        for outer in reversed([*node.iterancestors()]):
            within = ElementContext(frame.matrix, style, "", frame.width, frame.height)
            style = self.document.style(self.document.own(outer), within)
        return style

    def _referred(self, text: str | None, frame: ElementContext) -> _Plan | None:
        """Plan of the clip on a clip or on one of its shapes."""
        url = parse_url(text) if text else None
        target = self.document.target(url[0], "clipPath") if url else None
        if target is None:
            return None
        if len(self._busy) > _DEEPEST or any(each is target for each in self._busy):
            self.walk.notes.count("clip-ignored", self.document.place(target, ""))
            return None
        return self._plan(target, frame, frame.matrix)

    def _add(
        self,
        plan: _Plan,
        node: etree._Element,
        frame: ElementContext,
        limit: _Plan | None = None,
        *,
        used: bool = False,
    ) -> None:
        """Add one shape to a plan, or what a `use` stands for."""
        self.walk.count_expanded(node, frame)
        kind = self.document.kind(node)
        own = self.document.own(node, again=True)
        if kind not in {*TRACERS, "text", "use"} or own.declared.values.get("display", "").strip() == "none":
            return
        style = self.document.style(own, frame)
        if not passes(node) or (not style.visible and kind != "use"):
            return
        if kind == "text":
            plan.is_known = False
            return
        matrix = self.document.matrix(node, own, frame, style)
        if matrix is None:
            return
        inner = ElementContext(matrix, style, "", frame.width, frame.height)
        limit = self._referred(own.declared.values.get("clip-path"), inner) or limit
        if kind != "use":
            plan.parts.append((len(self._shapes), style.clip_rule, limit))
            trace = self.document.trace(node, kind, own, inner, style)
            self.walk.count_points(len(trace.kinds))
            self._shapes.add(trace, matrix)
            return
        target = self.document.ids.get(href_of(node)[1:])
        if target is not None and not used:
            sizes = Sizes(node.get, self.document.scale(frame, style))
            moved = compose(matrix, shift(sizes.length("x", "x"), sizes.length("y", "y")))
            self._add(
                plan, target, ElementContext(moved, style, "", frame.width, frame.height), limit, used=True
            )

    def _boxes(self) -> dict[int, Matrix]:
        """Matrix from the unit square onto the box of all that a clip lies over, where it has a box."""
        under: dict[int, list[int]] = {}
        if any(_by_box(clip) for clip in self.walk.clips):
            for line, shape in enumerate(self.flat.shape.tolist()):
                for i in _chain(self.walk, self.walk.clip_of[shape]):
                    if _by_box(self.walk.clips[i]):
                        under.setdefault(i, []).append(line)
        found = ((i, self._box(self.walk.clips[i].frame.matrix, lines)) for i, lines in under.items())
        return {i: matrix for i, matrix in found if matrix is not None}

    def _box(self, matrix: Matrix, lines: list[int]) -> Matrix | None:
        if is_flat(matrix):
            return None
        a, b, c, d, e, f = matrix
        xy = apply(invert([[a, c, e], [b, d, f]]), np.concatenate([self.flat.points(i) for i in lines]))
        (left, top), (right, bottom) = xy.min(axis=0), xy.max(axis=0)
        w, h = float(right - left), float(bottom - top)
        if not (w > self.tolerance.zero and h > self.tolerance.zero):
            return None
        return compose(matrix, (w, 0.0, 0.0, h, float(left), float(top)))


def _by_box(clip: Clip) -> bool:
    return clip.node is not None and clip.node.get("clipPathUnits") == "objectBoundingBox"


def _chain(walk: DocumentWalk, index: int) -> Iterable[int]:
    """A clip and those around it, from the inside out."""
    while index >= 0:
        yield index
        index = walk.clips[index].outer


def _both(a: Area, b: Area) -> Area:
    """What lies in both areas."""
    if a is None or b is None:
        return a if b is None else b
    return shapely.intersection(a, b)


def fill(rings: list[Points], rule: str, budget: Budget | None = None) -> shapely.Geometry:
    """Area that lines enclose by a fill rule.

    Parameters
    ----------
    rings
        (n, 2) ndarray of float each; open ones are closed.
    rule
        "nonzero" or "evenodd".
    budget
        What is left for it.

    Raises
    ------
    TooInvolvedError
        When the lines cross too often.
    """
    rings = [ring if (ring[0] == ring[-1]).all() else np.vstack((ring, ring[:1])) for ring in rings]
    rings = [ring for ring in rings if len(ring) >= 4]
    if not rings:
        return NOTHING
    if len(rings) == 1 and shapely.is_valid(alone := shapely.Polygon(rings[0])):
        return alone
    budget = budget or Budget()
    budget.spend(tangled=float(sum(map(len, rings))))
    budget.spend(crossings=_crossings(rings))
    edges = shapely.union_all([shapely.LineString(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges)))
    budget.spend(sides=len(faces) * sum(map(len, rings)))
    if not len(faces):
        return NOTHING
    winding = _winding(shapely.get_coordinates(shapely.point_on_surface(faces)), rings)
    filled = winding % 2 != 0 if rule == "evenodd" else winding != 0
    return shapely.union_all(faces[filled])


def _crossings(rings: list[Points]) -> float:
    """How often lines cross, judged by some of their segments."""
    segments = np.asarray(
        shapely.linestrings(np.concatenate([np.stack((ring[:-1], ring[1:]), axis=1) for ring in rings]))
    )
    some = segments[:: max(len(segments) // _SAMPLE, 1)]
    touching = len(shapely.STRtree(segments).query(some, predicate="intersects")[0]) - 3 * len(some)
    return float(max(touching, 0) / len(some) * len(segments) / 2)


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
