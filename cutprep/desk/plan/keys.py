"""Keys of a TOML document that is changed in place; a dot leads into a table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit


def get_key(table: Any, key: str) -> Any:
    """What stands under a key; None where nothing does."""
    head, dot, tail = key.rpartition(".")
    row = table.get(head) if dot else table
    return None if row is None else row.get(tail if dot else key)


def put_key(table: Any, key: str, raw: Any) -> None:
    """Put something under a key; a list of mappings becomes tables."""
    head, dot, tail = key.rpartition(".")
    if dot:
        if head not in table:
            table[head] = tomlkit.table()
        table = table[head]
    key = tail if dot else key
    if isinstance(raw, list) and raw and all(isinstance(one, Mapping) for one in raw):
        rows = tomlkit.aot()
        for one in raw:
            row = tomlkit.table()
            row.update(one)
            rows.append(row)
        raw = rows
    if isinstance(raw, list):
        table.pop(key, None)
    table[key] = raw


def drop_key(table: Any, key: str) -> None:
    """Take a key out, and its table when nothing is left in it."""
    head, dot, tail = key.rpartition(".")
    row = table.get(head) if dot else table
    if row is None:
        return
    row.pop(tail if dot else key, None)
    if dot and not row:
        table.pop(head, None)
