"""The list of what is written: rows of words, by the names that stand in braces on the drawing."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from cutprep.errors import JobError, Place, at
from cutprep.files import load_bytes
from cutprep.tables import suggest

#: A list of a hundred thousand names is smaller.
_LARGEST = 10_000_000
_TABLES = (".csv", ".tsv")
_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
_WRITE = "Write one name a line, or save a table as CSV (UTF-8) with a column for each word in braces."


def read_list(source: Path | Sequence[str], wanted: Sequence[str]) -> tuple[dict[str, str], ...]:
    """Read what each copy gets.

    Parameters
    ----------
    source
        A file, one name a line or a table (.csv, .tsv), or the names themselves.
    wanted
        Words in braces on the drawing, in lower case.

    Returns
    -------
    tuple of dict
        Word to text, one for each copy, in the order of the list; rows that say nothing are left out.

    Raises
    ------
    JobError
        When the file can't be read, lacks a column, or says nothing at all.
    """
    if not isinstance(source, Path):
        return _filled(_columns([[name] for name in source], wanted), "the list of names")
    with at(file=source.name):
        text = _text(source)
        table = source.suffix.lower() in _TABLES
        rows = _cells(text) if table else [[line] for line in text.splitlines()]
        return _filled(_columns(rows, wanted), f"'{source.name}'")


def _text(path: Path) -> str:
    try:
        data = load_bytes(path, _LARGEST)
    except OSError as fault:
        missing = isinstance(fault, FileNotFoundError)
        raise JobError(
            "there is no such file" if missing else f"the file can't be read ({fault.strerror})",
            fix="Check the name and the folder of the list." if missing else _WRITE,
        ) from None
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "utf-8")
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        raise JobError(
            "the list is not written in UTF-8, so its accents can't be told",
            fix="Save it again as 'CSV UTF-8' or as text in UTF-8.",
            place=Place(line=line),
        ) from None
    if "\x00" in text:
        raise JobError("this is no list of names, but something else", fix=_WRITE)
    return text


def _cells(text: str) -> list[list[str]]:
    """Rows of a table; what parts its cells is whatever its first line has most of."""
    first = text.lstrip().partition("\n")[0]
    parted = max(",;\t", key=first.count)
    try:
        return [
            row for row in csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True) if row
        ]
    except csv.Error as fault:
        raise JobError(f"the table can't be read ({fault})", fix=_WRITE) from None


def _columns(rows: list[list[str]], wanted: Sequence[str]) -> list[dict[str, str]]:
    """Rows by the names of their columns; a single column needs no name."""
    rows = [[" ".join(cell.split()) for cell in row] for row in rows]
    rows = [row for row in rows if any(row)]
    head = [cell.lower() for cell in rows[0]] if rows else []
    if any(word in head for word in wanted) and not (len(head) == 1 and len(rows) == 1):
        lacking = [word for word in wanted if word not in head]
        if lacking:
            raise _no_column(lacking[0], rows[0])
        found = [dict(zip(head, row, strict=False)) for row in rows[1:]]
        return [row for row in found if any(row.get(word) for word in wanted)]
    if len(wanted) > 1 or any(len(row) > 1 and any(row[1:]) for row in rows):
        raise _no_column(
            next((word for word in wanted if word not in head), wanted[0]), rows[0] if rows else []
        )
    return [{wanted[0]: row[0]} for row in rows]


def _no_column(word: str, head: Sequence[str]) -> JobError:
    shown = ", ".join(f"'{cell}'" for cell in head[:8] if cell) or "nothing"
    return JobError(
        f"the list has no column '{word}', which the drawing asks for with {{{word}}}; its first row holds {shown}",
        fix=suggest(word, [cell.lower() for cell in head]) if head else _WRITE,
    )


def _filled(rows: list[dict[str, str]], name: str) -> tuple[dict[str, str], ...]:
    if not rows:
        raise JobError(f"{name} holds no name", fix=_WRITE)
    return tuple(rows)
