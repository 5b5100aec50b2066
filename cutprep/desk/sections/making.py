"""What is made: the drawings, with a picture and a size each."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.desk.sections.store import Shown, Store
from cutprep.job.job import Job
from cutprep.job.loading import Loaded
from cutprep.report.answers import make_answer
from cutprep.report.pictures.findings import findings_picture
from cutprep.units import plural, say_size


def making(job: Job, loaded: Sequence[Loaded], store: Store) -> Shown:
    """Show the drawings in the order of the job file."""
    rows = []
    for one in loaded:
        left, bottom, right, top = one.drawing.lines.bounds
        rows.append(
            {
                "file": one.item.path.name,
                "size": say_size(right - left, top - bottom, job.unit),
                "parts": plural(one.parts(job.tolerance), "part"),
                "scale_note": one.drawing.scale_note,
                "picture": store.keep("drawing", findings_picture(one.drawing, (), words=False), "svg"),
            }
        )
    return {
        "state": "done",
        "answer": make_answer([(one.item.path.name, one.item.copies) for one in loaded]),
        "drawings": rows,
    }
