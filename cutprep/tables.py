"""Reading settings from TOML: every value checked, every error with file, line and key.

The standard library's parser gives values without line numbers; the line of a key is found
again in the text, which is all that an error message needs.
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from cutprep import units
from cutprep.errors import InputError, JobError, Place
from cutprep.files import load_bytes

_LARGEST_FILE = 2_000_000
#: No whole number that is asked for is larger, where nothing else is said.
MOST_WHOLE = 1_000_000
_DOTTED = re.compile(r"(?<![\w.-])(?:[\w-]++[ \t]*+\.[ \t]*+){64}")


#: More names than this are not listed when none of them is near.
_MOST_KNOWN = 20


def suggest(word: str, known: Sequence[str]) -> str:
    """Say which known words are close to an unknown one, capitals or not, or all when none is."""
    lowered = {one.lower(): one for one in known}
    close = difflib.get_close_matches(word.lower(), list(lowered), n=3, cutoff=0.6)
    if close:
        return f"Did you mean {' or '.join(lowered[one] for one in close)}?"
    more = f" and {len(known) - _MOST_KNOWN} more" if len(known) > _MOST_KNOWN else ""
    return f"Known: {', '.join(known[:_MOST_KNOWN])}{more}." if known else "None are known."


def quoted(text: str) -> str:
    """A TOML basic string: quotes, backslashes and control characters are escaped (TOML 1.0)."""
    escaped = "".join(
        f"\\{c}"
        if c in '"\\'
        else c
        if c.isprintable()
        else f"\\u{ord(c):04x}"
        if ord(c) < 0x10000
        else f"\\U{ord(c):08x}"
        for c in text
    )
    return f'"{escaped}"'


class Table:
    """One table of a settings file; each key is asked for once, and none may be left over.

    Parameters
    ----------
    values
        The parsed table.
    file
        Name of the file for messages.
    text
        The file's text, to find lines in.
    path
        Keys that lead to this table.
    number
        Which entry of an array of tables this is, from 0.
    error
        Exception class to raise.
    """

    def __init__(
        self,
        values: dict[str, Any],
        *,
        file: str = "",
        text: str = "",
        path: tuple[str, ...] = (),
        number: int | None = None,
        error: type[InputError] = JobError,
    ) -> None:
        self.values = values
        self.file = file
        self.source = text
        self.path = path
        self.number = number
        self.error = error
        self.asked: list[str] = []

    @classmethod
    def load(cls, path: Path, *, error: type[InputError] = JobError) -> Table:
        """Read a TOML file.

        Raises
        ------
        InputError
            When the file is missing, too large, not text, or not TOML.
        """
        name = str(path)
        try:
            text = load_bytes(path, _LARGEST_FILE).decode("utf-8")
            if _DOTTED.search(text):  # the parser takes longer with the square of the parts
                raise error(
                    "a key has more than 64 parts",
                    fix="Compare it with the example in docs/.",
                    place=Place(file=name),
                )
            return cls(tomllib.loads(text), file=name, text=text, error=error)
        except OSError as fault:
            raise error(f"the file can't be read ({fault.strerror})", place=Place(file=name)) from None
        except RecursionError:
            raise error(
                "lists or tables are nested too deeply",
                fix="Compare it with the example in docs/.",
                place=Place(file=name),
            ) from None
        except ValueError as fault:  # no text, no TOML, or a number of thousands of digits
            line = re.search(r"line (\d+)", str(fault))
            place = Place(file=name, line=int(line[1]) if line else None)
            raise error(
                f"this is not TOML: {fault}", fix="Compare it with the example in docs/.", place=place
            ) from None

    def fail(self, key: str, problem: str, fix: str = "") -> InputError:
        """Make the error for a key, with its file, line and full name."""
        place = Place(file=self.file or None, line=self._line(key))
        dotted = ".".join((*self.path, key)) if key else ".".join(self.path)
        return self.error(f"{dotted}: {problem}" if dotted else problem, fix=fix, place=place)

    def _line(self, key: str) -> int | None:
        """Find the line of a key below its table's heading."""
        wanted = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[=.]")
        heading = re.compile(r"\s*\[\[?\s*([^\]]+?)\s*\]\]?\s*(#.*)?$")
        at, seen = "", -1
        for i, row in enumerate(self.source.splitlines(), 1):
            head = heading.match(row)
            if head:
                at = head[1].replace('"', "").replace(" ", "")
                seen += at == ".".join(self.path)
                if at == ".".join((*self.path, key)):
                    return i
            elif at == ".".join(self.path) and self.number in (None, seen) and wanted.match(row):
                return i
        return None

    def _get(self, key: str) -> Any:
        self.asked.append(key)
        return self.values.get(key)

    def has(self, key: str) -> bool:
        """Whether the key stands in the table; asking makes it a known one."""
        self.asked.append(key)
        return key in self.values

    def text(self, key: str, default: str | None = None) -> str:
        """A text; needed when there is no default."""
        value = self._get(key)
        if value is None:
            if default is None:
                raise self.fail(key, "is missing", f'Add {key} = "...".')
            return default
        if not isinstance(value, str):
            raise self.fail(key, f"is {value!r}, not a text", "Put it in quotes.")
        return value

    def choice(self, key: str, known: Sequence[str], default: str | None = None) -> str:
        """A text out of a known list."""
        value = self.text(key, default)
        if value not in known:
            raise self.fail(key, f"'{value}' is not known", suggest(value, known))
        return value

    def texts(self, key: str, default: Sequence[str] = ()) -> tuple[str, ...]:
        """A list of texts; one text alone will do."""
        value = self._get(key)
        if value is None:
            return tuple(default)
        value = [value] if isinstance(value, str) else value
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            raise self.fail(key, "is not a list of texts", f'Write {key} = ["...", "..."].')
        return tuple(value)

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.fail(key, f"is {value!r}", "Write true or false.")
        return value

    def number_in(
        self, key: str, default: float | None, *, least: float = -math.inf, most: float = math.inf
    ) -> float:
        """A number within limits; needed when there is no default.

        Parameters
        ----------
        key
            Name of the setting.
        default
            Taken where it is missing; None when it must be there.
        least, most
            Limits, both allowed.
        """
        value = self._get(key)
        if value is None:
            if default is None:
                raise self.fail(key, "is missing", f"Add {key} = a number.")
            return default
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fail(key, f"is {value!r}, not a number")
        try:
            return self._within(key, float(value), least, most, "")
        except OverflowError:
            raise self.fail(key, "is a number beyond all limits") from None

    def whole(self, key: str, default: int | None, *, least: int = 0, most: int = MOST_WHOLE) -> int:
        """A whole number within limits.

        Parameters
        ----------
        key, default
            As for `number_in`.
        least, most
            Limits, both allowed.
        """
        raw = self._get(key)
        if raw is not None and (isinstance(raw, bool) or not isinstance(raw, int | float)):
            raise self.fail(key, f"is {raw!r}, not a whole number")
        value = self.number_in(key, default, least=least, most=most)
        if value != int(value):
            raise self.fail(key, f"is {value}, not a whole number")
        return int(value)

    def length(self, key: str, default: float | None, *, least: float = 0.0, most: float = math.inf) -> float:
        """A length with its unit, given back in mm.

        Parameters
        ----------
        key, default
            As for `number_in`; the default in mm.
        least, most
            Limits, both allowed, mm.
        """
        value = self._get(key)
        if value is None:
            if default is None:
                raise self.fail(key, "is missing", f'Add {key} = "10mm".')
            return default
        return self._within(key, self._length(key, value), least, most, " mm")

    def lengths(self, key: str, count: int, default: Sequence[float] | None) -> tuple[float, ...]:
        """A list of lengths, in mm."""
        value = self._get(key)
        if value is None:
            if default is None:
                raise self.fail(key, "is missing")
            return tuple(default)
        if not isinstance(value, list) or len(value) != count:
            raise self.fail(key, f"needs a list of {count} lengths")
        return tuple(self._length(key, v) for v in value)

    def point(self, key: str) -> tuple[float, float]:
        """A place in the drawing, such as [90, 30]: plain mm, as drawn."""
        return self._point(key, self._get(key))

    def points(self, key: str, *, least: int = 2) -> tuple[tuple[float, float], ...]:
        """A list of at least so many places in the drawing."""
        value = self._get(key)
        if not isinstance(value, list) or len(value) < least:
            raise self.fail(
                key, f"needs a list of at least {least} places", f"Write {key} = [[90, 30], [120, 30]]."
            )
        return tuple(self._point(key, v) for v in value)

    def _point(self, key: str, value: Any) -> tuple[float, float]:
        numbers = isinstance(value, list) and all(
            isinstance(v, int | float) and not isinstance(v, bool) and math.isfinite(v) for v in value
        )
        if not numbers or len(value) != 2:
            raise self.fail(key, f"is {value!r}, not a place", f"Write {key} = [90, 30], in mm as drawn.")
        return float(value[0]), float(value[1])

    def size(self, key: str, default: tuple[float, float] | None) -> tuple[float, float]:
        """A width and height such as "305x610mm", in mm."""
        value = self._get(key)
        if value is None:
            if default is None:
                raise self.fail(key, "is missing", f'Add {key} = "305x305mm".')
            return default
        try:
            return units.size(str(value))
        except JobError as fault:
            raise self.fail(key, fault.problem, fault.fix) from None

    def table(self, key: str) -> Table:
        """A table below this one; empty when it is not there."""
        value = self._get(key)
        if value is None:
            value = {}
        if not isinstance(value, dict):
            raise self.fail(key, "is not a table", f"Write [{'.'.join((*self.path, key))}].")
        return self._below(key, value, None)

    def tables(self, key: str) -> tuple[Table, ...]:
        """An array of tables below this one."""
        value = self._get(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            raise self.fail(key, "is not a list of tables", f"Write [[{key}]].")
        return tuple(self._below(key, v, i) for i, v in enumerate(value))

    def _below(self, key: str, values: dict[str, Any], number: int | None) -> Table:
        return Table(
            values,
            file=self.file,
            text=self.source,
            path=(*self.path, key),
            number=number,
            error=self.error,
        )

    def _length(self, key: str, value: Any) -> float:
        if not isinstance(value, str):
            raise self.fail(key, f"the length {value!r} has no unit", f'Write "{value}mm".')
        try:
            return units.length(value)
        except JobError as fault:
            raise self.fail(key, fault.problem, fault.fix) from None

    def _within(self, key: str, value: float, least: float, most: float, unit: str) -> float:
        if not math.isfinite(value) or value < least:
            raise self.fail(key, f"is {value:g}{unit}; it must be at least {least:g}{unit}")
        if value > most:
            raise self.fail(key, f"is {value:g}{unit}; it must be at most {most:g}{unit}")
        return value

    def finish(self) -> None:
        """Refuse keys that nobody asked for.

        Raises
        ------
        InputError
            Naming the unknown key and the nearest known one.
        """
        for key in self.values:
            if key not in self.asked:
                raise self.fail(key, "is not a known key", suggest(key, sorted(set(self.asked))))
