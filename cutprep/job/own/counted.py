"""Sheets at hand, counted down by what a job has used, when she says that it was cut; once for each job."""

from __future__ import annotations

import math
import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from cutprep.errors import JobError
from cutprep.files import load_bytes
from cutprep.job.own.left_over import stocks_told
from cutprep.job.own.written import write_own
from cutprep.job.record.read import Record, load_record
from cutprep.profile import shelf
from cutprep.profile.stock import SheetSize, Stock
from cutprep.profile.written import stock_toml
from cutprep.tables import quoted

#: Sizes nearer than this are one, mm.
_SAME = 0.1
_LARGEST = 1_000_000


def _file() -> Path:
    return shelf.data_folder() / "counted.toml"


def count_down(name: str, folder: Path) -> str:
    """Take the sheets that a job has used from those at hand.

    Parameters
    ----------
    name
        Of a card of hers.
    folder
        That `prepare` wrote.

    Returns
    -------
    str
        What is at hand now.

    Raises
    ------
    CutprepError
        When the job used none of that card, nobody has said how many there are, or a file can't be written.
    """
    card, record = shelf.stock(name), load_record(folder)
    mark = f"{record.data['digest']['whole'][:16]}-{name}"
    if mark in _counted():
        return f"{name}: this job is counted already; {_at_hand(card)}"
    used = _used(record, name)
    if not used:
        raise JobError(
            f"the job in {folder.name} used no fresh sheet of {name}",
            fix=f"It is cut from {', '.join(record.data['stocks'])}.",
        )
    sizes = list(card.sheets)
    for (width, height), count in used.items():
        at = next((i for i, size in enumerate(sizes) if _is(size, width, height)), None)
        left = None if at is None else sizes[at].at_hand
        if at is None or left is None:
            raise JobError(
                f"nobody has said how many sheets of {name} of {width:g} x {height:g} mm are at hand",
                fix=f"First: cutprep card {name} --sheet {width:g}x{height:g}mm --at-hand NUMBER.",
            )
        sizes[at] = replace(sizes[at], at_hand=max(0, left - count))
    card = replace(card, sheets=tuple(sizes))
    write_own(shelf.own_folder() / "stocks" / f"{name}.toml", stock_toml(card))
    write_own(_file(), f"counted = [{', '.join(map(quoted, [*_counted(), mark]))}]\n")
    return f"{name}: {sum(used.values())} used; {_at_hand(card)}"


def _counted() -> list[str]:
    """Jobs that are counted; a file that is none says nothing."""
    try:
        found = tomllib.loads(load_bytes(_file(), _LARGEST).decode("utf-8")).get("counted", [])
    except (OSError, ValueError):
        return []
    return [str(one) for one in found] if isinstance(found, list) else []


def _used(record: Record, name: str) -> Counter[tuple[float, float]]:
    """Width and height of the fresh sheets of a card that a job has used, mm, and how many."""
    told = stocks_told(record.data)
    found: Counter[tuple[float, float]] = Counter()
    for sheet in record.data["sheets"]:
        card = told.get(sheet["stock"], {})
        like, offcut = (card.get(key, {}).get("value") for key in ("stock", "offcut"))
        if name in (sheet["stock"], like) and offcut is None:
            found[float(sheet["width_mm"]), float(sheet["height_mm"])] += int(sheet["runs"])
    return found


def _is(size: SheetSize, width: float, height: float) -> bool:
    """Whether a sheet is of a size, as it is named or turned."""
    sides = ((size.width, size.height), (size.height, size.width))
    return any(math.dist(one, (width, height)) < _SAME for one in sides)


def _at_hand(card: Stock) -> str:
    known: Iterable[str] = (
        f"{size.at_hand} of {size.name}" for size in card.sheets if size.at_hand is not None
    )
    return f"at hand now {', '.join(known) or 'nobody knows how many'}"
