"""Why a job can't be laid out: the sentences themselves."""

from __future__ import annotations

import pytest

from cutprep.errors import DoesNotFit
from cutprep.profile.stock import SheetSize
from cutprep.stages.divide import divide
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import Problem, problem_of
from cutprep.stages.nest.layout.pattern_runs import quick_layout
from cutprep.stages.nest.layout.refuse import refuse_too_large, too_few
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.solver import solver_of
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.unit.stages.nest.specimens import box, sheet_size


def _problem(demand: Demand, *supply: SheetSize) -> Problem:
    return problem_of([demand], supply, Nesting(effort="quick"))


def test_what_fits_one_size_is_not_refused() -> None:
    """A larger sheet in the supply is enough, and so is a turn; without them it is refused, and nothing is laid out."""
    for demand, small, supply in (
        (Demand(box(280, 150), 1), sheet_size(200, 200), [sheet_size(200, 200), sheet_size()]),
        (Demand(box(150, 280), 1), sheet_size(300, 140), [sheet_size(300, 200)]),
    ):
        problem = _problem(demand, *supply)
        refuse_too_large(problem)
        assert quick_layout(solver_of(problem), [1]).sheets == 1
        with pytest.raises(DoesNotFit):
            refuse_too_large(_problem(demand, small))


def test_the_nearest_miss_is_told() -> None:
    """Of all sheets and turns the one that comes closest."""
    with pytest.raises(DoesNotFit) as caught:
        refuse_too_large(_problem(Demand(box(320, 40), 1), sheet_size(200, 200), sheet_size()))
    assert "too large by 25.2 mm in width" in str(caught.value)
    assert "It would fit turned by" in caught.value.fix


def test_pieces_that_would_fit_by_themselves_are_told() -> None:
    """A box and its lid side by side are wider than the sheet, and each of them is not."""
    both = divide(KINDS["tray-with-lid"].from_values(length=180.0, width=140.0, height=25.0), Tolerance())
    with pytest.raises(DoesNotFit) as caught:
        refuse_too_large(_problem(Demand(both, 1, turns="quarter"), sheet_size()))
    assert caught.value.fix.startswith("Each of its 2 pieces would fit by itself.")


def test_too_few_names_the_sheets() -> None:
    """How many there are of each size, and how many copies they hold."""
    problem = _problem(Demand(box(90, 90), 30), SheetSize("12in", 304.8, 304.8, at_hand=1))
    error = too_few(problem, quick_layout(solver_of(problem), problem.copies), 0, [1])
    assert str(error) == (
        "the sheets at hand (1 of 12in) hold 9 copies of 'divider'; 30 are asked for. "
        "Ask for 9 copies, or have more sheets at hand."
    )
