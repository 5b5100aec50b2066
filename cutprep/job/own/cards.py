"""Cards of the maker's own, among her profiles."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from cutprep.errors import JobError, ProfileError
from cutprep.job.build import stock_of
from cutprep.job.job import find_sheet
from cutprep.job.own.written import write_own
from cutprep.job.settings.resolve import Given, Resolved, Source, as_typed, read_layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.model.rules import parse_colour
from cutprep.profile import shelf
from cutprep.profile.stock import SheetSize, Stock, stock_from
from cutprep.profile.written import stock_toml
from cutprep.tables import Table

_PLAIN = re.compile(r"[A-Za-z0-9_-]{1,40}")


def keep_card(
    name: str,
    settings: Mapping[str, Any],
    label: Callable[[str], str],
    *,
    title: str | None,
    shade: str | None,
) -> str:
    """Keep a card, or change one that is kept already.

    Parameters
    ----------
    name
        What she calls it.
    settings
        What is said of it, as options; `stock` is the card that it is like.
    label
        Name of a setting to what it is called where it was given.
    title, shade
        A line for lists; "#rrggbb".

    Returns
    -------
    str
        What was done.

    Raises
    ------
    CutprepError
        When a value can't be used, or the file can't be written.
    """
    if not _PLAIN.fullmatch(name):
        raise JobError(f"'{name}' is not a plain name", fix="Use letters, digits, - and _ only.")
    given = {"stock": name, **settings} if name in shelf.stocks() else settings
    layer = read_layer(SETTINGS.values(), Given(given, label), Source.OPTION, as_typed)
    said = resolve(of_scope(Scope.CARD, Scope.SHEET), layer)
    like = stock_of(said)
    card = replace(
        like,
        name=name,
        title=title or (like.title if like.name == name else f"{name}, like {like.title}"),
        colour=parse_colour(shade) if shade else like.colour,
        sheets=_sheets(like, said),
    )
    path = shelf.own_folder() / "stocks" / f"{name}.toml"
    text = stock_toml(card)
    stock_from(Table(tomllib.loads(text), error=ProfileError), name)  # what can't be read is not written
    write_own(path, text)
    return f"{name}: kept in {path}"


def _sheets(like: Stock, said: Resolved) -> tuple[SheetSize, ...]:
    """Sizes of the card, the one that is named first, with what is said of it; price and number are of one size."""
    if said["sheet"] is None and said["price"] is None and said["at_hand"] is None:
        return like.sheets
    size = find_sheet(said["sheet"], like, shelf.machine(SETTINGS["machine"].default))
    told = {key: said[key] for key in ("price", "at_hand") if said[key] is not None}
    return (replace(size, **told), *(other for other in like.sheets if other.name != size.name))
