"""The table of a set: its pieces, and what goes into what. It is read from TOML, and written as TOML."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from cutprep import units
from cutprep.errors import JobError
from cutprep.tables import Table, quoted, suggest
from cutprep.template.dimensions import Dimension, number, said
from cutprep.template.family.hollow import HOLLOW
from cutprep.template.kinds import KINDS

_ACROSS = ("columns", "rows", "layers")
_MOST = 1000
#: Nobody's card or play is more, mm.
_WIDEST = 100.0
_PLAY = "0.5mm"
LINER = "envelope-liner"
#: What stands or lies in another piece, and the kinds that it can be in.
_INSIDE = {
    "divider": {kind for kind, hollow in HOLLOW.items() if hollow.room[:2] == ("length", "width")},
    LINER: {"envelope"},
}


@dataclass(frozen=True, slots=True)
class SetPiece:
    """One piece of a set.

    Attributes
    ----------
    name, kind
        Its own name, and the template that it is drawn as.
    count
        How many the set has; 0: as many as what takes it has room for.
    stock
        The card it is cut from; empty for any.
    takes
        Name of the piece that goes into it, or "".
    grid
        How many of those stand along its length, its width and its height.
    stands_in
        Name of the tray that this divider stands in, or "".
    play
        Room on each side of what it takes, as it is typed; empty for the set's.
    words
        Dimensions as they are typed.
    """

    name: str
    kind: str
    count: int = 0
    stock: str = ""
    takes: str = ""
    grid: tuple[int, int, int] = (1, 1, 1)
    stands_in: str = ""
    play: str = ""
    words: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PieceSet:
    """A set of pieces.

    Attributes
    ----------
    title
        For the list and the job sheet.
    caliper, play
        Of all pieces that say no other, as they are typed; the caliper is empty where each card has its own.
    """

    title: str
    pieces: tuple[SetPiece, ...]
    caliper: str = ""
    play: str = _PLAY

    @property
    def unit(self) -> str:
        """The unit that it is worked in: "in" where a dimension of a piece is typed in inches."""
        return units.worked_in(word for piece in self.pieces for _, word in piece.words)


def read_set(table: Table) -> PieceSet:
    """Read a set.

    Raises
    ------
    JobError
        Naming file, line and key of what can't be used.
    """
    title = table.text("title", "A set")
    caliper, play = _length(table, "caliper", ""), _length(table, "play", _PLAY)
    rows = table.tables("piece")
    if not rows:
        raise table.fail("piece", "the set has no piece", "Add a [[piece]] table with a name and a kind.")
    names = [str(row.values.get("name", "")) for row in rows]
    for row, name in zip(rows, names, strict=True):
        if names.count(name) > 1:
            raise row.fail("name", f"two pieces are called '{name}'", "Give each its own name.")
    pieces = tuple(_piece(row, names) for row in rows)
    kinds = {piece.name: piece.kind for piece in pieces}
    for row, piece in zip(rows, pieces, strict=True):
        if piece.stands_in and kinds[piece.stands_in] not in _INSIDE[piece.kind]:
            raise row.fail(
                "stands_in",
                f"{units.with_article(piece.kind)} has no place in {units.with_article(kinds[piece.stands_in])}",
                f"It goes into: {', '.join(sorted(_INSIDE[piece.kind]))}.",
            )
    table.finish()
    return PieceSet(title, pieces, caliper, play)


def _length(table: Table, key: str, default: str) -> str:
    if not table.has(key):
        return default
    table.length(key, None, most=_WIDEST)
    return table.text(key)


def _piece(row: Table, names: list[str]) -> SetPiece:
    name = row.text("name")
    if not name or not all(c.isalnum() or c in "-_" for c in name) or len(name) > 40:
        raise row.fail("name", f"'{name}' is not a plain name", "Use letters, digits, - and _ only.")
    kind = row.choice("kind", list(KINDS))
    takes, stands_in = (_other(row, key, name, names) for key in ("takes", "stands_in"))
    if takes and not (kind in HOLLOW and HOLLOW[kind].room):
        can = ", ".join(k for k, hollow in HOLLOW.items() if hollow.room)
        raise row.fail(
            "takes", f"{units.with_article(kind)} can't be drawn round another piece", f"These can: {can}."
        )
    if stands_in and kind not in _INSIDE:
        raise row.fail(
            "stands_in",
            f"{units.with_article(kind)} stands in no other piece",
            f"These do: {', '.join(_INSIDE)}.",
        )
    known = {d.name: d for d in KINDS[kind].all_dimensions}
    grid = (1, 1, 1)
    if takes:
        grid = tuple(row.whole(key, 1, least=1, most=_MOST) for key in _ACROSS)  # type: ignore[assignment]
    words = {key: _word(row, key) for key in known if row.has(key) and not (takes and key in _ACROSS)}
    found = SetPiece(
        name=name,
        kind=kind,
        count=row.whole("count", 0, most=_MOST),
        stock=row.text("stock", ""),
        takes=takes,
        grid=grid,
        stands_in=stands_in,
        play=_length(row, "room", ""),
        words=tuple(words.items()),
    )
    row.finish()
    return found


def _other(row: Table, key: str, name: str, names: list[str]) -> str:
    """The name of another piece, or nothing."""
    other = row.text(key, "")
    if other == name and other:
        raise row.fail(key, f"'{name}' can't go into itself", "Name another piece.")
    if other and other not in names:
        raise row.fail(key, f"no piece is called '{other}'", suggest(other, [n for n in names if n != name]))
    return other


def _word(row: Table, key: str) -> str:
    """A dimension as it is typed: a length or a word in quotes, a count as a number."""
    value = row.values[key]
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise row.fail(key, f"is {value!r}", f'Write {key} = "30mm".')
    return str(value)


def changed(one: PieceSet, words: Iterable[tuple[str, str]]) -> PieceSet:
    """The same set with other values: `caliper`, `play`, or `PIECE.DIMENSION`.

    Raises
    ------
    JobError
        When a set has no such value.
    """
    for key, value in words:
        name, dot, dimension = key.rpartition(".")
        if not dot and key in ("caliper", "play"):
            length = _said_of_all(key, value)
            one = replace(one, caliper=length) if key == "caliper" else replace(one, play=length)
            continue
        known = [piece.name for piece in one.pieces]
        if name not in known:
            raise JobError(
                f"the set has no '{key}'",
                fix=f"Write caliper, play, or a piece and its dimension, such as {example_of(one)}. "
                f"Its pieces: {', '.join(known)}.",
            )
        one = replace(
            one,
            pieces=tuple(
                _with(piece, dimension, value) if piece.name == name else piece for piece in one.pieces
            ),
        )
    return one


def example_of(one: PieceSet) -> str:
    """A value of a set as it can be typed."""
    first = KINDS[one.pieces[0].kind].dimensions
    d = next(d for d in first if d.plain)
    return f"{one.pieces[0].name}.{d.name}={d.say(d.default)}"


def _said_of_all(key: str, value: str) -> str:
    """A length that all pieces share, as it is typed."""
    d = Dimension(key, 0.0, "of every piece that says no other", least=0.0, most=_WIDEST)
    number(d, said(d, value))
    return value


def _with(piece: SetPiece, key: str, value: str) -> SetPiece:
    if key in ("count", *_ACROSS) and not (key != "count" and not piece.takes):
        if not value.isdecimal() or not 1 <= int(value) <= _MOST:
            raise JobError(f"{piece.name}.{key} is '{value}'; it must be a whole number from 1 to {_MOST}")
        if key == "count":
            return replace(piece, count=int(value))
        grid = dict(zip(_ACROSS, piece.grid, strict=True)) | {key: int(value)}
        return replace(piece, grid=(grid["columns"], grid["rows"], grid["layers"]))
    if key == "stock":
        return replace(piece, stock=value)
    if key == "room":
        return replace(piece, play=value)
    known = [d.name for d in KINDS[piece.kind].all_dimensions]
    if key not in known:
        raise JobError(
            f"the piece '{piece.name}', {units.with_article(piece.kind)}, has no '{key}'",
            fix=suggest(key, known),
        )
    return replace(piece, words=tuple((dict(piece.words) | {key: value}).items()))


def as_toml(one: PieceSet) -> str:
    """The set as a TOML file: `read_set` makes the same set of it."""
    rows = [f"title = {quoted(one.title)}"]
    if one.caliper:
        rows.append(f"caliper = {quoted(one.caliper)}")
    rows.append(f"play = {quoted(one.play)}")
    for piece in one.pieces:
        rows += ["", "[[piece]]", f"name = {quoted(piece.name)}", f"kind = {quoted(piece.kind)}"]
        rows += [f"count = {piece.count}"] * bool(piece.count)
        others = (
            ("stock", piece.stock),
            ("takes", piece.takes),
            ("stands_in", piece.stands_in),
            ("room", piece.play),
        )
        rows += [f"{key} = {quoted(value)}" for key, value in others if value]
        rows += [f"{key} = {count}" for key, count in zip(_ACROSS, piece.grid, strict=True) if count != 1]
        rows += [f"{key} = {quoted(value)}" for key, value in piece.words]
    return "\n".join(rows) + "\n"
