"""Settings that the maker keeps in a file of her own: defaults for every command."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutprep.job.settings.resolve import Layer, Source, as_typed, read_layer
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.profile.shelf import own_folder
from cutprep.tables import Table


def settings_file() -> Path:
    """The file of remembered settings; it need not be there."""
    return own_folder() / "settings.toml"


def remembered() -> Layer:
    """What is remembered; nothing when there is no file.

    Raises
    ------
    InputError
        Naming file, line and key of what can't be used.
    """
    path = settings_file()
    if not path.is_file():
        return {}
    table = Table.load(path)
    outside = [setting for setting in of_scope(Scope.JOB, Scope.TEMPLATE) if setting.remembered]
    cards = [setting for setting in of_scope(Scope.CARD, Scope.SHEET) if setting.remembered]
    layer = read_layer(outside, table, Source.YOURS, as_typed, by_key=True)
    layer |= read_layer(cards, table, Source.YOURS, as_typed)
    # Before keys were those of job files, they stood under their names in Python.
    before = read_layer([one for one in outside if one.key != one.name], table, Source.YOURS, as_typed)
    for name in before:
        if name in layer:
            raise table.fail(name, f"'{SETTINGS[name].key}' says it as well", "Take one of them out.")
    table.finish()
    return layer | before


def own_words() -> dict[str, str]:
    """Name of a remembered setting to the words in which it stands in the file, where it stands there in words."""
    path = settings_file()
    if not path.is_file():
        return {}
    values = Table.load(path).values
    found = {}
    for setting in SETTINGS.values():
        raw = raw_of(values, setting.own_key)
        raw = values.get(setting.name) if raw is None else raw
        if isinstance(raw, str):
            found[setting.name] = raw
    return found


def raw_of(values: Any, key: str) -> Any:
    """What stands under a key, which may lead into a table; None where nothing does."""
    head, dot, tail = key.rpartition(".")
    row = values.get(head) if dot else values
    return row.get(tail) if isinstance(row, dict) else None
