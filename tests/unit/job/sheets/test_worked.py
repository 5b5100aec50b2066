"""A sheet's strokes to machine files: places are left out as far as the blade error allows, and no further."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import cutprep.job.sheets.worked as room
from cutprep.job.api import make_job
from cutprep.job.pipeline import run
from cutprep.report.outcome import SheetOutcome
from cutprep.tolerance import Tolerance


def coast(folder: Path) -> Path:
    """A coastline of 400 points, and a score across it."""
    chance = np.random.default_rng(3)
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    radius = 30 + np.cumsum(chance.normal(0, 0.12, 400)) * np.sin(angle / 2)
    spots = np.column_stack((45 + radius * np.cos(angle), 45 + radius * np.sin(angle)))
    way = " ".join(f"{x:.3f},{y:.3f}" for x, y in spots)
    path = folder / "coast.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
        f'<g id="score"><path d="M40 40V50"/></g><g id="cut"><path d="M{way}z"/></g></svg>'
    )
    return path


def sheet(source: Path, *, blade: float = 0.05) -> SheetOutcome:
    job = make_job(source, machine="mat-cutter-300", language="hpgl", effort="quick", despite_findings=True)
    (done,) = run(replace(job, tolerance=replace(Tolerance(), blade=blade))).sheets
    return done


def test_files_get_shorter_and_the_blade_error_stays_within_its_bound(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = coast(tmp_path)
    thin = sheet(source)
    monkeypatch.setattr(room, "_NEAR", 0.0)
    whole = sheet(source)
    assert len(thin.files[0].text) < 0.9 * len(whole.files[0].text)
    assert whole.blade_error < thin.blade_error < 0.05


def test_strokes_that_would_miss_keep_all_their_places(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With room for a tenth more than the whole line has, a limit that wide lets nothing go."""
    source = coast(tmp_path)
    monkeypatch.setattr(room, "_NEAR", 0.0)
    whole = sheet(source)
    monkeypatch.setattr(room, "_NEAR", 30.0)
    thin = sheet(source)
    assert thin.blade_error <= max(0.05, whole.blade_error)
    assert thin.files[0].text == whole.files[0].text
