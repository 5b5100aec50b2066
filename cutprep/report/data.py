"""The same outcome as plain data, for `job.json`, `--json` and scripts: see docs/JOB-JSON.md."""

from __future__ import annotations

from dataclasses import asdict
from itertools import pairwise
from typing import Any

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.moves import Duration, Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine, Tool
from cutprep.report.outcome import Outcome, SheetOutcome, TemplateOutcome

SCHEMA = "cutprep-job/1"
#: Digits of a coordinate in mm: a hundredth of what G-code is compared by.
_DIGITS = 5
#: Digits of a placement in mm: copies laid a gap apart are still that far apart when they are read again.
_PLACE_DIGITS = 9


def outcome_data(outcome: Outcome) -> dict[str, Any]:
    """The content of `job.json`."""
    return {
        "schema": SCHEMA,
        "title": outcome.title,
        "machine": outcome.machine.name,
        "stock": ", ".join(stock.name for stock in outcome.stocks),
        "language": outcome.language,
        "copies": outcome.copies,
        "sets": outcome.sets,
        "face_down": outcome.face_down,
        "seed": outcome.seed,
        "seconds": round(outcome.seconds, 3),
        "chord_error_mm": round(outcome.chord_error, 4),
        "scoring": outcome.scoring,
        "despite_findings": outcome.despite,
        "findings": [finding_data(f) for f in outcome.findings],
        "templates": [_template_data(t) for t in outcome.templates],
        "sheets": [_sheet_data(s) for s in outcome.sheets],
        "machine_profile": machine_data(outcome.machine),
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "places": [place_data(p) for p in finding.places],
        "measure": _plain(finding.measure),
        "limit": _plain(finding.limit),
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


def machine_data(machine: Machine) -> dict[str, Any]:
    """A machine profile as plain data, so that a file can be verified without the profile at hand."""
    data = asdict(machine)
    data["tools"] = [
        {**tool, "does": [Operation(op).word for op in tool["does"]], "force": _plain(tool["force"])}
        for tool in data["tools"]
    ]
    return data


def machine_from_data(data: dict[str, Any]) -> Machine:
    """Rebuild a machine from `machine_data`.

    Raises
    ------
    KeyError, ValueError, TypeError
        When the data is not of that form.
    """
    words = {op.word: op for op in Operation}
    tools = tuple(
        Tool(
            **{
                **tool,
                "does": tuple(words[word] for word in tool["does"]),
                "force": float("nan") if tool["force"] is None else float(tool["force"]),
            }
        )
        for tool in data["tools"]
    )
    styles = {"hpgl": HpglStyle(**data["hpgl"]), "gcode": GcodeStyle(**_tupled(data["gcode"]))}
    return Machine(**{**_tupled(data), "tools": tools, **styles})


def _tupled(data: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}


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


def _plain(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else round(float(value), 4)


def _template_data(template: TemplateOutcome) -> dict[str, Any]:
    return {
        "name": template.name,
        "source": template.source,
        "copies": template.copies,
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


def _sheet_data(done: SheetOutcome) -> dict[str, Any]:
    sheet = done.sheet
    return {
        "file": done.file,
        "files": [
            {"file": file.name, "tool": file.tool, "seconds": round(file.duration.total, 3)}
            for file in done.files
        ],
        "stock": done.stock.name,
        "copies": len({spot.copy for spot in sheet.placements}),
        "seconds": round(done.duration.total, 3),
        "seconds_by_kind": duration_data(done.duration),
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
                "template": sheet.templates[spot.template].name,
                "copy": spot.copy,
                "x_mm": round(spot.x, _PLACE_DIGITS),
                "y_mm": round(spot.y, _PLACE_DIGITS),
                "turn": spot.turn,
                "mirror": spot.mirror,
            }
            for spot in sheet.placements
        ],
        "plan": moves_data(done.planned, done.strokes.lines.operation.tolist()),
    }


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


def moves_data(moves: Moves, operations: list[int]) -> dict[str, Any]:
    """The planned motion stroke by stroke: what the machine file is compared with."""
    strokes = []
    begin = moves.begin
    edges = np.flatnonzero(np.diff(np.concatenate(([False], moves.down, [False])).astype(int)))
    for first, end in edges.reshape(-1, 2).tolist():
        # A stroke ends where the tool lifts, or where another stroke goes on with the tool down.
        cuts = [first, *(first + 1 + np.flatnonzero(np.diff(moves.stroke[first:end]))).tolist(), end]
        for a, b in pairwise(cuts):
            row = int(moves.stroke[a])
            points = np.vstack((begin[a : a + 1], moves.xy[a:b]))
            strokes.append(
                {
                    "stroke": row,
                    "operation": Operation(operations[row]).word if row >= 0 else "",
                    "tool": int(moves.tool[a]),
                    "speed": round(float(moves.speed[a]), 4),
                    "force": _plain(float(moves.force[a])),
                    "joined": a != first,
                    "points": [[round(x, _DIGITS), round(y, _DIGITS)] for x, y in points.tolist()],
                }
            )
    return {"home_mm": list(moves.home), "strokes": strokes}


def moves_from(data: dict[str, Any]) -> Moves:
    """Rebuild the planned motion from `moves_data`.

    Raises
    ------
    KeyError, ValueError, TypeError
        When the data is not of that form.
    """
    home = (float(data["home_mm"][0]), float(data["home_mm"][1]))
    rows: list[tuple[float, float, bool, int, float, float, int]] = []
    changes, tool = 0, None
    for stroke in data["strokes"]:
        points = [(float(x), float(y)) for x, y in stroke["points"]]
        number, force = int(stroke["tool"]), stroke["force"]
        changes += tool is not None and tool != number
        tool = number
        force = float("nan") if force is None else float(force)
        speed, row = float(stroke["speed"]), int(stroke["stroke"])
        if not stroke["joined"]:
            rows.append((*points[0], False, number, 0.0, force, -1))
        rows.extend((x, y, True, number, speed, force, row) for x, y in points[1:])
    if rows:
        rows.append((*home, False, rows[-1][3], 0.0, float("nan"), -1))
    table = np.array(rows, dtype=np.float64).reshape(-1, 7)
    return Moves(
        xy=table[:, :2],
        down=table[:, 2].astype(bool),
        tool=table[:, 3].astype(np.int8),
        speed=table[:, 4],
        force=table[:, 5],
        stroke=table[:, 6].astype(np.int32),
        home=home,
        changes=changes,
    )
