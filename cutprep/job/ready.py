"""Drawings as they may be laid out: loaded, divided, and everything asked that could refuse them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import DrawingError
from cutprep.job.before import beyond_reach, require_possible, require_reach
from cutprep.job.job import Job
from cutprep.job.loading import Loaded, load_all
from cutprep.job.memory import Memory
from cutprep.job.names.asked import Own, empty_places, own_texts, with_lists
from cutprep.job.pieces.fits import fits_told
from cutprep.job.printing.possible import require_printable
from cutprep.job.printing.taken import NOTHING
from cutprep.job.sides.asked import FROM_BACK
from cutprep.job.sides.folds import told_folds
from cutprep.job.sides.possible import require_turnable
from cutprep.model.findings.finding import Finding, Findings, Severity, Stopped, errors
from cutprep.model.operation import WORKED, Operation
from cutprep.model.part import Template
from cutprep.progress import Progress
from cutprep.stages.divide import divide


@dataclass(frozen=True, slots=True)
class Ready:
    """What may be laid out: all that could refuse it has been asked.

    Attributes
    ----------
    job
        With as many copies as its lists have names.
    loaded, divided
        Drawings and templates of each batch, in its order.
    own
        For each batch the templates that have texts of their own, one for each copy.
    findings
        Of the drawings, and of what is asked of them.
    """

    job: Job
    loaded: Sequence[Sequence[Loaded]]
    divided: Sequence[Sequence[Template]]
    own: Sequence[Own]
    findings: Findings


def made_ready(job: Job, progress: Progress, memory: Memory) -> Ready:
    """Load and divide the drawings, and refuse what can't be made before any time is spent on a layout.

    Raises
    ------
    Stopped
        When a drawing has errors and the job does not say to go on.
    CutprepError
        When the job can't be done.
    """
    require_reach(job)
    loaded = load_all(job, progress, memory)
    job = with_lists(job, loaded)
    findings = beyond_reach(job) + tuple(f for batch in loaded for one in batch for f in one.findings)
    findings += fits_told(job.fits, [one for batch in loaded for one in batch], job.tolerance)
    findings += empty_places(loaded)
    _stop_at(findings, job)
    divided = [[_template(one, job) for one in drawings] for drawings in loaded]
    findings += tuple(_bare(one) for templates in divided for one in templates if not one.parts)
    _stop_at(findings, job)
    findings += require_turnable(job, divided)
    own, said = own_texts(job, loaded, divided)
    findings += said
    require_possible(
        job,
        [
            [texts[i][0] if i in texts else one for i, one in enumerate(templates)]
            for templates, texts in zip(divided, own, strict=True)
        ],
    )
    findings += require_printable(job, divided, memory)
    return Ready(job, loaded, divided, own, findings)


def _stop_at(findings: Findings, job: Job) -> None:
    """Stop at errors, unless the job says to go on."""
    if errors(findings) and not job.despite_findings:
        raise Stopped(findings)


def _bare(template: Template) -> Finding:
    """Tell that a template has no part; one that is only scored or drawn on is meant to have none."""
    cuts = int(np.count_nonzero(template.lines.operation == Operation.CUT))
    if not cuts:
        return Finding.of(
            "no-closed-outline",
            f"'{template.name}' has nothing to cut, so nothing comes away from the sheet",
            "Nothing, if it is only to be scored or drawn on; else give its outline the operation cut.",
            severity=Severity.WARNING,
        )
    return Finding.of(
        "no-closed-outline",
        f"'{template.name}' holds {cuts} cut line{'s' * (cuts != 1)} and no closed outline: 0 parts would come "
        "away from the sheet",
    )


def _template(one: Loaded, job: Job) -> Template:
    """Divide a drawing; refuse one with nothing to do."""
    if not np.isin(one.drawing.lines.operation, WORKED).any():
        raise DrawingError(
            "no line is left to cut, score or draw",
            fix="Look at the layers with `cutprep check`, and place them with --layer NAME=OPERATION.",
        )
    template = divide(one.drawing, job.tolerance)
    if template.artwork is not None and template.artwork.svg == NOTHING and one.item.names is None:
        template = replace(template, artwork=None)  # a place for words, and no list says which
    if FROM_BACK[job.from_back]:
        template = told_folds(template, one.folds, one.corner)
    return template if one.item.grain is None else replace(template, grain=one.item.grain)
