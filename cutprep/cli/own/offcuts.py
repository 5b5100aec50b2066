"""What `cutprep offcuts` does: lists what is left of sheets, keeps it, throws it away."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from cutprep.cli import show
from cutprep.job.job import Job
from cutprep.job.own.left_over import LEAST, keep_left_over, offered
from cutprep.job.own.offcuts import offcut, offcuts, write_offcuts
from cutprep.report.outcome import Outcome
from cutprep.units import in_unit, plural, say_size


def list_offcuts(*, json: bool, unit: str) -> None:
    """Print every offcut, its lengths in a unit.

    Raises
    ------
    InputError
        When the file can't be used.
    """
    kept = offcuts()
    if json:
        show.say_json(
            {
                name: {
                    "stock": one.stock,
                    "size_mm": list(one.size),
                    "clear_mm": list(one.clear),
                    "free_mm2": one.free,
                    "count": one.count,
                    "drawing": str(one.drawing),
                }
                for name, one in kept.items()
            }
        )
        return
    if not kept:
        show.say(
            "None is kept. `cutprep offcuts --keep FOLDER` keeps what the job in FOLDER left of its sheets."
        )
        return
    show.show_table(
        ("name", "card", "sheet", "largest clear rectangle", "free", "how many", "left by"),
        [
            (
                name,
                one.stock,
                say_size(*one.size, unit),
                in_unit(one.room, unit),
                in_unit(f"{one.free / 100:.0f} cm2", unit),
                str(one.count),
                one.job,
            )
            for name, one in kept.items()
        ],
    )
    show.say("Take one with `cutprep prepare DRAWING --offcut NAME --out FOLDER`.", console=show.err())


def keep_offcuts(folder: Path, sheet: int | None, unit: str) -> None:
    """Keep what a job left, and say what it is.

    Raises
    ------
    CutprepError
        When the folder holds no job, or the file can't be written.
    """
    found = keep_left_over(folder, sheet)
    for one in found:
        clear = in_unit(f"clear {one.room}", unit)
        show.say(
            f"{one.name}: {one.stock}, {say_size(*one.size, unit)}, {clear}; mark the piece of card with it"
        )
    if not found:
        least = say_size(LEAST, LEAST, unit)
        show.say(f"No sheet has a clear rectangle of {least} left; nothing is kept.")


def forget_offcuts(names: Iterable[str]) -> None:
    """Forget offcuts that are used up or lost.

    Raises
    ------
    CutprepError
        When there is none of a name; then all stay.
    """
    gone = {offcut(name).name for name in names}
    write_offcuts(one for one in offcuts().values() if one.name not in gone)
    show.say(f"{plural(len(gone), 'offcut')} forgotten: {', '.join(sorted(gone))}")


def offer(job: Job, outcome: Outcome) -> None:
    """Name an offcut on which the job might lie, where a fresh sheet is to be used for it."""
    for one in offered(job, outcome):
        show.say(
            f"Note: there is an offcut of {one.stock} with room, {in_unit(one.room, outcome.unit)}: try --offcut {one.name}",
            console=show.err(),
        )
