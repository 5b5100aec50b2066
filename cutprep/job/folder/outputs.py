"""Which files a prepared job consists of."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from cutprep.job.printing.sheets import printed_page
from cutprep.job.record.read import INDEX
from cutprep.job.record.write import job_text
from cutprep.report.classsheet import class_sheet
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.hands.steps import works_of
from cutprep.report.jobsheet import job_sheet
from cutprep.report.makingsheet import cards_of, making_sheet, making_text
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.report.pictures.flat import flat_map
from cutprep.report.pictures.folded import folding_frames
from cutprep.report.pictures.sheet import sheet_map, sheet_marks
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.pdf.by_hand import write_pdf
from cutprep.stages.write.svg_file import write_svg

JOB_SHEET = "job-sheet.html"
MAKING_SHEET = "making-sheet.html"
MAKING_TEXT = "making-sheet.txt"
CLASS_SHEET = "class-sheet.html"
NOTHING_MORE: Mapping[str, str | bytes] = MappingProxyType({})
#: A picture that stands alone may fill an A4 or a letter page, mm.
_PAGE = (186.0, 250.0)


def output_files(
    outcome: Outcome, also: Collection[str] = (), *, more: Mapping[str, str | bytes] = NOTHING_MORE
) -> dict[str, str | bytes]:
    """Name to content of every file of a job, `job.json` last.

    Parameters
    ----------
    also
        Further outputs, of `job.ALSO`: each sheet as plain SVG, as DXF, as full-size PDF to cut by hand;
        pictures of sheets and templates; a sheet for a class.
    more
        Name to content of files that belong to this job alone.
    """
    files: dict[str, str | bytes] = {file.name: file.text for sheet in outcome.sheets for file in sheet.files}
    for sheet in outcome.sheets:
        page = printed_page(sheet)
        if page is not None:
            files[sheet.print_file] = page
        files.update(_plain_sheet(outcome, sheet, also))
    if "pictures" in also:
        files.update(pictures(outcome))
    made = cards_of(outcome)
    files[JOB_SHEET] = job_sheet(outcome, made)
    files[MAKING_SHEET] = making_sheet(outcome, made)
    files[MAKING_TEXT] = making_text(outcome, made)
    if "class-sheet" in also:
        files[CLASS_SHEET] = class_sheet(outcome)
    files.update(more)
    files[INDEX] = job_text(outcome, files)
    return files


def _plain_sheet(outcome: Outcome, done: SheetOutcome, also: Collection[str]) -> dict[str, str | bytes]:
    """One sheet for machines that take drawings, and for hands."""
    stem = done.stem
    page, title = (done.sheet.width, done.sheet.height), f"{outcome.title}, sheet {done.sheet.number}"
    files: dict[str, str | bytes] = {}
    if "svg" in also and outcome.language != "svg":
        files[f"{stem}.svg"] = write_svg(done.placed, page=page, title=title, arcs=True)
    if "dxf" in also and outcome.language != "dxf":
        files[f"{stem}.dxf"] = write_dxf(done.placed, arcs=True)
    if "pdf" in also:
        files[f"{stem}.pdf"] = write_pdf(done.placed, page=page, title=title)
    return files


def pictures(outcome: Outcome) -> dict[str, str]:
    """Name to SVG for a page of one's own: every sheet, every template flat, and folding."""
    files: dict[str, str] = {}
    for done in outcome.sheets:
        files[f"picture-{done.stem}.svg"] = sheet_map(
            done, alone=True, marks=sheet_marks(outcome, done), unit=outcome.unit
        )
    for count, template in enumerate(outcome.templates, 1):
        works, _ = works_of(pieces_of(template, outcome.tolerance.gap).shown, outcome.tolerance.coincide)
        for number, work in enumerate(works, 1):
            tail = "" if len(works) == 1 else f"-piece-{number}"
            files[f"picture-template-{count:02d}{tail}.svg"] = flat_map(work, limit=_PAGE, alone=True)
        for part, report in enumerate((r for r in template.folds if r.motion is not None and r.hinges), 1):
            files[f"picture-template-{count:02d}-folding-{part}.svg"] = folding_frames(report)
    return files
