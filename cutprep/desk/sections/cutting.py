"""Cutting: the files with their times, the papers to print, and the strokes to play."""

from __future__ import annotations

import json
from collections.abc import Iterable

import numpy as np

from cutprep.desk.sections.lines import STEP
from cutprep.desk.sections.store import Shown, Store
from cutprep.job.job import Job
from cutprep.job.own.best import LOOK
from cutprep.job.own.trial import said
from cutprep.job.own.trial_file import tried
from cutprep.report.answers import cutting_answer
from cutprep.report.cautions import CAUTIONS
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.trial import layer_of
from cutprep.units import say_size, say_thin, say_time

_MOST_SHEETS = 24


def cutting(job: Job, outcome: Outcome, files: Iterable[str], store: Store, *, first: bool) -> Shown:
    """Show what is written and what the machine does.

    Parameters
    ----------
    job, outcome
        The job, and as it is prepared.
    files
        Names of all that was written; none while a better layout is looked for.
    store
        Takes the columns.
    first
        A better layout is still being looked for.
    """
    written = [name for name in files if not name.startswith("picture-")]
    papers = [name for name in written if name.endswith(".html")]
    return {
        "state": "working" if first else "done",
        "answer": cutting_answer(outcome),
        "error": say_thin(max((s.blade_error for s in outcome.sheets), default=0.0), outcome.unit),
        "area": say_size(outcome.machine.width, outcome.machine.height, outcome.unit),
        "papers": papers,
        "printed": [name for name in written if name.endswith("-print.pdf")],
        "scoring": outcome.scoring,
        "machine": outcome.machine.name,
        "trial": _trial(job, outcome, store),
        "cautions": [[head, text] for head, text in CAUTIONS],
        "sheets": [
            {
                "number": done.sheet.number,
                "runs": done.runs,
                "time": say_time(done.whole.total),
                "files": [
                    {
                        "name": f.name,
                        "tool": f"card with its {f.side} up, {f.tool}" if f.side else f.tool,
                        "time": say_time(f.duration.total),
                    }
                    for f in done.files
                ],
                "strokes": store.keep("strokes", strokes(outcome, done), "bin"),
            }
            for done in outcome.sheets[:_MOST_SHEETS]
        ],
    }


def _trial(job: Job, outcome: Outcome, store: Store) -> Shown:
    """What a trial tries, figure by figure, with where each lies in its drawing; nothing for any other job."""
    kinds = tried(job.cutting.layers)
    if not kinds:
        return {}
    lines = outcome.sheets[0].sheet.templates[0].lines
    layers = [lines.element(i).layer for i in range(len(lines))]
    figures = []
    for kind, values in kinds.items():
        for number, value in enumerate(values):
            own = [i for i, layer in enumerate(layers) if layer == layer_of(kind, number, "cut")]
            left, bottom, right, top = lines.take(own).bounds
            box = [left, bottom, right - left, top - bottom]
            figure = {"kind": kind, "figure": said(kind, value, job.unit), "value": value}
            figures.append({**figure, "box": [round(float(v), 2) for v in box]})
    _, _, right, top = lines.bounds
    return {
        "stock": outcome.sheets[0].stock.name,
        "figures": figures,
        "size": [round(float(right), 2), round(float(top), 2)],
        "drawing": store.keep("trial", write_svg(lines, page=(right, top), title="trial"), "svg"),
        "look": {kind: LOOK[kind] for kind in kinds},
    }


def strokes(outcome: Outcome, done: SheetOutcome) -> bytes:
    """What the machine does, move by move, as it was read back.

    Returns
    -------
    bytes
        As `lines.columns`: a JSON head with `moves`, `step`, `width`, `height`, `seconds` and `tools`, then 32-bit
        integers: x, y of each move's end in steps of 0.01 mm, the tool's number with 256 added while it is down, and
        when the move ends, in milliseconds. A move's share of the whole time is its length over its speed.
    """
    moves, machine = done.read, outcome.machine
    speed = np.where(moves.down & (moves.speed > 0), moves.speed, machine.travel_speed)
    share = np.cumsum(moves.lengths / np.maximum(speed, 1e-3))  # not a tolerance: no division by 0
    total = done.duration.total
    ends = share * (total / share[-1]) if len(share) and share[-1] > 0 else share
    head = json.dumps(
        {
            "moves": len(moves),
            "step": STEP,
            "width": done.sheet.width,
            "height": done.sheet.height,
            "home": list(moves.home),
            "seconds": round(total, 1),
            "tools": {str(tool.number): tool.name for tool in machine.tools},
        }
    ).encode("ascii")
    head += b" " * (-len(head) % 4)
    columns = (
        np.round(moves.xy / STEP).ravel(),
        moves.tool + 256 * moves.down.astype(int),
        np.round(1000 * ends),
    )
    return (
        len(head).to_bytes(4, "little")
        + head
        + b"".join(np.asarray(c).astype("<i4").tobytes() for c in columns)
    )
