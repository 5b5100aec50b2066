"""A folded part as plain data: for `fold --json` and `job.json`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from cutprep.model.folded import FoldReport, Mate
from cutprep.model.operation import Fold
from cutprep.report.data import finding_data


def fold_data(reports: Sequence[FoldReport]) -> dict[str, Any]:
    """The content of `cutprep fold --json`; figures that are not known are null."""
    return {"parts": [_part(report) for report in reports]}


def _part(report: FoldReport) -> dict[str, Any]:
    return {
        "name": report.name,
        "verdict": report.verdict.value,
        "certainty": report.certainty.value,
        "closes": report.closes,
        "ok": report.ok,
        "panels": [
            {"name": p.name, "role": p.role.value, "centre_mm": _rounded(p.inner_point)}
            for p in report.panels
        ],
        "hinges": [
            {
                "panels": [report.panels[h.a].name, report.panels[h.b].name],
                "ends_mm": [_rounded(end) for end in h.ends.tolist()],
                "fold": Fold(int(h.fold)).name.lower(),
                "angle": _known(h.angle),
                "kind": h.kind,
                "held": h.held,
            }
            for h in report.hinges
        ],
        "seam_error_mm": _known(report.gap),
        "seams": [_seam(report, mate) for mate in report.mates],
        "flaps": [
            {
                "panel": report.panels[f.panel].name,
                "onto": None if f.target is None else report.panels[f.target].name,
                "depth_mm": _known(f.depth),
                "overhang_mm": _known(f.overhang),
                "source": f.source,
            }
            for f in report.flaps
        ],
        "inside_mm": None if report.inside_mm is None else _rounded(report.inside_mm),
        "drawn_mm": None if report.drawn_mm is None else _rounded(report.drawn_mm),
        "volume_mm3": round(report.volume_mm3, 2),
        "tolerance_mm": _known(report.tolerance_used),
        "findings": [finding_data(f) for f in report.messages],
    }


def _seam(report: FoldReport, mate: Mate) -> dict[str, Any]:
    return {
        "panels": [report.panels[mate.panel_a].name, report.panels[mate.panel_b].name],
        "error_mm": _known(mate.gap),
        "length_difference_mm": _known(mate.length_difference),
        "source": mate.source,
    }


def _known(value: float) -> float | None:
    return round(float(value), 4) if math.isfinite(value) else None


def _rounded(values: Sequence[float]) -> list[float]:
    return [round(float(v), 3) + 0.0 for v in values]
