"""One part of a net with its own numbering: the panels that are connected and their hinges."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from cutprep.geometry.space.hinged import Tree, hang
from cutprep.model.lines import Points
from cutprep.stages.fold.net.hinges import Score
from cutprep.stages.fold.net.panels import Net, Ring


@dataclass(frozen=True, slots=True, eq=False)
class HingedPart:
    """Panels that are connected.

    Attributes
    ----------
    net
        The whole drawing.
    panels
        Numbers of the panels in the net; everything else here counts from 0 in this order.
    rings
        Outer ring of each panel.
    polygons
        Each panel with its holes.
    hinges
        Hinges, with local panel numbers.
    left
        Panel on the left of a run of two vertices.
    joins
        Hinge over a run of two vertices, in both directions.
    beside
        Hinges of each panel.
    areas
        (p,) ndarray of float: area of each panel, mm2.
    """

    net: Net
    panels: tuple[int, ...]
    rings: tuple[Ring, ...]
    polygons: tuple[shapely.Polygon, ...]
    hinges: tuple[Score, ...]
    left: dict[tuple[int, int], int]
    joins: dict[tuple[int, int], int]
    beside: tuple[tuple[int, ...], ...]
    areas: Points

    @property
    def xy(self) -> Points:
        """Vertices of the net, (v, 2), mm."""
        return self.net.pieces.xy

    @property
    def tolerance(self) -> float:
        """Snapping distance of the net, mm."""
        return self.net.pieces.tolerance

    def hinges_at(self, panel: int) -> tuple[int, ...]:
        """Hinges of one panel."""
        return self.beside[panel]


def part_of(net: Net, panels: list[int], hinges: tuple[Score, ...], last: int = 0) -> HingedPart:
    """Cut one part out of a net.

    Parameters
    ----------
    panels
        Numbers of its panels in the net.
    last
        Of so many panels at the end of that list the hinges are put last.
    """
    number = {p: i for i, p in enumerate(panels)}
    ours = [replace(h, a=number[h.a], b=number[h.b]) for h in hinges if h.a in number]
    ours.sort(key=lambda h: max(h.a, h.b) >= len(panels) - last)
    joins = {}
    for k, hinge in enumerate(ours):
        for piece in hinge.pieces:
            u, v = (int(w) for w in net.pieces.ends[piece])
            joins[u, v] = joins[v, u] = k
    beside: list[list[int]] = [[] for _ in panels]
    for k, hinge in enumerate(ours):
        for panel in sorted({hinge.a, hinge.b}):
            beside[panel].append(k)
    polygons = tuple(net.polygon(p) for p in panels)
    return HingedPart(
        net=net,
        panels=tuple(panels),
        rings=tuple(net.rings[p] for p in panels),
        polygons=polygons,
        hinges=tuple(ours),
        left={run: number[p] for run, p in net.left.items() if p in number},
        joins=joins,
        beside=tuple(tuple(b) for b in beside),
        areas=np.asarray(shapely.area(list(polygons))),
    )


def first_panels(part: HingedPart, count: int) -> HingedPart:
    """Cut off all panels of a part but the first; their numbers and those of their hinges stay."""
    hinges = tuple(h for h in part.hinges if h.a < count and h.b < count)
    return replace(
        part,
        panels=part.panels[:count],
        rings=part.rings[:count],
        polygons=part.polygons[:count],
        hinges=hinges,
        left={run: p for run, p in part.left.items() if p < count},
        joins={run: k for run, k in part.joins.items() if k < len(hinges)},
        beside=tuple(tuple(k for k in ks if k < len(hinges)) for ks in part.beside[:count]),
        areas=part.areas[:count],
    )


def hang_from(part: HingedPart, root: int, members: list[int], *, shun: frozenset[int] = frozenset()) -> Tree:
    """Hang panels on a first one, breadth first along their hinges.

    Parameters
    ----------
    members
        Panels to reach.
    shun
        Hinges not to use.
    """
    count = len(part.panels)
    inside = set(members)
    beside: dict[int, list[tuple[int, int]]] = {p: [] for p in members}
    for k, h in enumerate(part.hinges):
        if k not in shun and h.a in inside and h.b in inside:
            beside[h.a].append((h.b, k))
            beside[h.b].append((h.a, k))
    parent, via = np.full(count, -1), np.full(count, -1)
    order, seen = [root], {root}
    for panel in order:
        for other, k in beside[panel]:
            if other not in seen:
                seen.add(other)
                order.append(other)
                parent[other], via[other] = panel, k
    ends = np.array([h.ends for h in part.hinges]).reshape(-1, 2, 2)
    left = np.array([h.b for h in part.hinges], dtype=np.int64)
    return hang(count, ends, np.array(order), parent, via, left)
