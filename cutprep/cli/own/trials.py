"""What `cutprep trial` does: writes a sheet of figures to compare, and keeps the one that was best."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from cutprep.cli import show
from cutprep.cli.done import show_outcome
from cutprep.cli.jobs import options_given
from cutprep.cli.options import option_of
from cutprep.cli.progress import progress_bar
from cutprep.errors import JobError
from cutprep.job.own.best import LOOK, keep_best, tried_kinds
from cutprep.job.own.figures import FIGURES, NONE, all_figures, figures_file
from cutprep.job.own.trial import DECIDES, KEY, MOST_STEPS, Span, make_trial, said
from cutprep.job.settings.remembered import remembered
from cutprep.job.settings.resolve import Layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import of_scope
from cutprep.model.findings.finding import Stopped
from cutprep.profile.machine import CORNERS, Machine
from cutprep.profile.shelf import machine as shelf_machine
from cutprep.units import plural


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
        raise JobError(
            f"--steps: {plural(span.steps, 'figure')} can't be compared", fix=f"Give 2 to {MOST_STEPS}."
        )
    layers = _layers(settings)
    kinds, told = tried_kinds(kind, layers, span)
    for words in told:
        show.say(words, console=show.err())
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
        show.say(f"{one}: {LOOK[one]}. Then: cutprep trial {one} --best FIGURE{_named(settings)}")


def _pens(machine: Machine) -> list[int]:
    return [tool.number for tool in machine.tools if tool.kind == "pen"]


def _named(settings: dict[str, Any]) -> str:
    """The options that say for which card and machine a figure is kept."""
    return "".join(
        f" {option_of(name)} {settings[name]}" for name in ("machine", "stock") if name in settings
    )


def keep_figure_of(kind: str, settings: dict[str, Any], best: str) -> None:
    """Keep the figure that was best, for the card on the machine; "none" forgets what was kept.

    Raises
    ------
    CutprepError
        When it can't be used, or the file can't be written.
    """
    done, over = keep_best(kind, _layers(settings), best)
    show.say(done if best == NONE else f"{done}; it stands in {figures_file()}")
    if over:
        show.say(
            f"Your own setting {over} stands over it: cutprep settings --forget {over}", console=show.err()
        )


def show_kept(*, json: bool, unit: str) -> None:
    """Show what trials gave so far, lengths in a unit.

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
        (
            machine,
            stock,
            *(
                said(kind, own[name].value, unit) if name in own else "-"
                for name, kind in zip(FIGURES, names, strict=True)
            ),
        )
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
