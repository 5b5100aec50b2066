"""Which tool does what."""

from __future__ import annotations

import pytest

from cutprep.errors import PlanError
from cutprep.model.operation import Operation
from cutprep.profile.machine import Tool
from cutprep.profile.ways import find_way, worked_by
from tests.moving import machine_of

KNIFE = Tool("knife", 1, (Operation.CUT, Operation.PERFORATE, Operation.PARTIAL_CUT), force=100, offset=0.25)
STYLUS = Tool("stylus", 2, (Operation.SCORE,), kind="stylus", force=160)
BLADE_ONLY = Tool("knife", 1, (Operation.CUT,), force=100, offset=0.25)


def test_a_score_by_its_own_tool() -> None:
    way = find_way(machine_of(KNIFE, STYLUS), Operation.SCORE)
    assert (way.tool.name, way.force, way.broken) == ("stylus", 160, False)


def test_a_score_by_a_part_depth_cut_when_there_is_no_stylus() -> None:
    way = find_way(machine_of(KNIFE), Operation.SCORE)
    assert (way.tool.name, way.force, way.broken) == ("knife", 50, False)


def test_a_score_by_perforation_when_nothing_cuts_part_depth() -> None:
    way = find_way(machine_of(BLADE_ONLY), Operation.SCORE)
    assert (way.tool.name, way.force, way.broken) == ("knife", 100, True)


def test_the_profile_may_choose() -> None:
    machine = machine_of(KNIFE, STYLUS, score_by="partial-cut")
    assert find_way(machine, Operation.SCORE).force == 50
    machine = machine_of(KNIFE, STYLUS, score_by="perforate")
    assert find_way(machine, Operation.SCORE).broken


def test_a_knife_that_scores_does_it_at_part_depth() -> None:
    both = Tool("knife", 1, (Operation.SCORE, Operation.CUT), force=90, part_force=0.4)
    assert find_way(machine_of(both), Operation.SCORE).force == pytest.approx(36)


def test_a_tool_that_never_cuts_through_keeps_its_force() -> None:
    shallow = Tool("shallow blade", 4, (Operation.PARTIAL_CUT,), force=70)
    assert find_way(machine_of(BLADE_ONLY, shallow), Operation.PARTIAL_CUT).force == 70


def test_a_perforation_by_any_cutting_tool() -> None:
    assert find_way(machine_of(BLADE_ONLY), Operation.PERFORATE).broken


def test_the_offset_asked_for_is_that_of_knives_only() -> None:
    machine = machine_of(KNIFE, STYLUS)
    assert find_way(machine, Operation.CUT, 0.7).tool.offset == 0.7
    assert find_way(machine, Operation.SCORE, 0.7).tool.offset == 0


@pytest.mark.parametrize("offset", [-0.1, float("nan"), float("inf")])
def test_an_offset_that_is_none(offset: float) -> None:
    with pytest.raises(PlanError, match="can't be below 0"):
        find_way(machine_of(KNIFE), Operation.CUT, offset)


def test_a_part_depth_cut_needs_to_know_the_force() -> None:
    silent = Tool("knife", 1, (Operation.CUT, Operation.PARTIAL_CUT))
    with pytest.raises(PlanError, match="no force for 'knife'"):
        find_way(machine_of(silent), Operation.PARTIAL_CUT)


@pytest.mark.parametrize("operation", [Operation.DRAW, Operation.PARTIAL_CUT])
def test_what_no_tool_does(operation: Operation) -> None:
    with pytest.raises(PlanError, match=f"no tool that does '{operation.word}'"):
        find_way(machine_of(BLADE_ONLY), operation)


def test_a_machine_told_to_cut_its_scores_must_be_able_to() -> None:
    with pytest.raises(PlanError, match="no tool that does 'score'"):
        find_way(machine_of(BLADE_ONLY, STYLUS, score_by="partial-cut"), Operation.SCORE)


def test_a_perforation_keeps_its_force_and_a_draw_its_tool() -> None:
    pen = Tool("pen", 3, (Operation.DRAW,), kind="pen", force=20)
    machine = machine_of(KNIFE, pen)
    assert find_way(machine, Operation.PERFORATE).force == 100
    assert find_way(machine, Operation.PERFORATE).tool.name == "knife"
    assert (find_way(machine, Operation.DRAW).tool.name, find_way(machine, Operation.DRAW).force) == (
        "pen",
        20,
    )
    assert find_way(machine, Operation.DRAW).broken is False
    assert find_way(machine, Operation.CUT).force == 100
    own = Tool("wheel", 5, (Operation.PERFORATE,), kind="wheel", force=33)
    assert find_way(machine_of(KNIFE, own), Operation.PERFORATE).tool.name == "knife"
    assert find_way(machine_of(BLADE_ONLY, own), Operation.PERFORATE).tool.name == "wheel"


def test_a_machine_that_perforates_nothing() -> None:
    pen = Tool("pen", 3, (Operation.DRAW,), kind="pen")
    with pytest.raises(PlanError, match="no tool that does 'perforate'"):
        find_way(machine_of(pen), Operation.PERFORATE)
    with pytest.raises(PlanError, match="no tool that does 'score'"):
        find_way(machine_of(pen), Operation.SCORE)


def test_a_knife_that_only_scores_keeps_its_force() -> None:
    scorer = Tool("scoring knife", 4, (Operation.SCORE,), force=70)
    assert find_way(machine_of(BLADE_ONLY, scorer), Operation.SCORE).force == 70
    stylus = Tool("stylus", 4, (Operation.SCORE, Operation.CUT), kind="stylus", force=70)
    assert find_way(machine_of(stylus), Operation.SCORE).force == 70


def test_no_offset_is_an_offset() -> None:
    assert find_way(machine_of(KNIFE), Operation.CUT, 0.0).tool.offset == 0
    assert find_way(machine_of(KNIFE), Operation.CUT).tool.offset == 0.25


def test_an_error_names_what_is_missing() -> None:
    with pytest.raises(PlanError) as caught:
        find_way(machine_of(BLADE_ONLY), Operation.DRAW)
    assert "the machine 'plain'" in caught.value.problem
    assert caught.value.fix == "Give those lines another operation, or add the tool to the machine's profile."


def test_which_tool_does_what_in_fact() -> None:
    asked = (Operation.SCORE, Operation.PERFORATE, Operation.CUT)
    assert worked_by(machine_of(BLADE_ONLY), asked) == [set(asked)]
    assert worked_by(machine_of(KNIFE, STYLUS), asked) == [
        {Operation.PERFORATE, Operation.CUT},
        {Operation.SCORE},
    ]
    with pytest.raises(PlanError, match="nor a knife that could score"):
        worked_by(machine_of(Tool("pen", 3, (Operation.DRAW,), kind="pen")), asked)
