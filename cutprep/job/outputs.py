"""Which files a prepared job consists of."""

from __future__ import annotations

import json
from typing import Any

from cutprep.job.store import INDEX
from cutprep.report.data import outcome_data
from cutprep.report.jobsheet import job_sheet
from cutprep.report.makingsheet import making_sheet, making_text
from cutprep.report.outcome import Outcome

JOB_SHEET = "job-sheet.html"
MAKING_SHEET = "making-sheet.html"
MAKING_TEXT = "making-sheet.txt"


def output_files(outcome: Outcome) -> dict[str, str | bytes]:
    """Name to content of every file of a job, `job.json` last."""
    files: dict[str, str | bytes] = {sheet.file: sheet.text for sheet in outcome.sheets}
    files[JOB_SHEET] = job_sheet(outcome)
    files[MAKING_SHEET] = making_sheet(outcome)
    files[MAKING_TEXT] = making_text(outcome)
    data: dict[str, Any] = outcome_data(outcome)
    data["files"] = [*files, INDEX]
    files[INDEX] = json.dumps(data, indent=None, ensure_ascii=False, allow_nan=False) + "\n"
    return files
