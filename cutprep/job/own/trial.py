"""Trials: which figures are tried, how each is worked, and the job that cuts them on a corner of the card."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from cutprep import units
from cutprep.errors import CutprepError, JobError, PlanError
from cutprep.job.api import job_from
from cutprep.job.folder.outputs import output_files
from cutprep.job.folder.store import publish, require_free
from cutprep.job.job import Job, PlacedCopy, usable
from cutprep.job.pipeline import run
from cutprep.job.settings.forms import as_number, in_mm
from cutprep.job.settings.resolve import Layer
from cutprep.model.operation import Operation
from cutprep.model.rules import Rules, parse_kind
from cutprep.profile.machine import CORNERS, Machine, Tool
from cutprep.profile.setup import scoring_tool, set_up
from cutprep.profile.stock import PASSES
from cutprep.progress import Progress, silent
from cutprep.report.outcome import Outcome
from cutprep.stages.blade.cutting import LayerFigures
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.trial import MARKS, TrialRow, layer_of, trial_drawing

#: Kind of trial to the setting of a card that it decides.
DECIDES = {
    "force": "cut_force",
    "offset": "card_offset",
    "overcut": "card_overcut",
    "score": "score_force",
    "pass": "card_passes",
}
#: Kinds whose figures are forces.
FORCES = ("force", "score")
#: Kinds whose figures are lengths.
LENGTHS = ("offset", "overcut")
#: File of the drawing, to be printed as a key at full size.
KEY = "trial.svg"
MOST_STEPS = 20
#: Where a trial of force begins and ends, as shares of the present force; of overcut, and how far to both sides
#: of the present offset, mm: common practice, no published source.
_SHARES, _OVERCUTS, _ASIDE = (0.5, 1.5), (0.0, 1.4), 0.2
_PASSES = (1, 4)
#: Lines that belong to no outline, such as writing, count as this much wider when copies are laid out, mm.
_CLEAR = 0.1


@dataclass(frozen=True, slots=True)
class Span:
    """What is tried, as it was asked for; None: as usual.

    Attributes
    ----------
    first, last
        Figures, as typed: lengths with their unit, forces in the machine's unit.
    steps
        How many figures, both ends counted.
    """

    first: str | None = None
    last: str | None = None
    steps: int = 8


def figures_of(kind: str, machine: Machine, span: Span, unit: str = "mm") -> tuple[float, ...]:
    """The figures that a trial tries, lowest first.

    Parameters
    ----------
    kind
        One of `DECIDES`.
    machine
        As it is set up for the card.
    span
        From where to where.
    unit
        In which lengths are written, and so rounded.

    Returns
    -------
    tuple of float
        Forces in the machine's unit, lengths in mm, or numbers of passes.

    Raises
    ------
    JobError
        When the span can't be used, or the machine can't do what is to be tried.
    PlanError
        When the machine may not press so hard.
    """
    _require_sent(kind, machine)
    given = [None if word is None else figure(kind, word) for word in (span.first, span.last)]
    usual = _usual(kind, machine) if None in given else (0.0, 0.0)
    first, last = (own if one is None else one for one, own in zip(given, usual, strict=True))
    if kind in FORCES:
        require_allowed(kind, machine, max(first, last))
    if not first < last:
        raise JobError(
            f"a trial from {said(kind, first, unit)} to {said(kind, last, unit)} has nothing to compare",
            fix="Begin with a smaller figure.",
        )
    if kind == "pass":
        return tuple(float(count) for count in range(int(first), int(last) + 1))
    scale = _scale(kind, unit)
    first, step = first / scale, (last - first) / (span.steps - 1) / scale
    digits = max(0, 1 - math.floor(math.log10(step)))
    tried = [round(first + k * step, digits) for k in range(span.steps)]
    return tuple(value * scale for value in dict.fromkeys(tried))


def _usual(kind: str, machine: Machine) -> tuple[float, float]:
    """From where to where a trial goes when nobody says."""
    if kind == "overcut":
        return _OVERCUTS
    if kind == "pass":
        return _PASSES
    tool = tool_of(kind, machine)
    if kind == "offset":
        return max(0.0, tool.offset - _ASIDE), tool.offset + _ASIDE
    own = tool.force * (tool.part_force if _shares(kind, tool) else 1.0)
    if not (math.isfinite(own) and own > 0):
        raise JobError(
            f"the profile of '{machine.name}' gives no force for its {tool.name}, so a trial has nowhere to begin",
            fix="Give `force` there, or say here from where to where (--from, --to), by the machine's manual; a force that is set at the "
            "machine by hand is tried by hand.",
        )
    most = tool.most_force or own
    return own * _SHARES[0], max(min(own * _SHARES[1], most), own)


def _shares(kind: str, tool: Tool) -> bool:
    """Whether what is tried is a share of the force that the same knife cuts with."""
    return kind == "score" and Operation.CUT in tool.does


def _require_sent(kind: str, machine: Machine) -> None:
    """Refuse a trial of a force that no file of the machine would hold."""
    if kind not in FORCES:
        return
    tool = tool_of(kind, machine)
    if machine.languages[0] == "hpgl" and not machine.hpgl.send_force:
        raise JobError(
            f"'{machine.name}' takes no force from a file (send_force = false), so all figures would be worked alike",
            fix="Try the force at the machine, square by square.",
        )
    if _shares(kind, tool) and not (math.isfinite(tool.force) and tool.force > 0):
        raise JobError(
            f"the {tool.name} of '{machine.name}' scores with a share of the force that it cuts with, which its "
            "profile does not give",
            fix="Give `force` there first, or try the force of cuts.",
        )


def unknown_limit(kind: str, machine: Machine) -> str:
    """A caution where nothing in the profile holds a trial's force; empty where something does."""
    if kind not in FORCES:
        return ""
    tool = tool_of(kind, machine)
    if tool.most_force or math.isfinite(tool.force):
        return ""
    return (
        f"The profile of '{machine.name}' says nothing about how hard it may press its {tool.name}, so nobody checks "
        "these figures: take the highest from the machine's manual, begin low, and give the tool `most_force` there."
    )


def tool_of(kind: str, machine: Machine) -> Tool:
    """The tool that a trial is about.

    Raises
    ------
    JobError
        When the machine has none.
    """
    tool = scoring_tool(machine) if kind == "score" else machine.tool_for(Operation.CUT)
    if tool is None:
        what = "scores with a force of its own" if kind == "score" else "cuts"
        raise JobError(f"no tool of '{machine.name}' {what}, so there is nothing to try")
    if kind == "offset" and tool.kind != "knife":
        raise JobError(f"the {tool.name} of '{machine.name}' is no drag knife, so it has no offset")
    return tool


def figure(kind: str, typed: str) -> float:
    """A figure as it is typed.

    Raises
    ------
    JobError
        When it is none.
    """
    try:
        value = units.length(typed) if kind in LENGTHS else as_number(typed)
    except CutprepError as fault:
        like = (
            "0.2mm or 0.008in" if kind in LENGTHS else "2" if kind == "pass" else "120, in the machine's unit"
        )
        raise JobError(
            f"{fault.problem}, so {kind} can't be tried with it", fix=f"Give for example {like}."
        ) from None
    least, most = (PASSES["least"], PASSES["most"]) if kind == "pass" else (0.0, math.inf)
    if not least <= value <= most or (kind == "pass" and value != int(value)):
        raise JobError(
            f"{typed} can't be tried",
            fix=f"Give {'whole numbers ' if kind == 'pass' else ''}from {least:g} on.",
        )
    return value


def require_allowed(kind: str, machine: Machine, force: float) -> None:
    """Refuse a force above what the profile allows; where it says nothing, above the tool's own.

    Raises
    ------
    PlanError
        Naming what is allowed.
    """
    tool = tool_of(kind, machine)
    most = tool.most_force or (tool.force if math.isfinite(tool.force) else math.inf)
    if force <= most:
        return
    if tool.most_force:
        raise PlanError(
            f"force {force:g} is asked for, and '{machine.name}' may press its {tool.name} with {most:g} at most",
            fix="Try less, or more passes.",
        )
    raise PlanError(
        f"the profile of '{machine.name}' does not say how hard it may press its {tool.name}, so nothing above its "
        f"present force {most:g} is tried",
        fix="Give that tool `most_force` in the profile, from the machine's manual.",
    )


def _scale(kind: str, unit: str) -> float:
    """Millimetres of the unit in which a length is written, inches or mm; 1 for what is none."""
    return units.MM_PER["in"] if kind in LENGTHS and unit == "in" else 1.0


def said(kind: str, value: float, unit: str = "mm") -> str:
    """A figure as it is written on the card and as it is kept."""
    if kind not in LENGTHS:
        return f"{value:g}"
    return f"{value / units.MM_PER['in']:.6g}in" if unit == "in" else in_mm(float(f"{value:.9g}"))


def trial_job(
    kinds: Sequence[str], layers: Sequence[Layer], span: Span, folder: Path, *, corner: str, pen: bool
) -> tuple[Job, str]:
    """Make the job of a trial.

    Parameters
    ----------
    kinds
        Of `DECIDES`.
    layers
        Settings, as for a job.
    span
        What is tried; the steps alone where there are several kinds.
    folder
        Takes the drawing, which the job reads.
    corner
        Of the card, one of `CORNERS`.
    pen
        What each figure tries is written on the card, where a tool of the machine draws.

    Returns
    -------
    job, key
        The job, and the drawing as SVG.

    Raises
    ------
    CutprepError
        When a figure can't be tried, or the card has no room.
    """
    path = folder / KEY
    bare = job_from([path], *layers)
    batch = bare.batches[0]
    machine = set_up(bare.machine, batch.stock)
    tried = {kind: figures_of(kind, machine, span, bare.unit) for kind in kinds}
    size, margin = usable(batch.sheets[0], machine), bare.nesting.margin + _CLEAR
    writes = pen and machine.tool_for(Operation.DRAW) is not None
    rows = [
        TrialRow(kind, tuple(said(kind, one, bare.unit) for one in values)) for kind, values in tried.items()
    ]
    drawing = trial_drawing(rows, size.width - 2 * margin, pen=writes)
    key = write_svg(drawing.lines, page=drawing.page, title="trial", keep=True)
    path.write_text(key, encoding="utf-8")
    left, bottom, right, top = drawing.lines.bounds
    vertical, horizontal = corner.split("-")
    spot = PlacedCopy(
        sheet=1,
        item=0,
        x=margin if horizontal == "left" else size.width - margin - (right - left),
        y=margin if vertical == "lower" else size.height - margin - (top - bottom),
    )
    item = replace(batch.items[0], rules=_rules(tried, writes), copies=1, in_set=1)
    cut = replace(bare.cutting, layers=tuple(_figures(tried).items()))
    one = replace(batch, items=(item,), spots=(spot,))
    return replace(bare, batches=(one,), cutting=cut, title=f"Trial: {', '.join(kinds)}"), key


def _rules(tried: Mapping[str, Sequence[float]], writes: bool) -> Rules:
    """What each layer of the drawing is for."""
    rules = [(MARKS, parse_kind("draw" if writes else "guide"))]
    for kind, values in tried.items():
        for number in range(len(values)):
            operations = ("cut", "score") if kind == "score" else ("cut",)
            rules += [(layer_of(kind, number, word), parse_kind(word)) for word in operations]
    return Rules(layers=tuple(rules))


def _figures(tried: Mapping[str, Sequence[float]]) -> dict[str, LayerFigures]:
    """How the lines of each layer are worked."""
    made = {
        "force": lambda value: LayerFigures(force=value),
        "offset": lambda value: LayerFigures(offset=value),
        "overcut": lambda value: LayerFigures(overcut=value),
        "score": lambda value: LayerFigures(force=value),
        "pass": lambda value: LayerFigures(passes=int(value)),
    }
    return {
        layer_of(kind, number, "score" if kind == "score" else "cut"): made[kind](value)
        for kind, values in tried.items()
        for number, value in enumerate(values)
    }


def make_trial(
    kinds: Sequence[str],
    layers: Sequence[Layer],
    span: Span,
    out: Path,
    *,
    corner: str = CORNERS[0],
    pen: bool = True,
    replace: bool = False,
    progress: Progress = silent,
) -> Outcome:
    """Prepare a trial as any other job, with its drawing as a key.

    Parameters
    ----------
    kinds, layers, span, corner, pen
        As for `trial_job`.
    out
        Folder for the files.
    replace
        Whether what cutprep wrote there before may go.
    progress
        Told how far it is.

    Raises
    ------
    CutprepError
        When it can't be made, or the folder can't be written.
    """
    require_free(out, replace=replace)
    with tempfile.TemporaryDirectory(prefix="cutprep-trial-") as folder:
        job, key = trial_job(kinds, layers, span, Path(folder), corner=corner, pen=pen)
        outcome = run(job, progress)
    publish(out, output_files(outcome, job.also, more={KEY: key}), replace=replace)
    return outcome
