"""Forms of settings that hold several values: rules, words, numbers, areas, points."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import Any

from cutprep.errors import JobError
from cutprep.job.settings.forms import WORD_OF, Find, Form, as_number, in_mm, told_at
from cutprep.model.rules import LineKind, parse_colour, parse_kind
from cutprep.stages.mend.mending import Left
from cutprep.tables import Table, suggest
from cutprep.units import plural

#: Four sides of an area, mm; or a drawing and the name of a layer in it, "" for every cut.
Area = tuple[float, float, float, float] | tuple[Path, str]
#: Where a point of the plan really lies on the mat: plan x, plan y, mat x, mat y, mm.
Point = tuple[float, float, float, float]
SIDES = ("left", "bottom", "right", "top")


def operations(metavar: str, *, colours: bool = False) -> Form:
    """What layers or colours are for: name to operation."""

    def read(table: Table, key: str, _: Find) -> tuple[tuple[str, LineKind], ...]:
        rows = table.table(key)
        kinds = [told_at(rows, name, parse_kind, rows.text(name)) for name in rows.values]
        names = [told_at(rows, name, parse_colour, name) if colours else name for name in rows.values]
        return tuple(zip(names, kinds, strict=True))

    def plain(value: tuple[tuple[str, LineKind], ...]) -> dict[str, str]:
        return {name: WORD_OF[kind] for name, kind in value}

    def say(value: tuple[tuple[str, LineKind], ...]) -> str:
        return ", ".join(f"{name}={word}" for name, word in plain(value).items()) or "none"

    return Form(metavar, read, raw=_rules, plain=plain, say=say, repeated=True)


def words(choices: Sequence[str]) -> Form:
    """Several words of a list, each once."""

    def read(table: Table, key: str, _: Find) -> tuple[str, ...]:
        found = table.texts(key)
        for word in found:
            if word not in choices:
                raise table.fail(key, f"'{word}' is not known", suggest(word, choices))
        return tuple(dict.fromkeys(found))

    return Form(
        "WORD",
        read,
        raw=_texts,
        plain=list,
        say=lambda value: ", ".join(value) or "none",
        repeated=True,
        choices=tuple(choices),
    )


def names() -> Form:
    """What is written on each copy: a file with a list, or the texts themselves."""

    def read(table: Table, key: str, find: Find) -> Path | tuple[str, ...]:
        if isinstance(table.values[key], str):
            return find(table, key, table.text(key))
        return table.texts(key)

    return Form(
        "LIST",
        read,
        raw=lambda given: str(given) if isinstance(given, str | Path) else list(given),
        plain=lambda value: str(value) if isinstance(value, Path) else list(value),
        say=lambda value: str(value) if isinstance(value, Path) else ", ".join(value) or "none",
    )


@dataclass(frozen=True, slots=True)
class OwnPiece:
    """A piece of a drawing with a card or a count of its own; no card is the drawing's."""

    name: str
    stock: str = ""
    count: int = 1


def pieces() -> Form:
    """Pieces of a drawing with a card or a count of their own."""

    def read(table: Table, key: str, _: Find) -> tuple[OwnPiece, ...]:
        found: list[OwnPiece] = []
        for row in table.tables(key):
            one = OwnPiece(row.text("name"), row.text("stock", ""), row.whole("count", 1, least=1))
            if one.name.lower() in {other.name.lower() for other in found}:
                raise row.fail("name", f"'{one.name}' stands twice")
            row.finish()
            found.append(one)
        return tuple(found)

    return Form(
        "PIECE=CARD[,N]",
        read,
        raw=lambda given: [_own_piece(one) for one in ([given] if isinstance(given, str) else given)],
        plain=lambda value: list(map(asdict, value)),
        say=lambda value: ", ".join(f"{p.count} x {p.name} {p.stock}".strip() for p in value) or "none",
        repeated=True,
    )


def _own_piece(given: str | Mapping[str, Any]) -> dict[str, Any]:
    """Read "lid=kraft-280", "lid=kraft-280,2" or "lid=,2"."""
    if isinstance(given, Mapping):
        return dict(given)
    name, sign, rest = given.partition("=")
    stock, comma, count = rest.partition(",")
    if not sign or not name.strip() or (comma and not count.strip().isdecimal()):
        raise JobError(
            f"'{given}' does not say a piece and its card",
            fix="Write for example lid=kraft-280, or lid=kraft-280,2.",
        )
    return {"name": name.strip(), "stock": stock.strip(), "count": int(count) if comma else 1}


def left() -> Form:
    """Single changes of mending that are not made."""

    def read(table: Table, key: str, _: Find) -> tuple[Left, ...]:
        found = []
        for row in table.tables(key):
            at = row.point("at")
            found.append(told_at(row, "code", partial(Left, at=at), row.text("code")))
            row.finish()
        return tuple(found)

    return Form(
        "CODE@X,Y",
        read,
        raw=lambda given: [_left(one) for one in ([given] if isinstance(given, str) else given)],
        plain=lambda value: [{"code": one.code, "at": list(one.at)} for one in value],
        say=lambda value: "; ".join(f"{one.code} at {one.at[0]:g}, {one.at[1]:g}" for one in value) or "none",
        repeated=True,
    )


def _left(given: str | Mapping[str, Any]) -> dict[str, Any]:
    """Read "closed-gap@70,12.5"."""
    if isinstance(given, Mapping):
        return dict(given)
    code, sign, place = given.partition("@")
    numbers = place.split(",")
    if not sign or len(numbers) != 2:
        raise JobError(
            f"'{given}' does not say a change and its place", fix="Write for example closed-gap@70,12.5."
        )
    return {"code": code.strip(), "at": list(map(as_number, numbers))}


def numbers() -> Form:
    """Several numbers; on the command line with commas between."""

    def read(table: Table, key: str, _: Find) -> tuple[float, ...]:
        table.has(key)
        value = table.values[key]
        if not isinstance(value, list) or not all(map(_is_number, value)):
            raise table.fail(key, "is not a list of numbers", f"Write {key} = [80, 120].")
        return tuple(map(float, value))

    return Form(
        "N,N,...",
        read,
        raw=lambda given: list(map(as_number, given.split(","))) if isinstance(given, str) else list(given),
        plain=list,
        say=lambda value: ", ".join(f"{v:g}" for v in value) or "none",
    )


def areas() -> Form:
    """Areas of a sheet: four sides, or a drawing."""

    def read(table: Table, key: str, find: Find) -> tuple[Area, ...]:
        return tuple(_read_area(row, find) for row in table.tables(key))

    def say(value: tuple[Area, ...]) -> str:
        return "; ".join(" ".join(f"{k} {v}" for k, v in _plain_area(area).items() if v) for area in value)

    return Form(
        "L,B,R,T|FILE",
        read,
        raw=lambda given: list(map(_area, _texts(given))),
        plain=lambda value: list(map(_plain_area, value)),
        say=lambda value: say(value) or "none",
        repeated=True,
    )


def points() -> Form:
    """Points of the plan, and where they really lie."""

    def read(table: Table, key: str, _: Find) -> tuple[Point, ...]:
        return tuple(map(_read_point, table.tables(key)))

    def say(value: tuple[Point, ...]) -> str:
        return "; ".join(f"{x:g}, {y:g} at {u:g}, {v:g} mm" for x, y, u, v in value)

    return Form(
        "X,Y=X,Y",
        read,
        raw=lambda given: list(map(_point, _texts(given))),
        plain=lambda value: [{"plan": [*map(in_mm, p[:2])], "mat": [*map(in_mm, p[2:])]} for p in value],
        say=lambda value: say(value) or "none",
        repeated=True,
    )


def _texts(given: str | Path | Iterable[str | Path]) -> list[str]:
    return [str(given)] if isinstance(given, str | Path) else list(map(str, given))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _rules(given: Mapping[str, str] | str | Iterable[str]) -> dict[str, str]:
    """Rules as a table: a mapping as it is, or texts `NAME=OPERATION`."""
    if isinstance(given, Mapping):
        return dict(given)
    found = {}
    for text in _texts(given):
        name, sign, word = text.rpartition("=")
        if not sign or not name.strip():
            raise JobError(f"the rule '{text}' has no name or no operation", fix="Write for example lid=cut.")
        found[name.strip()] = word
    return found


def _read_area(row: Table, find: Find) -> Area:
    if row.has("drawing"):
        drawn = (find(row, "drawing", row.text("drawing")), row.text("layer", ""))
        row.finish()
        return drawn
    left, bottom, right, top = (row.length(side, None) for side in SIDES)
    row.finish()
    if not (left < right and bottom < top):
        raise row.fail(
            "",
            "the area to keep out of is empty: left must be less than right, and bottom less than top",
            "Give left, bottom, right and top, each with its unit.",
        )
    return left, bottom, right, top


def _plain_area(area: Area) -> dict[str, str]:
    if isinstance(area[0], Path):
        return {"drawing": str(area[0]), "layer": str(area[1])}
    return {side: in_mm(float(value)) for side, value in zip(SIDES, area, strict=True)}


def _area(text: str) -> dict[str, str]:
    """Read "used.svg", "used.svg:LAYER" or four lengths with commas between."""
    match = re.fullmatch(r"(?is)(.+\.(?:svg|svgz|dxf))(?::(.+))?", text.strip())
    if match:
        return {"drawing": match[1], "layer": match[2] or ""}
    return dict(zip(SIDES, _four(text, text), strict=True))


def _read_point(row: Table) -> Point:
    (x, y), (u, v) = row.lengths("plan", 2, None), row.lengths("mat", 2, None)
    row.finish()
    return x, y, u, v


def _point(text: str) -> dict[str, list[str]]:
    sides = _four(text, text.replace("=", ","))
    return {"plan": sides[:2], "mat": sides[2:]}


def _four(text: str, listed: str) -> list[str]:
    parts = [part.strip() for part in listed.split(",")]
    if len(parts) != 4:
        raise JobError(
            f"'{text}' has {plural(len(parts), 'length')} where 4 are needed", fix="Put commas between them."
        )
    return parts
