"""Sheets, strokes and moves: what their fields promise."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.errors import Place
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Severity, errors, sentence
from cutprep.model.lines import Element, Lines
from cutprep.model.moves import Duration, Moves
from cutprep.model.operation import FEFCO_ESBO, ISO_19593_1, Fold, Operation
from cutprep.model.sheet import Placement
from cutprep.model.strokes import Strokes


def test_quarter_turns_are_exact() -> None:
    for turn in (0, 90, 180, 270, 360, -90):
        assert set(np.abs(Placement(0, 0, 0, turn).matrix[:, :2].ravel())) == {0.0, 1.0}
    m = Placement(0, 10, 20, 90).matrix
    assert (m @ [1, 0, 1]).tolist() == [10.0, 21.0]


def test_a_mirrored_copy_is_mirrored_before_it_is_turned() -> None:
    m = Placement(0, 0, 0, 90, mirror=True).matrix
    assert (m @ [1, 0, 1]).tolist() == [0.0, -1.0]
    assert np.linalg.det(m[:, :2]) == -1


def test_any_other_turn_is_a_rotation() -> None:
    m = Placement(0, 0, 0, 30).matrix
    assert m[0, 0] == pytest.approx(math.cos(math.radians(30)))
    assert np.linalg.det(m[:, :2]) == pytest.approx(1)


def test_strokes_know_their_travel() -> None:
    lines = Lines.of([[(3, 4), (3, 10)], [(3, 12), (0, 12)]], operation=Operation.CUT)
    strokes = Strokes(lines, np.array([0, 1]), np.array([0, 0]), np.array([False, True]))
    assert strokes.travel == pytest.approx(5 + 2 + 12)
    assert Strokes(Lines.empty(), np.array([]), np.array([]), np.array([])).travel == 0


def test_a_stage_never_goes_down() -> None:
    lines = Lines.of([[(0, 0), (1, 0)], [(0, 0), (1, 0)]], operation=Operation.CUT)
    with pytest.raises(ValueError, match="stage goes down"):
        Strokes(lines, np.array([1, 0]), np.array([0, 0]), np.array([False, False]))
    with pytest.raises(ValueError, match="one entry"):
        Strokes(lines, np.array([1]), np.array([0, 0]), np.array([False, False]))


def _moves(**change: object) -> Moves:
    good: dict[str, object] = {
        "xy": [[3.0, 4.0], [3.0, 10.0]],
        "down": [False, True],
        "tool": [1, 1],
        "speed": [0.0, 50.0],
        "force": [math.nan, 100.0],
        "stroke": [-1, 0],
    }
    return Moves(**{**good, **change})  # type: ignore[arg-type]


def test_moves_start_from_home() -> None:
    assert _moves().lengths.tolist() == [5.0, 6.0]
    assert _moves(home=(3.0, 4.0)).lengths.tolist() == [0.0, 6.0]


@pytest.mark.parametrize("change", [{"down": [True]}, {"xy": [[np.nan, 0], [0, 0]]}, {"xy": [1.0, 2.0]}])
def test_broken_moves_are_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"shape|finite"):
        _moves(**change)


def test_a_duration_sums_up() -> None:
    assert Duration(((1, 2.0), (2, 3.0)), 1.0, 0.5, 30.0, 0.25).total == 36.75


def test_errors_are_picked() -> None:
    found = tuple(Finding.of(code, "p", places=(Place(),)) for code in ("gap", "crumb", "dashes"))
    assert [f.severity for f in errors(found)] == [Severity.ERROR]


def test_operations_have_their_names_in_the_standards() -> None:
    """ISO 19593-1:2018 (as restated by two implementations) and the FEFCO/ESBO code's symbol page."""
    assert ISO_19593_1[Operation.SCORE] == "Creasing"
    assert FEFCO_ESBO[Operation.SCORE, Fold.VALLEY] == "CI"
    assert Operation.PARTIAL_CUT.word == "partial-cut"


def test_other_lines_of_another_table_drop_the_rules() -> None:
    lines = Lines.of([[(0, 0), (1, 0)]])
    drawing = Drawing("d", lines, rules=("r",))
    assert drawing.with_lines(lines.take([0])).rules == ("r",)
    other = Lines.of([[(0, 0), (1, 0)]], elements=(Element(layer="other"),))
    assert drawing.with_lines(other).rules == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("the outline is open", "The outline is open."),
        ("The outline is open.", "The outline is open."),
        ("is it meant so?", "Is it meant so?"),
        ("cut it anew!", "Cut it anew!"),
        ("these files differ:", "These files differ:"),
        ("tray.svg holds no line", "tray.svg holds no line."),
        ("PLU is no command", "PLU is no command."),
        ("outline", "Outline."),
        ("", ""),
    ],
)
def test_every_message_is_a_whole_sentence_with_one_full_stop(text: str, said: str) -> None:
    assert sentence(text) == said
