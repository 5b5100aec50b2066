"""What the pages show of the maker's own things, as plain data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from cutprep.desk.fields import Field, field_of
from cutprep.desk.plan.jobfile import JobFile
from cutprep.job.own.figures import FIGURES, all_figures, figures, stock_name
from cutprep.job.own.offcuts import Offcut, offcuts
from cutprep.job.own.settings import own_settings
from cutprep.job.settings.forms import WORD_OF
from cutprep.job.settings.resolve import RULES, Resolved, SettingValue
from cutprep.job.settings.setting import Group
from cutprep.job.settings.table import SETTINGS
from cutprep.profile import shelf
from cutprep.profile.machine import CORNERS
from cutprep.profile.stock import Stock
from cutprep.units import in_unit, plural, say_length, say_size

#: Setting that a trial decides to the kind of the trial.
KIND_OF = dict(zip(FIGURES, ("force", "score", "offset", "overcut", "pass"), strict=True))
#: Two figures are one when they differ by less than this share: their words are rounded.
_SAME = 1e-5  # not a tolerance: words of six digits
#: Of all kinds of a trial what is tried, for a list.
KINDS = {
    "force": "force of the knife",
    "offset": "offset of the knife",
    "overcut": "how far closed cuts run past their start",
    "score": "force of the scoring tool",
    "pass": "how often it is cut",
    "all": "all of these on one sheet",
    "times": "times that the machine takes",
}


def own_things(slip: tuple[str, str, str] = ("", "", "")) -> dict[str, Any]:
    """All that the page of her own things shows.

    Parameters
    ----------
    slip
        A setting, what was typed into its field, and why that was not taken.

    Raises
    ------
    InputError
        When one of her files can't be used.
    """
    said, words = own_settings()
    unit = said["unit"]
    return {
        "groups": _groups(said, words, slip),
        "rules": [
            (f"{kind}.{name}", name, WORD_OF[word]) for kind in RULES for name, word in said.entry(kind).value
        ],
        "operations": list(reversed(WORD_OF.values())),
        "figures": _figures(),
        "kinds": KINDS,
        "machines": {name: one.title for name, one in shelf.machines().items()},
        "stocks": {name: one.title for name, one in shelf.stocks().items()},
        "usual": {"machine": said["machine"], "stock": said["stock"], "sheet": words.get("sheet", "")},
        "corners": CORNERS,
        "offcuts": [_offcut(one, unit) for one in offcuts().values()],
        "cards": [_card(one, unit) for one in _own_cards().values()],
    }


def _groups(
    said: Resolved, words: Mapping[str, str], slip: tuple[str, str, str]
) -> list[tuple[str, list[Field]]]:
    """Her settings under their headings."""
    found = []
    for group in Group:
        fields = [
            field.refused(*slip[1:]) if field.name == slip[0] else field
            for entry in said.entries
            if entry.setting.group is group and entry.setting.name not in RULES
            for field in [field_of("own", entry, lambda _, name: words.get(name, ""))]
        ]
        found += [(group.value, fields)] if fields else []
    return found


def _figures() -> list[dict[str, str]]:
    return [
        {
            "machine": machine,
            "stock": stock,
            "kind": KIND_OF[name],
            "what": KINDS[KIND_OF[name]],
            "said": entry.said,
        }
        for machine, cards in all_figures().items()
        for stock, own in cards.items()
        for name, entry in own.items()
    ]


def _offcut(one: Offcut, unit: str) -> dict[str, Any]:
    return {
        "name": one.name,
        "stock": one.stock,
        "size": say_size(*one.size, unit),
        "room": in_unit(one.room, unit),
        "count": plural(one.count, "sheet"),
        "job": one.job,
        "drawn": one.drawing.is_file(),
    }


def _own_cards() -> dict[str, Stock]:
    """Cards whose profiles lie in her own folder."""
    folder = shelf.own_folder() / "stocks"
    return {name: one for name, one in shelf.stocks().items() if (folder / f"{name}.toml").is_file()}


def _card(one: Stock, unit: str) -> dict[str, Any]:
    sizes = []
    for size in one.sheets:
        hand = "" if size.at_hand is None else f", {size.at_hand} at hand"
        price = "" if size.price is None else f", {size.price:.2f} each"
        sizes.append(f"{say_size(size.width, size.height, unit)}{hand}{price}")
    return {
        "name": one.name,
        "title": one.title,
        "caliper": say_length(one.caliper, unit),
        "colour": one.colour or "",
        "sizes": sizes,
    }


def for_sheets(
    plan: JobFile, values: Mapping[str, Resolved], shown: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """For each card of a job the offcut that it lies on, and those on which it might lie.

    Parameters
    ----------
    plan
        The job file.
    values
        What its targets are set to.
    shown
        What the section of the sheets shows: `offcuts` names those with room.
    """
    kept = offcuts()
    unit = values["job"]["unit"] if "job" in values else "mm"
    found = []
    for target, card in values.items():
        if not target.startswith("card-"):
            continue
        number = int(target.removeprefix("card-"))
        names = {stock_name(card["stock"]), *plan.cards[number : number + 1]}
        alike = [one for one in kept.values() if names & {one.stock, one.like}]
        alike.sort(key=lambda one: one.name not in shown.get("offcuts", ()))
        found.append(
            {
                "target": target,
                "taken": card["offcut"] or "",
                "offers": [
                    {**_offcut(one, unit), "fits": one.name in shown.get("offcuts", ())} for one in alike
                ],
            }
        )
    return found


def for_cutting(shown: Mapping[str, Any], values: Mapping[str, Resolved]) -> dict[str, Any]:
    """Figures that are `kept` for a trial's card on its machine, by kind; `cards` of hers whose sheets are counted."""
    trial = shown.get("trial") or {}
    kept = figures(shown["machine"], trial["stock"]) if trial else {}
    own = _own_cards()
    cards = [stock_name(card["stock"]) for target, card in values.items() if target.startswith("card-")]
    counted = [name for name in dict.fromkeys(cards) if name in own and _counted(own[name])]
    said = {KIND_OF[name]: _as_tried(KIND_OF[name], entry, trial) for name, entry in kept.items()}
    return {"kept": said, "cards": counted}


def _as_tried(kind: str, entry: SettingValue, trial: Mapping[str, Any]) -> str:
    """A figure that is kept, as the trial writes it, where it is one of those that it tries."""
    same = (
        one["figure"]
        for one in trial["figures"]
        if one["kind"] == kind and math.isclose(one["value"], entry.value, rel_tol=_SAME)
    )
    return next(same, entry.said)


def _counted(card: Stock) -> bool:
    """Whether she has said how many sheets of it are at hand."""
    return any(size.at_hand is not None for size in card.sheets)


def name_of(word: str) -> str:
    """The name of a setting that the page's field sends."""
    return word.removeprefix("own/") if word.removeprefix("own/") in SETTINGS else ""
