"""Figures that trials gave, kept for a card on a machine: force, offset, overcut, passes.

They stand in one file of the maker's own folder, a table for each machine with one for each card in it, and
count wherever that card is worked on that machine and neither job nor option says otherwise.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from cutprep.job.own.written import write_own
from cutprep.job.settings.resolve import Layer, Resolved, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.profile.machine import Machine
from cutprep.profile.shelf import own_folder
from cutprep.tables import Table

#: Settings of a card that a trial decides.
FIGURES = ("cut_force", "score_force", "card_offset", "card_overcut", "card_passes")
#: Word that takes a figure out again.
NONE = "none"


def figures_file() -> Path:
    """The file of what trials gave; it need not be there."""
    return own_folder() / "figures.toml"


def figures(machine: str, stock: str) -> Layer:
    """What trials of a card on a machine gave.

    Raises
    ------
    InputError
        Naming file, line and key of what can't be used.
    """
    path = figures_file()
    return _read(Table.load(path).table(machine).table(stock)) if path.is_file() else {}


def all_figures() -> dict[str, dict[str, Layer]]:
    """What all trials gave, by machine and card.

    Raises
    ------
    InputError
        Naming file, line and key of what can't be used.
    """
    path = figures_file()
    if not path.is_file():
        return {}
    table = Table.load(path)
    return {
        machine: {stock: _read(table.table(machine).table(stock)) for stock in table.table(machine).values}
        for machine in table.values
    }


def _read(card: Table) -> Layer:
    found = read_layer([SETTINGS[name] for name in FIGURES], card, Source.TRIAL, as_typed, by_key=True)
    card.finish()
    return found


def with_figures(card: Resolved, machine: Machine) -> Resolved:
    """A card's settings with what its trials on a machine gave, where nobody says otherwise."""
    for name, entry in figures(machine.name, stock_name(card["stock"])).items():
        if card.entry(name).source is Source.BUILT_IN:
            card = card.decided(name, entry.value, Source.TRIAL)
    return card


def stock_name(stock: Any) -> str:
    """By which name figures of a card are kept: its profile's; of a file, the file's, since that may be of anybody."""
    name = str(getattr(stock, "name", stock))
    return str(Path(name).resolve()) if name.endswith(".toml") else name


def keep_figure(machine: str, stock: str, name: str, raw: Any) -> None:
    """Keep what a trial gave.

    Parameters
    ----------
    machine, stock
        Names.
    name
        One of `FIGURES`.
    raw
        As a TOML file holds it; None forgets it.

    Raises
    ------
    CutprepError
        When the file can't be read or written.
    """
    path = figures_file()
    doc: Any = tomlkit.document()
    if path.is_file():
        Table.load(path)  # says what is wrong with it, and where
        doc = tomlkit.parse(path.read_text(encoding="utf-8"))
    card = doc.setdefault(machine, tomlkit.table()).setdefault(stock, tomlkit.table())
    card.pop(SETTINGS[name].key, None)
    if raw is not None:
        card[SETTINGS[name].key] = raw
    for table, key in ((doc[machine], stock), (doc, machine)):  # what is empty says nothing
        if not table[key]:
            table.pop(key)
    write_own(path, tomlkit.dumps(doc))
