"""From what is given in several places to one value for each setting, with where it came from."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from pathlib import Path
from typing import Any

from cutprep.errors import CutprepError, InputError, JobError
from cutprep.job.settings.forms import Find
from cutprep.job.settings.setting import Scope, Setting
from cutprep.job.settings.table import SETTINGS
from cutprep.tables import Table, suggest

#: Makes an error for a setting, from what is wrong and what to do.
Fail = Callable[[str, str], InputError]
#: Settings that hold rules by name: what is given in several places is put together.
RULES = ("layers", "colours")


class Source(Enum):
    """Where a value came from; the first yields to those that follow."""

    BUILT_IN = "built in"
    PROFILE = "profile"
    TRIAL = "trial"
    YOURS = "yours"
    JOB = "job"
    OPTION = "option"


def _nowhere(problem: str, fix: str) -> InputError:
    return JobError(problem, fix=fix)


@dataclass(frozen=True, slots=True)
class SettingValue:
    """The value of one setting.

    Attributes
    ----------
    setting, value, source
        None as a value: `setting.otherwise` says what decides.
    quiet
        Of rules by name, those that need not match anything: they are remembered ones.
    fail
        Makes an error that names the place where the value was given.
    """

    setting: Setting
    value: Any
    source: Source
    quiet: frozenset[str] = frozenset()
    fail: Fail = field(default=_nowhere, compare=False, repr=False)

    @property
    def said(self) -> str:
        """The value for a person."""
        return self.setting.said_default if self.value is None else self.setting.form.say(self.value)


class Resolved(Mapping[str, Any]):
    """Name of a setting to its value; `entry` tells where it came from.

    Parameters
    ----------
    entries
        One for each setting that is asked for.
    """

    def __init__(self, entries: Iterable[SettingValue]) -> None:
        self._entries = {entry.setting.name: entry for entry in entries}

    def __getitem__(self, name: str) -> Any:
        return self._entries[name].value

    def __iter__(self) -> Any:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def entry(self, name: str) -> SettingValue:
        """The value of a setting, with where it came from."""
        return self._entries[name]

    def of(self, scope: Scope) -> Resolved:
        """Those of one scope."""
        return Resolved(entry for entry in self.entries if entry.setting.scope is scope)

    @property
    def entries(self) -> tuple[SettingValue, ...]:
        """All of them, in the order of the table."""
        return tuple(self._entries.values())

    def decided(self, name: str, value: Any, source: Source = Source.PROFILE) -> Resolved:
        """The same, with what the profiles, or a trial, say of a setting that nobody gave."""
        fresh = replace(self._entries[name], value=value, source=source)
        return Resolved({**self._entries, name: fresh}.values())


Layer = dict[str, SettingValue]


def read_layer(
    settings: Iterable[Setting], table: Table, source: Source, find: Find, *, by_key: bool = False
) -> Layer:
    """Read the settings that a table gives.

    Parameters
    ----------
    settings
        Those to look for.
    table
        What is not looked for stays unasked in it.
    source
        What the table is.
    find
        Finds the files that it names.
    by_key
        Settings stand by their keys, as in a job file, and not by their names.

    Returns
    -------
    dict
        Name to entry, of those that are there.

    Raises
    ------
    InputError
        Naming what can't be used.
    """
    found: Layer = {}
    below: dict[str, Table] = {}
    for setting in settings:
        row, key = table, setting.name
        if by_key:
            head, dot, key = setting.key.rpartition(".")
            if dot:
                row = below.setdefault(head, table.table(head)) if head not in below else below[head]
        if row.has(key):
            value = setting.form.read(row, key, find)
            found[setting.name] = SettingValue(setting, value, source, fail=_at(row, key))
    for row in below.values():
        row.finish()
    return found


def written_out(layer: Layer, yours: Collection[str]) -> Layer:
    """What a job file gives, where some of it was written out of the maker's own settings.

    Parameters
    ----------
    layer
        As it was read.
    yours
        Names of settings that were remembered; of rules each by itself, `layers.lid`.
    """
    found = dict(layer)
    for name, entry in layer.items():
        if name in RULES:
            hers = {rule for rule, _ in entry.value if f"{name}.{rule}".lower() in yours}
            found[name] = replace(entry, quiet=frozenset(hers))
        if name in yours or (name in RULES and hers and len(hers) == len(entry.value)):
            found[name] = replace(found[name], source=Source.YOURS)
    return found


def _at(table: Table, key: str) -> Fail:
    return lambda problem, fix: table.fail(key, problem, fix)


class Given(Table):
    """Settings by their own names, as they come from options or from Python.

    Parameters
    ----------
    values
        Name of a setting to an option's word or a value of Python.
    label
        Name of a setting to what it is called where it was given.

    Raises
    ------
    JobError
        When a name is not known, or a value is of a wrong form.
    """

    def __init__(self, values: Mapping[str, Any], label: Callable[[str], str] = str) -> None:
        self._label = label
        super().__init__({})
        for name, value in values.items():
            if name not in SETTINGS:
                raise JobError(f"there is no setting '{name}'", fix=suggest(name, list(SETTINGS)))
            try:
                self.values[name] = SETTINGS[name].form.raw(value)
            except CutprepError as fault:
                raise self.fail(name, fault.problem, fault.fix) from None

    def fail(self, key: str, problem: str, fix: str = "") -> InputError:
        """Make the error for a setting."""
        return JobError(f"{self._label(key)}: {problem}", fix=fix)

    def _below(self, key: str, values: dict[str, Any], number: int | None) -> Table:
        return _Part(values, key, number, self._label(key))


class _Part(Table):
    """One of several parts of a setting, such as a point: an option of the command has no names for what it holds."""

    def __init__(self, values: dict[str, Any], key: str, number: int | None, label: str) -> None:
        super().__init__(values, path=(key,), number=number)
        self._label = label

    def fail(self, key: str, problem: str, fix: str = "") -> InputError:
        """Make the error for a key: of an option, or by the key's full name."""
        if self._label == self.path[0]:
            return super().fail(key, problem, fix)
        named = f"{self._label} {key}" if self.number is None else self._label
        return JobError(f"{named}: {problem}", fix=fix)


def as_typed(table: Table, key: str, name: str) -> Path:  # noqa: ARG001
    """Take the name of a file as it is: what is typed or programmed may lie anywhere."""
    return Path(name)


def resolve(settings: Iterable[Setting], *layers: Layer) -> Resolved:
    """Put layers together; the last one that gives a setting decides.

    Parameters
    ----------
    settings
        Those that are asked for.
    layers
        From remembered ones to options; what none of them gives is built in.
    """
    entries = []
    for setting in settings:
        entry = SettingValue(setting, setting.default, Source.BUILT_IN)
        for layer in layers:
            if setting.name in layer:
                entry = _over(entry, layer[setting.name])
        entries.append(entry)
    return Resolved(entries)


def _over(before: SettingValue, after: SettingValue) -> SettingValue:
    """What was given later; of rules, those before that it says nothing of stay."""
    if after.setting.name not in RULES:
        return after
    given = {name.lower() for name, _ in after.value}
    kept = tuple((name, kind) for name, kind in before.value if name.lower() not in given)
    quiet = {name for name, _ in kept} if before.source is Source.YOURS else before.quiet - given
    quiet |= {name for name, _ in after.value} if after.source is Source.YOURS else after.quiet
    return replace(after, value=(*after.value, *kept), quiet=frozenset(quiet))
