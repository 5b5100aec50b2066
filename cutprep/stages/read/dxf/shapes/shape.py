"""Line work as drawn: straight runs, arcs and spline spans in space, before any flattening.

A block is drawn once and inserted many times, each time under another matrix; so its curves
must stay curves until the last matrix is known. `SpatialLines` keeps them as columns, all entities
of a file in one value, and dxf_flat lays any choice of lines under any matrices onto the
plane in one go.

Terms: a *node* is a vertex where pieces meet or end; a piece belongs to the node at its end,
and is straight unless an arc or a span says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Index, Points


@dataclass(frozen=True, slots=True, eq=False)
class SpatialLines:
    """Lines in space.

    Attributes
    ----------
    node
        (n, 3) ndarray of float: nodes, drawing units.
    smooth
        (n,) ndarray of bool: the node lies inside a curve although straight pieces meet there.
    start
        (m + 1,) ndarray of int: line i has the nodes start[i] to start[i + 1].
    record
        (m,) ndarray of int: record that each line comes from.
    arc_end
        (a,) ndarray of int, rising: node at which each arc ends.
    arc
        (a, 3, 3) ndarray of float: centre and two conjugate half diameters of each arc.
    sweep
        (a, 2) ndarray of float: first parameter and signed span, radians.
    spans
        By degree: (b,) nodes at which spans end, rising, and their (b, degree + 1, 4) homogeneous
        control points.
    """

    node: Points
    smooth: Flags
    start: Index
    record: Index
    arc_end: Index
    arc: Points
    sweep: Points
    spans: tuple[tuple[Index, Points], ...] = ()

    def __len__(self) -> int:
        return len(self.record)

    def take(self, index: Index) -> SpatialLines:
        """Pick lines by number, as often as wanted; (k,) numbers."""
        counts = np.diff(self.start)[index]
        start = offsets_of(counts)
        shift = start[:-1] - self.start[index]
        nodes = np.arange(start[-1]) - np.repeat(shift, counts)

        def pick(ends: Index) -> tuple[Index, Index]:
            low = np.searchsorted(ends, self.start[index])
            held = np.searchsorted(ends, self.start[index + 1]) - low
            offsets = offsets_of(held)
            rows = np.arange(offsets[-1]) - np.repeat(offsets[:-1] - low, held)
            return rows, ends[rows] + np.repeat(shift, held)

        rows, arc_end = pick(self.arc_end)
        spans = []
        for ends, control in self.spans:
            picked, span_end = pick(ends)
            if len(picked):
                spans.append((span_end, control[picked]))
        return SpatialLines(
            node=self.node[nodes],
            smooth=self.smooth[nodes],
            start=start,
            record=self.record[index],
            arc_end=arc_end,
            arc=self.arc[rows],
            sweep=self.sweep[rows],
            spans=tuple(spans),
        )


def straight(node: Points, counts: Index, record: Index, *, smooth: Flags | None = None) -> SpatialLines:
    """Build lines of straight pieces: counts[i] nodes for line i.

    Parameters
    ----------
    node
        (n, 3) ndarray of float, drawing units.
    counts
        (m,) ndarray of int: nodes of each line, n together.
    record
        (m,) ndarray of int: the record each came from.
    smooth
        (n,) ndarray of bool: nodes within a curve; None for none.
    """
    return SpatialLines(
        node=node,
        smooth=np.zeros(len(node), bool) if smooth is None else smooth,
        start=offsets_of(counts),
        record=record,
        arc_end=np.zeros(0, np.int64),
        arc=np.zeros((0, 3, 3)),
        sweep=np.zeros((0, 2)),
    )


def gather(parts: Sequence[SpatialLines]) -> SpatialLines:
    """Join shapes, in the order of their records."""
    parts = [p for p in parts if len(p)]
    if not parts:
        return straight(np.zeros((0, 3)), np.zeros(0, np.int64), np.zeros(0, np.int64))
    shifts = np.cumsum([0] + [len(p.node) for p in parts])[:-1].tolist()
    pairs = list(zip(parts, shifts, strict=True))
    degrees = sorted({control.shape[1] for p in parts for _, control in p.spans})
    joined = SpatialLines(
        node=np.concatenate([p.node for p in parts]),
        smooth=np.concatenate([p.smooth for p in parts]),
        start=np.concatenate([p.start[:-1] + s for p, s in pairs] + [[sum(len(p.node) for p in parts)]]),
        record=np.concatenate([p.record for p in parts]),
        arc_end=np.concatenate([p.arc_end + s for p, s in pairs]),
        arc=np.concatenate([p.arc for p in parts]),
        sweep=np.concatenate([p.sweep for p in parts]),
        spans=tuple(_join_spans(pairs, degree) for degree in degrees),
    )
    return joined.take(np.argsort(joined.record, kind="stable"))


def _join_spans(pairs: Sequence[tuple[SpatialLines, int]], width: int) -> tuple[Index, Points]:
    chosen = [(e + s, c) for p, s in pairs for e, c in p.spans if c.shape[1] == width]
    return np.concatenate([e for e, _ in chosen]), np.concatenate([c for _, c in chosen])


def offsets_of(counts: Index | Flags) -> Index:
    """Where each of some runs begins, and where the last one ends; (m,) counts, (m + 1,) offsets."""
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
