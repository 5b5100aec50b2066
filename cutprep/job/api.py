"""cutprep from Python: the same results as the commands, with paths and plain values as arguments."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from cutprep import units as lengths
from cutprep.job.folder.outputs import output_files
from cutprep.job.folder.places import with_places
from cutprep.job.folder.store import publish, require_free
from cutprep.job.job import Batch, Item, Job, find_sheet
from cutprep.job.pipeline import run
from cutprep.job.words import drawn_area, four_lengths, in_mm, parse_turns, title_of
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.model.rules import Kind, Rules, parse_colour, parse_kind, parse_rule
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.profile.stock import Stock
from cutprep.progress import Progress, silent
from cutprep.report.outcome import Outcome
from cutprep.stages.check.inspect import check as inspect_drawing
from cutprep.stages.classify import classify, require_matches
from cutprep.stages.mend.mend import mend as mend_drawing
from cutprep.stages.mend.mending import Mending
from cutprep.stages.read.limits import Limits
from cutprep.stages.read.reader import read as read_file
from cutprep.tolerance import Tolerance


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
        Operation of dashed lines that nothing else places.
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


def _pairs(rules: Mapping[str, str] | Iterable[str]) -> list[tuple[str, Kind]]:
    if isinstance(rules, Mapping):
        return [(name, parse_kind(word)) for name, word in rules.items()]
    return [parse_rule(text) for text in rules]


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
    return classify(drawing, given)


def check(
    drawing: Drawing | Path | str,
    *,
    tolerance: Tolerance | None = None,
    expect: str | tuple[float, float] | None = None,
    strip: float = 1.5,
    blade_offset: float = 0.0,
) -> Findings:
    """Find what is wrong with a drawing.

    Parameters
    ----------
    drawing
        A drawing, or the path of one.
    expect
        Size that the maker has in mind: "130x95mm", or (width, height) in mm.
    strip
        Narrowest strip that the stock holds, mm.
    blade_offset
        Offset of the knife's tip, mm, for features that are too tight.

    Returns
    -------
    tuple of Finding
        The notes of reading come first.
    """
    if not isinstance(drawing, Drawing):
        drawing = read(drawing, tolerance=tolerance)
    found = inspect_drawing(
        drawing,
        tolerance or Tolerance(),
        strip=strip,
        blade_offset=blade_offset,
        expect=lengths.size(expect) if isinstance(expect, str) else expect,
    )
    return drawing.notes + found


def mend(
    drawing: Drawing | Path | str,
    *,
    tolerance: Tolerance | None = None,
    keep: str = "report",
    gap: str | float | None = None,
    trim: str | float | None = None,
    ask: Iterable[str] = (),
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
            ask=frozenset(ask),
        ),
    )


def make_job(
    sources: Sequence[Path | str] | Path | str,
    *,
    copies: int = 1,
    machine: str | Machine = "mat-cutter-300",
    stock: str | Stock = "card-220",
    language: str | None = None,
    sheet: str | None = None,
    gap: str | float = 3.0,
    margin: str | float = 5.0,
    blade_offset: str | float | None = None,
    rules: Rules | None = None,
    units: str | None = None,
    expect: str | None = None,
    seed: int = 0,
    effort: str = "normal",
    despite_findings: bool = False,
    mend: bool = False,
    keep: str = "report",
    title: str | None = None,
    unit: str = "mm",
    turns: str = "quarter",
    amount: str = "copies",
    keep_out: Iterable[str] = (),
    places: Path | str | None = None,
    windows: bool = False,
    finish: str = "sheet",
    travel_by: str = "length",
    align: Iterable[str] = (),
    explain: bool = False,
    also: Iterable[str] = (),
    face_down: bool = False,
    students: int = 0,
    tolerance: Tolerance | None = None,
    limits: Limits | None = None,
) -> Job:
    """Make a job from plain values; numbers are mm, texts carry their unit.

    Parameters
    ----------
    keep_out
        Texts such as "0mm,0mm,50mm,80mm": left, bottom, right, top; or a drawing of what is used
        already, "used.svg" or "used.svg:LAYER".
    places
        A `job.json` whose placements are taken as they are.
    align
        Texts such as "10mm,10mm=10.4mm,9.8mm": a point of the plan, and where it really lies.

    Raises
    ------
    CutprepError
        When a value can't be used.
    """
    paths = [Path(s) for s in ([sources] if isinstance(sources, Path | str) else sources)]
    the_machine = shelf.machine(machine) if isinstance(machine, str) else machine
    the_stock = shelf.stock(stock) if isinstance(stock, str) else stock
    wanted = lengths.size(expect) if expect else None
    areas = tuple(keep_out)
    items = tuple(
        Item(path, copies, rules=rules or Rules(), units=units, expect=wanted, turns=parse_turns(turns))
        for path in paths
    )
    job = Job(
        title=title or title_of(paths),
        batches=(Batch(the_stock, (find_sheet(sheet, the_stock, the_machine),), items),),
        machine=the_machine,
        language=language or the_machine.languages[0],
        gap=in_mm(gap),
        margin=in_mm(margin),
        blade_offset=None if blade_offset is None else in_mm(blade_offset),
        seed=seed,
        effort=effort,
        despite_findings=despite_findings,
        mend=mend,
        keep=keep,
        unit=unit,
        amount=amount,
        keep_out=tuple(four_lengths(text) for text in areas if drawn_area(text) is None),
        keep_out_drawn=tuple(drawn for text in areas if (drawn := drawn_area(text)) is not None),
        windows=windows,
        finish=finish,
        travel_by=travel_by,
        align=tuple(four_lengths(text.replace("=", ",")) for text in align),
        explain=explain,
        also=tuple(dict.fromkeys(also)),
        face_down=face_down,
        students=students,
        tolerance=tolerance or Tolerance(),
        limits=limits or Limits(),
    )
    return with_places(job, Path(places)) if places is not None else job


def prepare_job(
    job: Job, out: Path | str | None = None, *, replace: bool = False, progress: Progress = silent
) -> Outcome:
    """Run a job and, when a folder is named, write its files: all of them or none.

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
    copies: int = 1,
    machine: str | Machine = "mat-cutter-300",
    stock: str | Stock = "card-220",
    language: str | None = None,
    out: Path | str | None = None,
    sheet: str | None = None,
    gap: str | float = 3.0,
    margin: str | float = 5.0,
    blade_offset: str | float | None = None,
    layers: Mapping[str, str] | Iterable[str] = (),
    units: str | None = None,
    seed: int = 0,
    despite_findings: bool = False,
    replace: bool = False,
    mend: bool = False,
    keep: str = "report",
    progress: Progress = silent,
) -> Outcome:
    """Prepare a job, as `cutprep prepare` does; `prepare_job` takes every other setting.

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
    job = make_job(
        sources,
        copies=copies,
        machine=machine,
        stock=stock,
        language=language,
        sheet=sheet,
        gap=gap,
        margin=margin,
        blade_offset=blade_offset,
        rules=make_rules(layers),
        units=units,
        seed=seed,
        despite_findings=despite_findings,
        mend=mend,
        keep=keep,
    )
    return prepare_job(job, out, replace=replace, progress=progress)
