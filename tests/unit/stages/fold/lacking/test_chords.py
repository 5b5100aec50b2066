"""Where a missing score still shows."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from cutprep.model.folded import FoldReport
from cutprep.stages.fold.lacking.chords import chords
from cutprep.stages.fold.lacking.outlines import with_breaks
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.folding import folded
from tests.kinds.draw import XY, Manner, Net, drawn
from tests.kinds.faults import split, without
from tests.kinds.sound import A, D, H, L, T, W, carton, hexagon, square_tray, tray
from tests.nets import Sketch, from_faces, ngon_tray, tuck_end
from tests.nets import tray as plain_tray


def _folded(strokes: list) -> FoldReport:  # type: ignore[type-arg]
    drawing = drawn(strokes, Manner(), np.random.default_rng(3))
    return with_breaks(fold(drawing, tolerance=Tolerance())[0], drawing.lines.xy)


@pytest.mark.parametrize(
    ("make", "p", "q"),
    [
        (tray, (0, 0), (L, 0)),
        (tray, (0, 0), (0, W)),
        (square_tray, (0, 0), (0, -H)),
        (carton, (0, T), (A, T)),
        (carton, (A, 0), (A, T)),
        (carton, (A + D, 0), (A + D, T)),
    ],
)
def test_a_missing_score_comes_first(make: Callable[[], Net], p: XY, q: XY) -> None:
    first = chords(_folded(without(split(make()), p, q)))[0]
    want = np.array([p, q], float)
    assert min(np.abs(first.ends - want).max(), np.abs(first.ends - want[::-1]).max()) < 0.5
    assert first.strong


@pytest.mark.parametrize("make", [plain_tray, tuck_end, lambda: ngon_tray(6)])
def test_a_sound_net_shows_no_strong_marks(make: Callable[[], object]) -> None:
    assert chords(folded(make()), every=False) == []  # type: ignore[arg-type]
    assert not any(c.strong for c in chords(folded(make())))  # type: ignore[arg-type]


def test_an_outline_in_pieces_hides_no_chord_that_scores_lead_to() -> None:
    s = (
        Sketch("two halves below a whole")
        .score((0, 30), (40, 30))
        .score((40, 30), (80, 30))
        .score((40, 0), (40, 30))
    )
    s.cut((0, 0), (80, 0), (80, 60), (40, 60)).cut((40, 60), (0, 60), (0, 0))
    assert [[40, 30], [40, 60]] in [sorted(c.ends.round(3).tolist()) for c in chords(folded(s))[:2]]


def test_no_score_no_chord() -> None:
    assert chords(_folded([s for s in split(hexagon()) if s.operation.name == "CUT"])) == []


def test_the_order_of_chords_is_the_same_when_the_drawing_is_turned() -> None:
    """An L of five squares, as drawn and turned by half a turn."""
    cells = [(0, 0), (0, 1), (0, 2), (1, 0), (2, 0)]
    both = []
    for sign in (1, -1):
        faces = [
            [(sign * 40 * (x + i), sign * 40 * (y + j)) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
            for x, y in cells
        ]
        (report,) = fold(from_faces(faces, "L").drawing(), tolerance=Tolerance())
        both.append([(c.marks, round(c.length, 2)) for c in chords(report)])
    assert both[0] == both[1]
