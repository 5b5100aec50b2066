"""Where profiles are found: a file named outright, the user's own folder, then the shipped ones."""

from __future__ import annotations

import os
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import TypeVar

import platformdirs

from cutprep.errors import ProfileError
from cutprep.profile.machine import Machine
from cutprep.profile.machine_table import load_machine
from cutprep.profile.stock import Stock, load_stock
from cutprep.tables import suggest

_Profile = TypeVar("_Profile", Machine, Stock)


def own_folder() -> Path:
    """The folder of the user's own settings and profiles, with `machines` and `stocks` inside.

    The environment variable CUTPREP_FOLDER names another one: for a stick, or for tests.
    """
    return Path(os.environ.get("CUTPREP_FOLDER") or platformdirs.user_config_dir("cutprep"))


def data_folder() -> Path:
    """The folder of what the desk keeps for the user: her jobs. CUTPREP_FOLDER stands for it too."""
    own = os.environ.get("CUTPREP_FOLDER")
    return Path(own) if own else Path(platformdirs.user_data_dir("cutprep"))


def _folders(kind: str) -> tuple[Path, Path]:
    return Path(str(files("cutprep.profile"))) / "shipped" / kind, own_folder() / kind


def _list(kind: str, load: Callable[[Path], _Profile]) -> dict[str, _Profile]:
    """All profiles of a kind by name; the user's own stand in place of shipped ones."""
    found = {}
    for folder in _folders(kind):
        for path in sorted(folder.glob("*.toml")):
            found[path.stem] = load(path)
    return found


def _find(kind: str, name: str, load: Callable[[Path], _Profile]) -> _Profile:
    if name.endswith(".toml"):
        return load(Path(name))
    paths = {path.stem: path for folder in _folders(kind) for path in sorted(folder.glob("*.toml"))}
    if name not in paths:
        raise ProfileError(
            f"no {kind[:-1]} is called '{name}'",
            fix=f"{suggest(name, sorted(paths))} `cutprep {kind}` lists them all.",
        )
    return load(paths[name])


def machines() -> dict[str, Machine]:
    """All machine profiles by name."""
    return _list("machines", load_machine)


def stocks() -> dict[str, Stock]:
    """All stock profiles by name."""
    return _list("stocks", load_stock)


def machine(name: str) -> Machine:
    """Find a machine by name, or read a TOML file.

    Raises
    ------
    ProfileError
        When there is none, naming the near ones.
    """
    return _find("machines", name, load_machine)


def stock(name: str) -> Stock:
    """Find a stock by name, or read a TOML file.

    Raises
    ------
    ProfileError
        When there is none, naming the near ones.
    """
    return _find("stocks", name, load_stock)
