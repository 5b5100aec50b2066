"""The job file: a set of templates from several cards as one job (TOML; see docs/JOB-FILE.md).

Every value is checked where it stands; an error names file, line and key. Drawings are looked for
beside the job file and below; one from elsewhere must be asked for, so that a job file from
somebody else can't read what it likes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

from cutprep.errors import at
from cutprep.job.build import (
    batch_named,
    batch_of,
    item_of,
    job_of,
    machine_of,
    mending_of,
    require_as_it_lay,
    require_forces,
    rules_of,
    sheet_of,
    stock_of,
)
from cutprep.job.folder.places import with_places
from cutprep.job.job import Batch, Item, Job, PlacedCopy
from cutprep.job.own.figures import with_figures
from cutprep.job.own.offcuts import drawn_of, on_offcut
from cutprep.job.pieces.fits import wanted_fits
from cutprep.job.pieces.own import Reading, file_of, own_items
from cutprep.job.settings.forms import Find
from cutprep.job.settings.resolve import Layer, SettingValue, Source, read_layer, resolve, written_out
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.job.settings.worked import worked_layers
from cutprep.limits import Limits
from cutprep.model.rules import Rules
from cutprep.profile.machine import Machine
from cutprep.stages.fold.declared.file import declared_from
from cutprep.tables import Table, suggest
from cutprep.tolerance import Tolerance

#: Key of a job file that holds by itself: what is remembered does not stand where it says nothing.
ALONE = "alone"
#: Key of a job file that lists what in it was written out of what the maker remembers.
YOURS = "yours"


def load_job(
    path: Path,
    *,
    elsewhere: bool = False,
    limits: Limits | None = None,
    options: Layer | None = None,
    yours: Layer | None = None,
    table: Table | None = None,
) -> Job:
    """Read a job file.

    Parameters
    ----------
    path
        The TOML file.
    elsewhere
        Drawings and profiles may lie outside the job file's folder.
    limits
        Upper bounds on what is asked for. A job file can't raise them itself: it may come from anywhere.
    options
        What is given beside it: settings of the whole job, which stand in place of the file's.
    yours
        What is remembered: it stands where the file says nothing.
    table
        What would stand in the file, where it is not written yet.

    Raises
    ------
    JobError
        Naming file, line and key of what can't be used.
    CutprepError
        When a profile that it names can't be used.
    """
    with at(file=str(path)):
        table = Table.load(path) if table is None else table
        find = _Finder(path.resolve().parent, elsewhere).path
        ours = {} if table.flag(ALONE, False) else yours or {}
        told = frozenset(name.lower() for name in table.texts(YOURS))
        base = resolve(
            of_scope(Scope.JOB),
            ours,
            written_out(read_layer(of_scope(Scope.JOB), table, Source.JOB, find, by_key=True), told),
            options or {},
        )
        machine = machine_of(base)
        cards = _cards(table, find, machine, ours, told)
        rows = table.tables("template")
        if not rows:
            raise table.fail("template", "no template is listed", "Add a [[template]] table.")
        shared = written_out(read_layer(of_scope(Scope.TEMPLATE), table, Source.JOB, find, by_key=True), told)
        default = next(iter(cards)) if len(cards) == 1 else None
        reading = Reading(mending_of(base), Tolerance(), limits or Limits())
        listed = isinstance(table.values.get("stock"), list)
        members = _Members(cards, machine, shared, reading, fixed=listed)
        together = rules_of(resolve(of_scope(Scope.TEMPLATE), ours, shared))
        for number, row in enumerate(rows):
            name = row.choice("stock", list(cards), default)
            folding = declared_from(row.table("fold")) if row.has("fold") else None
            item = _item(row, find, base["sets"], (ours, shared), together, told)
            members.add(row, name, replace(item, row=number, folding=folding))
            row.finish()
        job = job_of(
            base,
            machine,
            members.batches(),
            title=path.stem,
            fits=wanted_fits(table, [file_of(item) for batch in members.items.values() for item in batch]),
            limits=limits,
        )
        job = replace(
            job, cutting=replace(job.cutting, layers=worked_layers(table)), together=table.texts("together")
        )
        table.finish()
    return with_places(job, base["places"]) if base["places"] is not None else job


class _Members:
    """What is made of each card: items and copies placed by hand, as the job file lists them.

    Parameters
    ----------
    cards
        By name; one that a piece names is added, unless the cards are `fixed`.
    machine, shared
        What a card that is added is worked with, and what the file says for all.
    reading
        How drawings are read whose pieces are laid by themselves.
    """

    def __init__(
        self, cards: dict[str, Batch], machine: Machine, shared: Layer, reading: Reading, *, fixed: bool
    ) -> None:
        self.cards = cards
        self.items: dict[str, list[Item]] = {name: [] for name in cards}
        self._spots: dict[str, list[PlacedCopy]] = {name: [] for name in cards}
        self._machine = machine
        self._shared = shared
        self._reading = reading
        self._fixed = fixed

    def add(self, row: Table, name: str, item: Item) -> None:
        """Take in a template on the card of that name, and its pieces that are items of their own."""
        item, own = own_items(item, self._reading)
        where = {"": (name, len(self.items[name]))}
        self.items[name].append(item)
        for stock, piece in own:
            if stock and stock not in self.cards:
                self._add_card(row, stock)
            where[piece.only.lower()] = (stock or name, len(self.items[stock or name]))
            self.items[stock or name].append(piece)
        for card, spot in _spots(row, where):
            self._spots[card].append(spot)

    def _add_card(self, row: Table, name: str) -> None:
        if self._fixed:
            raise row.fail("piece", f"no stock of this job is '{name}'", suggest(name, list(self.cards)))
        self.cards[name] = batch_named(name, self._machine, [self._shared])
        self.items[name], self._spots[name] = [], []

    def batches(self) -> list[Batch]:
        """Each card on which something is made."""
        return [
            replace(self.cards[name], items=tuple(items), spots=tuple(self._spots[name]))
            for name, items in self.items.items()
            if items
        ]


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


def _cards(
    table: Table, find: Find, machine: Machine, yours: Layer, told: frozenset[str]
) -> dict[str, Batch]:
    """Name to card and its sheets; without any [[stock]] the one that is named outside tables, or the usual one."""
    rows = table.tables("stock") if not isinstance(table.values.get("stock"), str) else ()
    if not rows:
        layer = written_out(read_layer(of_scope(Scope.CARD, Scope.SHEET), table, Source.JOB, find), told)
        batch = batch_of(resolve(of_scope(Scope.CARD, Scope.SHEET), yours, layer), machine)
        return {batch.stock.name: batch}
    found = {}
    for row in rows:
        name = row.text("name")
        layer = read_layer(of_scope(Scope.CARD), row, Source.JOB, find, by_key=True)
        if not row.has("like"):
            layer["stock"] = SettingValue(SETTINGS["stock"], name, Source.JOB, fail=partial(row.fail, "name"))
        tables = row.tables("sheet")
        layers = [read_layer(of_scope(Scope.SHEET), size, Source.JOB, find, by_key=True) for size in tables]
        said, left = on_offcut(resolve(of_scope(Scope.CARD, Scope.SHEET), layer, *layers))
        card = with_figures(said.of(Scope.CARD), machine)
        require_forces(card, machine)
        base = stock_of(card)
        for size, given in zip(tables, layers, strict=True):
            if "sheet" not in given:
                size.text("size")  # says that it is missing
            size.finish()
        sheets = [resolve(of_scope(Scope.SHEET), one) for one in layers or [yours]]
        sheets = sheets if left is None else [said.of(Scope.SHEET)]
        sizes = tuple(sheet_of(sheet, base, machine) for sheet in sheets)
        stock = replace(base, name=_plain(row, name), title=row.text("title", name), sheets=sizes)
        if left is not None:
            require_as_it_lay(card, sizes[0], machine)
        found[name] = Batch(stock, sizes, (), keep_out_drawn=drawn_of(left), settings=(card, *sheets))
        row.finish()
    return found


def _plain(row: Table, name: str) -> str:
    """A stock's name goes into file names, so it is kept plain."""
    if not all(c.isalnum() or c in "-_" for c in name) or len(name) > 40:
        raise row.fail("name", f"'{name}' is not a plain name", "Use letters, digits, - and _ only.")
    return name


def _item(
    row: Table, find: Find, sets: int, before: tuple[Layer, Layer], together: Rules, told: frozenset[str]
) -> Item:
    """One template, after what holds for all of them."""
    path = find(row, "file", row.text("file"))
    layer = read_layer(of_scope(Scope.TEMPLATE), row, Source.JOB, find, by_key=True)
    layer = written_out(layer, told)
    item = resolve(of_scope(Scope.TEMPLATE), *before, layer)
    own = rules_of(item)
    if "layers" in layer or "colours" in layer:  # those that hold for all may match in another drawing
        own = replace(own, quiet=own.quiet | _names(together))
    return item_of(path, item, sets, together if own == together else own)


def _names(rules: Rules) -> frozenset[str]:
    return frozenset(name for name, _ in (*rules.layers, *rules.colours))


def _spots(row: Table, where: Mapping[str, tuple[str, int]]) -> Iterator[tuple[str, PlacedCopy]]:
    """Copies placed by hand, `[[template.place]]`, each with the name of its card.

    Parameters
    ----------
    where
        Card and index among its items of the template, under "", and of each piece that is an item of its own.
    """
    for spot in row.tables("place"):
        piece = spot.text("piece", "")
        if piece.lower() not in where:
            raise spot.fail(
                "piece", f"'{piece}' has no card or count of its own", "Leave it out, or list it as a piece."
            )
        card, item = where[piece.lower()]
        yield (
            card,
            PlacedCopy(
                sheet=spot.whole("sheet", 1, least=1, most=10_000),
                item=item,
                x=spot.length("x", None, least=-math.inf),
                y=spot.length("y", None, least=-math.inf),
                turn=spot.number_in("turn", 0.0, least=-360, most=360),
                mirror=spot.flag("mirror", False),
                loose=spot.flag("loose", False),
            ),
        )
        spot.finish()
