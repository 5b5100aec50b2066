"""How the plan is laid on the mat: where reference points of it were found."""

from __future__ import annotations

import numpy as np

from cutprep.job.job import Job
from cutprep.job.sides.asked import FROM_BACK
from cutprep.model.findings.finding import Finding, Findings
from cutprep.stages.nest.align import Alignment, align


def aligned(job: Job) -> Findings:
    """Tell how the plan was laid on the mat."""
    if not job.align:
        return ()
    told = f"The plan was laid on the mat: {alignment(job)}"
    if FROM_BACK[job.from_back]:
        told += "; what is scored from the back was run before and has no file"
    return (Finding.of("aligned", told),)


def alignment(job: Job) -> Alignment:
    """The map from the plan to the mat that the job's reference points give.

    Raises
    ------
    PlanError
        When they give none.
    """
    points = np.array(job.align, dtype=np.float64)
    return align(
        points[:, :2], points[:, 2:], "affine" if len(points) > 2 else "similarity", job.align_limits
    )
