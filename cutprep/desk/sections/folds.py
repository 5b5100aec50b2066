"""How it folds: for each part the verdict, its size, and a view to turn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from cutprep.desk.fields import on_the_page
from cutprep.desk.sections.store import Shown, Store
from cutprep.desk.sent import Refused, about
from cutprep.job.job import Job
from cutprep.job.loading import Loaded
from cutprep.model.findings.finding import Severity, in_words, sentence
from cutprep.model.folded import GOOD, UNCHECKED, FoldReport
from cutprep.model.lines import Points
from cutprep.report.answers import fold_answer
from cutprep.report.pictures.folded import folded_picture
from cutprep.report.pictures.turntable import turntable_data
from cutprep.stages.fold.fit.contents import holds
from cutprep.stages.fold.fit.tell import size_of
from cutprep.units import in_unit, length, say_length, told_in

#: Size of the view to turn, CSS pixels.
VIEW = (480, 360)
_MOST_PARTS = 12


def folds(job: Job, loaded: Sequence[Loaded], store: Store) -> Shown:
    """Show every part that folds."""
    pairs = [(one, report) for one in loaded for report in one.folds if report.hinges]
    reports = [report for _, report in pairs]
    doubtful = [r for r in reports if r.verdict not in GOOD and r.verdict not in UNCHECKED]
    return {
        "state": "look" if doubtful else "done",
        "answer": fold_answer(reports, job.unit),
        "parts": [_part(job, one, report, store) for one, report in pairs[:_MOST_PARTS]],
        "more": max(0, len(pairs) - _MOST_PARTS),
    }


def what_fits(job: Job, loaded: Sequence[Loaded], asked: Mapping[str, Any]) -> str:
    """How many things of a size go into a folded part, in words.

    Parameters
    ----------
    job, loaded
        The job, and its drawings as they were folded.
    asked
        `part`, the number of the part on the page, `size` and `clearance`, as typed.

    Raises
    ------
    CutprepError
        When a figure can't be used, or the inside of the part is not known.
    LookupError
        When there is no such part.
    """
    report = [report for one in loaded for report in one.folds if report.hinges][int(asked["part"])]
    size = size_of(asked["size"])
    if size is None:
        raise Refused(
            f"'{asked['size'][:40]}' is no size of a box", "Write for example 40x40x60mm.", field="size"
        )
    with about("clearance"):
        clearance = length(asked["clearance"] or "0mm")
    with told_in(job.unit):
        return sentence(in_unit(holds(report, size, clearance=clearance).words, job.unit, exact=True))


def _part(job: Job, one: Loaded, report: FoldReport, store: Store) -> Shown:
    return {
        "row": one.item.row,
        "file": one.item.path.name,
        "name": report.name,
        "answer": fold_answer([report], job.unit),
        "certainty": report.certainty.value,
        "hollow": report.inside_mm is not None and len(report.inside_planes) > 0,
        "view": store.keep_data("fold", turntable_data(report, *VIEW)),
        "still": store.keep("folded", folded_picture(report, width=120.0, key="still"), "svg"),
        "angles": [
            {
                "panels": f"{report.panels[h.a].name}-{report.panels[h.b].name}",
                "length": say_length(h.length, job.unit),
                "angle": f"{h.angle:.1f}" if math.isfinite(h.angle) else "not found",
                "declared": f"{h.declared:g}" if h.declared is not None else "",
                "at": _place(h.ends.mean(axis=0)),
                "ends": [_place(end) for end in h.ends],
            }
            for h in report.hinges
        ],
        "seams": [
            {
                "panels": f"{report.panels[m.panel_a].name}-{report.panels[m.panel_b].name}",
                "a": _place(m.side_a.mean(axis=0)),
                "b": _place(m.side_b.mean(axis=0)),
            }
            for m in report.mates
            if m.source == "declared"
        ],
        "told": [
            {"severity": f.severity.value, "problem": sentence(f.problem), "fix": on_the_page(f.fix)}
            for f in (in_words(f, job.unit) for f in report.messages)
            if f.severity is not Severity.NOTE
        ],
    }


def _place(xy: Points) -> str:
    """A place of the drawing as a form holds it, mm."""
    return f"{float(xy[0]):.2f},{float(xy[1]):.2f}"
