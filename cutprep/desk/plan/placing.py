"""Copies in a job file that a hand has placed: which stay, and which are laid out with the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit

from cutprep.desk.plan.keys import drop_key, get_key, put_key
from cutprep.errors import JobError


class PlacedByHand:
    """The copies that a job file places.

    Parameters
    ----------
    doc
        The job file, as tomlkit reads it; it is changed in place.
    """

    def __init__(self, doc: Any) -> None:
        self._doc = doc

    def place(self, number: int, spots: Iterable[Mapping[str, Any]]) -> None:
        """Place the copies of a drawing by hand."""
        row = self._row("template", number)
        if "place" in row:
            del row["place"]
        found = tomlkit.aot()
        for spot in spots:
            one = tomlkit.table()
            one.update(spot)
            found.append(one)
        row["place"] = found

    @property
    def placed(self) -> list[tuple[str, int, bool]]:
        """Of each drawing its file, how many copies are placed by hand, and whether its pieces stay together."""
        return [
            (str(row.get("file", "")), len(row.get("place", [])), "piece" not in row)
            for row in self._rows("template")
        ]

    def lay_one(self, number: int, margin: float) -> None:
        """Lay one more copy of a drawing in the corner of a sheet that nothing lies on yet; margin in mm."""
        row = self._row("template", number)
        last = max(
            (int(one["sheet"]) for r in self._rows("template") for one in r.get("place", [])), default=0
        )
        spots = [dict(one) for one in row.get("place", [])]
        self.place(number, [*spots, {"sheet": last + 1, "x": f"{margin!r} mm", "y": f"{margin!r} mm"}])

    def lies(self, number: int) -> list[dict[str, Any]]:
        """The copies of a drawing that stay where a hand has laid them."""
        return [dict(one) for one in self._row("template", number).get("place", []) if not one.get("loose")]

    @property
    def by_hand(self) -> tuple[bool, bool]:
        """Whether copies are placed by hand, and whether the rest is laid round them."""
        placed = any("place" in row for row in self._rows("template")) or bool(self.places)
        return placed, bool(self._doc.get("lay_rest"))

    @property
    def places(self) -> str:
        """File that says where copies lie; empty without one."""
        return str(get_key(self._doc, "places") or "")

    def lay_rest(self, *, most: Mapping[int, int] | None = None) -> bool:
        """Let go of all but the copies that a hand has laid; whether any of those is left.

        Parameters
        ----------
        most
            Number of a drawing to how many copies of it there shall be: of one of which more are laid, all are let go.
        """
        stay = {number: self.lies(number) for number in range(len(self._rows("template")))}
        stay = {n: spots for n, spots in stay.items() if len(spots) <= (most or {}).get(n, len(spots))}
        self.let_go()
        for number, spots in stay.items():
            if spots:
                self.place(number, spots)
        if any(stay.values()):
            put_key(self._doc, "lay_rest", True)
        return any(stay.values())

    def let_go(self) -> bool:
        """Lay all copies out again; whether any was placed by hand."""
        placed = [row for row in self._rows("template") if "place" in row]
        for row in placed:
            del row["place"]
        listed = get_key(self._doc, "places") is not None
        self.all_placed()
        return bool(placed) or listed

    def all_placed(self) -> None:
        """Say that the copies that the job file places are all there are."""
        drop_key(self._doc, "lay_rest")
        drop_key(self._doc, "places")

    def _rows(self, key: str) -> Any:
        rows = self._doc.get(key, [])
        return rows if isinstance(rows, list) else []

    def _row(self, key: str, number: int) -> Any:
        rows = self._rows(key)
        if not 0 <= number < len(rows):
            raise JobError("that is not in the job any more", fix="Look at the page again.")
        return rows[number]
