"""What the command line shows: results on stdout, everything else on stderr.

On a terminal there are tables; in a pipe or a file there are plain lines that are never
wrapped, so that a message can be searched and an option copied.
"""

from __future__ import annotations

import io
import json
import os
import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TextIO, TypeGuard

import typer

from cutprep.errors import CutprepError, told_as_ours

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from cutprep.model.findings.finding import Finding
    from cutprep.model.findings.kinds import FindingGroup

_STYLES = {"error": "bold red", "warning": "yellow", "note": "dim"}
_MOST_PLACES = 5
#: What begins like this is a figure, and figures stand one under the other; so does the sign that there is none.
_FIGURE = re.compile(r"[-+]?\d|-?$")
#: What makes the library take a pipe for a terminal.
_FORCED = ("FORCE_COLOR", "TTY_COMPATIBLE")
#: Exit code of a fault of cutprep's own.
OUR_FAULT = 3


class PlainLines:
    """Stands for a console where lines go into a pipe or a file: they need no library, which takes as long to load as numpy."""

    def __init__(self, file: TextIO) -> None:
        self.file = file


def out() -> Console | PlainLines:
    """The console for results; made anew so that a redirected stdout is seen."""
    return _console(sys.stdout)


def err() -> Console | PlainLines:
    """The console for everything else."""
    return _console(sys.stderr)


def _console(file: TextIO) -> Console | PlainLines:
    if not file.isatty() and not any(os.environ.get(name) for name in _FORCED):
        return PlainLines(file)
    from rich.console import Console

    return Console(file=file, highlight=False)


def on_screen(console: Console | PlainLines) -> TypeGuard[Console]:
    """Whether a person sits in front of it: tables and colours are for her, plain lines for anything else."""
    return not isinstance(console, PlainLines) and console.is_terminal


def let_any_sign_pass() -> None:
    """A sign that the terminal or the pipe can't show is written as its number, and stops no job."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def clean(text: str) -> str:
    """Make control characters visible: a name from a file must not drive the terminal, or feign a line."""
    return "".join(c if c.isprintable() else _escaped(c) for c in text)


def _escaped(sign: str) -> str:
    """A sign as JSON and TOML name it."""
    code = ord(sign)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def say(text: str, *, style: str = "", console: Console | PlainLines | None = None) -> None:
    """Print one line as it is, without markup or wrapping."""
    console = console or out()
    if isinstance(console, PlainLines):
        console.file.write(f"{clean(text)}\n")
        console.file.flush()  # results and notes keep their order where both go into one file
        return
    from rich.text import Text

    console.print(Text(clean(text), style=style), soft_wrap=True)


def say_json(data: Any) -> None:
    """Print data as JSON on stdout."""
    text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)
    # JSON itself escapes only signs below 32; the others that a terminal obeys stand in strings too.
    sys.stdout.write("\n".join(_as_json(row) for row in text.split("\n")) + "\n")


def _as_json(row: str) -> str:
    return "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in row)


@contextmanager
def reported() -> Iterator[None]:
    """Turn errors into one message and an exit code; of a fault of ours, the details go into a file."""
    try:
        yield
    except CutprepError as error:
        say(f"Error: {error}", style="bold red", console=err())
        raise typer.Exit(2) from None
    except (typer.Exit, typer.Abort, BrokenPipeError):
        raise
    except MemoryError:
        say(
            "Error: this needs more memory than there is. Simplify the drawings, or make the job in parts.",
            style="bold red",
            console=err(),
        )
        raise typer.Exit(2) from None
    except Exception as fault:  # noqa: BLE001 - the last door: what comes here is a fault of ours
        say(told_as_ours(fault, otherwise="the lines above"), style="bold red", console=err())
        raise typer.Exit(OUR_FAULT) from None
    except KeyboardInterrupt:
        say("Stopped; nothing was written.", console=err())
        raise typer.Exit(130) from None


def show_findings(
    findings: Sequence[Finding],
    console: Console | PlainLines | None = None,
    *,
    every: bool | None = None,
    unit: str = "mm",
) -> None:
    """Show findings by kind, errors first.

    Parameters
    ----------
    every
        Each finding by itself; None where the command has no option for that.
    unit
        What the sentences give lengths in.
    """
    from cutprep.model.findings.finding import in_words
    from cutprep.model.findings.kinds import by_kind

    console = console or out()
    kinds = list(by_kind([in_words(finding, unit) for finding in findings], every=bool(every)))
    if on_screen(console) and console.width >= 90 and kinds:
        console.print(_findings_table(kinds, every))
        return
    for kind in kinds:
        severity = kind.one.severity.value
        head = f"{kind.numbers:>3s} {severity:7s} {kind.one.code}{kind.count}: {kind.problem}"
        say(head, style=_STYLES[severity], console=console)
        if kind.one.fix:
            say(f"            {kind.one.fix}", console=console)
        for place in _places(kind, every):
            say(f"            {place}", style="dim", console=console)


def _places(kind: FindingGroup, every: bool | None) -> list[str]:
    """The first places, and how many more there are."""
    told = list(dict.fromkeys(f"at {place}" for place in kind.places))  # two lines on each other read alike
    more = len(told) - _MOST_PLACES
    hint = "; --all shows every one" if len(kind.findings) > 1 and every is not None else ""
    shown = told[:_MOST_PLACES]
    return [*shown, f"and {more} more place{'s' * (more > 1)}{hint}"] if more > 0 else shown


def _findings_table(kinds: Sequence[FindingGroup], every: bool | None) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(expand=True, show_lines=True)
    table.add_column("", justify="right", no_wrap=True)
    table.add_column("Finding", min_width=18, max_width=26)
    table.add_column("What is there, and what to do", ratio=3)
    table.add_column("Where", ratio=2)
    for kind in kinds:
        severity = kind.one.severity.value
        table.add_row(
            kind.numbers,
            Text(clean(f"{severity}, {kind.one.code}{kind.count}"), style=_STYLES[severity]),
            Text("\n".join(filter(None, (clean(kind.problem), clean(kind.one.fix))))),
            Text("\n".join(map(clean, _places(kind, every))), style="dim"),
        )
    return table


def show_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Show a table on a terminal, tab-separated lines elsewhere; the first column is never cut: names are typed."""
    console = out()
    if not on_screen(console):
        for row in (head, *rows):
            sys.stdout.write("\t".join(map(clean, row)) + "\n")
        return
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    table = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False, collapse_padding=True)
    for i, name in enumerate(head):
        figures = i > 0 and all(_FIGURE.match(row[i]) for row in rows)
        # Words are broken over rows, not cut off; the name to type stays in one piece.
        table.add_column(name, justify="right" if figures else "left", no_wrap=not i, overflow="fold")
    for row in rows:
        table.add_row(*(Text(clean(cell)) for cell in row))
    console.print(table)
