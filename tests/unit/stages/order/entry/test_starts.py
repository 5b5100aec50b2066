"""Where lines may be entered."""

from __future__ import annotations

from itertools import product

import numpy as np

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.starts import choose, entries_on_runs, entry_points

RNG = np.random.default_rng(3)


def _rings(count: int) -> Lines:
    """Polygons by lot, some in a curve and some with a point twice; and an open line."""
    rings, curved = [[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0)]], [[False] * 3]
    for k in range(count):
        corners = int(RNG.integers(3, 9))
        turn = np.sort(RNG.uniform(0, 2 * np.pi, corners))
        ring = RNG.uniform(0.2, 4.0) * np.column_stack((np.cos(turn), np.sin(turn)))
        ring = np.vstack((ring, ring[-1:], ring[:1]) if k % 5 == 0 else (ring, ring[:1]))
        rings.append(ring.tolist())
        curved.append([k % 3 == 0 and i > 1 for i in range(len(ring))])
    return Lines.of(rings, operation=Operation.CUT, curved=curved)


def test_entries_on_runs_are_those_of_each_line_alone() -> None:
    """Lines of which it is plain that they have no long run are not asked; the others give what they give alone."""
    lines = _rings(120)
    found = entry_points(lines, np.ones(len(lines), bool))
    asked = 0
    for i in np.flatnonzero(lines.closed).tolist():
        own = entries_on_runs(lines.points(i), lines.curves(i))
        asked += own is not None
        rows = found.slice(i)
        wanted = own or (np.arange(len(lines.points(i)) - 1), np.zeros(len(lines.points(i)) - 1))
        assert found.segment[rows].tolist() == wanted[0].tolist()
        assert found.share[rows].tolist() == wanted[1].tolist()
    assert 20 < asked < 110


def test_chosen_entries_are_the_best_of_all_ways() -> None:
    """Against every combination, for three rings and a line between home and home."""
    lines = _rings(3)
    entries = entry_points(lines, np.zeros(len(lines), bool))
    order, home = np.array([2, 0, 3, 1]), np.array([1.0, -2.0])
    own = RNG.uniform(0, 1, len(entries.line))

    def length(picked: tuple[int, ...]) -> float:
        at, total = home, 0.0
        for entry in picked:
            total += float(np.hypot(*(entries.entry[entry] - at)) + own[entry])
            at = entries.leave[entry]
        return total + float(np.hypot(*(home - at)))

    ranges = [range(entries.slice(int(i)).start, entries.slice(int(i)).stop) for i in order]
    best = min(product(*ranges), key=length)
    found = choose(entries, order, own, home, lambda legs: np.hypot(legs[..., 0], legs[..., 1]))
    assert tuple(found[order].tolist()) == best
