"""Tubes: panels in a row across parallel scores, closed to a ring.

A ring of stiff panels can move unless something holds its section. An end panel with a side for
every wall gives the section away; without one the panels are put on a circle, which is the
regular polygon for equal walls and the rectangle for equal pairs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import FoldingFrame
from cutprep.stages.fold.closing.ways.candidates import Candidate, signed
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Scores within this of parallel belong to one row (sine of 1.5 degrees).
_PARALLEL = 0.026
#: Widths that differ by less than this, or by this share, are equal: mm.
_EQUAL, _EQUAL_SHARE = 1.0, 0.02
#: An end panel no wider than this share of the narrowest wall is a flap.
_FLAP = 0.6
#: What speaks against the second likeliest way to close a row, against the first; the third twice that.
_ODD = 0.75
#: A declared angle is told as a whole number, or as that of card without thickness: degrees.
_NOMINAL = 5.0


@dataclass(frozen=True, slots=True)
class PanelRow:
    """Panels joined one after the other by parallel scores.

    Attributes
    ----------
    panels, hinges
        In order; hinge i lies between panels i and i + 1.
    widths
        Width of each panel across the scores, mm.
    across
        Unit direction from the first to the last.
    tapered
        Whether the first and the last panel narrow away from the row.
    """

    panels: tuple[int, ...]
    hinges: tuple[int, ...]
    widths: tuple[float, ...]
    across: tuple[float, float]
    tapered: tuple[bool, bool]

    @property
    def flapped(self) -> bool:
        """Whether a row of four walls or more has a narrow panel at one end."""
        if len(self.panels) < 5:
            return False
        return min(self.widths[0], self.widths[-1]) <= _FLAP * min(self.widths[1:-1])

    @property
    def one_flap(self) -> bool:
        """Whether it has a narrow panel at one end and not at the other; of two narrow ones the flap narrows away."""
        least = _FLAP * min(self.widths[1:-1])
        narrow = (self.widths[0] <= least, self.widths[-1] <= least)
        return self.flapped and ((narrow[0] != narrow[1]) or self.tapered[0] != self.tapered[1])


def rows_of(frame: FoldingFrame) -> list[PanelRow]:
    """Find every row of three panels or more, the longest first."""
    hinges = frame.part.hinges
    straight = [k for k, h in enumerate(hinges) if h.kind == "straight"]
    unit = {k: (hinges[k].ends[1] - hinges[k].ends[0]) / hinges[k].length for k in straight}
    at: dict[int, list[int]] = {}
    for k in straight:
        for p in (hinges[k].a, hinges[k].b):
            at.setdefault(p, []).append(k)
    seen: set[int] = set()
    found = []
    for k in straight:
        if k in seen:
            continue
        chain = _chain(frame, k, unit, at)
        seen |= set(chain)
        if len(chain) >= 2:
            found.append(_row(frame, chain, unit[k]))
    return sorted(found, key=lambda r: (-len(r.panels), -round(sum(r.widths), 1), r.panels))


def _chain(frame: FoldingFrame, first: int, unit: dict[int, Points], at: dict[int, list[int]]) -> list[int]:
    """Hinges reached from one across panels, always on the far side of the panel."""
    hinges = frame.part.hinges
    chain = [first]
    for grow, panel in ((chain.append, hinges[first].b), (lambda k: chain.insert(0, k), hinges[first].a)):
        last, here = first, panel
        while True:
            beyond = [
                k
                for k in at[here]
                if k not in chain
                and abs(_turn(unit[k], unit[last])) < _PARALLEL
                and _overlaps(hinges[k].ends, hinges[last].ends)
            ]
            if not beyond:
                break
            last = max(beyond, key=lambda k: (round(hinges[k].length, 1), -k))
            grow(last)
            here = hinges[last].other(here)
    return chain


def _turn(u: Points, v: Points) -> float:
    """Sine of the turn from one direction to another."""
    return float(u[0] * v[1] - u[1] * v[0])


def _overlaps(one: Points, two: Points) -> bool:
    """Whether two parallel scores lie beside one another over half the shorter, and apart."""
    u = (one[1] - one[0]) / np.hypot(*(one[1] - one[0]))
    a, b = np.sort((one - one[0]) @ u), np.sort((two - one[0]) @ u)
    common = min(a[1], b[1]) - max(a[0], b[0])
    apart = abs(float((two.mean(axis=0) - one[0]) @ np.array([-u[1], u[0]])))
    return bool(common > 0.5 * min(a[1] - a[0], b[1] - b[0]) and apart > 1.0)


def _row(frame: FoldingFrame, chain: list[int], unit: Points) -> PanelRow:
    hinges = frame.part.hinges
    panels = [hinges[chain[0]].a if hinges[chain[0]].b in _ends(frame, chain[1]) else hinges[chain[0]].b]
    for k in chain:
        panels.append(hinges[k].other(panels[-1]))
    across = np.array([-unit[1], unit[0]])
    positions = [float(hinges[k].ends.mean(axis=0) @ across) for k in chain]
    if positions[-1] < positions[0]:
        across, positions = -across, [-p for p in positions]
    first, last = frame.rings[panels[0]] @ across, frame.rings[panels[-1]] @ across
    widths = [
        positions[0] - float(first.min()),
        *np.diff(positions).tolist(),
        float(last.max()) - positions[-1],
    ]
    tapered = tuple(_tapers(frame, p, across * sign) for p, sign in ((panels[0], -1.0), (panels[-1], 1.0)))
    return PanelRow(
        tuple(panels),
        tuple(chain),
        tuple(widths),
        (float(across[0]), float(across[1])),
        (tapered[0], tapered[1]),
    )


def _ends(frame: FoldingFrame, hinge: int) -> tuple[int, int]:
    h = frame.part.hinges[hinge]
    return h.a, h.b


def _tapers(frame: FoldingFrame, panel: int, out: Points) -> bool:
    """Whether a panel is clearly shorter at its far edge than at its hinge, or has no such edge."""
    ring = frame.rings[panel]
    far = ring @ out
    along = ring @ np.array([-out[1], out[0]])
    edge = along[far > far.max() - 0.5]
    return bool(np.ptp(edge) < 0.985 * np.ptp(along)) if len(edge) > 1 else True


def circle_folds(widths: Points) -> Points | None:
    """Fold angles of a ring of panels whose edges all lie on one circle.

    Parameters
    ----------
    widths
        (n,) ndarray of float: panel widths in turn.

    Returns
    -------
    (n,) ndarray of float or None
        Fold between panel i and the next, degrees; None when one panel is wider than all others.
    """
    w = np.asarray(widths, dtype=np.float64)
    if len(w) < 3 or 2 * w.max() >= w.sum() or w.min() <= 0:
        return None
    big = int(w.argmax())
    beyond = np.arcsin(w / w.max()).sum() < math.pi  # the centre lies outside, behind the widest
    low, high = w.max() / 2, float(w.sum()) ** 2 / w.min()
    for _ in range(200):
        r = (low + high) / 2
        half = np.arcsin(np.minimum(1.0, w / (2 * r)))
        if beyond:
            half[big] = math.pi - half[big]
        more = half.sum() > math.pi
        low, high = (low, r) if more == beyond else (r, high)
    half = np.arcsin(np.minimum(1.0, w / (low + high)))
    if beyond:
        half[big] = math.pi - half[big]
    return np.asarray(np.degrees(half + np.roll(half, -1)))


def tube_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Close the longest rows to rings: by an end panel's sides where there is one, else on a circle."""
    for row in rows_of(frame)[:3]:
        if len(row.panels) < 3:
            continue
        yield from _capped(frame, constraints, row)
        yield from _on_a_circle(frame, constraints, row)


def _on_a_circle(frame: FoldingFrame, constraints: FoldConstraints, row: PanelRow) -> Iterator[Candidate]:
    merged = _with_creases(row)
    if merged is not None:
        yield ring_way(frame, constraints, "tube", row, *merged)
    for rank, (first, last) in enumerate(wall_ranges(row)):
        widths = row.widths[first : last + 1]
        if len(widths) > 3 and not paired(widths) and not row.one_flap:
            continue  # nothing but the length of its border speaks for such a ring
        folds = circle_folds(np.array(widths))
        if folds is not None and _as_declared(constraints, row, first, folds):
            odd = _ODD * (rank + (merged is not None))
            yield ring_way(frame, constraints, "tube", row, first, folds, odd)


def _as_declared(constraints: FoldConstraints, row: PanelRow, first: int, folds: Points) -> bool:
    """Whether declared angles are about those of a ring: else they leave it open, and no other fold closes it."""
    said = [k for k, hinge in enumerate(row.hinges) if hinge in constraints.fixed]
    meant = folds[(np.array(said, dtype=np.int64) - first) % len(folds)]
    off = [abs(abs(constraints.fixed[row.hinges[k]]) - fold) for k, fold in zip(said, meant, strict=True)]
    return max(off, default=0.0) < _NOMINAL


def ring_of(row: PanelRow) -> tuple[int, Points] | None:
    """Four walls in pairs, two of them perhaps creased in their middle: the first panel, and the folds from there on.

    Returns
    -------
    tuple of (int, ndarray of float) or None
        Folds are (4,) or, with creases, (6,), degrees.
    """
    creased = _with_creases(row)
    if creased is not None:
        return creased
    for first, last in wall_ranges(row):
        if last - first == 3 and paired(row.widths[first : last + 1]):
            return first, np.full(4, 90.0)
    return None


def _with_creases(row: PanelRow) -> tuple[int, Points] | None:
    """Sides folded in their middle, as of a bag: two halves count as one wall if four paired walls result."""
    for first, last in wall_ranges(row):
        widths = np.array(row.widths[first : last + 1])
        if len(widths) != 6:
            continue
        near = max(_EQUAL, _EQUAL_SHARE * float(widths.max()))
        for shift in range(3):
            w = np.roll(widths, -shift)
            half = w[[1, 2, 4, 5]]
            if abs(w[0] - w[3]) < near and np.ptp(half) < near and abs(w[0] - w[1]) > near:
                return first, np.roll(np.array([90.0, 0.0, 90.0, 90.0, 0.0, 90.0]), shift)
    return None


def wall_ranges(row: PanelRow) -> list[tuple[int, int]]:
    """Which panels of a row are walls; the likeliest first, the others flaps at its ends."""
    n = len(row.panels)
    whole = [(0, n - 1), (1, n - 1), (0, n - 2), (1, n - 2)]
    return sorted((r for r in whole if r[1] - r[0] >= 2), key=lambda r: _oddness(row, *r))


def _oddness(row: PanelRow, first: int, last: int) -> tuple[bool, int, int]:
    """What speaks against a range: unequal walls; a flap among its walls, or flaps at both ends; walls left out."""
    widths = row.widths[first : last + 1]
    left_out = len(row.panels) - len(widths)
    flap_like = 0
    for end, inside, tapered in (
        (0, first == 0, row.tapered[0]),
        (-1, last == len(row.panels) - 1, row.tapered[1]),
    ):
        others = row.widths[1:-1]
        narrow = row.widths[end] <= _FLAP * min(others) or tapered
        flap_like += (1 + tapered if narrow else 0) if inside else not narrow
    return not paired(widths), flap_like + (left_out > 1), left_out


def paired(widths: tuple[float, ...]) -> bool:
    """Whether all walls are equal, or those opposite one another."""
    w = np.array(widths)
    near = max(_EQUAL, _EQUAL_SHARE * float(w.max()))
    if np.ptp(w) <= near:
        return True
    half = len(w) // 2
    return len(w) % 2 == 0 and bool((np.abs(w[:half] - w[half:]) <= near).all())


def ring_way(
    frame: FoldingFrame,
    constraints: FoldConstraints,
    family: str,
    row: PanelRow,
    first: int,
    folds: Points,
    odd: float = 0.0,
) -> Candidate:
    """Fold a row as told from one panel on, its flaps at the ends as the ring's closing fold.

    Parameters
    ----------
    frame, constraints
        The part and what its folds have to obey.
    family
        What the way is called.
    row, first, folds
        The row, the first wall of the ring, and (n,) ndarray of float: the folds from there on all round, degrees.
    odd
        What speaks against it before it is folded.
    """
    count = len(folds)
    degrees = signed(constraints, np.full(len(frame.part.hinges), 90.0))
    for k, hinge in enumerate(row.hinges):
        for other, line in enumerate(frame.lines):  # and where that score goes on beyond a tear line
            if line == frame.lines[hinge] and other not in constraints.fixed:
                degrees[other] = folds[(k - first) % count] * constraints.sense
    return Candidate(family, degrees, odd)


def _capped(frame: FoldingFrame, constraints: FoldConstraints, row: PanelRow) -> Iterator[Candidate]:
    """Read the section off an end panel that has a side for every wall."""
    hinges = frame.part.hinges
    across = np.array(row.across)
    seen: list[Points] = []
    for position, panel in enumerate(row.panels):
        for k in frame.part.hinges_at(panel):
            along = (hinges[k].ends[1] - hinges[k].ends[0]) / hinges[k].length
            if k in row.hinges or abs(float(along @ across)) < 0.9:
                continue
            folds = _section(frame, row, position, hinges[k].other(panel), hinges[k].ends)
            if folds is not None and not any(
                len(s) == len(folds) and np.allclose(folds, s, atol=0.5) for s in seen
            ):
                seen.append(folds)
                yield ring_way(frame, constraints, "capped", row, 0, folds)


def _section(frame: FoldingFrame, row: PanelRow, position: int, cap: int, ends: Points) -> Points | None:
    """Folds between the walls of a row from the corners of an end panel; None when it doesn't fit."""
    across = np.array(row.across)
    ring = frame.rings[cap]
    right = ends[int((ends @ across).argmax())]
    start = int(np.hypot(*(ring - right).T).argmin())
    count = len(ring)
    n = len(row.panels)
    if count < 3 or not count <= n <= count + 2:
        return None
    left = ends[int((ends @ across).argmin())]
    nxt = ring[(start + 1) % count]
    if np.hypot(*(nxt - left)) < np.hypot(*(ring[start - 1] - left)):  # walk away from the hinge
        ring = ring[::-1]
        start = count - 1 - start
    ring = np.roll(ring, -start, axis=0)  # corner 0: right end of the hinge; side j from corner j on
    sides = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    # side j belongs to wall position + 1 + j
    near = np.maximum(_EQUAL, _EQUAL_SHARE * sides)
    for wall in range(n):
        j = (wall - position - 1) % count
        flap = (wall == 0 or wall == n - 1) and n > count
        if not flap and abs(row.widths[wall] - sides[j]) > near[j]:
            return None
    step = np.roll(ring, -1, axis=0) - ring
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
    turn *= np.sign(turn.sum())
    # the corner before side j lies between wall position + j and the next
    return np.roll(np.degrees(turn), position)
