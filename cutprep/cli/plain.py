"""The option parser's messages in plain words: what is wrong, and what to write.

The parser's own classes of errors differ between its releases, so they are known by their names
and by what they carry.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

import typer
from typer.core import TyperGroup

from cutprep.cli import show


class PlainGroup(TyperGroup):
    """The commands, with one plain sentence for each slip on the command line."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command; as a program of its own it ends with an exit code."""
        run = partial(super().main, args, prog_name, complete_var, False, windows_expand_args, **extra)
        if not standalone_mode:
            return run()
        try:
            code = run()
        except Exception as fault:
            name = type(fault).__name__
            if name == "Abort":
                code = 1
            elif name != "NoArgsIsHelpError" and hasattr(fault, "format_message"):
                show.say(f"Error: {in_plain_words(fault)}", style="bold red", console=show.err())
                code = 2
            elif hasattr(fault, "show"):
                fault.show()
                code = getattr(fault, "exit_code", 2)
            else:
                raise
        sys.exit(code if isinstance(code, int) else 0)


def whole_number(text: str) -> int:
    """Read a whole number of an option.

    Raises
    ------
    typer.BadParameter
        When it is none.
    """
    try:
        return int(text)
    except ValueError:
        raise typer.BadParameter(f"'{text}' is no whole number; write for example 12") from None


def whole_number_from(least: int, most: int | None = None) -> Callable[[str], int]:
    """Reader of a whole number of an option that has limits; raises as `whole_number` does."""

    def number(text: str) -> int:
        found = whole_number(text)
        if found < least:
            raise typer.BadParameter(f"is {found}; it must be at least {least}")
        if most is not None and found > most:
            raise typer.BadParameter(f"is {found}; it must be at most {most}")
        return found

    return number


def in_plain_words(fault: Any) -> str:
    """Say a fault of the command line: what is wrong, and where the options are listed."""
    context = getattr(fault, "ctx", None)
    told = f" `{context.command_path} --help` says what it takes." if context is not None else ""
    return " ".join(_problem(fault).split()) + told


def _problem(fault: Any) -> str:
    kind = type(fault).__name__
    parameter = getattr(fault, "param", None)
    option = str(getattr(fault, "option_name", ""))
    if kind == "MissingParameter" and parameter is not None:
        return f"{_name(parameter)} is missing{_help(parameter)}"
    if kind == "NoSuchOption":
        return f"there is no option {option}. {_near(option, _options(fault.ctx))}"
    if kind == "BadOptionUsage" and "requires" in fault.message:
        return f"{option} needs a value behind it."
    if kind == "BadParameter" and parameter is not None:
        return f"{_name(parameter)}: {fault.message.rstrip('.')}."
    message = str(fault.format_message())
    if kind == "NoSuchCommand" or message.startswith("No such command"):
        return message.replace("No such command", "there is no command", 1)
    if "unexpected extra argument" in message:
        words = message.partition("(")[2].partition(")")[2].strip(" ()")
        return f"'{words}' is one word too many: a name with spaces stands in quotes, and an option begins with --."
    return message if message.endswith((".", "?", "!")) else f"{message}."


def _near(option: str, options: list[str]) -> str:
    from cutprep.tables import suggest

    found = suggest(option, options)
    return found if found.startswith("Did you mean") else ""


def _name(parameter: Any) -> str:
    """An option by its long name, an argument by what it is called in the help."""
    if parameter.param_type_name == "option":
        return str(parameter.opts[0])
    return str(parameter.metavar or parameter.name).upper().rstrip(".")


def _help(parameter: Any) -> str:
    """What the help says of it, as the end of a sentence."""
    text = str(getattr(parameter, "help", None) or "").rstrip(".")
    return f": {text[0].lower() if text[1:2].islower() else text[0]}{text[1:]}." if text else "."


def _parameters(context: Any) -> Iterator[Any]:
    yield from context.command.params if context is not None else ()


def _options(context: Any) -> list[str]:
    return [name for p in _parameters(context) for name in p.opts if name.startswith("--")]
