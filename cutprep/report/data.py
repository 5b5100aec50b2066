"""Values as plain data, for `job.json`, `--json` and scripts."""

from __future__ import annotations

from typing import Any

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.moves import Duration
from cutprep.report.outcome import SheetOutcome


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "places": [place_data(p) for p in finding.places],
        "measure": plain(finding.measure),
        "limit": plain(finding.limit),
        "unit": finding.unit,
        "problem": finding.problem,
        "fix": finding.fix,
        "mend": finding.mend.value,
    }


def place_data(place: Place) -> dict[str, Any]:
    """One place as plain data."""
    xy = None if place.xy is None else [round(v, 3) for v in place.xy]
    return {
        "file": place.file,
        "layer": place.layer,
        "element": place.element,
        "line": place.line,
        "xy_mm": xy,
    }


def duration_data(duration: Duration) -> dict[str, Any]:
    """Seconds by kind as plain data."""
    return {
        "total": round(duration.total, 3),
        "work": {str(number): round(seconds, 3) for number, seconds in duration.work},
        "travel": round(duration.travel, 3),
        "lift": round(duration.lift, 3),
        "change": round(duration.change, 3),
        "dwell": round(duration.dwell, 3),
    }


def plain(value: float | None) -> float | None:
    """A figure with four digits; None for one that is not finite."""
    return None if value is None or not np.isfinite(value) else round(float(value), 4)


def order_data(done: SheetOutcome) -> dict[str, Any]:
    """What the order of work costs, before and after planning; reasons when they were asked for."""
    report = done.order
    rivals = {
        "as_drawn": report.drawn,
        "nearest": report.nearest,
        "travel_only": report.travel_only,
        "planned": report.planned,
    }
    data: dict[str, Any] = {
        name: {
            "strokes": tally.strokes,
            "lifts": tally.lifts,
            "travel_mm": round(tally.travel, 2),
            "tear_exposure_mm": round(tally.exposure, 2),
            "loose_mm": round(tally.loose, 2),
            "running_mm": round(tally.running, 2),
            "corners_mm": round(tally.corners, 2),
        }
        for name, tally in rivals.items()
    }
    data["method"] = report.method
    if done.strokes.reasons:
        data["reasons"] = list(done.strokes.reasons)
    return data
