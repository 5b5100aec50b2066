"""The drawings and jobs whose pages are read and kept (`tests.readings`): small ones, so that a person can follow each figure.

They are drawn by hand, in inches and in millimetres, and hold between them what pages are made of: scores along the edges,
slanting and curved, slots, an opening, a slit, names, a printed layer, scores from the back, a machine that takes drawings.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

from cutprep.job.api import check, make_job, mend, read
from cutprep.job.file import load_job
from cutprep.job.pipeline import run
from cutprep.model.findings.finding import Finding
from cutprep.profile.line import LineStyle
from cutprep.report.classsheet import class_sheet
from cutprep.report.data import order_data
from cutprep.report.fold_data import fold_data
from cutprep.report.hands.table import table_of
from cutprep.report.jobsheet import job_sheet
from cutprep.report.makingsheet import making_sheet, making_text
from cutprep.report.outcome import Outcome
from cutprep.report.pictures.findings import before_and_after, findings_picture
from cutprep.report.pictures.flat import flat_map, room_on_card
from cutprep.report.pictures.folded import folding_frames
from cutprep.report.pictures.machine_file import picture
from cutprep.report.pictures.mended import change_picture
from cutprep.report.pictures.step import done_picture, step_picture
from cutprep.template.kinds import KINDS
from tests.making import made
from tests.printed import TAG
from tests.readings import data_rows, page_rows, picture_rows
from tests.svg_text import SPACE

#: A seed tray, 3 by 2 in and 1 in high, in inches: corner tabs, a window in its base, a slit and a pen line on its walls.
SEED_TRAY = f"""<svg {SPACE} width="6in" height="5in" viewBox="0 0 6 5" fill="none" stroke="#000" stroke-width=".01">
<g id="cut"><path d="M1.5 .5H4.5V1.5L4.55 1.1H5.45L5.5 1.5V3.5L5.45 3.9H4.55L4.5 3.5V4.5H1.5V3.5L1.45 3.9H.55L.5 3.5V1.5L.55 1.1\
H1.45L1.5 1.5Z"/><path d="M2.5 2.5L2.75 2.1H3.25L3.5 2.5L3.25 2.9H2.75Z"/><path d="M2 .875H4"/></g>
<g id="score"><path d="M1.5 1.5H4.5M4.5 1.5V3.5M4.5 3.5H1.5M1.5 3.5V1.5M.5 1.5H1.5M4.5 1.5H5.5M.5 3.5H1.5M4.5 3.5H5.5"/></g>
<g id="draw"><path d="M1.75 4.25H4.25"/></g></svg>"""
#: Two strips for a row of jars, 90 by 30 mm, that are pushed into each other by a slot.
STRIPS = f"""<svg {SPACE} width="100mm" height="75mm" viewBox="0 0 100 75" fill="none" stroke="#000">
<g id="cut"><path d="M5 5H95V35H50.5V20H49.5V35H5Z"/><path d="M5 40H49.5V55H50.5V40H95V70H5Z"/></g></svg>"""
#: A card of 70 by 50 mm: a mountain, a valley, a valley that slants, an arc to score, a line to tear along and a half cut.
CARD = f"""<svg {SPACE} width="70mm" height="50mm" viewBox="0 0 70 50" fill="none">
<g id="mountain" stroke="#00f"><path d="M31 1V49"/></g><g id="valley" stroke="#00f"><path d="M12 1V49M52 1L56 49"/></g>
<g id="score" stroke="#00f"><path d="M36 40A12 12 0 0 1 48 40"/></g><g id="perforate" stroke="#0a0"><path d="M1 10H10"/></g>
<g id="partial-cut" stroke="#a00"><path d="M2 30H9"/></g><g id="cut" stroke="#000"><path d="M1 1H69V49H1Z"/></g></svg>"""
#: A bookmark on whose line a name is drawn.
BOOKMARK = f"""<svg {SPACE} width="80mm" height="30mm" viewBox="0 0 80 30">
<g id="cut" fill="none" stroke="#000"><path d="M1 1H69L79 15L69 29H1Z"/><circle cx="70" cy="15" r="2"/></g>
<g id="draw"><text x="36" y="19" font-size="9" text-anchor="middle">{{name}}</text></g></svg>"""
#: A tag whose outline is not closed, with a line that is there twice.
FAULTY = f"""<svg {SPACE} width="60mm" height="40mm" viewBox="0 0 60 40" fill="none" stroke="#000">
<g id="cut"><path d="M5 35V5H55V35H8"/><path d="M20 15H40V25H20Z"/><path d="M20 15H40"/></g></svg>"""
FILES = {
    "seed-tray.svg": SEED_TRAY,
    "strips.svg": STRIPS,
    "card.svg": CARD,
    "bookmark.svg": BOOKMARK,
    "tag.svg": TAG,
    "faulty.svg": FAULTY,
}
FAIR = """title = "Spring fair"
sets = 2
lengths_in = "mm"
machine = "mat-cutter-300"
effort = "quick"
from_back = "mountains"
turn_by = "marks"
explain = true
[[stock]]
name = "meadow"
like = "card-220"
title = "Meadow card"
caliper = "0.3mm"
grain = 90
[[stock.sheet]]
size = "160x120mm"
price = 0.40
[[stock]]
name = "plain"
like = "card-160"
[[template]]
file = "card.svg"
copies = 1
spare = 20
stock = "meadow"
[[template]]
file = "strips.svg"
copies = 1
stock = "plain"
"""


@cache
def folder() -> Path:
    """Where the drawings lie, for one process."""
    found = Path(tempfile.mkdtemp(prefix="cutprep-readings-"))
    for name, text in FILES.items():
        (found / name).write_text(text, encoding="utf-8")
    (found / "fair.toml").write_text(FAIR, encoding="utf-8")
    shipped = files("cutprep.profile") / "shipped" / "machines" / "mat-cutter-300.toml"
    cutter = shipped.read_text(encoding="utf-8")
    (found / "drawing.toml").write_text(
        cutter.replace('["hpgl", "gcode"]', '["svg", "hpgl"]'), encoding="utf-8"
    )
    (found / "alone.toml").write_text(
        cutter.replace("area =", 'one_file_for = "tool"\narea ='), encoding="utf-8"
    )
    return found


@cache
def inches() -> Outcome:
    """Seed trays for a class, on letter sheets, in inches, by a machine that changes its tools itself."""
    return run(
        make_job(
            folder() / "seed-tray.svg", copies=5, sheet="letter", price=0.5, unit="in", machine="mat-cutter-600",
            effort="quick", also=["class-sheet"], students=2, title="Seed trays", explain=True, card_grain=0.0,
        )
    )  # fmt: skip


@cache
def fair() -> Outcome:
    """Two cards in sets, one of them scored from the back; a file of settings."""
    return run(load_job(folder() / "fair.toml"))


@cache
def named() -> Outcome:
    """Names on bookmarks, G-code, sent over a slow line, in a frame whose edges are no guide."""
    job = make_job(
        folder() / "bookmark.svg", names=["Ida", "Åse", "Bo"], sheet="200x120mm", machine="belt-servo-400", effort="quick",
        mirror=False, price=0.25,
    )  # fmt: skip
    return run(replace(job, machine=replace(job.machine, line=LineStyle(speed=300, buffer=256))))


@cache
def printed() -> Outcome:
    """A tag that is printed first, in files of one tool each."""
    job = make_job(
        folder() / "tag.svg",
        copies=2,
        sheet="A4",
        effort="quick",
        keep_out=["60mm,60mm,90mm,90mm"],
        machine=folder() / "alone.toml",
    )
    return run(job)


@cache
def drawn() -> Outcome:
    """A drawing for the machine, made face down despite errors, with a warning that has no picture."""
    job = make_job(
        [folder() / "faulty.svg", folder() / "card.svg"], sheet="A4", machine=folder() / "drawing.toml", face_down=True, despite_findings=True,
        effort="quick", passes_count=2, layers={"partial-cut": "cut"},
    )  # fmt: skip
    outcome = run(job)
    return replace(
        outcome, findings=(*outcome.findings, Finding.of("doubled-line", "Two lines are one", measure=3.0))
    )


def _text_rows(outcome: Outcome) -> Iterator[str]:
    yield from making_text(outcome).splitlines()


def _hands(kinds: tuple[str, ...]) -> Iterator[str]:
    """What each piece of some kinds of template is scored by, and what each of its steps is about; the words stand in docs/MAKING.md."""
    for kind in kinds:
        works, joined = made(KINDS[kind].from_values())
        for work in works:
            piece, report = work.piece, work.piece.report
            across, up = piece.size
            yield f"{kind}: {work.title}, {piece.alike} alike, {across:.1f} by {up:.1f}"
            table = table_of(work)
            for row in (*table.board, *table.slanting, *table.curves, *table.slots):
                yield f"{row.number} {row.edge} {' = '.join(row.at)} from {' = '.join(row.runs)} {row.fold}"
            yield f"  up {' '.join(f'{v:.1f}' for v in work.built.up)}"
            for step in work.steps:
                lit = " ".join(report.panels[k].name for k in step.lit) if report is not None else ""
                folds = " ".join(f"{share:g}" for share in step.folded)
                yield f"{step.do.name}; lit: {lit}; folded: {folds}; scores: {' '.join(map(str, step.scores))}"
        yield from (f"{step.do.name} {step.text}" for step in joined)


def _pictures(kind: str) -> Iterator[str]:
    """Every picture of a kind of template: flat, step by step, done, and as it folds."""
    works, _ = made(KINDS[kind].from_values())
    for work in works:
        yield f"{kind}: {work.title}"
        yield from picture_rows(flat_map(work, limit=room_on_card(work)))
        eye = 0
        for step in work.steps:
            picture, eye = step_picture(step, work, eye=eye)
            yield f"{step.do.name}, eye {eye}"
            yield from picture_rows(picture)
        yield from picture_rows(done_picture(work))
        if work.piece.report is not None:
            yield from picture_rows(folding_frames(work.piece.report))


def _faults() -> Iterator[str]:
    """A faulty drawing with its findings, beside what mending makes of it, and each change from near."""
    drawing = read(folder() / "faulty.svg")
    found = check(drawing)
    yield from picture_rows(findings_picture(drawing, found))
    better, changes = mend(drawing)
    yield from picture_rows(before_and_after(drawing, found, better))
    for change in changes:
        yield f"{change.code}: {change.problem}"
        yield from picture_rows(change_picture(drawing.lines, better.lines, change))


def _machine_files() -> Iterator[str]:
    for outcome in (fair(), named()):
        for done in outcome.sheets:
            yield done.file
            yield from picture_rows(picture(done.read, outcome.machine, title=done.file))
            yield from data_rows(json.loads(json.dumps(order_data(done))))


def _folds(outcome: Outcome) -> Iterator[str]:
    for template in outcome.templates:
        yield from data_rows(json.loads(json.dumps(fold_data(template.folds))), template.name)


OPEN = ("tray", "tray-with-lid", "polygon-box", "shoulder-box", "exploding-box", "star-box", "lace", "cup")
CLOSED = (
    "tuck-carton", "hinged-box", "cake-slice", "prism-carton", "pyramid", "drawer-and-sleeve", "divider", "treat-box",
)  # fmt: skip
SOFT = (
    "pillow-box", "envelope", "gathered-box", "gusseted-bag", "milk-carton", "gable-box", "pop-up-stair", "sleeve", "band",
    "locked-band", "cone",
)  # fmt: skip
#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "inches-job-sheet": lambda: page_rows(job_sheet(inches())),
    "inches-making-sheet": lambda: page_rows(making_sheet(inches())),
    "inches-class-sheet": lambda: page_rows(class_sheet(inches())),
    "inches-folds": lambda: list(_folds(inches())),
    "fair-job-sheet": lambda: page_rows(job_sheet(fair())),
    "fair-making-sheet": lambda: page_rows(making_sheet(fair())),
    "fair-making-text": lambda: list(_text_rows(fair())),
    "named-job-sheet": lambda: page_rows(job_sheet(named())),
    "printed-job-sheet": lambda: page_rows(job_sheet(printed())),
    "drawn-job-sheet": lambda: page_rows(job_sheet(drawn())),
    "hands-open": lambda: list(_hands(OPEN)),
    "hands-closed": lambda: list(_hands(CLOSED)),
    "hands-soft": lambda: list(_hands(SOFT)),
    "pictures-cup": lambda: list(_pictures("cup")),
    "pictures-cake-slice": lambda: list(_pictures("cake-slice")),
    "pictures-faults": lambda: list(_faults()),
    "pictures-machine-files": lambda: list(_machine_files()),
}
