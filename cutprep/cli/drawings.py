"""Commands that make drawings and job files."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace as replace_drawing
from pathlib import Path

from cutprep.cli import show
from cutprep.cli.files import write_file, write_picture
from cutprep.errors import JobError, OutputError
from cutprep.geometry.affine import shift
from cutprep.job.api import read
from cutprep.job.gallery import gallery, gallery_page
from cutprep.job.lasting import drawing_text
from cutprep.job.pieces.sets import prove_set, set_job
from cutprep.job.settings.table import SETTINGS
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity, errors
from cutprep.model.operation import Operation
from cutprep.report.pictures.findings import before_and_after
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.change import made
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from cutprep.tables import Table, quoted
from cutprep.template.dimensions import Dimension
from cutprep.template.eighths import eighths
from cutprep.template.family.fitting import FittedPiece, fit_set, side_by_side
from cutprep.template.family.pieces import PieceSet, as_toml, changed, example_of, read_set
from cutprep.template.family.ready import READY, ready_set
from cutprep.template.kinds import KINDS, kind_named
from cutprep.template.remedy import draw_or_advise
from cutprep.tolerance import Tolerance
from cutprep.units import (
    MM_PER,
    in_unit,
    length,
    say_length,
    say_size,
    say_thin,
    say_typed,
    told_in,
    worked_in,
)

_JOB = "job.toml"
#: Dimensions that say little of a piece, for the list.
_QUIET = ("apart", "caliper", "play")


def draw_template(kind: str, words: Sequence[str], out: Path, *, replace: bool, unit: str) -> None:
    """Draw a template from `key=value` words and write it.

    Raises
    ------
    JobError
        When a word or a dimension can't be used.
    OutputError
        When the file can't be written.
    """
    values = as_pairs(words)
    unit = worked_in(values.values(), unit)
    with told_in(unit, exact=True):
        drawing = draw_or_advise(kind_named(kind), kind_named(kind).read(values, unit), unit)
    write_drawing(drawing, out, replace=replace)
    assert drawing.page is not None
    show.say(f"{out}: {say_size(*drawing.page, unit)}, {len(drawing.lines)} lines")
    for sentence in eighths(kind_named(kind), values):
        show.say(sentence)


def as_pairs(words: Sequence[str], example: str = "length=150mm") -> dict[str, str]:
    """Words `key=value` as a table; `example` is one that could be.

    Raises
    ------
    JobError
        When one has no sign between.
    """
    values = {}
    for word in words:
        key, sign, value = word.partition("=")
        if not sign:
            raise JobError(f"'{word}' is no dimension", fix=f"Write for example {example}.")
        values[key.strip()] = value.strip()
    return values


def write_drawing(drawing: Drawing, out: Path, *, replace: bool) -> None:
    """Write a drawing as SVG or DXF, by the file's ending.

    Raises
    ------
    JobError
        When the ending is neither.
    OutputError
        When the file can't be written.
    """
    write_file(out, drawing_text(drawing, out.suffix.lower(), out.name).encode("utf-8"), replace=replace)


def list_kinds(kind: str | None, unit: str) -> None:
    """List the kinds of templates, or the dimensions of one."""
    if kind is None:
        show.show_table(("kind", "what it is"), [(k.name, k.title) for k in KINDS.values()])
        show.show_table(("set", "what it is"), [(name, ready_set(name).title) for name in READY])
        return
    found = kind_named(kind)
    show.say(f"{found.name}: {found.title}")
    show.show_table(
        ("key", "default", "from", "to", "what it is"),
        [_cells(d, unit) for d in found.all_dimensions],
    )
    show.say(f"Arithmetic: {found.source}; see docs/TEMPLATES.md")
    first = found.dimensions[0]
    usual = first.usual(unit, whole=False)
    typed = say_typed(usual, unit) if first.plain else first.say(usual)
    show.say(
        f"To draw it: cutprep template {found.name} {first.name}={typed} --out {found.name}.svg; what you leave "
        "out has its default.",
        console=show.err(),
    )


def _cells(d: Dimension, unit: str) -> tuple[str, ...]:
    if not d.plain and not d.count:
        return d.name, d.say(d.default), "", "", in_unit(d.meaning, unit)
    usual, *limits = (
        f"{v:g}" if d.count else _said_plainly(v, unit) for v in (d.usual(unit), d.least, d.most)
    )
    return d.name, f"{d.standard}, {usual}" if d.standard else usual, *limits, in_unit(d.meaning, unit)


def _said_plainly(mm: float, unit: str) -> str:
    """A length; in inches thousandths of what is thin, such as card."""
    return say_thin(mm, unit) if unit == "in" and 0 < mm < MM_PER["in"] / 4 else say_length(mm, unit)


def write_gallery(folder: Path, *, replace: bool) -> None:
    """Write a page with pictures of every kind into a folder.

    Raises
    ------
    OutputError
        When a file is there already or can't be written.
    """
    kinds = gallery()
    folder.mkdir(parents=True, exist_ok=True)
    page = folder / "templates.html"
    write_file(page, gallery_page(kinds).encode("utf-8"), replace=replace)
    for one in kinds:
        write_file(folder / f"{one.name}.svg", one.picture.encode("utf-8"), replace=replace)
    show.say(f"Open {page}: {len(kinds)} kinds of templates")


def is_set(kind: str) -> bool:
    """Whether a word names a set: one to begin with, or a file of the maker's own."""
    return kind in READY or kind.lower().endswith(".toml")


def draw_set(name: str, words: Sequence[str], out: Path | None, *, replace: bool, unit: str) -> None:
    """Show a set, or write it: a drawing, a set of the maker's own (.toml), or a folder with a job.

    Raises
    ------
    JobError
        When a value can't be used, or a piece doesn't fit.
    OutputError
        When a file can't be written.
    """
    given = ready_set(name) if name in READY else read_set(Table.load(Path(name)))
    values = as_pairs(words, example_of(given))
    with told_in(worked_in(values.values(), unit), exact=True):
        one = changed(given, values.items())
        fitted = fit_set(one)
    unit = one.unit if one.unit == "in" else unit
    told = prove_set(fitted)
    for fault in errors(told):
        raise JobError(fault.problem, fix=fault.fix)
    if out is None:
        show.say(f"{one.title}")
    elif out.suffix.lower() == ".toml":
        write_file(out, as_toml(one).encode("utf-8"), replace=replace)
        show.say(f"{out}: the set as a file of yours; draw it with `cutprep template {out} --out FOLDER`")
    elif out.suffix:
        drawing = side_by_side(one, fitted)
        write_drawing(drawing, out, replace=replace)
        assert drawing.page is not None
        show.say(f"{out}: {say_size(*drawing.page, unit)}, each piece once")
    else:
        _write_job(one, fitted, out, replace=replace)
    show.show_table(
        ("piece", "how many", "kind", "inside and other dimensions"),
        [_piece_cells(fit, unit) for fit in fitted],
    )
    for finding in told:
        show.say(f"Folded: {in_unit(finding.problem, unit)}.")
    if out is None:
        show.say(
            f"To draw it: cutprep template {name} --out FOLDER, or FILE.svg, or FILE.toml for a set of your own.",
            console=show.err(),
        )


def _write_job(one: PieceSet, fitted: Sequence[FittedPiece], folder: Path, *, replace: bool) -> None:
    job = set_job(one, fitted)
    folder.mkdir(parents=True, exist_ok=True)
    for fit in fitted:
        write_drawing(fit.drawing, folder / f"{fit.piece.name}.svg", replace=replace)
    write_file(folder / _JOB, job.encode("utf-8"), replace=replace)
    show.say(f"{folder / _JOB}: {len(fitted)} drawings; run `cutprep prepare {folder / _JOB} --out results`")


def _piece_cells(fit: FittedPiece, unit: str) -> tuple[str, ...]:
    known = KINDS[fit.piece.kind].dimensions
    shown = [_said(d, fit.values[d.name], unit) for d in known if d.name not in _QUIET]
    return fit.piece.name, str(fit.count), fit.piece.kind, ", ".join(shown)


def _said(dimension: Dimension, value: float, unit: str) -> str:
    return f"{dimension.name} {_said_plainly(value, unit) if dimension.plain else dimension.say(value)}"


def mend_drawing(
    drawing: Drawing,
    source: Path,
    out: Path,
    *,
    keep: str,
    gap: str | None,
    trim: str | None,
    ask: frozenset[str],
    picture: Path | None,
    every: bool,
    replace: bool,
    unit: str,
) -> bool:
    """Mend a drawing, write it, and say each change; True when errors are left in it.

    Raises
    ------
    CutprepError
        When an option can't be used or the file can't be written.
    """
    if out.exists() and out.samefile(source):
        raise OutputError(
            "the mended drawing would overwrite the one it is made from", fix="Name another file with --out."
        )
    tolerance = Tolerance()
    limits = {word: length(said) for word, said in (("gap", gap), ("trim", trim)) if said is not None}
    mended, changes = mend(
        drawing, tolerance, Mending(keep=keep, ask=ask, gap=limits.get("gap"), trim=limits.get("trim"))
    )
    left = check(mended, tolerance)
    if picture is not None:
        found = tuple(f for f in check(drawing, tolerance) if f.severity is not Severity.NOTE)
        write_picture(picture, before_and_after(drawing, found, mended), replace=replace)
    if mended.page is None:
        # A DXF has no page, and lies where its author put it; on a page it starts at the corner.
        x, y, _, _ = mended.lines.bounds
        mended = replace_drawing(
            mended.with_lines(mended.lines.transform(shift(-x, -y))),
            texts=tuple(place.moved(-x, -y) for place in mended.texts),
        )
    write_drawing(mended, out, replace=replace)
    if drawing.notes:
        show.say(
            f"{out.name} holds lines alone. This is what {source.name} held beside them, or was read otherwise than drawn:"
        )
        show.show_findings(drawing.notes, every=every, unit=unit)
    show.show_findings(made(changes), every=every, unit=unit)
    count = len(made(changes))
    show.say(f"{out}: {count} change{'s' * (count != 1)}")
    show.show_findings([f for f in left if f.severity is not Severity.NOTE], every=every, unit=unit)
    return bool(errors(left))


STARTER = """# A job for cutprep: docs/JOB-FILE.md lists every key.
# Run it: cutprep prepare {name} --out results
title = {title}
machine = {machine:<20} # `cutprep machines` lists them; or a .toml file beside this one
# language = "hpgl"            # or "gcode"; without it, what the machine prefers
sets = {sets:<23} # every `copies` below is what one set needs
gap = {gap}
margin = {margin}
lengths_in = {unit:<17} # or "in"

[[stock]]
name = "card"                  # goes into the names of the machine files
like = {stock:<23} # `cutprep stocks` lists them
[[stock.sheet]]
size = "12in"                  # or "A4", "305x305mm" ...
# at_hand = 10                 # how many sheets there are
# price = 0.60
"""
STARTER_ITEM = """
[[template]]
file = {file}
copies = {copies}
stock = "card"
# expect = {size:<19} # an error when the drawing has another size
# spare = 5                    # percent made on top
# turns = "half"               # or "quarter", "free"; "never" for card with a pattern
"""
STARTER_LAYER = '# layers.{layer} = "cut"         # nothing says what this layer is for\n'


def start_job(out: Path, templates: Sequence[Path], *, replace: bool) -> None:
    """Write a commented job file for some drawings.

    Raises
    ------
    CutprepError
        When a drawing can't be read or the file can't be written.
    """
    usual = {name: _as_toml(name) for name in ("machine", "sets", "gap", "margin", "unit", "stock", "copies")}
    parts = [STARTER.format(name=show.clean(out.name), title=quoted(out.stem), **usual)]
    for path in templates:
        drawing = read(path)
        left, bottom, right, top = drawing.lines.bounds
        size = f"{right - left:.1f}x{top - bottom:.1f}mm"
        where = os.path.relpath(path.resolve(), out.resolve().parent)
        if any("\ud800" <= c <= "\udfff" for c in where):
            raise JobError(
                f"the file's name, '{path.name}', is no text, so a job file can't hold it",
                fix="Rename the file.",
            )
        parts.append(STARTER_ITEM.format(file=quoted(Path(where).as_posix()), size=quoted(size), **usual))
        unplaced = {line.layer for line in drawing.lines if line.operation is Operation.UNPLACED}
        parts += [STARTER_LAYER.format(layer=quoted(layer or "unnamed")) for layer in sorted(unplaced)]
    write_file(out, "".join(parts).encode("utf-8"), replace=replace)
    show.say(
        f"{out}: {len(templates)} template{'s' * (len(templates) != 1)}; look through it, then prepare it."
    )


def _as_toml(name: str) -> str:
    """What is taken for a setting when nothing is said, as a job file has it."""
    setting = SETTINGS[name]
    value = setting.form.plain(setting.default)
    return quoted(value) if isinstance(value, str) else str(value)
