"""From resolved settings to the pieces of a job, each with the frozen value of its stage."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from cutprep.errors import JobError, PlanError, ProfileError
from cutprep.job.job import Batch, Item, Job, find_sheet, usable
from cutprep.job.own.figures import with_figures
from cutprep.job.own.offcuts import drawn_of, on_offcut
from cutprep.job.settings.resolve import Layer, Resolved, SettingValue, Source, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.limits import Limits
from cutprep.model.operation import Operation
from cutprep.model.rules import Rules
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.profile.setup import require_force, scoring_tool
from cutprep.profile.stock import SheetSize, Stock
from cutprep.stages.blade.cutting import Bridges, Cutting, Passes, Perforation
from cutprep.stages.fold.fit.tell import Wanted
from cutprep.stages.mend.mending import Mending
from cutprep.stages.nest.nesting import AlignmentLimits, Nesting
from cutprep.stages.order.ordering import Ordering
from cutprep.tolerance import Tolerance

_Profile = TypeVar("_Profile", Machine, Stock)
_Part = TypeVar("_Part", Passes, Bridges, Perforation)


def machine_of(base: Resolved) -> Machine:
    """The machine of a job.

    Raises
    ------
    InputError
        When there is none of its name, or its profile has a fault.
    """
    return _from_shelf(base.entry("machine"), shelf.machine)


def stock_of(card: Resolved) -> Stock:
    """A card as its profile says, and as the job says otherwise.

    Raises
    ------
    InputError
        When there is none of its name, or its profile has a fault.
    """
    stock = _from_shelf(card.entry("stock"), shelf.stock)
    given = {
        field: card[name]
        for name, field in (
            ("caliper", "caliper"),
            ("card_grain", "grain"),
            ("card_passes", "passes"),
            ("speed_factor", "speed_factor"),
            ("cut_force", "cut_force"),
            ("score_force", "score_force"),
            ("card_offset", "offset"),
            ("card_overcut", "overcut"),
        )
        if card[name] is not None
    }
    return replace(stock, **given) if given else stock


def _from_shelf(entry: SettingValue, find: Callable[[str], _Profile]) -> _Profile:
    """The profile that a setting names; one that isn't there is a fault of where it is named."""
    if not isinstance(entry.value, str):
        return entry.value  # type: ignore[no-any-return]  # from Python: a profile itself
    try:
        return find(entry.value)
    except ProfileError as fault:
        if fault.place.line is not None or entry.value.endswith(
            ".toml"
        ):  # the profile's own file has the fault
            raise
        if entry.source is Source.BUILT_IN:
            raise
        raise entry.fail(fault.problem, fault.fix) from None


def sheet_of(sheet: Resolved, stock: Stock, machine: Machine) -> SheetSize:
    """A size of a card, with how many are at hand and what one costs.

    Raises
    ------
    InputError
        When the card has no such size.
    """
    entry = sheet.entry("sheet")
    try:
        size = find_sheet(entry.value, stock, machine)
    except JobError as fault:
        if entry.source is not Source.YOURS:
            raise entry.fail(fault.problem, fault.fix) from None
        size = find_sheet(None, stock, machine)  # a remembered size that this card does not come in
    given = {name: sheet[name] for name in ("at_hand", "price") if sheet[name] is not None}
    return replace(size, **given) if given else size


def batch_of(card: Resolved, machine: Machine, items: tuple[Item, ...] = ()) -> Batch:
    """One card with one size of sheet.

    Raises
    ------
    InputError
        When there is no such card, or no such size of it.
    """
    card, left = on_offcut(card)
    card = with_figures(card, machine)
    require_forces(card, machine)
    stock = stock_of(card)
    size = sheet_of(card, stock, machine)
    if left is not None:
        require_as_it_lay(card, size, machine)
    if size not in stock.sheets and any(card[name] is not None for name in ("at_hand", "price")):
        others = tuple(other for other in stock.sheets if other.name != size.name)
        stock = replace(stock, sheets=(size, *others))
    return Batch(stock, (size,), items, keep_out_drawn=drawn_of(left), settings=(card,))


def require_forces(said: Resolved, machine: Machine) -> None:
    """Refuse forces above what the machine's profile allows, where they are asked for.

    Parameters
    ----------
    said
        Settings of a card, or of a whole job.
    machine
        That is to press so hard.

    Raises
    ------
    InputError
        Naming the setting.
    """
    knife = machine.tool_for(Operation.CUT)
    tools = {"cut_force": knife, "passes_force": knife, "score_force": scoring_tool(machine)}
    for name, tool in tools.items():
        forces = said[name] if name in said and said[name] is not None else ()
        for force in forces if isinstance(forces, tuple) else (forces,):
            try:
                require_force(force, tool, machine)
            except PlanError as fault:
                raise said.entry(name).fail(fault.problem, fault.fix) from None


def require_as_it_lay(card: Resolved, size: SheetSize, machine: Machine) -> None:
    """Refuse an offcut that a machine would take turned only: what was cut out of it would lie elsewhere.

    Raises
    ------
    InputError
        Naming the offcut.
    """
    if usable(size, machine).width < min(size.width, machine.width):
        raise card.entry("offcut").fail(
            f"the offcut '{card['offcut']}' lay {size.width:g} mm wide and {size.height:g} mm high, and "
            f"'{machine.name}' would take such a sheet turned by a quarter",
            "Take a machine that takes it as it lay, or a fresh sheet.",
        )


def batch_named(name: str, machine: Machine, layers: Sequence[Layer]) -> Batch:
    """A card by the name of its profile, on sheets as the job asks for.

    Raises
    ------
    InputError
        When there is no such card, or no such size of it.
    """
    kept = [{key: value for key, value in layer.items() if key == "sheet"} for layer in layers]
    stock: Layer = {"stock": SettingValue(SETTINGS["stock"], name, Source.OPTION)}
    return batch_of(resolve(of_scope(Scope.CARD, Scope.SHEET), *kept, stock), machine)


def rules_of(item: Resolved) -> Rules:
    """How lines are classified."""
    return Rules(
        layers=item["layers"],
        colours=item["colours"],
        dashed=item["dashed"],
        fill_as_outline=item["fill_as_outline"],
        quiet=item.entry("layers").quiet | item.entry("colours").quiet,
    )


def item_of(path: Path, item: Resolved, sets: int, rules: Rules | None = None) -> Item:
    """One template: `copies` is what one set needs, `spare` percent more are made.

    Parameters
    ----------
    rules
        Stand in place of those that are resolved, so that several templates share one value.
    """
    in_set = item["copies"]
    return Item(
        path=path,
        names=item["names"],
        least_height=item["least_height"],
        font=item["font"],
        in_set=in_set,
        copies=math.ceil(round(in_set * sets * (1 + item["spare"] / 100), 6)),
        rules=rules_of(item) if rules is None else rules,
        units=item["units"],
        expect=item["expect"],
        turns=item["turns"],
        grain=item["grain"],
        mirror=item["mirror"],
        leave=item["leave"],
        settings=item,
    )


def mending_of(base: Resolved) -> Mending | None:
    """How drawings are mended; None when they are not."""
    return Mending(keep=base["keep"]) if base["mend"] else None


def job_of(
    base: Resolved,
    machine: Machine,
    batches: Sequence[Batch],
    *,
    title: str,
    fits: tuple[Wanted, ...] = (),
    tolerance: Tolerance | None = None,
    limits: Limits | None = None,
) -> Job:
    """Put a job together.

    Parameters
    ----------
    base
        Settings of the whole job.
    machine, batches
        What is made of what, and on what.
    title
        When none is given.
    fits
        Pieces that belong together.
    tolerance, limits
        The usual ones when None.

    Raises
    ------
    JobError
        When the values don't go together.
    """
    base = _decided(base, machine, title)
    require_forces(base, machine)
    rectangles = tuple(area for area in base["keep_out"] if len(area) == 4)
    return Job(
        title=base["title"],
        batches=tuple(batches),
        machine=machine,
        language=base["language"],
        nesting=Nesting(
            margin=base["margin"],
            gap=base["gap"],
            keep_out=rectangles,
            windows=base["windows"],
            effort=base["effort"],
            seed=base["seed"],
        ),
        ordering=Ordering(
            seed=base["seed"],
            effort=base["effort"],
            finish=base["finish"],
            metric=base["travel_by"],
            explain=base["explain"],
        ),
        cutting=Cutting(
            offset=base["blade_offset"],
            passes=_part(Passes, base, "passes"),
            bridges=_part(Bridges, base, "bridges"),
            perforation=_part(Perforation, base, "perforation"),
        ),
        mending=mending_of(base),
        despite_findings=base["despite_findings"],
        unit=base["unit"],
        sets=base["sets"],
        amount=base["amount"],
        lay_rest=base["lay_rest"],
        keep_out_drawn=tuple(area for area in base["keep_out"] if len(area) == 2),
        align=base["align"],
        also=base["also"],
        face_down=base["face_down"],
        from_back=base["from_back"],
        turn_by=base["turn_by"],
        printer_edge=base["printer_edge"],
        align_limits=AlignmentLimits(base["align_off"], base["align_scale"], base["align_skew"]),
        students=base["students"],
        fits=fits,
        tolerance=tolerance or Tolerance(),
        limits=_with_fold_work(limits or Limits(), base["fold_work"]),
        settings=base,
    )


def _with_fold_work(limits: Limits, units: int | None) -> Limits:
    """The job's own word on how much work folding may take."""
    return limits if units is None else replace(limits, fold_work=float(units))


def _decided(base: Resolved, machine: Machine, title: str) -> Resolved:
    """Put in what the machine and the drawings say; refuse what does not go together."""
    language, keep = base.entry("language"), base.entry("keep")
    if language.value is None or (
        language.source is Source.YOURS and language.value not in machine.languages
    ):
        base = base.decided("language", machine.languages[0])
    if base["title"] is None:
        base = base.decided("title", title)
    if keep.value != Mending().keep and not base["mend"] and keep.source is not Source.YOURS:
        raise JobError(
            f"mending is to keep the {keep.value}, but nothing is to be mended",
            fix="Add --mend, or mend = true in the job file.",
        )
    return base


def _part(kind: type[_Part], base: Resolved, head: str) -> _Part | None:
    """Passes, bridges or a perforation, when any of their settings is given; the others have their defaults."""
    given = {
        name.removeprefix(f"{head}_"): value
        for name, value in base.items()
        if name.startswith(f"{head}_") and value is not None
    }
    return kind(**given) if given else None


#: Settings that may name files; only their names are told, not whose folders they lie in.
_NAME_FILES = ("machine", "stock", "places", "keep_out", "font")


def settings_data(job: Job) -> dict[str, Any]:
    """Every resolved setting as plain data: its value, and where it came from.

    Returns
    -------
    dict
        The job's settings by name, `stock` with those of each card and of its sizes, and `template` with
        those of each template. Empty for a job that was put together by hand.
    """
    if job.settings is None:
        return {}
    return {
        **_told(job.settings),
        "stock": [_told(card) for batch in job.batches for card in batch.settings],
        "template": [_told(item.settings) for item in job.items if item.settings is not None],
    }


def _told(resolved: Resolved) -> dict[str, Any]:
    return {
        entry.setting.name: {
            "value": None if entry.value is None else _plain(entry),
            "from": entry.source.value,
        }
        for entry in resolved.entries
    }


def _plain(entry: SettingValue) -> Any:
    value = entry.setting.form.plain(entry.value)
    if entry.setting.name == "keep_out":
        return [{key: Path(v).name if key == "drawing" else v for key, v in row.items()} for row in value]
    if entry.setting.name == "names" and isinstance(value, str):
        return Path(value).name
    return Path(value).name if entry.setting.name in _NAME_FILES else value
