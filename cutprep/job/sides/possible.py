"""What can't be scored from the back is said before anything is laid out."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.errors import PlanError
from cutprep.job.before import beyond_reach
from cutprep.job.job import Job
from cutprep.job.sides.asked import FROM_BACK
from cutprep.job.sides.folds import from_back
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.profile.ways import find_way


def require_turnable(job: Job, divided: Sequence[Sequence[Template]]) -> Findings:
    """Refuse sheets that can't be turned over, and tell when nothing is to be scored from the back.

    Parameters
    ----------
    job
        The job.
    divided
        Templates of each batch, their folds told.

    Raises
    ------
    PlanError
        When the card lies face down already, is printed, is larger than the machine's area, or its scores are cut
        through.
    """
    fold = FROM_BACK[job.from_back]
    if not fold:
        return ()
    templates = [one for batch in divided for one in batch]
    if not any(from_back(one.lines, fold).any() for one in templates):
        return (
            Finding.of(
                "nothing-from-back",
                f"no score is known to be a {fold.name.lower()} fold, so nothing is scored from the back",
            ),
        )
    if job.face_down:
        raise PlanError(
            "the card is to lie face down for all of it, and some scores are to be made from the back",
            fix="Leave --face-down away, or --from-back.",
        )
    if any(one.artwork is not None for one in templates):
        raise PlanError(
            "a layer is for printing, and some scores are to be made from the back, where the print can't be found",
            fix="Leave --from-back away, or call the printed layer guide.",
        )
    beyond = beyond_reach(job)
    if beyond:
        raise PlanError(
            f"{beyond[0].problem}, so the edge by which it is turned can't be reached",
            fix="Cut the card to the machine's area first, or leave --from-back away.",
        )
    if find_way(job.machine, Operation.SCORE, job.cutting.offset).broken:
        raise PlanError(
            f"'{job.machine.name}' scores by perforation, which goes through the card: nothing is gained from the back",
            fix="Leave --from-back away.",
        )
    return ()
