"""Counted work: a search ends at the same point on every machine, whatever its clock says."""

from __future__ import annotations

from cutprep.errors import PlanError
from cutprep.limits import Limits

#: Units of work for one part; a unit is about a millisecond on a desktop machine of 2024.
WORK_LIMIT = Limits().fold_work
#: Units for a panel that is judged, or that an outline is walked round.
JUDGED, WALKED = 1.0, 0.2
#: Units for a step of the solver, and for each of its derivatives.
_STEP, _DERIVATIVE = 0.3, 3e-5  # not a tolerance: measured share of a unit


class OutOfWork(PlanError):
    """The work allowed is spent.

    Parameters
    ----------
    limit
        Units of work that were allowed.
    """

    def __init__(self, limit: float) -> None:
        super().__init__(f"no way to fold the part was settled within {limit:g} units of work")
        self.limit = limit


class WorkBudget:
    """What a search may spend, and what it has spent.

    Parameters
    ----------
    limit
        Units of work.
    """

    def __init__(self, limit: float = WORK_LIMIT) -> None:
        self.limit = limit
        self.used = 0.0

    def spend(self, units: float) -> None:
        """Count work.

        Raises
        ------
        OutOfWork
            When more is spent than is allowed.
        """
        self.used += units
        if self.used > self.limit:
            raise OutOfWork(self.limit)

    def steps(self, count: int, derivatives: int) -> None:
        """Count steps of the solver, each with so many derivatives."""
        self.spend(count * (_STEP + _DERIVATIVE * derivatives))
