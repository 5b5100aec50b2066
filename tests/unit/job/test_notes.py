"""What is found while a sheet is worked out reaches the maker."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutprep.job.api import make_job, prepare_job
from cutprep.stages.blade.cutting import Bridges, Cutting

SAMPLES = Path(__file__).parents[3] / "samples"


def test_parts_too_small_for_their_bridges_are_told_on_every_sheet_alike() -> None:
    """Equal sheets are worked out once; the notes stand on each."""
    job = make_job(SAMPLES / "swing-tag.svg", copies=60, sheet="A4", effort="quick")
    outcome = prepare_job(replace(job, cutting=Cutting(bridges=Bridges(count=400))))
    assert len(outcome.sheets) > 1
    codes = [{f.code for f in done.sheet.notes} for done in outcome.sheets]
    assert all("no-room-for-bridge" in found for found in codes), codes
