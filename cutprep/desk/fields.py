"""Forms made of the table of settings: for each a label, the value, where it came from, and how it is typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from cutprep.job.settings.resolve import Given, Resolved, SettingValue, Source, as_typed, read_layer
from cutprep.job.settings.setting import Group, Setting
from cutprep.job.settings.table import SETTINGS
from cutprep.profile import shelf

#: Settings that the page asks for in its own way, or that make no sense on it.
_ELSEWHERE = frozenset({"layers", "colours", "pieces", "leave", "places", "keep_out", "align", "explain"})


@dataclass(frozen=True, slots=True)
class Field:
    """One setting as a form shows it.

    Attributes
    ----------
    target, name
        What it belongs to, and the setting's name.
    label, hint
        One sentence, and what stands in the field when nothing is given.
    value
        As it is typed; empty when nothing is given.
    source
        Where the value came from, in words.
    choices
        Word to what is shown, where it is one of several; empty otherwise.
    flag, several, whole
        It is yes or no; several of the choices; a whole number.
    wrong
        Why what was typed, which `value` is then, was not taken.
    """

    target: str
    name: str
    label: str
    hint: str
    value: str
    source: str
    choices: Mapping[str, str]
    flag: bool = False
    several: bool = False
    whole: bool = False
    wrong: str = ""

    def refused(self, typed: str, wrong: str) -> Field:
        """The same with what was typed, and why it was not taken."""
        return replace(self, value=typed, wrong=wrong)

    @property
    def key(self) -> str:
        """An id for the page."""
        return f"{self.target}-{self.name}".replace("_", "-")

    @property
    def words(self) -> list[str]:
        """Of several choices, those that are taken."""
        return [word.strip() for word in self.value.split(",") if word.strip()]


#: What is kept of a fold under a cut, as the page says it.
_KEPT = {
    "report": "both, and tell me",
    "cut": "the cut",
    "score": "the fold",
    "outline": "the cut at the outline, the fold elsewhere",
}
_SOURCES = {
    Source.BUILT_IN: "built in",
    Source.PROFILE: "from the profile",
    Source.TRIAL: "from your trial",
    Source.YOURS: "yours",
    Source.JOB: "this job's",
    Source.OPTION: "this job's",
}


#: The words in which a job file gives a setting of a target, where it gives it in words.
Written = Callable[[str, str], str]


def field_of(target: str, entry: SettingValue, written: Written) -> Field:
    """Make the field of one setting; a length is shown in the unit in which it was typed."""
    setting = entry.setting
    form = setting.form
    given = entry.source in (Source.JOB, Source.YOURS)
    several = form.repeated and bool(form.choices)
    value = form.say(entry.value) if given and entry.value is not None else ""
    value = (given and written(target, setting.name)) or value
    choices = _choices(setting)
    if choices and value and not several and value not in choices:  # a file of hers
        choices = {**choices, value: value}
    if form.metavar == "":
        value = "yes" if entry.value else "no"
    elif value == "none":
        value = ""
    return Field(
        target=target,
        name=setting.name,
        label=label_of(setting.name),
        hint=setting.said_default,
        value=value,
        source=_SOURCES[entry.source],
        choices=choices,
        flag=form.metavar == "",
        several=several,
        whole=form.whole,
    )


def fields_of(
    target: str, values: Resolved, groups: Iterable[Group], written: Written, *, without: Iterable[str] = ()
) -> list[Field]:
    """The fields of a target that belong to some groups, but for those that stand elsewhere.

    Parameters
    ----------
    target
        What they belong to, as in `plan.jobfile`.
    values
        What it is set to.
    groups
        Of the table of settings.
    written
        What stands in the job file.
    without
        Names that stand elsewhere on the page.
    """
    left_out = _ELSEWHERE.union(without)
    wanted = set(groups)
    return [
        field_of(target, entry, written)
        for entry in values.entries
        if entry.setting.group in wanted and entry.setting.name not in left_out
    ]


def label_of(name: str) -> str:
    """What a setting is, without the full stop; an ellipsis stays."""
    setting = SETTINGS[name]
    return setting.help if setting.help.endswith("...") else setting.help.rstrip(".")


#: Advice for the command line that the page gives otherwise.
_ADVICE = (
    (re.compile(r"Add --layer .*? \(or =score, =guide, \.\.\.\)\."), "Say under “The lines” what it is for."),
    (re.compile(r"with --layer NAME=OPERATION"), "under “The lines”"),
    (re.compile(r"add --replace to replace"), "tick the box to replace"),
    (re.compile(r" with --out\b"), ""),
    (
        re.compile(r"Say --pieces-apart, or .*? in the job file"),
        "Tick “Lay each piece of a drawing by itself” below",
    ),
)
_OPTIONS = {setting.option: setting.name for setting in SETTINGS.values()}
_OPTION = re.compile(r"--[a-z][a-z-]+")


def on_the_page(advice: str) -> str:
    """Advice that names options of the command line, for one who sees their fields on a page."""
    for words, other in _ADVICE:
        advice = words.sub(other, advice)

    def named(match: re.Match[str]) -> str:
        name = _OPTIONS.get(match[0])
        return match[0] if name is None else f"“{label_of(name).partition(':')[0]}”"

    return _OPTION.sub(named, advice)


def _choices(setting: Setting) -> Mapping[str, str]:
    if setting.name == "machine":
        return {name: machine.title for name, machine in shelf.machines().items()}
    if setting.name == "stock":
        return {name: stock.title for name, stock in shelf.stocks().items()}
    if setting.name == "keep":
        return _KEPT
    return {word: word for word in setting.form.choices}


def typed(name: str, words: list[str]) -> object:
    """What a job file holds for what was typed into a field; None for an empty one.

    Parameters
    ----------
    name
        Of a setting.
    words
        What the form sent under its name; a yes-or-no field sends "no" first.

    Raises
    ------
    JobError
        With what is wrong with it.
    """
    setting = SETTINGS[name]
    last = words[-1].strip() if words else ""
    if setting.form.metavar == "":
        return last in {"yes", "on", "true"}
    if setting.form.repeated and setting.form.choices:
        wanted = [word for word in words if word]
        return wanted or None
    if not last:
        return None
    if name == "names":  # on a page they are typed, one after the other
        return [word.strip() for word in re.split(r"[\n,;]", last) if word.strip()]
    given = Given({} if setting.form.whole else {name: last}, label=label_of)
    if setting.form.whole:  # what is no number stays a word, which reading it then refuses with a sentence
        given.values[name] = int(last) if re.fullmatch(r"[+-]?\d{1,18}", last) else last
    raw = given.values[name]
    read_layer([setting], given, Source.JOB, as_typed)
    return raw
