"""The edge of a no-fit polygon as one long ruler: where on it two copies just touch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """All rings of a region, end to end.

    Attributes
    ----------
    points
        (n, 2) ndarray: vertices, mm.
    along
        (n,) ndarray: position of each on the ruler; a jump from ring to ring has no length, mm.
    """

    points: Points
    along: Points

    @property
    def length(self) -> float:
        """Length of all rings, mm."""
        return float(self.along[-1])

    def at(self, position: Points) -> Points:
        """Points at positions, (k, 2), mm."""
        return np.column_stack([np.interp(position, self.along, self.points[:, axis]) for axis in (0, 1)])

    def stations(self, count: int) -> Points:
        """Positions of up to `count` true corners and of as many points evenly between, sorted, (k,), mm."""
        corners = self.along[_corners(self.points)]
        if len(corners) > count:
            corners = corners[np.linspace(0, len(corners) - 1, count).astype(int)]
        even = np.arange(count) / count * self.length
        return np.unique(np.concatenate((corners, even)))


def edge_of(region: BaseGeometry) -> Edge:
    """Take the edge of a region."""
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(region))]
    steps = [np.append(np.hypot(*np.diff(ring, axis=0).T), 0.0) for ring in rings]
    along = np.concatenate(([0.0], np.cumsum(np.concatenate(steps))))[:-1]
    return Edge(np.concatenate(rings), along)


def _corners(points: Points) -> Points:
    """Indices of vertices that turn by more than 15 degrees; arcs round corners turn by less a step."""
    step = np.diff(points, axis=0)
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.abs((np.diff(heading) + np.pi) % (2 * np.pi) - np.pi)
    return np.concatenate(([0], np.flatnonzero(turn > np.radians(15)) + 1))
