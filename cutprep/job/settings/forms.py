"""In which forms a setting is written: on the command line, in a job file, from Python, and back again.

A form turns a word of the command line or a value of Python into what a TOML file would hold, and
reads that; so each value is checked in one place, whichever way it came. `plain` is the way back.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from cutprep import units
from cutprep.errors import CutprepError, JobError
from cutprep.model.rules import CHOICES, parse_kind
from cutprep.tables import MOST_WHOLE, Table

#: Finds a file that a key names; refuses one that may not be read.
Find = Callable[[Table, str, str], Path]
#: Reads a key that is there, and checks it; an error names the key.
Read = Callable[[Table, str, Find], Any]
#: Operation to the word that a rule says it with.
WORD_OF = {kind: word for word, kind in reversed(CHOICES.items())}

#: Endings of files that hold a font.
FONTS = (".ttf", ".otf", ".ttc")
#: Digits after the point of a length that is said; what is kept has all of them.
_SAID = 6


def _same(given: Any) -> Any:
    return given


@dataclass(frozen=True, slots=True)
class Form:
    """How one kind of value is written.

    Attributes
    ----------
    metavar
        What the help calls it; "" for a flag, which stands for itself.
    read
        Reads and checks a key of a TOML table that is there.
    raw
        What that table would hold, from an option's word or a value of Python.
    plain
        What a TOML file or JSON holds for a value: `read` makes the same value of it.
    say
        A value for a person; None says what is plain.
    repeated
        Its option may stand several times.
    whole
        Its option's word is a whole number.
    choices
        The words that it is one of, or some of.
    """

    metavar: str
    read: Read
    raw: Callable[[Any], Any] = _same
    plain: Callable[[Any], Any] = _same
    say: Callable[[Any], str] = str
    repeated: bool = False
    whole: bool = False
    choices: tuple[str, ...] = ()


def text(metavar: str = "TEXT") -> Form:
    """Any words."""
    return Form(metavar, lambda table, key, _: table.text(key))


def sheet() -> Form:
    """A size by its name or its sides; from Python also as (width, height) in mm."""

    def raw(given: Any) -> Any:
        return _size_in_mm(given) if isinstance(given, tuple) and len(given) == 2 else given

    return replace(text("NAME|SIZE"), raw=raw)


def file_name(metavar: str = "FILE") -> Form:
    """A file; in a job file, one beside it."""
    return Form(metavar, lambda table, key, find: find(table, key, table.text(key)), raw=str, plain=str)


def font() -> Form:
    """A font's name, or its file; in a job file, one beside it."""

    def read(table: Table, key: str, find: Find) -> str:
        name = table.text(key)
        return str(find(table, key, name)) if Path(name).suffix.lower() in FONTS else name

    return Form("NAME", read, raw=str)


def profile() -> Form:
    """A profile's name, or its file; from Python also the profile itself."""

    def name_of(value: Any) -> str:
        return str(getattr(value, "name", value))

    def raw(given: Any) -> Any:
        return str(given) if isinstance(given, Path) else given

    return Form("NAME", _read_profile, raw=raw, plain=name_of, say=name_of)


def _read_profile(table: Table, key: str, find: Find) -> Any:
    value = table.values[key]
    if hasattr(value, "name"):
        table.has(key)
        return value
    name = table.text(key)
    return str(find(table, key, name)) if name.endswith(".toml") else name


def choice(choices: Sequence[str], metavar: str = "WORD") -> Form:
    """One word of several."""
    return Form(metavar, lambda table, key, _: table.choice(key, choices), choices=tuple(choices))


def flag() -> Form:
    """Yes or no."""
    return Form("", lambda table, key, _: table.flag(key, False), say=lambda on: "yes" if on else "no")


def whole(*, least: int = 0, most: int = MOST_WHOLE) -> Form:
    """A whole number within limits."""
    return Form("NUMBER", lambda table, key, _: table.whole(key, None, least=least, most=most), whole=True)


def number(*, least: float = 0.0, most: float = math.inf) -> Form:
    """A number within limits."""
    return Form(
        "NUMBER",
        lambda table, key, _: table.number_in(key, None, least=least, most=most),
        raw=lambda given: as_number(given) if isinstance(given, str) else given,
        say=lambda value: f"{value:g}",
    )


def length(*, least: float = 0.0, most: float = math.inf) -> Form:
    """A length with its unit, within limits in mm; a number of Python is mm."""
    return Form(
        "LENGTH",
        lambda table, key, _: table.length(key, None, least=least, most=most),
        raw=in_mm,
        plain=in_mm,
        say=lambda mm: in_mm(round(mm, _SAID)),
    )


def size() -> Form:
    """A width and a height; a pair of Python is mm."""
    return Form(
        "SIZE",
        lambda table, key, _: table.size(key, None),
        raw=lambda given: given if isinstance(given, str) else _size_in_mm(given),
        plain=_size_in_mm,
        say=lambda sides: _size_in_mm((round(sides[0], _SAID), round(sides[1], _SAID))),
    )


def unit() -> Form:
    """The name of a unit."""
    return Form("UNIT", lambda table, key, _: told_at(table, key, units.unit_name, table.text(key)))


def operation() -> Form:
    """What some lines are for."""
    return Form(
        "OPERATION",
        lambda table, key, _: told_at(table, key, parse_kind, table.text(key)),
        plain=WORD_OF.__getitem__,
        say=WORD_OF.__getitem__,
        choices=tuple(WORD_OF.values()),
    )


def told_at(table: Table, key: str, parse: Callable[[str], Any], word: str) -> Any:
    """Parse a word; an error names the key that holds it.

    Parameters
    ----------
    table
        The table of the file.
    key
        That holds the word, for the error.
    parse
        Makes the value of it.
    word
        As it was written.

    Raises
    ------
    InputError
        With what is wrong with the word.
    """
    try:
        return parse(word)
    except CutprepError as fault:
        raise table.fail(key, fault.problem, fault.fix) from None


def in_mm(given: str | float) -> str:
    """A length as text: a number is mm, with all its digits."""
    return given if isinstance(given, str) else f"{_digits(given)}mm"


def _size_in_mm(sides: tuple[float, float]) -> str:
    return f"{_digits(sides[0])}x{_digits(sides[1])}mm"


def _digits(mm: float) -> str:
    return format(Decimal(repr(float(mm))), "f").removesuffix(".0")


def as_number(word: str) -> float:
    """Read a number.

    Raises
    ------
    JobError
        When it is none.
    """
    try:
        return float(word)
    except ValueError:
        raise JobError(f"'{word.strip()}' is no number") from None
