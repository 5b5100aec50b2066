"""What `cutprep trial` does: writes a sheet of figures to compare, and keeps the one that was best."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.cli import show
from cutprep.cli.done import show_outcome
from cutprep.cli.jobs import options_given
from cutprep.cli.options import option_of
from cutprep.cli.progress import progress_bar
from cutprep.errors import JobError
from cutprep.job.build import batch_of, machine_of
from cutprep.job.own.figures import FIGURES, all_figures, figures_file, keep_figure, stock_name
from cutprep.job.own.trial import (
    DECIDES,
    KEY,
    MOST_STEPS,
    Span,
    figure,
    figures_of,
    make_trial,
    require_allowed,
    said,
)
from cutprep.job.settings.remembered import remembered
from cutprep.job.settings.resolve import Layer, Resolved, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import of_scope
from cutprep.model.findings.finding import Stopped
from cutprep.profile.machine import CORNERS, Machine
from cutprep.profile.setup import scoring_tool, set_up
from cutprep.profile.shelf import machine as shelf_machine
from cutprep.units import plural

#: What she looks at, and which of the figures is best; common practice, no published source (docs/TRIALS.md).
_LOOK = {
    "force": "lift the squares: the smallest force that lets one go clean on all sides is best",
    "offset": "look at the corners: with the best offset they are sharp, neither rounded nor run past",
    "overcut": "lift the circles: the shortest overcut that lets one go without a thread is best",
    "score": "fold the tags: the smallest force that folds straight and does not crack is best",
    "pass": "lift the squares: the smallest number of passes that lets one go clean is best",
}
#: Settings that stand over a figure that was kept, where she remembers them.
_OVER = {"card_offset": "blade_offset", "card_passes": "passes_count"}


def _layers(settings: dict[str, Any]) -> tuple[Layer, Layer]:
    return remembered(), options_given(settings)


def write_trial(
    kind: str,
    settings: dict[str, Any],
    span: Span,
    out: Path | None,
    *,
    corner: str,
    pen: bool,
    replace: bool,
) -> None:
    """Write the sheet of a trial.

    Raises
    ------
    CutprepError
        When it can't be made.
    """
    if out is None:
        raise JobError(
            "no folder is named for the trial", fix="Add --out FOLDER, or --best FIGURE to keep one."
        )
    if corner not in CORNERS:
        raise JobError(f"--corner: '{corner}' is none", fix=f"Known: {', '.join(CORNERS)}.")
    if not 2 <= span.steps <= MOST_STEPS:
        raise JobError(f"--steps: {span.steps} figures can't be compared", fix=f"Give 2 to {MOST_STEPS}.")
    layers = _layers(settings)
    kinds = _kinds(kind, layers, span)
    try:
        with progress_bar() as tell:
            outcome = make_trial(
                kinds, layers, span, out, corner=corner, pen=pen, replace=replace, progress=tell
            )
    except Stopped as stopped:
        show.show_findings(stopped.findings, console=show.err())
        raise JobError("the figures lie too near to one another", fix="Compare fewer of them.") from None
    show_outcome(outcome, out, every=False)
    written = any(
        np.isin(done.planned.tool[done.planned.down], _pens(outcome.machine)).any() for done in outcome.sheets
    )
    if not written:
        show.say(f"No figure is written on the card; {out / KEY}, printed at full size, is the key.")
    for one in kinds:
        show.say(f"{one}: {_LOOK[one]}. Then: cutprep trial {one} --best FIGURE{_named(settings)}")


def _pens(machine: Machine) -> list[int]:
    return [tool.number for tool in machine.tools if tool.kind == "pen"]


def _named(settings: dict[str, Any]) -> str:
    """The options that say for which card and machine a figure is kept."""
    return "".join(
        f" {option_of(name)} {settings[name]}" for name in ("machine", "stock") if name in settings
    )


def _kinds(kind: str, layers: Sequence[Layer], span: Span) -> list[str]:
    """The kinds of a trial; of all, without those that the machine has nothing for or gives no figure for."""
    if kind != "all":
        _require(kind)
        return [kind]
    if span.first is not None or span.last is not None:
        raise JobError("--from and --to belong to one kind of trial", fix=f"Name one: {', '.join(DECIDES)}.")
    machine = machine_of(resolve(of_scope(Scope.JOB), *layers))
    kept: list[str] = []
    faults: list[JobError] = []
    for one in DECIDES:
        if one == "score" and scoring_tool(machine) is None:
            continue
        try:
            figures_of(one, machine, span)
        except JobError as fault:
            faults.append(fault)
        else:
            kept.append(one)
    if not kept:
        raise faults[0]
    for left in faults:
        show.say(f"Note: left out: {left}", console=show.err())
    return kept


def _require(kind: str) -> None:
    if kind not in DECIDES:
        raise JobError(f"there is no trial '{kind}'", fix=f"Known: {', '.join(DECIDES)}, all, times.")


def keep_best(kind: str, settings: dict[str, Any], best: str) -> None:
    """Keep the figure that was best, for the card on the machine; "none" forgets what was kept.

    Raises
    ------
    CutprepError
        When it can't be used, or the file can't be written.
    """
    _require(kind)
    layers = _layers(settings)
    machine, card = _card(layers)
    name, stock = DECIDES[kind], stock_name(card["stock"])
    if best == "none":
        keep_figure(machine.name, stock, name, None)
        show.say(f"{kind}: forgotten for {stock} on {machine.name}")
        return
    value = figure(kind, best)
    if kind in ("force", "score"):
        require_allowed(kind, set_up(machine, batch_of(card, machine).stock), value)
    raw: Any = said(kind, value) if kind in ("offset", "overcut") else int(value) if kind == "pass" else value
    keep_figure(machine.name, stock, name, raw)
    show.say(
        f"{kind}: {said(kind, value)} from now on for {stock} on {machine.name}; it stands in {figures_file()}"
    )
    over = _OVER.get(name)
    if over in layers[0]:
        show.say(
            f"Your own setting {over} stands over it: cutprep settings --forget {over}", console=show.err()
        )


def _card(layers: Sequence[Layer]) -> tuple[Machine, Resolved]:
    machine = machine_of(resolve(of_scope(Scope.JOB), *layers))
    return machine, resolve(of_scope(Scope.CARD, Scope.SHEET), *layers)


def show_kept(*, json: bool) -> None:
    """Show what trials gave so far.

    Raises
    ------
    InputError
        When the file can't be used.
    """
    kept = all_figures()
    names = [next(kind for kind, decided in DECIDES.items() if decided == name) for name in FIGURES]
    if json:
        plain = {
            machine: {
                stock: {n: e.setting.form.plain(e.value) for n, e in own.items()}
                for stock, own in cards.items()
            }
            for machine, cards in kept.items()
        }
        show.say_json(plain)
        return
    rows = [
        (machine, stock, *(own[name].said if name in own else "-" for name in FIGURES))
        for machine, cards in kept.items()
        for stock, own in cards.items()
    ]
    show.show_table(("machine", "card", *names), rows)
    show.say(
        f"{plural(len(rows), 'card')} with figures of trials, in {figures_file()}. "
        f"`cutprep trial KIND --out FOLDER` writes one: {', '.join(DECIDES)}, all, times.",
        console=show.err(),
    )


def machine_named(settings: dict[str, Any]) -> str:
    """The machine that is timed: as it was named, or as she remembers it.

    Raises
    ------
    InputError
        When there is none of its name.
    """
    name = resolve(of_scope(Scope.JOB), *_layers(settings))["machine"]
    shelf_machine(str(name))
    return str(name)
