"""What `cutprep fold` does and shows."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from pathlib import Path

from cutprep.cli import show
from cutprep.cli.files import write_file, write_picture
from cutprep.errors import JobError, PlanError
from cutprep.job.api import read
from cutprep.job.pieces.named import PieceNames
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import errors, sentence
from cutprep.model.folded import FoldReport
from cutprep.profile import shelf
from cutprep.report.fold_data import fold_data
from cutprep.report.pictures.folded import folding_frames
from cutprep.stages.check.inspect import check
from cutprep.stages.fold.declared.file import as_toml, load_declared
from cutprep.stages.fold.export.fold_file import to_fold
from cutprep.stages.fold.export.mesh_files import to_obj, to_stl
from cutprep.stages.fold.fit.contents import holds, set_in_tray
from cutprep.stages.fold.fit.tell import Wanted, parse_wanted, size_of, told
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from cutprep.units import in_unit, length, say_length, say_sides, say_thin, say_volume

_EXPORTS = {".fold": to_fold, ".obj": to_obj, ".stl": to_stl}


def fold_drawing(
    drawing: Drawing,
    *,
    angles: Path | None,
    stock: str,
    thickness: str | None,
    inside: str | None,
    clearance: str,
    picture: Path | None,
    export: Path | None,
    json: bool,
    replace: bool,
    fits: Sequence[str],
    work: float,
    unit: str,
) -> bool:
    """Fold a drawing and show what becomes of it; True when a part does not fold up as it should, or an error is told.

    Raises
    ------
    CutprepError
        When an option can't be used or a file can't be written.
    """
    declared = load_declared(angles) if angles is not None else None
    card = shelf.stock(stock)
    caliper = card.caliper if thickness is None else length(thickness)
    faults = check(drawing, Tolerance())
    reports = fold(
        drawing,
        declared=declared,
        thickness=caliper,
        tolerance=Tolerance(),
        faults=faults,
        work=work,
        pieces=PieceNames(drawing, Tolerance()),
    )
    if not reports:
        raise PlanError("there is no part to fold", fix="Look at the outline with `cutprep check`.")
    reports = _with_fits(reports, [parse_wanted(text) for text in fits])
    if picture is not None:
        for number, report in enumerate(reports, 1):
            write_picture(_numbered(picture, number), folding_frames(report), replace=replace)
    if export is not None:
        make = _EXPORTS.get(export.suffix.lower())
        if make is None:
            raise JobError(f"'{export.name}' does not end in {', '.join(_EXPORTS)}", fix="Name the file so.")
        for number, report in enumerate(reports, 1):
            write_file(_numbered(export, number), make(report).encode("utf-8"), replace=replace)
    if thickness is None:
        show.say(
            f"Folded in card of {say_thin(caliper, unit)} ({card.name}); another one by --stock or --thickness.",
            console=show.err() if json else None,
        )
    if json:
        data = fold_data(reports)
        if inside is not None:
            for part, report in zip(data["parts"], reports, strict=True):
                part["holds"] = _holding(report, inside, clearance, unit)
        show.say_json(data)
        return _is_faulty(reports)
    for report in reports:
        _show(report, unit)
        if inside is not None:
            show.say(_holding(report, inside, clearance, unit))
    return _is_faulty(reports)


def _is_faulty(reports: Sequence[FoldReport]) -> bool:
    """Whether a part does not fold as it should, or has an error."""
    return any((not report.ok and report.closes is not None) or errors(report.messages) for report in reports)


def _with_fits(reports: tuple[FoldReport, ...], wishes: Sequence[Wanted]) -> tuple[FoldReport, ...]:
    """Add to each outer part how what the maker names fits it; parts are numbered from 1."""
    told_of = list(reports)
    for wish in wishes:
        outer = _part_number(wish.outer, len(reports))
        inner = (
            wish.inner if isinstance(wish.inner, tuple) else reports[_part_number(wish.inner, len(reports))]
        )
        finding = told(wish, reports[outer], inner)
        told_of[outer] = dataclasses.replace(told_of[outer], messages=(*told_of[outer].messages, finding))
    return tuple(told_of)


def _part_number(text: str, count: int) -> int:
    """Index of the part that a number names."""
    if not text.isdecimal() or not 1 <= int(text) <= count:
        raise JobError(
            f"'{text}' is no part of this drawing",
            fix="It has one part, number 1." if count == 1 else f"Its parts are numbered 1 to {count}.",
        )
    return int(text) - 1


def _numbered(path: Path, number: int) -> Path:
    """Name of the file for one part; parts after the first get a number."""
    return path if number == 1 else path.with_stem(f"{path.stem}-{number}")


def _show(report: FoldReport, unit: str) -> None:
    show.say(f"{report.name}: {report.verdict.value} ({report.certainty.value})")
    rows = [
        ("panels, scores", f"{len(report.panels)}, {len(report.hinges)}"),
        ("flaps, seams", f"{len(report.flaps)}, {len(report.mates)}"),
    ]
    if report.closes is not None and math.isfinite(report.gap):  # what is locked was not folded
        rows.append(("largest seam error", in_unit(f"{report.gap:.2f} mm", unit)))
    if report.inside_mm is not None:
        rows.append(("inside", say_sides(report.inside_mm, unit)))
    if report.volume_mm3:
        rows.append(("volume", say_volume(report.volume_mm3, unit)))
    show.show_table(("what", "figure"), rows)
    if report.hinges:
        angles = [
            (
                f"{report.panels[h.a].name}-{report.panels[h.b].name}",
                say_length(h.length, unit),
                _angle(h.angle),
            )
            for h in report.hinges
        ]
        show.show_table(("score between", "length", "fold angle"), angles)
    show.show_findings(report.messages, unit=unit)
    found = as_toml(report)
    if found and errors(report.messages):
        show.say("What was found, to correct and give back with --angles:", console=show.err())
        for row in found.splitlines():
            show.say(row, console=show.err())


def _angle(degrees: float) -> str:
    return f"{degrees:.2f} degrees" if math.isfinite(degrees) else "not found"


def _holding(report: FoldReport, text: str, clearance: str, unit: str) -> str:
    """How many boxes go in: of a size, or those that another drawing folds to."""
    if Path(text).suffix.lower() in {".svg", ".dxf"}:
        boxes = fold(read(text), thickness=report.thickness, tolerance=Tolerance())
        if not boxes:
            raise PlanError(f"there is no part to fold in '{text}'", fix="Look at it with `cutprep check`.")
        words = set_in_tray(report, boxes[0], clearance=length(clearance)).words
        return f"{text}: {in_unit(words, unit, exact=True)}."
    size = size_of(text)
    if size is None:
        raise JobError(
            f"'{text}' is no size of a box",
            fix="Write for example 40x40x60mm, or name a drawing, carton.svg.",
        )
    return sentence(in_unit(holds(report, size, clearance=length(clearance)).words, unit, exact=True))
