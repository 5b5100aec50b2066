"""Straightening and rejoining, when asked."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.smooth import rejoin_arcs, straighten
from tests.asserting import assert_same_ink
from tests.drawn import LIMITS, arc


def test_an_almost_straight_run_becomes_straight() -> None:
    """Corners stay, and so do the vertices of a curve."""
    run = [(0, 0), (10, 0.03), (20, -0.02), (30, 0), (30, 20)]
    lines = Lines.of([run], operation=Operation.CUT)
    made, findings = straighten(lines, np.ones(1, bool), LIMITS)
    assert made.points(0).tolist() == [[0, 0], [30, 0], [30, 20]]
    assert findings[0].measure == 2
    assert_same_ink(made, lines, within=LIMITS.coincide)
    curve = Lines.of([run], operation=Operation.CUT, curved=[[False, True, True, False, False]])
    assert straighten(curve, np.ones(1, bool), LIMITS) == (curve, ())


def test_a_closed_line_stays_closed() -> None:
    """A square with points on its sides; a sliver keeps its corners."""
    ring = [(0, 0), (5, 0.01), (10, 0), (10, 10), (5, 10.02), (0, 10), (0, 0)]
    made, _ = straighten(Lines.of([ring], operation=Operation.CUT), np.ones(1, bool), LIMITS)
    assert made.closed.tolist() == [True]
    assert made.counts.tolist() == [5]
    sliver = Lines.of([[(0, 0), (20, 0), (10, 0.02), (0, 0)]], operation=Operation.CUT)
    assert straighten(sliver, np.ones(1, bool), LIMITS)[0].closed.tolist() == [True]


def test_an_arc_in_pieces_becomes_one() -> None:
    """The joint is marked as a point of the curve; a corner between two arcs stays one."""
    whole = arc((0, 0), 10, 0, 90)
    flags = np.ones(len(whole), bool)
    flags[[0, 5, -1]] = False
    lines = Lines.of([whole], operation=Operation.CUT, curved=[flags])
    made, findings = rejoin_arcs(lines, np.ones(1, bool))
    assert made.curved.tolist() == [False, *[True] * (len(whole) - 2), False]
    assert [f.code for f in findings] == ["rejoined-arc"]
    bend = np.vstack((arc((0, 0), 10, 0, 90), arc((0, 20), 10, -90, 0)[1:]))
    flags = np.ones(len(bend), bool)
    flags[[0, len(whole) - 1, -1]] = False
    cusp = Lines.of([bend], operation=Operation.CUT, curved=[flags])
    corner = rejoin_arcs(cusp, np.ones(1, bool))[0]
    assert not corner.curved[len(whole) - 1]
