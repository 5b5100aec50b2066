"""Offcuts that are kept: of which card, how large, where they are clear, and a drawing of what was worked on them.

Each is a table of one file in the maker's own data, with its drawing beside it. A job on an offcut is a job on a
sheet of that size which keeps clear of the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from cutprep import units
from cutprep.errors import JobError
from cutprep.job.own.written import write_own
from cutprep.job.settings.resolve import Resolved, Source
from cutprep.profile.shelf import data_folder
from cutprep.tables import Table, quoted

#: Where what stands beside an offcut was meant so.
_SAID = (Source.JOB, Source.OPTION)


@dataclass(frozen=True, slots=True)
class Offcut:
    """What is left of a sheet.

    Attributes
    ----------
    name
        Of the card, with a number.
    stock, like
        What the job called the card, and the profile that it is like.
    size
        Of the whole sheet as it lay in the machine, mm.
    clear
        Left, bottom, right and top of its largest clear rectangle, mm.
    free
        Area that was not worked, mm2.
    count
        How many alike there are.
    job
        Title of the job that left it.
    of
        What tells the sheet that it is left of from all others.
    """

    name: str
    stock: str
    like: str
    size: tuple[float, float]
    clear: tuple[float, float, float, float]
    free: float
    count: int = 1
    job: str = ""
    of: str = ""

    @property
    def drawing(self) -> Path:
        """What was worked on it."""
        return _folder() / f"{self.name}.svg"

    @property
    def room(self) -> str:
        """Its largest clear rectangle in words."""
        left, bottom, right, top = self.clear
        return f"{units.say_size(right - left, top - bottom)} from {left:.0f} mm, {bottom:.0f} mm"


def _folder() -> Path:
    return data_folder() / "offcuts"


def _file() -> Path:
    return _folder() / "offcuts.toml"


def offcuts() -> dict[str, Offcut]:
    """Every offcut by name, the one with the least room first, since it is to be used up first.

    Raises
    ------
    InputError
        Naming file, line and key of what can't be used.
    """
    if not _file().is_file():
        return {}
    table = Table.load(_file())
    found = [_read(table.table(name), name) for name in table.values]
    return {one.name: one for one in sorted(found, key=lambda one: (one.free, one.name))}


def _read(table: Table, name: str) -> Offcut:
    left, bottom, right, top = table.lengths("clear", 4, None)
    one = Offcut(
        name=name,
        stock=table.text("stock"),
        like=table.text("like"),
        size=table.size("size", None),
        clear=(left, bottom, right, top),
        free=table.number_in("free_mm2", None, least=0),
        count=table.whole("count", 1, least=1),
        job=table.text("job", ""),
        of=table.text("of", ""),
    )
    table.finish()
    return one


def offcut(name: str) -> Offcut:
    """The offcut of a name.

    Raises
    ------
    JobError
        When there is none.
    """
    kept = offcuts()
    if name not in kept:
        fix = f"There are: {', '.join(kept)}." if kept else "None is kept: cutprep offcuts --keep FOLDER."
        raise JobError(f"no offcut is called '{name}'", fix=fix)
    return kept[name]


def free_name(stock: str, taken: Iterable[str]) -> str:
    """A name for another offcut of a card."""
    names, number = set(taken), 1
    while f"{stock}-{number}" in names:
        number += 1
    return f"{stock}-{number}"


def write_offcuts(kept: Iterable[Offcut]) -> None:
    """Write the file of all offcuts anew; drawings of those that are gone go too.

    Raises
    ------
    OutputError
        When it can't be written.
    """
    listed = list(kept)
    write_own(_file(), "\n".join(map(_toml, listed)))
    names = {one.drawing.name for one in listed}
    for path in _folder().glob("*.svg"):
        if path.name not in names:
            path.unlink(missing_ok=True)


def _toml(one: Offcut) -> str:
    sides = ", ".join(quoted(f"{side:g}mm") for side in one.clear)
    return (
        f"[{quoted(one.name)}]\nstock = {quoted(one.stock)}\nlike = {quoted(one.like)}\n"
        f"size = {quoted(f'{one.size[0]!r}x{one.size[1]!r}mm')}\nclear = [{sides}]\nfree_mm2 = {one.free!r}\n"
        f"count = {one.count}\njob = {quoted(one.job)}\nof = {quoted(one.of)}\n"
    )


def on_offcut(card: Resolved) -> tuple[Resolved, Offcut | None]:
    """A card's settings with what the offcut that they name says: its size, and where they don't, card and number.

    Raises
    ------
    InputError
        When there is none of that name, or a sheet is named as well.
    """
    entry = card.entry("offcut")
    if entry.value is None:
        return card, None
    try:
        one = offcut(entry.value)
    except JobError as fault:
        raise entry.fail(fault.problem, fault.fix) from None
    if card.entry("sheet").source in _SAID:
        raise card.entry("sheet").fail(
            "an offcut and a sheet are named", "Leave the sheet out: the offcut has its size."
        )
    if card.entry("stock").source not in _SAID:
        card = card.decided("stock", one.like, entry.source)
    if card["price"] is None:  # it was paid with the job that left it
        card = card.decided("price", 0.0, entry.source)
    if card["at_hand"] is None:
        card = card.decided("at_hand", one.count, entry.source)
    return card.decided("sheet", f"{one.size[0]!r}x{one.size[1]!r}mm", entry.source), one


def drawn_of(one: Offcut | None) -> tuple[tuple[Path, str], ...]:
    """The drawing of what was cut out of an offcut, as `Batch.keep_out_drawn`."""
    return () if one is None else ((one.drawing, ""),)
