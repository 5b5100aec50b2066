"""What each target of a job file is set to, and where each value came from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from pathlib import Path

from cutprep.job.file import YOURS
from cutprep.job.settings.resolve import Resolved, Source, as_typed, read_layer, resolve, written_out
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import of_scope
from cutprep.tables import Table


def resolved(path: Path) -> dict[str, Resolved]:
    """What each target of a job file is set to, with where each value came from.

    Raises
    ------
    JobError
        When the file, or a value in it, can't be used.
    """
    return resolved_of(Table.load(path))


def copies_wanted(values: Mapping[str, Resolved], row: int) -> int:
    """How many copies of a drawing are made for all sets, with what is spare."""
    own, sets = values[f"template-{row}"], int(values["job"]["sets"])
    return math.ceil(round(int(own["copies"]) * sets * (1 + float(own["spare"]) / 100), 6))


def sizes_of(targets: Iterable[str], card: str) -> list[str]:
    """Of all targets the sizes of one card, such as "card-1"."""
    return [target for target in targets if target.startswith(f"sheet-{card.removeprefix('card-')}-")]


def resolved_of(table: Table) -> dict[str, Resolved]:
    """The same of a job file that was read.

    Raises
    ------
    JobError
        When a value in it can't be used.
    """
    told = frozenset(name.lower() for name in table.texts(YOURS))
    base = read_layer(of_scope(Scope.JOB), table, Source.JOB, as_typed, by_key=True)
    found = {"job": resolve(of_scope(Scope.JOB), written_out(base, told))}
    cards = table.tables("stock") if not isinstance(table.values.get("stock"), str) else ()
    if not cards:
        layer = written_out(read_layer(of_scope(Scope.CARD, Scope.SHEET), table, Source.JOB, as_typed), told)
        found["card-0"] = resolve(of_scope(Scope.CARD), layer)
        found["sheet-0-0"] = resolve(of_scope(Scope.SHEET), layer)
    for i, card in enumerate(cards):
        found[f"card-{i}"] = resolve(
            of_scope(Scope.CARD), read_layer(of_scope(Scope.CARD), card, Source.JOB, as_typed, by_key=True)
        )
        for j, size in enumerate(card.tables("sheet") or [Table({})]):
            layer = read_layer(of_scope(Scope.SHEET), size, Source.JOB, as_typed, by_key=True)
            found[f"sheet-{i}-{j}"] = resolve(of_scope(Scope.SHEET), layer)
    shared = written_out(read_layer(of_scope(Scope.TEMPLATE), table, Source.JOB, as_typed, by_key=True), told)
    for i, row in enumerate(table.tables("template")):
        layer = read_layer(of_scope(Scope.TEMPLATE), row, Source.JOB, as_typed, by_key=True)
        found[f"template-{i}"] = resolve(of_scope(Scope.TEMPLATE), shared, layer)
    return found
