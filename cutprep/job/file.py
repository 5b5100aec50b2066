"""The job file: a set of templates from several cards as one job (TOML; see docs/JOB-FILE.md).

Every value is checked where it stands; an error names file, line and key. Drawings are looked for
beside the job file and below; one from elsewhere must be asked for, so that a job file from
somebody else can't read what it likes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar, cast, get_args

from cutprep import units
from cutprep.errors import CutprepError, JobError, ProfileError, at
from cutprep.job.fits import wanted_fits
from cutprep.job.job import (
    ALSO,
    AMOUNTS,
    EFFORTS,
    FINISHES,
    TRAVEL_BY,
    Batch,
    Item,
    Job,
    Spot,
    find_sheet,
)
from cutprep.model.rules import Kind, Rules, parse_colour, parse_kind
from cutprep.profile import shelf
from cutprep.profile.languages import LANGUAGES
from cutprep.profile.machine import Machine
from cutprep.profile.stock import SheetSize, Stock
from cutprep.stages.blade.cutting import BY, Bridges, Passes, Perforation
from cutprep.stages.mend.mending import KEEP
from cutprep.stages.nest.item.demand import Turns
from cutprep.stages.read.limits import Limits
from cutprep.tables import Table, near

_Profile = TypeVar("_Profile", Machine, Stock)

_MOST_STUDENTS = 1000
_MOST_COPIES = 10**9  # what is really made is limited by Limits.copies


def load_job(path: Path, *, elsewhere: bool = False, limits: Limits | None = None) -> Job:
    """Read a job file.

    Parameters
    ----------
    path
        The TOML file.
    elsewhere
        Drawings and profiles may lie outside the job file's folder.
    limits
        Upper bounds on what is asked for. A job file can't raise them itself: it may come from anywhere.

    Raises
    ------
    JobError
        Naming file, line and key of what can't be used.
    CutprepError
        When a profile that it names can't be used.
    """
    with at(file=str(path)):
        table = Table.load(path)
        finder = _Finder(path.resolve().parent, elsewhere)
        name = finder.profile(table, "machine", "mat-cutter-300")
        machine = _from_shelf(table, "machine", shelf.machine, name)
        sets = table.whole("sets", 1, least=1, most=_MOST_COPIES)
        stocks = _stocks(table, finder, machine)
        rows = table.tables("template")
        if not rows:
            raise table.fail("template", "no template is listed", "Add a [[template]] table.")
        default = next(iter(stocks)) if len(stocks) == 1 else None
        members: dict[str, list[Item]] = {name: [] for name in stocks}
        spots: dict[str, list[Spot]] = {name: [] for name in stocks}
        for row in rows:
            name = row.choice("stock", list(stocks), default)
            spots[name] += _spots(row, len(members[name]))
            members[name].append(_item(row, finder, sets))
            row.finish()
        areas, drawn = _areas(table, finder)
        job = Job(
            title=table.text("title", path.stem),
            batches=tuple(
                Batch(*stocks[name], items=tuple(items), spots=tuple(spots[name]))
                for name, items in members.items()
                if items
            ),
            machine=machine,
            language=table.choice("language", LANGUAGES, machine.languages[0]),
            gap=table.length("gap", 3.0),
            margin=table.length("margin", 5.0),
            blade_offset=table.length("blade_offset", 0.0, most=5.0) if table.has("blade_offset") else None,
            seed=table.whole("seed", 0, most=2**31),
            effort=table.choice("effort", EFFORTS, "normal"),
            despite_findings=table.flag("despite_findings", False),
            mend=table.flag("mend", False),
            keep=table.choice("keep", KEEP, "report"),
            unit=table.choice("lengths_in", ("mm", "cm", "in"), "mm"),
            sets=sets,
            amount=table.choice("amount", AMOUNTS, "copies"),
            keep_out=areas,
            keep_out_drawn=drawn,
            windows=table.flag("windows", False),
            finish=table.choice("finish", FINISHES, "sheet"),
            travel_by=table.choice("travel_by", TRAVEL_BY, "length"),
            align=_points(table),
            explain=table.flag("explain", False),
            also=_also(table),
            face_down=table.flag("face_down", False),
            students=table.whole("students", 0, most=_MOST_STUDENTS),
            passes=_passes(table),
            bridges=_bridges(table),
            perforation=_perforation(table),
            fits=wanted_fits(table, [item.path.name for batch in members.values() for item in batch]),
            limits=limits or Limits(),
        )
        table.finish()
        return job


class _Finder:
    """Finds files that a job names, and keeps them inside its folder."""

    def __init__(self, folder: Path, elsewhere: bool) -> None:
        self.folder = folder
        self.elsewhere = elsewhere

    def path(self, table: Table, key: str, name: str) -> Path:
        """A file beside the job file.

        Raises
        ------
        JobError
            When it lies elsewhere, or is not there.
        """
        try:
            path = (self.folder / name).resolve()
            inside = self.elsewhere or path.is_relative_to(self.folder)
            found = inside and path.is_file()
        except (OSError, ValueError, RuntimeError):  # too long, a zero byte in it, or a loop of links
            raise table.fail(key, f"'{name[:80]}' can't be the name of a file") from None
        if not inside:
            raise table.fail(
                key,
                f"'{name}' lies outside the folder of the job file",
                "Copy it there, or add --from-elsewhere to allow it.",
            )
        if not found:
            raise table.fail(key, f"there is no file '{name}' beside the job file")
        return path

    def profile(self, table: Table, key: str, default: str) -> str:
        """A profile's name, or the path of its file."""
        name = table.text(key, default)
        return str(self.path(table, key, name)) if name.endswith(".toml") else name


def _from_shelf(row: Table, key: str, find: Callable[[str], _Profile], name: str) -> _Profile:
    """A profile that a key names; one that isn't there is a fault of that key."""
    try:
        return find(name)
    except ProfileError as fault:
        if fault.place.line is not None or name.endswith(".toml"):  # the profile's own file has the fault
            raise
        raise row.fail(key, fault.problem, fault.fix) from None


def _stocks(
    table: Table, finder: _Finder, machine: Machine
) -> dict[str, tuple[Stock, tuple[SheetSize, ...]]]:
    """Name to card and its sheets; without any [[stock]] the plain default card."""
    found: dict[str, tuple[Stock, tuple[SheetSize, ...]]] = {}
    for row in table.tables("stock"):
        name = row.text("name")
        key = "like" if row.has("like") else "name"
        base = _from_shelf(row, key, shelf.stock, finder.profile(row, "like", name if key == "name" else ""))
        sheets = tuple(_sheet(size, base, machine) for size in row.tables("sheet"))
        if not sheets:
            sheets = (find_sheet(None, base, machine),)
        found[name] = (
            replace(
                base,
                name=_plain(row, name),
                title=row.text("title", name),
                caliper=row.length("caliper", base.caliper, least=0.01, most=10.0),
                grain=row.number_in("grain", 0.0, least=0, most=179.999) if row.has("grain") else base.grain,
                passes=row.whole("passes", base.passes, least=1, most=20),
                speed_factor=row.number_in("speed_factor", base.speed_factor, least=0.01, most=10),
                sheets=sheets,
            ),
            sheets,
        )
        row.finish()
    if not found:
        stock = shelf.stock("card-220")
        found[stock.name] = (stock, (find_sheet(None, stock, machine),))
    return found


def _plain(row: Table, name: str) -> str:
    """A stock's name goes into file names, so it is kept plain."""
    if not all(c.isalnum() or c in "-_" for c in name) or len(name) > 40:
        raise row.fail("name", f"'{name}' is not a plain name", "Use letters, digits, - and _ only.")
    return name


def _sheet(row: Table, base: Stock, machine: Machine) -> SheetSize:
    """One size of a stock, with how many are at hand and what one costs."""
    text = row.text("size")
    try:
        size = find_sheet(text, base, machine)
    except JobError as fault:
        raise row.fail("size", fault.problem, fault.fix) from None
    size = replace(
        size,
        at_hand=row.whole("at_hand", 0) if row.has("at_hand") else None,
        price=row.number_in("price", 0.0, least=0) if row.has("price") else None,
    )
    row.finish()
    return size


def _item(row: Table, finder: _Finder, sets: int) -> Item:
    """One template: `copies` is what one set needs, `spare` percent more are made."""
    path = finder.path(row, "file", row.text("file"))
    in_set = row.whole("copies", 1, least=1, most=_MOST_COPIES)
    spare = row.number_in("spare", 0.0, least=0, most=100)
    dashed = row.text("dashed", "")
    return Item(
        path=path,
        in_set=in_set,
        copies=math.ceil(round(in_set * sets * (1 + spare / 100), 6)),
        rules=Rules(
            layers=_rules(row, "layers"),
            colours=tuple((parse_colour(name), kind) for name, kind in _rules(row, "colours")),
            dashed=_kind(row, "dashed", dashed) if dashed else None,
            fill_as_outline=row.flag("fill_as_outline", False),
        ),
        units=units.unit_name(row.text("drawn_in")) if row.has("drawn_in") else None,
        expect=row.size("expect", None) if row.has("expect") else None,
        turns=cast("Turns", row.choice("turns", get_args(Turns), "quarter")),
        grain=row.number_in("grain", 0.0, least=0, most=179.999) if row.has("grain") else None,
        mirror=row.flag("mirror", False),
    )


def _spots(row: Table, item: int) -> list[Spot]:
    """Copies placed by hand: `[[template.place]]`."""
    found = []
    for spot in row.tables("place"):
        found.append(
            Spot(
                sheet=spot.whole("sheet", 1, least=1, most=10_000),
                item=item,
                x=spot.length("x", None, least=-math.inf),
                y=spot.length("y", None, least=-math.inf),
                turn=spot.number_in("turn", 0.0, least=-360, most=360),
                mirror=spot.flag("mirror", False),
            )
        )
        spot.finish()
    return found


def _areas(
    table: Table, finder: _Finder
) -> tuple[tuple[tuple[float, float, float, float], ...], tuple[tuple[Path, str], ...]]:
    """Areas that stay free on every sheet, `[[keep_out]]`: four sides, or a drawing."""
    found, drawn = [], []
    for row in table.tables("keep_out"):
        if row.has("drawing"):
            drawn.append((finder.path(row, "drawing", row.text("drawing")), row.text("layer", "")))
            row.finish()
            continue
        left, bottom, right, top = (row.length(key, None) for key in ("left", "bottom", "right", "top"))
        found.append((left, bottom, right, top))
        row.finish()
    return tuple(found), tuple(drawn)


def _points(table: Table) -> tuple[tuple[float, float, float, float], ...]:
    """Reference points: `[[align]]` with `plan` and `mat`."""
    found = []
    for row in table.tables("align"):
        (x, y), (u, v) = row.lengths("plan", 2, None), row.lengths("mat", 2, None)
        found.append((x, y, u, v))
        row.finish()
    return tuple(found)


def _also(table: Table) -> tuple[str, ...]:
    words = table.texts("also")
    for word in words:
        if word not in ALSO:
            raise table.fail("also", f"'{word}' is no output", near(word, ALSO))
    return tuple(dict.fromkeys(words))


def _passes(table: Table) -> Passes | None:
    row = table.table("passes")
    if not row.values:
        return None
    count = row.whole("count", 1, least=1, most=20)
    force = row.values.get("force", [])
    row.has("force")
    if not isinstance(force, list) or not all(isinstance(f, int | float) for f in force):
        raise row.fail("force", "is not a list of numbers", "Write force = [80, 120].")
    found = Passes(count, tuple(float(f) for f in force), row.choice("by", BY, "outline"))
    row.finish()
    return found


def _bridges(table: Table) -> Bridges | None:
    row = table.table("bridges")
    if not row.values:
        return None
    found = Bridges(
        width=row.length("width", 0.5, least=0.05, most=10),
        count=row.whole("count", 0, most=100) if row.has("count") else None,
        spacing=row.length("spacing", 80.0, least=1, most=2000),
        clear=row.length("clear", 1.0, most=50),
    )
    row.finish()
    return found


def _perforation(table: Table) -> Perforation | None:
    row = table.table("perforation")
    if not row.values:
        return None
    found = Perforation(
        cut=row.length("cut", 3.0, least=0.1, most=100), gap=row.length("gap", 1.0, least=0.1, most=100)
    )
    row.finish()
    return found


def _rules(row: Table, key: str) -> tuple[tuple[str, Kind], ...]:
    table = row.table(key)
    return tuple((name, _kind(table, name, table.text(name))) for name in table.values)


def _kind(table: Table, key: str, word: str) -> Kind:
    try:
        return parse_kind(word)
    except CutprepError as fault:
        raise table.fail(key, fault.problem, fault.fix) from None
