"""Scores as a person sets them: sums that are right, curves as curves, each piece from its own edges."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest

from cutprep.model.lines import Lines
from cutprep.model.operation import Fold, Operation
from cutprep.report.hands.pieces import Piece, pieces_of
from cutprep.report.hands.ruler import millimetres, scale
from cutprep.report.hands.scores import score_rows
from cutprep.report.hands.slots import Slot, slots_of
from cutprep.report.hands.table import table_of
from cutprep.template.kinds import KINDS
from tests import nets
from tests.making import made, template_of


def inch(text: str) -> Fraction:
    return sum((Fraction(word) for word in text.split()), Fraction(0))


@pytest.mark.parametrize("caliper", [0.0, 0.2, 0.3, 0.5, 0.8])
@pytest.mark.parametrize("wall", [28.575, 22.225, 30.0])
def test_equal_walls_are_equal_in_inches_and_the_sums_are_right(caliper: float, wall: float) -> None:
    """A tray of 1 1/8 in walls round 6 in: blank = L + 2H (see docs/TEMPLATES.md)."""
    high = wall + caliper / 2
    marks = [high, high + 152.4 + caliper, 2 * high + 152.4 + caliper]
    read = [inch(scale(marks).inches(m)) for m in marks]
    first, base, last = (b - a for a, b in itertools.pairwise([Fraction(0), *read]))
    assert first == last
    assert first + base + last == read[-1]
    assert all(abs(float(r) * 25.4 - m) <= 25.4 / 32 for r, m in zip(read, marks, strict=True))


def test_a_wall_of_one_and_an_eighth_never_becomes_one_and_three_sixteenths() -> None:
    high = 28.575 + 0.25
    found = scale([high, high + 152.9, 2 * high + 152.9])
    assert [found.inches(m) for m in found.exact] == ["0", "1 1/8", "7 5/32", "8 9/32"]


def test_millimetres_round_a_half_up() -> None:
    assert [millimetres(v) for v in (30.15, 30.149999999, 162.45, 0.0)] == ["30.2", "30.2", "162.5", "0.0"]


def test_curves_are_given_as_curves() -> None:
    """r = (w^2 / 4 + b^2) / (2 b) for a pillow of 60 mm with a bow of 12 mm: 43.5 mm (plain geometry)."""
    works, _ = made(KINDS["pillow-box"].from_values())
    curves = [row for row in works[0].rows if row.kind == "curve"]
    assert len(works[0].rows) == 6
    assert [round(row.radius, 3) for row in curves] == [43.5] * 4
    assert curves[0].points[1] == pytest.approx((30.0, 24.0))
    assert table_of(works[0]).curves[0].at == ("1 23/32", "43.5")


def test_a_curve_that_is_no_arc_is_traced() -> None:
    t = np.linspace(0, np.pi, 40)
    half = np.column_stack((30 - 30 * np.cos(t), 12 * np.sin(t)))
    (row,) = score_rows(Piece("ellipse", Lines.of([half], operation=Operation.SCORE)), 0.05)
    assert row.kind == "curve"
    assert not np.isfinite(row.radius)


@pytest.mark.parametrize("off", [0.0, 1e-12, -1e-12])
def test_slanting_scores_go_from_the_left_to_the_right_whatever_the_last_digit(off: float) -> None:
    """Two beginnings above each other, a digit apart, were numbered by how a processor rounds."""
    low, high = [(10.0 + off, 5.0), (40.0, 20.0)], [(40.0, 60.0), (10.0 - off, 75.0)]
    for lines in ([low, high], [high, low], [high[::-1], low[::-1]]):
        rows = score_rows(Piece("slice", Lines.of(lines, operation=Operation.SCORE)), 0.05)
        assert [np.round(row.points, 6).tolist() for row in rows] == [
            [[10.0, 5.0], [40.0, 20.0]],
            [[10.0, 75.0], [40.0, 60.0]],
        ]


def test_each_piece_is_measured_from_its_own_edges() -> None:
    works, _ = made(KINDS["tray-with-lid"].from_values())
    assert [w.piece.size for w in works] == [pytest.approx((192.6, 138.6)), pytest.approx((164.0, 110.6))]
    assert [[round(r.at, 2) for r in w.rows] for w in works] == [
        [30.15, 162.45, 30.15, 108.45],
        [15.15, 148.85, 15.15, 95.45],
    ]


def test_alike_pieces_are_one_kind() -> None:
    long, cross = pieces_of(template_of(KINDS["divider"].from_values()), 0.15).shown
    assert (long.alike, cross.alike) == (1, 2)
    assert slots_of(cross.lines) == (
        Slot("lower", pytest.approx(38.5), pytest.approx(13), pytest.approx(0.6)),
    )
    assert [s.side for s in slots_of(long.lines)] == ["upper", "upper"]


def test_a_score_without_a_word_folds_as_the_finished_piece_needs_it() -> None:
    works, _ = made(nets.tray().drawing())
    assert {row.fold for row in works[0].rows} == {Fold.VALLEY}


def test_gussets_fold_as_mountains_between_valleys() -> None:
    works, _ = made(KINDS["gathered-box"].from_values())
    rows = works[0].rows
    mountains = [row for row in rows if row.fold is Fold.MOUNTAIN]
    assert [round(row.at, 1) for row in mountains] == [50.3, 100.6, 150.9]
    assert "scores 1, 3 and 5 into mountains" in " ".join(s.text for s in works[0].prepared)
