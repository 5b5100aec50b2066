"""docs/PROFILES.md gives the defaults that the classes have: no figure stands there that a profile doesn't take."""

from __future__ import annotations

import math
import re
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any

import pytest

from cutprep.profile.line import LineStyle
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine, Tool
from cutprep.profile.stock import SheetSize, Stock

PAGE = (Path(__file__).parents[2] / "docs" / "PROFILES.md").read_text(encoding="utf-8")
OWNERS: dict[str, tuple[type, ...]] = {
    "": (Machine,), "[motion]": (Machine,), "[[tool]]": (Tool,), "[hpgl]": (HpglStyle,), "[gcode]": (GcodeStyle,),
    "[line]": (LineStyle,),
}  # fmt: skip
#: What the page says in words.
WORDS = {
    "none": ("", (), None),
    "false": (False,),
    "true": (True,),
    "unsaid": (math.nan, "unsaid"),
    "unknown": (None,),
}


def _rows(heading: str) -> list[tuple[str, str, str]]:
    """Section of the file, key and default of each key in a table of the page."""
    table = PAGE.split(f"\n## {heading}\n")[1].split("\n\n")[0].strip()
    section, found = "", []
    for row in table.splitlines()[2:]:
        keys, _, default = (cell.strip() for cell in re.split(r"(?<!\\)\|", row)[1:4])
        names = re.findall(r"`([^`]+)`", keys)
        if names[0].startswith("["):
            section = names[0]
            continue
        said = [part.strip() for part in default.split(", ")] if len(names) > 1 else [default]
        said = said if len(said) == len(names) else said * len(names)
        found += [(section, name, one) for name, one in zip(names, said, strict=True)]
    return found


def _is(said: str, value: Any) -> bool:
    said = said.strip("`").strip('"')
    if said in WORDS:
        return repr(value) in map(repr, WORDS[said])
    if isinstance(value, tuple):
        value = value[0]
    if isinstance(value, float | int):
        figure = re.fullmatch(r'\[?"?([\d.]+) ?(?:mm)?"?(?:, "0mm"\])?', said)
        return figure is not None and float(figure[1]) == value
    return said == value


@pytest.mark.parametrize(("heading", "owner"), [("Machine", None), ("Stock", Stock)])
def test_defaults_on_the_page_are_those_of_the_classes(heading: str, owner: type | None) -> None:
    rows = _rows(heading)
    assert len(rows) > 5
    for section, key, said in rows:
        (of,) = (owner,) if owner else OWNERS[section]
        if key in {"area", "title", "layer", "colour", "does", "languages"}:
            continue  # needed, or made of something else
        default = {f.name: f.default for f in fields(of)}[key]
        if default is MISSING:
            assert said == "needed", key
        else:
            assert _is(said, default), f"{heading} {section} {key}: {said} for {default!r}"


def test_every_key_stands_on_the_page() -> None:
    told = {key for heading in ("Machine", "Stock") for _, key, _ in _rows(heading)}
    tried = {"cut_force", "score_force"}  # by trials, of card and machine: in no profile
    inside = tried | {"width", "height", "tools", "hpgl", "gcode", "line", "sheets", "name"}
    kept = {
        f.name for of in (Machine, Tool, HpglStyle, GcodeStyle, LineStyle, Stock) for f in fields(of)
    } - inside
    assert kept <= told | {"number"}, kept - told
    assert {f.name for f in fields(SheetSize)} - {"width", "height"} == {"name", "at_hand", "price"}
