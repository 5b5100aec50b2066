"""Rectangles in two directions: four corner blocks round a middle one, each a plain grid.

For templates that fill their box (dividers, tray blanks), turning some of them by a quarter
often places more than any grid: 5 by 3 in 8 by 8 takes four instead of two. A layout of five
blocks is given by two cuts along x and two along y; the cuts worth trying are the sums of sides.

References
----------
E. E. Bischoff and W. B. Dowsland, "An application of the micro to product design and
distribution", Journal of the Operational Research Society 33 (1982), 271-280 (five blocks).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.shape import Box, Shape, box_at
from cutprep.stages.nest.item.usable_area import UsableArea
from cutprep.stages.nest.pack.grid import SLACK

#: Cuts tried along each side; more are thinned out evenly.
_MOST_CUTS = 28


@dataclass(frozen=True, slots=True)
class _Piece:
    """A box with its gap, upright and lying."""

    width: float
    height: float

    def count(self, across: Points, up: Points) -> Index:
        """Most pieces of one direction in blocks of these sizes."""
        return np.asarray(
            np.maximum(
                _times(across, self.width) * _times(up, self.height),
                _times(across, self.height) * _times(up, self.width),
            )
        )


def five_blocks(demand: int, shape: Shape, allowed: Sequence[Pose], usable: UsableArea) -> Pattern:
    """Find the five blocks that place most copies by their boxes.

    Parameters
    ----------
    demand, shape
        Number of the demand, and its shape.
    allowed
        Poses that it may have.
    usable
        Usable area of the sheet.

    Returns
    -------
    Pattern
        Empty when no quarter turn is allowed, or areas are to be kept out of.
    """
    upright = next((pose for pose in allowed if not pose.turn % 90.0), None)
    if upright is None or usable.keep_out:
        return Pattern((), "blocks")
    lying = Pose((upright.turn + 90.0) % 360.0, upright.mirror)
    if lying not in allowed:
        return Pattern((), "blocks")
    left, bottom, right, top = box_at(shape, upright)
    piece = _Piece(right - left + usable.gap, top - bottom + usable.gap)
    width, height = (side + usable.gap for side in usable.extent)
    blocks = _best_blocks(piece, width, height)
    boxes = {pose: box_at(shape, pose) for pose in (upright, lying)}
    placements = [placement for block in blocks for placement in _filled(demand, block, piece, boxes, usable)]
    return Pattern(tuple(placements), "blocks of two directions")


def _best_blocks(piece: _Piece, width: float, height: float) -> list[Box]:
    """Left, bottom, width, height of the blocks, from the usable area's lower left."""
    xs, ys = (_cuts(piece, side) for side in (width, height))
    a, b = (grid.ravel() for grid in np.meshgrid(xs, xs, indexing="ij"))
    a, b = a[a <= b], b[a <= b]
    c, d = (grid.ravel() for grid in np.meshgrid(ys, ys, indexing="ij"))
    c, d = c[c <= d], d[c <= d]
    a, b = a[:, None], b[:, None]
    # Lower left a x d, lower right (width - a) x c, upper right (width - b) x (height - c),
    # upper left b x (height - d), and the middle between them.
    total = (
        piece.count(a, d)
        + piece.count(width - a, c)
        + piece.count(width - b, height - c)
        + piece.count(b, height - d)
        + piece.count(b - a, d - c)
    )
    i, j = np.unravel_index(int(np.argmax(total)), total.shape)
    x1, x2, y1, y2 = float(a[i, 0]), float(b[i, 0]), float(c[j]), float(d[j])
    return [
        (0.0, 0.0, x1, y2),
        (x1, 0.0, width - x1, y1),
        (x2, y1, width - x2, height - y1),
        (0.0, y2, x2, height - y2),
        (x1, y1, x2 - x1, y2 - y1),
    ]


def _cuts(piece: _Piece, side: float) -> Points:
    """Sums of the two sides that fit, with 0 and the whole side."""
    many = range(math.floor((side + SLACK) / piece.width) + 1)
    sums = {
        round(i * piece.width + j * piece.height, 9)
        for i in many
        for j in range(math.floor((side - i * piece.width + SLACK) / piece.height) + 1)
    }
    points = np.array(sorted({0.0, *(s for s in sums if s < side), side}))
    if len(points) > _MOST_CUTS:
        points = points[np.unique(np.linspace(0, len(points) - 1, _MOST_CUTS).astype(int))]
    return points


def _filled(
    demand: int, block: Box, piece: _Piece, boxes: dict[Pose, Box], usable: UsableArea
) -> list[PatternPlacement]:
    (upright, first), (lying, second) = boxes.items()
    x, y, width, height = block
    standing = _times(width, piece.width) * _times(height, piece.height)
    turned = _times(width, piece.height) * _times(height, piece.width)
    pose, box, step = (
        (upright, first, (piece.width, piece.height))
        if standing >= turned
        else (lying, second, (piece.height, piece.width))
    )
    west, south, _, _ = usable.box
    return [
        PatternPlacement(demand, pose, west + x + i * step[0] - box[0], south + y + j * step[1] - box[1])
        for j in range(int(_times(height, step[1])))
        for i in range(int(_times(width, step[0])))
    ]


def _times(side: Points | float, piece: float) -> Index:
    return np.asarray(np.maximum(np.floor((np.asarray(side) + SLACK) / piece), 0.0), dtype=np.int64)
