"""Lines of a layer with figures of its own: force, offset, overcut, passes; all others as before."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.model.lines import Element, Lines
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile import shelf
from cutprep.stages.blade.cutting import Cutting, LayerFigures, Passes
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.tip import blade_error
from cutprep.tolerance import Tolerance

MACHINE = shelf.machine("mat-cutter-300")
SQUARE = np.array([[20.0, 20.0], [30.0, 20.0], [30.0, 30.0], [20.0, 30.0], [20.0, 20.0]])


def squares() -> Strokes:
    """Three squares on layers "a", "b" and "c"."""
    lines = Lines.concat(
        [
            Lines.of(
                [SQUARE + np.array([20.0 * k, 0.0])],
                operation=Operation.CUT,
                elements=(Element(layer=layer),),
            )
            for k, layer in enumerate("abc")
        ]
    )
    none = np.full(3, -1, np.int32)
    return Strokes(lines, np.zeros(3, np.int8), none, np.zeros(3, bool), home=MACHINE.home)


def planned(*, passes: Passes | None = None, **own: LayerFigures) -> tuple[Moves, Cutting]:
    cutting = Cutting(layers=tuple(own.items()), passes=passes)
    return compensate(squares(), MACHINE, Tolerance(), cutting), cutting


def of_stroke(moves: Moves, stroke: int) -> np.ndarray:
    return moves.down & (moves.stroke == stroke)


def test_each_layer_is_pressed_as_it_says() -> None:
    moves, _ = planned(a=LayerFigures(force=60), c=LayerFigures(force=90))
    assert [set(moves.force[of_stroke(moves, k)].tolist()) for k in range(3)] == [{60.0}, {120.0}, {90.0}]


def test_passes_and_overcut_of_one_layer() -> None:
    moves, _ = planned(b=LayerFigures(passes=3), c=LayerFigures(overcut=4.0))
    lengths = [np.hypot(*np.diff(moves.xy[of_stroke(moves, k)], axis=0).T).sum() for k in range(3)]
    assert lengths[1] - lengths[0] == pytest.approx(80.0, abs=4.0)  # two rounds more
    assert lengths[2] - lengths[0] == pytest.approx(3.5, abs=0.1)


def test_passes_over_the_sheet_end_where_a_layer_has_enough() -> None:
    moves, _ = planned(passes=Passes(3, by="sheet"), a=LayerFigures(passes=1))
    lowered = np.flatnonzero(moves.down & (np.diff(moves.stroke, prepend=-9) != 0))
    assert moves.stroke[lowered].tolist() == [0, 1, 2, 1, 2, 1, 2]


def test_a_blade_of_another_offset_still_follows_its_line() -> None:
    moves, cutting = planned(a=LayerFigures(offset=0.45), b=LayerFigures(offset=0.0))
    assert blade_error(moves, squares(), MACHINE, cutting).max() < 0.05
    assert blade_error(moves, squares(), MACHINE, Cutting()).max() > 0.1  # and by the profile's it does not


def test_no_force_above_what_the_machine_may() -> None:
    with pytest.raises(PlanError, match="'mat-cutter-300' may press its drag knife with 240 at most"):
        planned(a=LayerFigures(force=241))
