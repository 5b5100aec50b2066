"""A machine is set up for a card by what its trials gave; without them it stays the very same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.model.operation import Operation
from cutprep.profile import shelf
from cutprep.profile.machine import Machine, Tool
from cutprep.profile.setup import scoring_tool, set_up
from cutprep.profile.ways import find_way

MACHINE = shelf.machine("mat-cutter-300")
CARD = shelf.stock("card-220")


def test_without_a_trial_nothing_changes() -> None:
    assert set_up(MACHINE, CARD) is MACHINE


def test_figures_go_to_the_tool_that_they_are_of() -> None:
    made = set_up(MACHINE, replace(CARD, cut_force=99.0, score_force=88.0, offset=0.3, overcut=0.9))
    knife, stylus, pen = (made.tool_for(op) for op in (Operation.CUT, Operation.SCORE, Operation.DRAW))
    assert knife is not None
    assert stylus is not None
    assert (knife.force, knife.offset, knife.overcut) == (99.0, 0.3, 0.9)
    assert (stylus.force, stylus.offset, stylus.overcut) == (88.0, 0.0, 0.0)
    assert pen == MACHINE.tool_for(Operation.DRAW)


def test_a_knife_that_cuts_and_scores_keeps_both_forces() -> None:
    both = Tool("knife", 1, (Operation.CUT, Operation.PARTIAL_CUT), force=100.0)
    machine = Machine("one", "One", 300, 300, ("hpgl",), (both,))
    made = set_up(machine, replace(CARD, cut_force=160.0, score_force=40.0))
    assert find_way(made, Operation.CUT).force == 160.0
    assert find_way(made, Operation.SCORE).force == pytest.approx(40.0)
    assert scoring_tool(replace(machine, score_by="perforate")) is None
