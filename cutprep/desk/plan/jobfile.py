"""The job file as the page changes it: one key at a time, what stands beside it stays as it was.

A *target* says what a key belongs to: "job", "template-0" for the first drawing, "card-0" for the first card,
"sheet-0-0" for its first size. A job that lists no `[[stock]]` has one card, whose keys stand outside the tables.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from cutprep.desk.plan.keys import drop_key, get_key, put_key
from cutprep.desk.plan.placing import PlacedByHand
from cutprep.errors import JobError
from cutprep.job.file import YOURS
from cutprep.job.settings.resolve import RULES, Layer
from cutprep.job.settings.setting import Scope, Setting
from cutprep.job.settings.table import ANEW, SETTINGS
from cutprep.stages.mend.leave import NEAR

#: Places of a drawing nearer than this are one, mm.
_SAME_PLACE = 0.5
#: Keys that say how much is made, and where.
_ANEW = tuple(SETTINGS[name].key for name in ANEW)
_SCOPES = {"job": Scope.JOB, "template": Scope.TEMPLATE, "card": Scope.CARD, "sheet": Scope.SHEET}


class JobFile(PlacedByHand):
    """A job file in memory.

    Parameters
    ----------
    text
        TOML.

    Raises
    ------
    JobError
        When it is none.
    """

    def __init__(self, text: str) -> None:
        try:
            super().__init__(tomlkit.parse(text))
        except (TOMLKitError, ValueError, RecursionError) as fault:
            raise JobError(f"this is no job file: {fault}", fix="Compare it with docs/JOB-FILE.md.") from None

    @property
    def text(self) -> str:
        """The job file."""
        return tomlkit.dumps(self._doc)

    @property
    def files(self) -> list[str]:
        """The drawings that it lists."""
        return [str(row.get("file", "")) for row in self._rows("template")]

    @property
    def cards(self) -> list[str]:
        """Names of the cards that it lists; none when it has one card outside the tables."""
        return [str(row.get("name", "")) for row in self._rows("stock")]

    def take_remembered(self, yours: Layer, words: Mapping[str, str] | None = None) -> None:
        """Write out what the maker's own settings say, in her words, and that the file holds by itself."""
        if self._doc.get("alone") is True:
            return
        self._doc["alone"] = True
        listed = bool(self._rows("stock"))
        taken: list[str] = []
        for name, entry in yours.items():
            setting = entry.setting
            if listed and setting.scope in {Scope.CARD, Scope.SHEET}:
                continue
            key = name if setting.scope in {Scope.CARD, Scope.SHEET} else setting.key
            if get_key(self._doc, key) is None:
                put_key(self._doc, key, (words or {}).get(name, setting.form.plain(entry.value)))
                rules = [f"{name}.{rule}" for rule, _ in entry.value] if name in RULES else []
                taken += rules or [name]
        if taken:
            self._doc[YOURS] = taken

    def _own(self, name: str) -> None:
        """Say that a setting, or a rule, is the job's own from now on."""
        left = [one for one in self._doc.get(YOURS, []) if str(one).lower() != name.lower()]
        if YOURS in self._doc:
            self._doc[YOURS] = left
        if not left:
            self._doc.pop(YOURS, None)

    def add(self, files: Iterable[str]) -> None:
        """List more drawings; one that is listed already is left as it is."""
        rows = self._rows("template")
        stocks = self.cards
        for file in files:
            if file in self.files:
                continue
            row = tomlkit.table()
            row["file"] = file
            if len(stocks) > 1:
                row["stock"] = stocks[0]
            if not rows:
                self._doc["template"] = tomlkit.aot()
                rows = self._doc["template"]
            rows.append(row)

    def remove(self, number: int) -> None:
        """Take a drawing off the list."""
        rows = self._rows("template")
        if not 0 <= number < len(rows):
            raise JobError("that drawing is not listed any more", fix="Look at the list again.")
        if len(rows) == 1:
            raise JobError("it is the only drawing", fix="Add another one first, or forget the job.")
        del rows[number]

    def written(self, target: str, name: str) -> str:
        """A setting of a target as it was typed; empty where it is no text, or stands elsewhere."""
        try:
            table, key = self._table(target, SETTINGS[name], make=False)
        except JobError:
            return ""
        raw = get_key(table, key)
        return raw if isinstance(raw, str) else ""

    def set(self, target: str, name: str, raw: Any) -> None:
        """Give a setting a value, as `Form.raw` gives it; None takes it out.

        Raises
        ------
        JobError
            When there is no such setting, or nothing that it could belong to.
        """
        setting = SETTINGS.get(name)
        kind = target.partition("-")[0]
        if setting is None or _SCOPES.get(kind) is not setting.scope:
            raise JobError(f"there is no setting '{name}' here")
        table, key = self._table(target, setting)
        self._own(name)
        if raw is None:
            drop_key(table, key)
        else:
            put_key(table, key, raw)

    def set_rule(self, target: str, kind: str, name: str, word: str) -> None:
        """Say what a layer or a colour of a drawing is for.

        Parameters
        ----------
        target
            The drawing.
        kind
            "layers" or "colours".
        name
            Of the layer, or the colour; capitals don't count.
        word
            The operation; an empty one takes the rule out.
        """
        table, _ = self._table(target, SETTINGS[kind])
        rules = table.get(kind)
        if rules is None:
            table[kind] = tomlkit.table()
            rules = table[kind]
        self._own(f"{kind}.{name}")
        known = {str(one).lower(): one for one in rules}
        old = known.get(name.lower())
        if old is not None:
            del rules[old]
        if word:
            rules[name] = word
        if not rules:
            del table[kind]

    def one_size(self, target: str) -> None:
        """Take the sizes of a card out: it lies on an offcut."""
        if self._rows("stock"):
            self._table(target, SETTINGS["offcut"])[0].pop("sheet", None)

    def only(self, title: str, rows: Mapping[int, tuple[int, list[str]]]) -> None:
        """Make some copies again, and nothing else of the job, on card as it is bought.

        Parameters
        ----------
        title
            Of the new job.
        rows
            Row of a drawing to how many copies, and the texts that are written on them.
        """
        self.let_go()
        for key in ("fits", "together", *_ANEW):
            self._doc.pop(key, None)
            self._own(key)
        for card in self._rows("stock"):
            for table in (card, *card.get("sheet", [])):
                for key in ("offcut", "at_hand"):
                    table.pop(key, None)
        for number, row in reversed(list(enumerate(self._rows("template")))):
            if number not in rows:
                del self._doc["template"][number]
                continue
            for key in _ANEW:
                row.pop(key, None)
            count, texts = rows[number]
            row.update({"names": texts} if texts else {"copies": count})
        self.set("job", "title", title)

    @property
    def areas(self) -> list[dict[str, Any]]:
        """Areas of the sheets that stay free, as they stand in the file."""
        return [dict(row) for row in self._rows("keep_out")]

    @property
    def aligned(self) -> list[tuple[str, str]]:
        """Points of the plan, and where they lie on the mat, as they stand in the file."""
        return [
            (", ".join(map(str, row.get("plan", []))), ", ".join(map(str, row.get("mat", []))))
            for row in self._rows("align")
        ]

    def set_areas(self, areas: Iterable[Mapping[str, str]]) -> None:
        """Say which areas stay free."""
        rows = [dict(area) for area in areas]
        self._doc.pop("keep_out", None)
        if rows:
            put_key(self._doc, "keep_out", rows)

    def set_fold(
        self, target: str, kind: str, spots: Mapping[str, tuple[float, float]], degrees: float | None
    ) -> None:
        """Say how a score folds, or which sides meet; what was said of the same place before makes room.

        Parameters
        ----------
        target
            The drawing.
        kind
            "angle" or "mate".
        spots
            Key to a place in the drawing, mm.
        degrees
            Of an angle; None takes out what was said.
        """
        row, _ = self._table(target, SETTINGS["copies"])
        said = row.get("fold", {})
        kept = [
            dict(one)
            for one in said.get(kind, [])
            if all(
                math.dist(one.get(key, (math.inf, 0.0)), spot) > _SAME_PLACE for key, spot in spots.items()
            )
        ]
        if degrees is not None:
            kept.append(
                {
                    **{key: list(spot) for key, spot in spots.items()},
                    **({"deg": degrees} if kind == "angle" else {}),
                }
            )
        if "fold" not in row:
            row["fold"] = tomlkit.table()
        if kept:
            put_key(row["fold"], kind, kept)
        else:
            row["fold"].pop(kind, None)
        if not row["fold"]:
            del row["fold"]

    def set_leave(self, target: str, code: str, at: tuple[float, float], *, away: bool) -> None:
        """Leave a change of mending as drawn, or no longer.

        Parameters
        ----------
        target
            The drawing.
        code, at
            Of the change, and its first place, mm; one within a tenth of a millimetre is the same.
        away
            No longer.
        """
        row, key = self._table(target, SETTINGS["leave"])
        kept = [
            dict(one)
            for one in row.get(key, [])
            if one.get("code") != code or math.dist(one.get("at", (math.inf, 0.0)), at) > NEAR
        ]
        drop_key(row, key)
        if kept or not away:
            put_key(row, key, kept + ([] if away else [{"code": code, "at": list(at)}]))

    def owner(self, file: str, piece: str, card: str) -> int | None:
        """Number of the template that a copy on a card belongs to; of a piece with a card of its own, its drawing's."""
        for number, row in enumerate(self._rows("template")):
            if str(row.get("file", "")) != file:
                continue
            own = str(row.get("stock", ""))
            cards = (
                [own]
                if not piece
                else [
                    str(one.get("stock", "")) or own
                    for one in row.get("piece", [])
                    if str(one.get("name", "")).lower() == piece.lower()
                ]
            )
            if any(not one or card in (one, "") for one in cards):
                return number
        return None

    def set_piece(self, target: str, name: str, stock: str, count: int) -> None:
        """Give a piece of a drawing a card or a count of its own; without either it is as its drawing says.

        Parameters
        ----------
        target
            The drawing.
        name
            Of the piece, or its number.
        stock
            Name of a card; "" for the drawing's.
        count
            How many of it one drawing has.
        """
        row, key = self._table(target, SETTINGS["pieces"])
        before = [dict(one) for one in row.get(key, [])]
        kept = [one for one in before if str(one.get("name", "")).lower() != name.lower()]
        own = {"name": name, **({"stock": stock} if stock else {}), "count": count}
        kept += [own] if stock or count != 1 else []
        drop_key(row, key)
        if kept:
            put_key(row, key, kept)
        row.pop("place", None)  # of copies that lay there none may be left over

    def _table(self, target: str, setting: Setting, *, make: bool = True) -> tuple[Any, str]:
        """The table that a setting of a target stands in, and its key there."""
        kind, *numbers = target.split("-")
        if not all(n.isdecimal() and len(n) < 6 for n in numbers) or len(numbers) != {
            "job": 0,
            "sheet": 2,
        }.get(kind, 1):
            raise JobError(f"there is no '{target[:40]}' in a job")
        at = [int(n) for n in numbers]
        if kind == "job":
            return self._doc, setting.key
        if kind == "template":
            return self._row("template", at[0]), setting.key
        if not self._rows("stock"):
            return self._doc, setting.name
        card = self._row("stock", at[0])
        if kind == "card":
            return card, setting.key
        if "sheet" not in card:
            if not make:
                raise JobError("no size of that card is listed")
            card["sheet"] = tomlkit.aot()
            card["sheet"].append(tomlkit.table())
        sizes = card["sheet"]
        if not 0 <= at[1] < len(sizes):
            raise JobError("that size is not in the job any more", fix="Look at the page again.")
        return sizes[at[1]], setting.key
