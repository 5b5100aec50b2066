"""A folded part as plain data and as sentences: for `fold --json`, `job.json` and the making sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from cutprep.model.folded import FoldReport, Mate
from cutprep.model.operation import Fold
from cutprep.report.data import finding_data
from cutprep.units import say_length

_FEW_FLAPS = 4


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


def glueing(report: FoldReport, unit: str = "mm") -> tuple[str, ...]:
    """How a part is closed, one sentence a step; empty when nothing is known of it."""
    if not report.closes:
        return ()
    steps = []
    pairs = [
        (f, report.panels[f.panel].name, report.panels[f.target].name)
        for f in report.flaps
        if f.target is not None
    ]
    if 0 < len(pairs) <= _FEW_FLAPS:
        steps += [
            f"Glue or tuck flap {flap} ({say_length(f.depth, unit)} deep) onto panel {onto}."
            for f, flap, onto in pairs
        ]
    elif pairs:
        listed = ", ".join(f"{flap} onto {onto}" for _, flap, onto in pairs)
        steps.append(f"Glue or tuck {len(pairs)} flaps, the long seam first: {listed}.")
    if report.gussets:
        count = len(report.gussets)
        steps.append(f"Push the {count} gusset{'s' * (count > 1)} inwards while the sides come together.")
    if report.inside_mm is not None:
        length, width, height = (say_length(v, unit) for v in report.inside_mm)
        steps.append(
            f"The inside is {length} x {width} x {height} when it is done; check one before you make the rest."
        )
    return tuple(steps)
