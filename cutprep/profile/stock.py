"""Stock profiles: a card, the sheets it comes in, and what it asks of a cutter."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

from cutprep.errors import ProfileError
from cutprep.tables import Table

#: The narrowest strip of card that does not tear, where a profile says nothing; common practice, no published source.
STRIP = 1.5
#: From what to what a caliper goes (mm), a factor of speed, and how often a cut is run.
CALIPERS = {"least": 0.01, "most": 10.0}
SPEED_FACTORS = {"least": 0.01, "most": 10.0}
PASSES = {"least": 1, "most": 20}
#: Directions of the grain end below this, degrees: the grain has no front.
MOST_GRAIN = 179.999
_COLOUR = re.compile(r"#[0-9a-f]{6}")


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A size that a stock comes in.

    Attributes
    ----------
    name
        For instance "A4" or "12in".
    width, height
        mm.
    at_hand
        How many there are, or None for as many as needed.
    price
        For one sheet, in the maker's own currency, or None.
    """

    name: str
    width: float
    height: float
    at_hand: int | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """A card or paper.

    Attributes
    ----------
    name, title, note
        Short name, a line for the lists, remarks.
    caliper
        Thickness, mm.
    grammage
        Mass per area, g/m2, or NaN.
    sheets
        Sizes it comes in, the usual one first.
    grain
        Direction of the grain on a sheet as it is loaded, degrees from x, or None if unknown.
    strip
        Narrowest strip that does not tear, mm.
    speed_factor
        Multiplies the tools' speeds.
    passes
        How often a cut is run.
    colour
        "#rrggbb", or empty.
    cut_force, score_force, offset, overcut
        What a trial of it on the machine at hand gave: forces in that machine's unit, lengths in mm; None: as
        the machine's profile says. No profile of a card has them, since they are of card and machine.
    """

    name: str
    title: str
    caliper: float
    sheets: tuple[SheetSize, ...]
    grammage: float = math.nan
    grain: float | None = None
    strip: float = STRIP
    speed_factor: float = 1.0
    passes: int = 1
    note: str = ""
    colour: str = ""
    cut_force: float | None = None
    score_force: float | None = None
    offset: float | None = None
    overcut: float | None = None

    def sheet_named(self, name: str) -> SheetSize | None:
        """The size with a name (any case), or None."""
        return next((s for s in self.sheets if s.name.lower() == name.lower()), None)


def stock_from(table: Table, name: str) -> Stock:
    """Build a stock from a settings table.

    Raises
    ------
    ProfileError
        Naming file, line and key.
    """
    usual = Stock("", "", 0.0, ())
    stock = Stock(
        name=name,
        title=table.text("title", name),
        note=table.text("note", usual.note),
        caliper=table.length("caliper", None, **CALIPERS),
        grammage=table.number_in("grammage", usual.grammage, least=1, most=5000),
        grain=table.number_in("grain", 0.0, least=0, most=MOST_GRAIN) if table.has("grain") else None,
        strip=table.length("strip", usual.strip),
        speed_factor=table.number_in("speed_factor", usual.speed_factor, **SPEED_FACTORS),
        passes=table.whole("passes", usual.passes, **PASSES),
        colour=_colour(table),
        sheets=_sheets(table),
    )
    table.finish()
    return stock


def _colour(table: Table) -> str:
    colour = table.text("colour", "").lower()
    if colour and not _COLOUR.fullmatch(colour):
        raise table.fail("colour", f"'{colour}' is not a colour", 'Write it as "#rrggbb".')
    return colour


def load_stock(path: Path) -> Stock:
    """Read a stock profile; its name is the file's.

    Raises
    ------
    ProfileError
        Naming file, line and key.
    """
    return stock_from(Table.load(path, error=ProfileError), path.stem)


def _sheets(table: Table) -> tuple[SheetSize, ...]:
    sheets = []
    for row in table.tables("sheet"):
        width, height = row.size("size", None)
        sheets.append(
            SheetSize(
                name=row.text("name"),
                width=width,
                height=height,
                at_hand=row.whole("at_hand", 0) if row.has("at_hand") else None,
                price=row.number_in("price", 0.0, least=0) if row.has("price") else None,
            )
        )
        row.finish()
    if not sheets:
        raise table.fail("sheet", "no sheet size is listed", "Add a [[sheet]] table.")
    return tuple(sheets)
