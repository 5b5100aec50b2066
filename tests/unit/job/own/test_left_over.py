"""What is left of a sheet: shapes that bridges leave open count as closed, and the largest clear rectangle is found."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.job.own.left_over import clear_rectangle, fitting, worked
from cutprep.job.own.offcuts import Offcut, drawn_of, free_name, offcuts, on_offcut, write_offcuts
from cutprep.job.settings.resolve import Given, Source, as_typed, read_layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.model.moves import Moves


def cut(*lines: list[tuple[float, float]]) -> Moves:
    """Moves that cut some lines."""
    rows = [(x, y, k > 0) for line in lines for k, (x, y) in enumerate(line)]
    xy, down = np.array([row[:2] for row in rows], float), np.array([row[2] for row in rows])
    ones = np.ones(len(rows))
    return Moves(
        xy=xy, down=down, tool=ones.astype(np.int8), speed=50 * ones, force=ones, stroke=ones.astype(np.int32) - 1,
        home=(0.0, 0.0), changes=0,
    )  # fmt: skip


def test_a_square_that_two_bridges_hold_is_used_up_inside() -> None:
    moves = cut([(20, 10), (10, 10), (10, 50), (29.7, 50)], [(30.3, 50), (50, 50), (50, 10), (20.6, 10)])
    assert shapely.area(worked(moves)) == pytest.approx(41 * 41, rel=0.001)


def test_an_open_score_takes_only_its_line() -> None:
    assert shapely.area(worked(cut([(10, 10), (50, 10)]))) == pytest.approx(40 * 1 + np.pi / 4, abs=0.05)


def test_the_largest_rectangle_is_clear_of_what_was_worked() -> None:
    used = shapely.union_all([shapely.box(5, 5, 100, 60), shapely.box(160, 150, 195, 195)])
    left, bottom, right, top = clear_rectangle(used, (200.0, 200.0))
    assert not shapely.box(left, bottom, right, top).intersects(used)
    assert (right - left) * (top - bottom) >= 0.95 * 160 * 140 * 0.97  # above the first, left of the second


def test_offcuts_are_written_read_and_thrown_away(tmp_path: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path))
    one = Offcut("a-1", "a", "card-220", (304.8, 210.0), (0, 10, 100, 200), 123.4, 2, "Fair", "x-1")
    two = Offcut("a-2", "a", "card-220", (304.8, 210.0), (0, 10, 100, 200), 99.0)
    write_offcuts([one, two])
    assert list(offcuts().items()) == [("a-2", two), ("a-1", one)]  # the smaller one is used up first
    assert free_name("a", offcuts()) == "a-3"
    assert fitting("a", 50.0, [(90, 190)]) == two
    assert fitting("card-220", 80.0, [(190, 90)]) == one
    assert fitting("a", 50.0, [(110, 150)]) is None  # it would have to be narrower
    layer = read_layer(SETTINGS.values(), Given({"offcut": "a-1"}), Source.OPTION, as_typed)
    given, left = on_offcut(resolve(of_scope(Scope.CARD, Scope.SHEET), layer))
    assert (given["stock"], given["sheet"], given["at_hand"]) == ("card-220", "304.8x210.0mm", 2)
    assert drawn_of(left) == ((one.drawing, ""),)
    two.drawing.write_text("<svg/>")
    write_offcuts([one])
    assert not two.drawing.exists()
