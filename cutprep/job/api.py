"""cutprep from Python: the same results as the commands, with paths and plain values as arguments."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace as with_items
from pathlib import Path
from typing import Unpack

from cutprep.job.build import batch_named, batch_of, item_of, job_of, machine_of, mending_of, rules_of
from cutprep.job.folder.outputs import output_files
from cutprep.job.folder.places import with_places
from cutprep.job.folder.store import publish, require_free
from cutprep.job.job import Item, Job
from cutprep.job.pieces.own import Reading, own_items
from cutprep.job.pipeline import run
from cutprep.job.printing.taken import with_artwork
from cutprep.job.settings.keywords import Settings
from cutprep.job.settings.resolve import Given, Layer, Source, as_typed, read_layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS, of_scope
from cutprep.job.words import in_mm, size_in_mm, title_of
from cutprep.limits import Limits
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.model.rules import LineKind, Rules, parse_colour, parse_kind, parse_rule
from cutprep.profile.stock import STRIP
from cutprep.progress import Progress, silent
from cutprep.report.outcome import Outcome
from cutprep.stages.check.inspect import check as inspect_drawing
from cutprep.stages.classify import classify, require_matches
from cutprep.stages.mend.mend import mend as mend_drawing
from cutprep.stages.mend.mending import USUAL, Mending
from cutprep.stages.read.reader import read as read_file
from cutprep.tolerance import Tolerance
from cutprep.units import at_least_0


def make_rules(
    layers: Mapping[str, str] | Iterable[str] = (),
    *,
    colours: Mapping[str, str] | Iterable[str] = (),
    dashed: str | None = None,
    fill_as_outline: bool = False,
) -> Rules:
    """Make classification rules.

    Parameters
    ----------
    layers, colours
        Name (or "#rrggbb") to operation, as a mapping or as texts "NAME=OPERATION".
    dashed
        Operation of dashed lines that nothing else places, or that share a rule with solid ones.
    fill_as_outline
        Take filled shapes without a stroke as if they had one.

    Raises
    ------
    JobError
        When an operation or a colour is not known.
    """
    return Rules(
        layers=tuple(_pairs(layers)),
        colours=tuple((parse_colour(name), kind) for name, kind in _pairs(colours)),
        dashed=parse_kind(dashed) if dashed else None,
        fill_as_outline=fill_as_outline,
    )


def _pairs(rules: Mapping[str, str] | Iterable[str]) -> list[tuple[str, LineKind]]:
    if isinstance(rules, Mapping):
        return [(name, parse_kind(word)) for name, word in rules.items()]
    return [parse_rule(text) for text in ([rules] if isinstance(rules, str) else rules)]


def read(
    path: Path | str,
    *,
    layers: Mapping[str, str] | Iterable[str] = (),
    rules: Rules | None = None,
    units: str | None = None,
    tolerance: Tolerance | None = None,
    limits: Limits | None = None,
) -> Drawing:
    """Read an SVG or DXF drawing and classify its lines.

    Parameters
    ----------
    layers
        Layer name to operation, for names that say nothing by themselves.
    rules
        All kinds of rules, from `make_rules`; stands in place of `layers`.
    units
        Unit of a drawing that names none.
    limits
        Upper bounds on what the file may ask for, above the usual ones (docs/SAFETY.md).

    Returns
    -------
    Drawing
        `drawing.lines` yields lines with `points` ((n, 2) ndarray of float, mm, y up), `closed`,
        `operation` and `layer`; `drawing.notes` tells what was left out, assumed or repaired.

    Raises
    ------
    JobError
        When a rule matches nothing in the drawing.
    CutprepError
        When the file can't be used.
    """
    drawing = read_file(path, tolerance=tolerance or Tolerance(), units=units, limits=limits or Limits())
    given = rules or make_rules(layers)
    require_matches(given, [drawing])
    return with_artwork(
        classify(drawing, given),
        Path(path),
        given,
        tolerance=tolerance or Tolerance(),
        units=units,
        limits=limits or Limits(),
    )


def check(
    drawing: Drawing | Path | str,
    *,
    tolerance: Tolerance | None = None,
    expect: str | tuple[float, float] | None = None,
    strip: str | float = STRIP,
    blade_offset: str | float = 0.0,
) -> Findings:
    """Find what is wrong with a drawing.

    Parameters
    ----------
    drawing
        A drawing, or the path of one.
    expect
        Size that the maker has in mind: "130x95mm", or (width, height) in mm.
    strip
        Narrowest strip that the stock holds; mm, or a text with its unit.
    blade_offset
        Offset of the knife's tip, for features that are too tight; likewise.

    Returns
    -------
    tuple of Finding
        The notes of reading come first.

    Raises
    ------
    JobError
        When a size or a length can't be.
    """
    if not isinstance(drawing, Drawing):
        drawing = read(drawing, tolerance=tolerance)
    found = inspect_drawing(
        drawing,
        tolerance or Tolerance(),
        strip=at_least_0(in_mm(strip), "the narrowest strip"),
        blade_offset=at_least_0(in_mm(blade_offset), "the blade's offset"),
        expect=None if expect is None else size_in_mm(expect),
    )
    return drawing.notes + found


def mend(
    drawing: Drawing | Path | str,
    *,
    tolerance: Tolerance | None = None,
    keep: str = USUAL.keep,
    gap: str | float | None = None,
    trim: str | float | None = None,
    ask: Iterable[str] | str = (),
) -> tuple[Drawing, Findings]:
    """Mend what can be mended safely, and what is asked for.

    Parameters
    ----------
    keep
        Where lines of different operations lie on each other: "report" leaves both, "cut",
        "score" or "outline" say which stays.
    gap, trim
        Largest gap that is closed, and how much of a line that runs too far is trimmed; mm, or a
        text with its unit.
    ask
        What else to do: "straighten", "arcs", "stubs".

    Returns
    -------
    tuple
        The mended drawing, and a finding for each change.
    """
    if not isinstance(drawing, Drawing):
        drawing = read(drawing, tolerance=tolerance)
    return mend_drawing(
        drawing,
        tolerance or Tolerance(),
        Mending(
            keep=keep,
            gap=None if gap is None else in_mm(gap),
            trim=None if trim is None else in_mm(trim),
            ask=frozenset([ask] if isinstance(ask, str) else ask),
        ),
    )


def make_job(
    sources: Sequence[Path | str] | Path | str,
    *,
    rules: Rules | None = None,
    tolerance: Tolerance | None = None,
    limits: Limits | None = None,
    **settings: Unpack[Settings],
) -> Job:
    """Make a job from plain values; numbers are mm, texts carry their unit.

    Parameters
    ----------
    sources
        Drawings.
    rules
        How lines are classified, from `make_rules`; stands in place of `layers`, `colours`, `dashed` and
        `fill_as_outline`.
    tolerance, limits
        The usual ones when None.
    settings
        By the names of docs/JOB-FILE.md. What is None counts as not given.

    Raises
    ------
    CutprepError
        When a value can't be used.
    """
    given = Given({name: value for name, value in settings.items() if value is not None})
    layer = read_layer(SETTINGS.values(), given, Source.OPTION, as_typed)
    return job_from(sources, layer, rules=rules, tolerance=tolerance, limits=limits)


def job_from(
    sources: Sequence[Path | str] | Path | str,
    *layers: Layer,
    rules: Rules | None = None,
    tolerance: Tolerance | None = None,
    limits: Limits | None = None,
) -> Job:
    """Make a job from settings that were read already; see `make_job`.

    Parameters
    ----------
    sources
        Drawings.
    layers
        From remembered settings to options.
    rules, tolerance, limits
        As for `make_job`.

    Raises
    ------
    CutprepError
        When a value can't be used.
    """
    paths = [Path(s) for s in ([sources] if isinstance(sources, Path | str) else sources)]
    base = resolve(of_scope(Scope.JOB), *layers)
    machine = machine_of(base)
    template = resolve(of_scope(Scope.TEMPLATE), *layers)
    shared = rules or rules_of(template)
    batch = batch_of(resolve(of_scope(Scope.CARD, Scope.SHEET), *layers), machine)
    reading = Reading(mending_of(base), tolerance or Tolerance(), limits or Limits())
    members: dict[str, list[Item]] = {"": []}
    for path in paths:
        item, own = own_items(item_of(path, template, base["sets"], shared), reading)
        members[""].append(item)
        for stock, piece in own:
            members.setdefault("" if stock == batch.stock.name else stock, []).append(piece)
    batches = [
        with_items(batch_named(stock, machine, layers) if stock else batch, items=tuple(items))
        for stock, items in members.items()
    ]
    job = job_of(base, machine, batches, title=title_of(paths), tolerance=tolerance, limits=limits)
    return with_places(job, base["places"]) if base["places"] is not None else job


def prepare_job(
    job: Job, out: Path | str | None = None, *, replace: bool = False, progress: Progress = silent
) -> Outcome:
    """Run a job and, when a folder is named, write its files: all of them or none.

    Parameters
    ----------
    job
        What to do.
    out
        Folder for the files; None writes none.
    replace
        Whether what cutprep wrote there before may go.
    progress
        Told how far it is.

    Raises
    ------
    Stopped
        When a drawing has errors and the job does not say to go on.
    CutprepError
        When the job can't be done or the folder can't be written.
    """
    if out is not None:
        require_free(Path(out), replace=replace)
    outcome = run(job, progress)
    if out is not None:
        publish(Path(out), output_files(outcome, job.also), replace=replace)
    return outcome


def prepare(
    sources: Sequence[Path | str] | Path | str,
    *,
    out: Path | str | None = None,
    replace: bool = False,
    progress: Progress = silent,
    **settings: Unpack[Settings],
) -> Outcome:
    """Prepare a job, as `cutprep prepare` does.

    Parameters
    ----------
    sources
        Drawings: one path or several.
    copies
        Of each.
    machine, stock
        Name of a profile, a file, or a value.
    language
        "hpgl" or "gcode", or "svg" or "dxf" for a machine that takes drawings; None for what it prefers.
    out
        Folder for the files; None writes none.
    sheet
        Size of the card, such as "A4"; None for the stock's.
    gap, margin, blade_offset
        Lengths: mm, or text with a unit.
    layers
        What layers are for: {"lid": "cut"} or "lid=cut".
    units
        Of drawings that name none.
    seed
        The same seed gives the same result.
    despite_findings
        Go on although drawings have errors.
    replace
        Whether what cutprep wrote into `out` before may go.
    mend
        Mend first what can be mended safely; `keep` says what stays of a score under a cut.
    progress
        Told how far it is.

    Returns
    -------
    Outcome
        Sheets with placements, strokes, machine text and times; written to `out` when named.

    Raises
    ------
    Stopped
        When a drawing has errors and `despite_findings` is not set.
    CutprepError
        When the job can't be done or the folder can't be written.
    """
    return prepare_job(make_job(sources, **settings), out, replace=replace, progress=progress)
