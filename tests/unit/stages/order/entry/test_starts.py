"""Where lines may be entered."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.starts import entries_on_runs, entry_points

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
