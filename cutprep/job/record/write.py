"""What stands in `job.json`: an outcome as plain data."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from cutprep.files import as_bytes
from cutprep.job.record.form import SCHEMA, as_text, sha256
from cutprep.job.record.machine import machine_data
from cutprep.job.record.plan import plan_data
from cutprep.model.findings.finding import Finding
from cutprep.report.costs import cost_of, cost_of_copies, price_of
from cutprep.report.data import duration_data, finding_data, order_data
from cutprep.report.outcome import BackRun, Outcome, SheetOutcome, TemplateOutcome

#: Digits of a placement in mm: copies laid a gap apart are still that far apart when they are read again.
_PLACE_DIGITS = 9


def job_text(outcome: Outcome, files: Mapping[str, str | bytes]) -> str:
    """Write the content of `job.json`.

    Parameters
    ----------
    outcome
        The prepared job.
    files
        Name to content of every other file of the job.
    """
    return as_text(job_data(outcome, files))


def job_data(outcome: Outcome, files: Mapping[str, str | bytes]) -> dict[str, Any]:
    """As `job_text`, before it is written out, without its digests."""
    each = cost_of_copies(outcome)
    return {
        "schema": SCHEMA,
        "title": outcome.title,
        "machine": outcome.machine.name,
        "language": outcome.language,
        "stocks": [stock.name for stock in outcome.stocks],
        "copies": outcome.copies,
        "sets": outcome.sets,
        "runs": outcome.runs,
        "face_down": outcome.face_down,
        "seed": outcome.seed,
        "unit": outcome.unit,
        "seconds": round(outcome.seconds, 3),
        **_costs(outcome),
        "chord_error_mm": round(outcome.chord_error, 4),
        "scoring": outcome.scoring,
        "despite_findings": outcome.despite,
        "settings": dict(outcome.settings),
        "findings": _findings(outcome.findings),
        "templates": [
            _template(one, each.get((one.name, one.stock.name), math.nan)) for one in outcome.templates
        ],
        "sheets": [_sheet(done) for done in outcome.sheets],
        "machine_profile": machine_data(outcome.machine),
        "files": {name: _file(content) for name, content in files.items()},
        "accepted": [],
    }


def _costs(outcome: Outcome) -> dict[str, float]:
    """What the card costs, and that of a set; nothing where a sheet has no price."""
    whole = math.fsum(cost_of(outcome, stock) for stock in outcome.stocks)
    if not math.isfinite(whole):
        return {}
    a_set = {"cost_per_set": round(whole / outcome.sets, 4)} if outcome.sets > 1 else {}
    return {"cost": round(whole, 4), **a_set}


def _file(content: str | bytes) -> dict[str, Any]:
    data = as_bytes(content)
    return {"sha256": sha256(data), "bytes": len(data)}


def _findings(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Each finding once; equal sheets say the same, and `times` tells how often."""
    counts: Counter[Finding] = Counter(findings)
    return [{**finding_data(finding), "times": times} for finding, times in counts.items()]


def _template(template: TemplateOutcome, cost: float) -> dict[str, Any]:
    return {
        "name": template.name,
        "source": template.source,
        "stock": template.stock.name,
        "copies": template.copies,
        "in_set": template.in_set,
        **({"cost": round(cost, 4)} if math.isfinite(cost) else {}),
        "parts": template.parts,
        "width_mm": round(template.size[0], 3),
        "height_mm": round(template.size[1], 3),
        "scale_note": template.scale_note,
        "folds": [
            {
                "name": report.name,
                "verdict": report.verdict.value,
                "closes": report.closes,
                "inside_mm": None if report.inside_mm is None else [round(v, 2) for v in report.inside_mm],
            }
            for report in template.folds
        ],
    }


def _sheet(done: SheetOutcome) -> dict[str, Any]:
    """A sheet, and how often it is run."""
    sheet = done.sheet
    return {
        "number": sheet.number,
        "runs": done.runs,
        "files": [
            {
                "name": file.name,
                "tool": file.tool,
                "seconds": round(file.duration.total, 3),
                **({"side": file.side} if file.side else {}),
                **({"over_line_seconds": round(file.over_line, 3)} if file.over_line else {}),
            }
            for file in done.files
        ],
        "stock": done.stock.name,
        **({"price": price} if math.isfinite(price := price_of(done)) else {}),
        "copies": len({placement.copy for placement in sheet.placements}),
        "seconds": round(done.whole.total, 3),
        "seconds_by_kind": duration_data(done.whole),
        "cut_mm": round(done.cut, 2),
        "score_mm": round(done.score, 2),
        "draw_mm": round(done.draw, 2),
        "travel_mm": round(done.travel, 2),
        "order": order_data(done),
        "utilisation": round(sheet.utilisation, 4),
        "width_mm": round(sheet.width, 3),
        "height_mm": round(sheet.height, 3),
        "method": sheet.method,
        "blade_error_mm": round(done.blade_error, 4),
        "placements": [
            {
                "template": sheet.templates[placement.template].name,
                "copy": placement.copy,
                "x_mm": round(placement.x, _PLACE_DIGITS),
                "y_mm": round(placement.y, _PLACE_DIGITS),
                "turn": placement.turn,
                "mirror": placement.mirror,
                **({"text": text} if (text := sheet.templates[placement.template].text) else {}),
            }
            for placement in sheet.placements
        ],
        "plan": plan_data(done.planned, done.strokes.lines.operation.tolist()),
        **({"from_back": _back(done.back)} if done.back is not None else {}),
    }


def _back(back: BackRun) -> dict[str, Any]:
    """What is scored from the back, with the plan of its run where it has a file."""
    plan = plan_data(back.planned, back.strokes.lines.operation.tolist())
    return {
        "turned": back.way,
        "score_mm": round(float(back.scores.lengths.sum()), 2),
        "miss_mm": round(back.miss, 4),
        "marks_mm": np.round(back.marks, 3).tolist(),
        "done": back.done,
        **({} if back.done else {"plan": plan}),
    }
