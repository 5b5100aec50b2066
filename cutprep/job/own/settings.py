"""The maker's own settings: kept after they were tried, forgotten, and shown in the words that she typed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from cutprep.job.build import batch_of, machine_of
from cutprep.job.own.written import write_own
from cutprep.job.settings.remembered import own_words, remembered, settings_file
from cutprep.job.settings.remembering import absolute, changed, named, settings_text
from cutprep.job.settings.resolve import Given, Resolved, SettingValue, Source, as_typed, read_layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope


def keep_own(given: Mapping[str, Any], forgotten: Iterable[str], label: Callable[[str], str]) -> list[str]:
    """Keep settings as her own, and forget others.

    Parameters
    ----------
    given
        Name of a setting to an option's word.
    forgotten
        Settings, or single rules, as they are typed: `gap`, `layers.lid`.
    label
        Name of a setting to what it is called where it was given.

    Returns
    -------
    list of str
        What was done, a sentence each.

    Raises
    ------
    CutprepError
        When a value can't be used, or the file can't be written; it then stays as it was.
    """
    raw = Given(given, label)
    layer = read_layer(SETTINGS.values(), raw, Source.OPTION, as_typed)
    machine = machine_of(resolve(of_scope(Scope.JOB), layer))  # what names nothing would stop every command
    if {"stock", "sheet"} & set(given):
        before = {name: entry for name, entry in remembered().items() if name == "stock"}
        batch_of(resolve(of_scope(Scope.CARD, Scope.SHEET), before, layer), machine)
    values = {name: absolute(name, value) for name, value in raw.values.items()}
    gone = list(map(named, forgotten))
    write_own(settings_file(), changed(settings_text(), values, gone))
    told = [f"{SETTINGS[name].own_key}: {_typed(layer[name], values[name])}, from now on" for name in given]
    told += [f"{SETTINGS[name].own_key if name in SETTINGS else name}: forgotten" for name in gone]
    remembered()  # a slip that stood in the file before is told now, with its line
    return told


def own_settings() -> tuple[Resolved, dict[str, str]]:
    """All settings that can be remembered, and the words of those that are.

    Raises
    ------
    InputError
        When her file can't be used.
    """
    rows = [setting for setting in SETTINGS.values() if setting.remembered]
    return resolve(rows, remembered()), own_words()


def said_of(entry: SettingValue, words: Mapping[str, str]) -> str:
    """A setting for a person; a length in the unit in which she typed it."""
    return _typed(entry, words.get(entry.setting.name)) if entry.source is Source.YOURS else entry.said


def _typed(entry: SettingValue, raw: Any) -> str:
    """A value as it was typed, where that is one word; else as it is said."""
    return raw if isinstance(raw, str) and not entry.setting.form.repeated else entry.said
