"""Settings that the maker keeps in a file of her own: defaults for every command."""

from __future__ import annotations

from pathlib import Path

from cutprep.job.settings.resolve import Layer, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
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
    rows = [setting for setting in SETTINGS.values() if setting.remembered]
    layer = read_layer(rows, table, Source.YOURS, as_typed)
    table.finish()
    return layer
