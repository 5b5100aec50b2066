"""Where a dimension stands that the flat card does not have: the height of a pyramid, the width of a rim, a ridge above its walls.

Two places of the folded piece whose distance is the dimension: two levels above each other, two parallel edges across from
each other, or the middle of the base and a corner of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np

from cutprep.geometry.space.hinged import pose
from cutprep.model.folded import FoldReport, Role
from cutprep.model.lines import Points
from cutprep.report.hands.assembly.order import assembly
from cutprep.report.hands.assembly.structure import PanelTree
from cutprep.report.hands.assembly.tube_parts import tube_of

#: A distance on the folded piece may differ from its dimension by this, for layers of card, mm.
_LAYERS = 1.2
#: Levels nearer than this are one, mm; folded positions are right to it.
_LEVEL = 0.05
#: Directions whose sine is less are parallel.
_PARALLEL = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """A distance on a folded piece.

    Attributes
    ----------
    upright
        Along the piece's height, else level.
    ends
        (2, 3) ndarray of float, in the space of the folded panels, mm.
    """

    upright: bool
    ends: Points

    @property
    def lies(self) -> str:
        """Either "upright" or "level"."""
        return "upright" if self.upright else "level"

    @property
    def length(self) -> float:
        """Mm."""
        return float(np.linalg.norm(self.ends[1] - self.ends[0]))


def standing(
    report: FoldReport,
    value: float,
    grown: FoldReport | None = None,
    more: float = 0.0,
    lies: str = "",
) -> Standing | None:
    """Where a dimension stands on a folded piece; None where it is not seen.

    Parameters
    ----------
    report
        The folded piece.
    value
        The dimension, mm.
    grown, more
        The piece folded with more of the dimension, and how much, mm: only what grows with it is the dimension.
    lies
        "upright" or "level" where it is known.
    """
    if report.motion is None:
        return None
    before = list(_distances(report))
    after: Sequence[Standing | None] = [None] * len(before) if grown is None else list(_distances(grown))
    if len(before) != len(after):
        return None
    shows = [
        one
        for one, two in zip(before, after, strict=True)
        if abs(one.length - value) < _LAYERS
        and lies in ("", one.lies)
        and (two is None or abs(two.length - one.length - more) < _LEVEL)
    ]
    # Level it is drawn crease to crease.
    layer = report.thickness
    return min(
        shows,
        key=lambda one: (
            not one.upright,
            round(abs(one.length - value - (0.0 if one.upright else layer)), 2),
        ),
        default=None,
    )


def _distances(report: FoldReport) -> Iterator[Standing]:
    panels = pose(report)
    up = _up(report, panels)
    body = [k for k, panel in enumerate(report.panels) if panel.role is Role.BODY]
    corners = np.concatenate([panels[k][:-1] for k in body])
    base = panels[report.base][:-1]
    middle = base.mean(axis=0)
    yield from _levels(corners, up, middle)
    yield from _edges([panels[k] for k in body], up)
    for corner in base:
        yield Standing(False, np.array([middle, corner]))


def _up(report: FoldReport, panels: Sequence[Points]) -> Points:
    """The piece's height, (3,), of length 1: of walls that go round, square to the plane in which they end."""
    rough = np.array(assembly(report).up)
    tube = tube_of(PanelTree(report)) if report.closes else None
    if tube is None:
        return np.asarray(rough / np.linalg.norm(rough))
    walls = [panels[k][:-1] for k in tube.walls]
    ends = np.concatenate([wall[wall @ rough > (wall @ rough).mean()] for wall in walls])
    normal = np.linalg.svd(ends - ends.mean(axis=0))[2][2]
    return np.asarray(normal if normal @ rough > 0 else -normal)


def _levels(corners: Points, up: Points, middle: Points) -> Iterator[Standing]:
    """From each level down to each lower one, below the corner that stands out most."""
    heights = corners @ up
    levels = sorted({round(float(h) / _LEVEL) * _LEVEL for h in heights})
    levels = [a for a, b in pairwise([*levels, np.inf]) if b - a > 2 * _LEVEL]
    aside = np.linalg.norm((corners - middle) - np.outer((corners - middle) @ up, up), axis=1)
    for low, high in combinations(levels, 2):
        here = np.flatnonzero(np.abs(heights - high) < 2 * _LEVEL)
        there = np.flatnonzero(np.abs(heights - low) < 2 * _LEVEL)
        top = corners[here[aside[here].round(2).argmax()]]
        foot = top - up * float(heights[here].mean() - heights[there].mean())
        yield Standing(True, np.array([top, foot]))


def _edges(panels: Sequence[Points], up: Points) -> Iterator[Standing]:
    """Between the middles of two level edges that lie across from each other."""
    edges = np.array(
        [(p, q) for ring in panels for p, q in pairwise(ring) if abs(float((q - p) @ up)) < _LEVEL]
    )
    edges = edges.reshape(-1, 2, 3)
    middle, along = edges.mean(axis=1), edges[:, 1] - edges[:, 0]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    for k in range(len(edges) - 1):
        across = middle[k + 1 :] - middle[k]
        far = np.linalg.norm(across, axis=1)
        level = np.linalg.norm(np.cross(along[k], along[k + 1 :]), axis=1) <= _PARALLEL
        square = np.maximum(np.abs(across @ along[k]), np.abs(across @ up)) < _PARALLEL * far
        for j in np.flatnonzero(level & (far >= _LAYERS) & square).tolist():
            yield Standing(False, np.array([middle[k], middle[k + 1 + j]]))
