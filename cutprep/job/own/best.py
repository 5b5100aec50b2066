"""What a trial is about, and the figure of it that was best: told and kept alike by the command and on the desk."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cutprep.errors import JobError
from cutprep.job.build import batch_of, machine_of
from cutprep.job.own.figures import NONE, keep_figure, stock_name
from cutprep.job.own.trial import (
    DECIDES,
    FORCES,
    LENGTHS,
    Span,
    figure,
    figures_of,
    require_allowed,
    said,
    unknown_limit,
)
from cutprep.job.settings.resolve import Layer, Resolved, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import of_scope
from cutprep.profile.machine import Machine
from cutprep.profile.setup import scoring_tool, set_up

#: What she looks at, and which of the figures is best; common practice, no published source (docs/TRIALS.md).
LOOK = {
    "force": "lift the squares: the smallest force that lets one go clean on all sides is best",
    "offset": "look at the corners: with the best offset they are sharp, neither rounded nor run past",
    "overcut": "lift the circles: the shortest overcut that lets one go without a thread is best",
    "score": "fold the tags: the smallest force that folds straight and does not crack is best",
    "pass": "lift the squares: the smallest number of passes that lets one go clean is best",
}
#: All that the machine has a tool and a figure for, on one sheet.
ALL = "all"
#: Settings that stand over a figure that was kept, where she remembers them.
_OVER = {"card_offset": "blade_offset", "card_passes": "passes_count"}


def tried_kinds(kind: str, layers: Sequence[Layer], span: Span) -> tuple[list[str], list[str]]:
    """Which kinds a trial has on its sheet.

    Parameters
    ----------
    kind
        One of `DECIDES`, or "all": those that the machine has a tool and a figure for.
    layers
        Settings, as for a job.
    span
        What is tried.

    Returns
    -------
    kinds, told
        The kinds; and what is to be said of those that are left out, and of forces that nothing holds.

    Raises
    ------
    JobError
        When there is no such kind, or none of all can be tried.
    """
    machine, card = card_of(layers)
    at_work = set_up(machine, batch_of(card, machine).stock)
    if kind != ALL:
        require_kind(kind)
        figures_of(kind, at_work, span)
        return [kind], list(filter(None, [unknown_limit(kind, at_work)]))
    if span.first is not None or span.last is not None:
        raise JobError(
            "a first and a last figure (--from, --to) belong to one kind of trial",
            fix=f"Name one: {', '.join(DECIDES)}.",
        )
    kept: list[str] = []
    faults: list[JobError] = []
    for one in DECIDES:
        if one == "score" and scoring_tool(machine) is None:
            continue
        try:
            figures_of(one, at_work, span)
        except JobError as fault:
            faults.append(fault)
        else:
            kept.append(one)
    if not kept:
        raise faults[0]
    return kept, [f"Note: left out: {left}" for left in faults]


def require_kind(kind: str) -> None:
    """Refuse a kind that there is none of.

    Raises
    ------
    JobError
        Naming those that there are.
    """
    if kind not in DECIDES:
        raise JobError(f"there is no trial '{kind}'", fix=f"Known: {', '.join(DECIDES)}, all, times.")


def keep_best(kind: str, layers: Sequence[Layer], best: str) -> tuple[str, str]:
    """Keep the figure that was best, for the card on the machine; "none" forgets what was kept.

    Parameters
    ----------
    kind
        One of `DECIDES`.
    layers
        What is remembered, and what was given: they name machine and card.
    best
        The figure, as it is typed.

    Returns
    -------
    done, over
        What was kept, in words; and which remembered setting stands over it, if one does.

    Raises
    ------
    CutprepError
        When it can't be used, or the file can't be written.
    """
    require_kind(kind)
    machine, card = card_of(layers)
    name, stock = DECIDES[kind], stock_name(card["stock"])
    if best == NONE:
        keep_figure(machine.name, stock, name, None)
        return f"{kind}: forgotten for {stock} on {machine.name}", ""
    value = figure(kind, best)
    if kind in FORCES:
        require_allowed(kind, set_up(machine, batch_of(card, machine).stock), value)
    raw: Any = best.strip() if kind in LENGTHS else int(value) if kind == "pass" else value
    keep_figure(machine.name, stock, name, raw)
    over = _OVER.get(name, "")
    return (
        f"{kind}: {raw if kind in LENGTHS else said(kind, value)} from now on for {stock} on {machine.name}",
        over if over in layers[0] else "",
    )


def card_of(layers: Sequence[Layer]) -> tuple[Machine, Resolved]:
    """The machine and the card that settings name.

    Raises
    ------
    InputError
        When there is no such machine.
    """
    machine = machine_of(resolve(of_scope(Scope.JOB), *layers))
    return machine, resolve(of_scope(Scope.CARD, Scope.SHEET), *layers)
