"""Options that several commands share, those made from the table of settings, and the help that is grouped as it is.

Only typer is imported beside the table, so that `cutprep --help` answers at once.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable
from functools import wraps
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from cutprep.cli.plain import whole_number
from cutprep.job.settings.setting import Group, Setting
from cutprep.job.settings.table import SETTINGS

Sources = Annotated[
    list[Path], typer.Argument(metavar="DRAWING", help="SVG or DXF drawings.", show_default=False)
]
Source = Annotated[Path, typer.Argument(metavar="DRAWING", help="An SVG or DXF drawing.", show_default=False)]
MachineFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="An HP-GL or G-code file.", show_default=False)
]
Language = Annotated[
    str | None,
    typer.Option("--language", metavar="LANGUAGE", help="hpgl or gcode; without it, the file itself tells."),
]
All = Annotated[
    bool,
    typer.Option(
        "--all", help="Show every finding by itself, not by kind.", rich_help_panel=Group.OUTPUT.value
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print plain data for scripts.")]
Allowed = Annotated[
    list[str] | None,
    typer.Option(
        "--limit",
        metavar="NAME=NUMBER",
        help="Allow more than the safe limit: docs/SAFETY.md.",
        rich_help_panel=Group.DRAWING.value,
    ),
]
Followed = Annotated[
    list[str] | None,
    typer.Option("--limit", metavar="NAME=NUMBER", help="Allow more than the safe limit: docs/SAFETY.md."),
]
Replace = Annotated[bool, typer.Option("--replace", help="Replace the file.")]

_UNIT = SETTINGS["unit"]
_INCHES = inspect.Parameter(
    "inches",
    inspect.Parameter.KEYWORD_ONLY,
    default=False,
    annotation=Annotated[
        bool,
        typer.Option("--inches", help=f"The same as {_UNIT.option} in.", rich_help_panel=_UNIT.group.value),
    ],
)

#: How lines are told apart: what every command that reads a drawing takes.
RULES = ("layers", "colours", "dashed", "fill_as_outline", "units")
#: What a command needs that only looks whether a drawing would do.
CHECKED = (*RULES, "expect", "machine", "stock", "sheet", "unit")


class GroupedCommand(TyperCommand):
    """A command whose help lists its options under the headings of the table of settings."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write the arguments, then the options of each group, those without a group last."""
        groups: dict[str, list[tuple[str, str]]] = {"Arguments": [], **{group.value: [] for group in Group}}
        rest: list[tuple[str, str]] = []
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is None:
                continue
            heading = getattr(parameter, "rich_help_panel", None)
            if parameter.param_type_name == "argument":
                groups["Arguments"].append(record)
            else:
                groups.get(heading or "", rest).append(record)
        for heading, rows in {**groups, "Other options": rest}.items():
            if rows:
                with formatter.section(heading):
                    formatter.write_dl(rows)


def with_settings(names: Iterable[str]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Give a command the options of some settings.

    Parameters
    ----------
    names
        Of settings.

    Returns
    -------
    callable
        A decorator. The command takes `settings`, a dict of what was given, by names; each value is
        still the word that was typed. With the unit of lengths comes `--inches`, which is the same and shorter.
    """
    chosen = [SETTINGS[name] for name in names]

    def decorate(command: Callable[..., None]) -> Callable[..., None]:
        own = inspect.signature(command, eval_str=True).parameters.values()
        kept = [one for one in own if one.name != "settings"]
        made = [*map(_parameter, chosen), *([_INCHES] if _UNIT in chosen else [])]

        @wraps(command)
        def run(**given: Any) -> None:
            settings = {setting.name: given.pop(setting.name) for setting in chosen}
            if given.pop(_INCHES.name, False):
                settings[_UNIT.name] = "in"
            command(**given, settings={name: value for name, value in settings.items() if value is not None})

        parameters = sorted([*kept, *made], key=lambda one: one.default is not inspect.Parameter.empty)
        run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
        run.__annotations__ = {one.name: one.annotation for one in parameters}
        del run.__wrapped__
        return run

    return decorate


def _parameter(setting: Setting) -> inspect.Parameter:
    """A setting as a parameter of a command, from which typer makes its option."""
    form, names = setting.form, [setting.option, *filter(None, [setting.also_option])]
    kind: Any = list[str] if form.repeated else int if form.whole else str
    extra: dict[str, Any] = {"metavar": form.metavar}
    if not form.metavar:
        kind, extra = bool, {}
        if setting.remembered:  # so that one who remembers it can do without it once
            names = [f"{setting.option}/--no-{setting.option.removeprefix('--')}"]
    if form.whole:
        extra["parser"] = whole_number
    default = setting.said_default if form.metavar else "none"
    told = setting.help if default == "none" else f"{setting.help} Default: {default}."
    option = typer.Option(*names, help=told, show_default=False, rich_help_panel=setting.group.value, **extra)
    return inspect.Parameter(
        setting.name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=Annotated[kind | None, option]
    )


def option_of(name: str) -> str:
    """What a setting is called on the command line."""
    return SETTINGS[name].option
