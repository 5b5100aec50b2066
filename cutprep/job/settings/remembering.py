"""Changes to the maker's own settings: one key at a time, what else stands in the file stays as it was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, MutableMapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from cutprep.errors import JobError, Place
from cutprep.files import load_bytes
from cutprep.job.settings.remembered import settings_file
from cutprep.job.settings.resolve import RULES
from cutprep.job.settings.setting import Setting
from cutprep.job.settings.table import SETTINGS
from cutprep.tables import suggest

#: A longer file of settings was not written by hand, nor by us.
_LARGEST = 1_000_000


def changed(text: str, given: Mapping[str, Any], forgotten: Iterable[str]) -> str:
    """A file of settings with some of them set, and some forgotten.

    Parameters
    ----------
    text
        What stands in it.
    given
        Name of a setting (not its key) to what a TOML file holds for it; rules are put beside those that stand there.
    forgotten
        Names of settings, or of single rules: `gap`, `layers.lid`.

    Raises
    ------
    JobError
        When the text is no TOML, or what is to be forgotten is not remembered.
    """
    try:
        doc: Any = tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError) as fault:
        place = Place(file=str(settings_file()))
        raise JobError(f"this is not TOML: {fault}", fix="Mend it by hand.", place=place) from None
    for name in forgotten:
        _forget(doc, name)
    for name, raw in given.items():
        if name in RULES and isinstance(doc.get(name), Mapping):
            known = {str(one).lower(): one for one in doc[name]}
            for rule, word in raw.items():
                doc[name][known.get(rule.lower(), rule)] = word
        else:
            _put(doc, SETTINGS[name], raw)
    return tomlkit.dumps(doc)


def _put(doc: Any, setting: Setting, raw: Any) -> None:
    """Set a key, in its table where it has one; where it stands under its former name it stays there."""
    if setting.own_key != setting.name and setting.name in doc:
        doc[setting.name] = raw
        return
    head, dot, key = setting.own_key.rpartition(".")
    table = doc.setdefault(head, tomlkit.table()) if dot else doc
    if not isinstance(table, MutableMapping):
        raise JobError(f"'{head}' is no table in {settings_file()}", fix="Mend it by hand.")
    table[key] = raw


def _forget(doc: Any, name: str) -> None:
    setting = SETTINGS.get(name)
    if setting is not None and name not in doc:
        name = setting.own_key
    head, dot, rule = name.partition(".")
    inside = bool(dot) and isinstance(doc.get(head), Mapping)
    table, key = (doc.get(head, {}), rule) if inside else (doc, name)
    known = {str(one).lower(): str(one) for one in table}
    if key.lower() not in known:
        listed = [f"{head}.{one}" if inside else one for one in known.values()]
        raise JobError(f"--forget: '{name}' is not remembered", fix=suggest(name, listed))
    del table[known[key.lower()]]
    if inside and not table:
        del doc[head]


def settings_text() -> str:
    """What stands in the file of settings; nothing when there is none.

    Raises
    ------
    JobError
        When it can't be read.
    """
    path = settings_file()
    try:
        return load_bytes(path, _LARGEST).decode("utf-8") if path.exists() else ""
    except OSError as fault:
        raise JobError(f"the file can't be read ({fault.strerror})", place=Place(file=str(path))) from None
    except ValueError:
        raise JobError("the file is no text", place=Place(file=str(path))) from None


def named(word: str) -> str:
    """The name of a setting as it is typed: by its name, its option, or its key in a job file."""
    plain = word.strip().removeprefix("--")
    for setting in SETTINGS.values():
        names = (setting.name, setting.key, setting.option.removeprefix("--"))
        if plain.lower() in {*names, setting.name.replace("_", "-")}:
            return setting.name
    return plain


def absolute(name: str, raw: Any) -> Any:
    """A file that is remembered is meant wherever the next command is typed."""
    if name in ("machine", "stock") and str(raw).endswith(".toml"):
        return str(Path(raw).resolve())
    return str(Path(raw).resolve()) if name == "font" and Path(str(raw)).is_file() else raw
