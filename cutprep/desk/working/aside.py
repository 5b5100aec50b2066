"""The process for what the maker keeps: it writes a trial as a job, keeps figures and what is left, and makes spoilt copies again.

A question: `ask`, and `words`. The answer has `problem` and `fix` where it can't be done.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from cutprep.desk.fields import label_of
from cutprep.desk.working.asking import answer_all
from cutprep.errors import JobError
from cutprep.job.file import load_job
from cutprep.job.own.again import again_by_row, spoilt_copies
from cutprep.job.own.best import keep_best, tried_kinds
from cutprep.job.own.counted import count_down
from cutprep.job.own.left_over import LEAST, keep_left_over
from cutprep.job.own.trial import MOST_STEPS, Span
from cutprep.job.own.trial_file import trial_files
from cutprep.job.record.read import load_record
from cutprep.job.settings.remembered import remembered
from cutprep.job.settings.resolve import Given, Layer, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.profile.machine import CORNERS
from cutprep.units import in_unit, say_size

#: What is asked, and answered, as plain data.
Told = dict[str, Any]
#: Settings that a trial, and what it gave, are for.
OF_TRIAL = ("machine", "stock", "sheet")


def _layers(words: Told) -> tuple[Layer, Layer]:
    given = {name: words[name] for name in OF_TRIAL if words.get(name)}
    return remembered(), read_layer(SETTINGS.values(), Given(given, label_of), Source.OPTION, as_typed)


def _trial(words: Told) -> Told:
    """A trial as a job file with its drawing, and what is to be said of it."""
    steps = str(words.get("steps") or 8)
    if not steps.isdecimal() or not 2 <= int(steps) <= MOST_STEPS:
        raise JobError(f"{steps[:20]} figures can't be compared", fix=f"Give 2 to {MOST_STEPS}.")
    corner = words.get("corner") or CORNERS[0]
    if corner not in CORNERS:
        raise JobError(f"a card has no corner '{corner[:20]}'", fix=f"Known: {', '.join(CORNERS)}.")
    span, layers = Span(words.get("from") or None, words.get("to") or None, int(steps)), _layers(words)
    kinds, told = tried_kinds(words["kind"], layers, span)
    files = trial_files(kinds, layers, span, corner=corner, pen=words.get("pen") != "no")
    plan = files.pop("")
    return {"plan": plan, "files": list(files.items()), "told": " ".join(told)}


def _best(words: Told) -> Told:
    """Keep a figure, or forget it."""
    done, over = keep_best(words["kind"], _layers(words), words["figure"])
    also = f" Your own setting {over} stands over it." if over else ""
    return {"told": f"{done}.{also}"}


def _left(words: Told) -> Told:
    """Keep what a job left of its sheets."""
    found = keep_left_over(Path(words["made"]), int(words["sheet"]) if words.get("sheet") else None)
    unit = words["unit"]
    kept = "; ".join(f"{one.name}, {in_unit(f'clear {one.room}', unit)}" for one in found)
    if not kept:
        return {
            "told": f"No sheet has a clear rectangle of {say_size(LEAST, LEAST, unit)} left; nothing is kept."
        }
    return {"told": f"Kept: {kept}. Mark the piece of card with its name, and lay it as the sheet lay."}


def _again(words: Told) -> Told:
    """How many copies of each row of a job file were spoilt, and what is written on them."""
    record = load_record(Path(words["made"]))
    spoilt = spoilt_copies(record, [mark for mark in words["marks"].split(",") if mark.strip()])
    rows = again_by_row(load_job(Path(words["plan"])), spoilt)
    return {"rows": [[row, count, texts] for row, (count, texts) in rows.items()], "title": record.title}


def _counted(words: Told) -> Told:
    """Count the sheets of a job down."""
    return {"told": f"{count_down(words['card'], Path(words['made']))}."}


_ANSWERS: dict[str, Callable[[Told], Told]] = {
    "trial": _trial,
    "best": _best,
    "left": _left,
    "again": _again,
    "counted": _counted,
}


def answer(question: Told) -> Told:
    """Answer one question."""
    return _ANSWERS[question["ask"]](question["words"])


if __name__ == "__main__":
    answer_all(answer)
