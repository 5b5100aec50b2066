"""The process for what the maker keeps: it writes a trial as a job, keeps figures and what is left, and makes spoilt copies again.

It also makes the files that are timed, and fits a machine's profile to the times.

A question: `ask`, and `words`. The answer has `problem` and `fix` where it can't be done.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from cutprep.desk.fields import label_of
from cutprep.desk.sent import Refused, about
from cutprep.desk.working.asking import answer_all
from cutprep.job.file import load_job
from cutprep.job.folder.timed import fitted, in_its_place, seconds_of, timed_files
from cutprep.job.own.again import again_by_row, spoilt_copies
from cutprep.job.own.best import keep_best, tried_kinds
from cutprep.job.own.counted import count_down
from cutprep.job.own.left_over import LEAST, keep_left_over
from cutprep.job.own.trial import DECIDES, MOST_STEPS, Span, figure
from cutprep.job.own.trial_file import trial_files
from cutprep.job.own.written import write_own
from cutprep.job.record.read import load_record
from cutprep.job.settings.remembered import remembered
from cutprep.job.settings.resolve import Given, Layer, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.profile import shelf
from cutprep.profile.machine import CORNERS
from cutprep.profile.written import machine_toml
from cutprep.units import in_unit, plural, say_size, say_time

#: What is asked, and answered, as plain data.
Told = dict[str, Any]
#: What is found out by timing to its words and its unit.
_MEANS = {
    "speed": ("working speed", "mm/s"),
    "travel_speed": ("speed with the tool up", "mm/s"),
    "acceleration": ("acceleration", "mm/s2"),
    "lift": ("lifting and lowering the tool", "s"),
}
#: Settings that a trial, and what it gave, are for.
OF_TRIAL = ("machine", "stock", "sheet")


def _layers(words: Told, label: Callable[[str], str] = label_of) -> tuple[Layer, Layer]:
    given = {name: words[name] for name in OF_TRIAL if words.get(name)}
    return remembered(), read_layer(SETTINGS.values(), Given(given, label), Source.OPTION, as_typed)


def _trial(words: Told) -> Told:
    """A trial as a job file with its drawing, and what is to be said of it."""
    steps = str(words.get("steps") or 8)
    if not steps.isdecimal() or not 2 <= int(steps[:9]) <= MOST_STEPS:
        problem = (
            f"{plural(int(steps), 'figure')} can't be compared"
            if steps in {"0", "1"}
            else f"'{steps[:20]}' is no number of figures"
        )
        raise Refused(problem, f"Give 2 to {MOST_STEPS}.", field="steps")
    corner = words.get("corner") or CORNERS[0]
    if corner not in CORNERS:
        raise Refused(
            f"a card has no corner '{corner[:20]}'", f"Known: {', '.join(CORNERS)}.", field="corner"
        )
    kind, first, last = words["kind"], words.get("from") or None, words.get("to") or None
    for field, word in (("from", first), ("to", last)):
        if kind in DECIDES and word is not None:
            with about(field, OF_TRIAL):
                figure(kind, word)
    span, layers = Span(first, last, int(steps)), _layers(words, str)
    with about("to" if last else "from" if first else "", OF_TRIAL):
        kinds, told = tried_kinds(kind, layers, span)
        files = trial_files(kinds, layers, span, corner=corner, pen=words.get("pen") != "no")
    plan = files.pop("")
    return {"plan": plan, "files": list(files.items()), "told": " ".join(told)}


def _best(words: Told) -> Told:
    """Keep a figure, or forget it."""
    done, over = keep_best(words["kind"], _layers(words), words["figure"])
    also = f" Your own setting {over} stands over it." if over else ""
    return {"told": f"{done}.{also}"}


def _times(words: Told) -> Told:
    """The files of a machine that are run to be timed."""
    machine = shelf.machine(words["machine"])
    files = timed_files(machine)
    rows = [
        {"name": one.name, "tries": one.tries, "time": say_time(one.estimate), "text": one.text}
        for one in files
    ]
    return {"machine": machine.name, "title": machine.title, "files": rows, "first": in_its_place(machine)}


def _timed(words: Told) -> Told:
    """Fit the profile of a machine to measured times, and keep it."""
    machine = shelf.machine(words["machine"])
    files = timed_files(machine)
    seconds = []
    for number in range(1, len(files) + 1):
        with about(f"seconds-{number}"):
            seconds.append(seconds_of(words.get(f"seconds-{number}", "")))
    found = fitted(files, seconds, machine)
    name = f"{machine.name}.toml"
    path = shelf.own_folder() / "machines" / name
    if path.exists() and words.get("replace") != "yes":
        problem = f"{name} is kept already"
        raise Refused(problem, "Tick the box to replace it.", field="replace")
    write_own(path, machine_toml(found.machine))
    return {
        "told": f"{machine.name}: kept in {path}. {found.residual:.2f} s are left unexplained (root mean square).",
        "figures": [
            [_MEANS[figure][0], f"{value:.4g} {_MEANS[figure][1]}", f"{error:.2g}"]
            for figure, value, error in found.figures
        ],
        "predicted": [f"{one:.2f} s" for one in found.predicted.tolist()],
    }


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
    "times": _times,
    "timed": _timed,
}


def answer(question: Told) -> Told:
    """Answer one question."""
    return _ANSWERS[question["ask"]](question["words"])


if __name__ == "__main__":
    answer_all(answer)
