"""What is made of a job after it was prepared, how it is laid out as asked for, and what of that is refused.

Read and kept as pages are (`tests.readings`); one small job is prepared, and all else is made of its record.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from cutprep.errors import CutprepError
from cutprep.job.api import make_job, prepare_job
from cutprep.job.file import load_job
from cutprep.job.folder.accept import accept
from cutprep.job.folder.places import with_places
from cutprep.job.folder.timed import fitted, in_its_place, operation_of, seconds_of, timed_files
from cutprep.job.folder.verify import verify
from cutprep.job.job import Job
from cutprep.job.lasting import drawing_text
from cutprep.job.own.again import again_by_row, drawings_of, from_job_file, made_again, spoilt_copies
from cutprep.job.own.best import tried_kinds
from cutprep.job.own.cards import keep_card
from cutprep.job.own.counted import count_down
from cutprep.job.own.left_over import keep_left_over
from cutprep.job.own.offcuts import offcuts
from cutprep.job.own.trial import Span
from cutprep.job.record.read import Record, load_record
from cutprep.job.settings.resolve import Given, Layer, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.limits import Limits
from cutprep.profile import shelf
from tests import kept_readings as jobs
from tests.kept_jobs import files_of, hers, plain


def _layer(**given: object) -> Layer:
    return read_layer(SETTINGS.values(), Given(given), Source.OPTION, as_typed)


def told(make: Callable[[], object], say: Callable[[Any], str] = str) -> str:
    """What is made, or why it is refused."""
    try:
        return say(make())
    except CutprepError as fault:
        return f"{type(fault).__name__}: {fault}"


@contextmanager
def _prepared() -> Iterator[tuple[Path, Path]]:
    """A folder of drawings with a job file, a job prepared of it, and a folder of hers."""
    with hers(), tempfile.TemporaryDirectory(prefix="cutprep-later-") as name:
        folder = Path(name)
        for file, text in {**jobs.FILES, "fair.toml": jobs.FAIR}.items():
            (folder / file).write_text(text, encoding="utf-8")
        keep_card(
            "meadow",
            {"stock": "card-220", "sheet": "160x120mm", "at_hand": 9},
            str,
            title="Meadow",
            shade=None,
        )
        prepare_job(load_job(folder / "fair.toml"), folder / "out")
        yield folder, folder / "out"


def _of_job(job: Job) -> str:
    rows = [
        (i.name, b.stock.name, b.sheets[0].name, i.copies, i.in_set, i.names)
        for b in job.batches
        for i in b.items
    ]
    return f"{job.title}: {rows}, gap {job.nesting.gap:g}, {job.sets} sets of {job.amount}, {job.fits} {job.together}"


def _made_again(record: Record, folder: Path) -> Iterator[str]:
    """What was spoilt becomes a small job, by the job file or by the drawings."""
    spoilt = spoilt_copies(record, ["A1", "A2", "b1"])
    nobody: dict[str, Any] = {"options": {}, "yours": {}, "limits": Limits()}
    whole, card = [folder / "fair.toml"], [folder / "card.svg"]
    for sources, asked in (
        (whole, {}), (whole, {"gap": "5mm"}), (whole, {"sheet": "A4"}), (whole, {"keep_out": "1mm,1mm,9mm,9mm"}),
        (card, {}), ([*card, folder / "strips.svg"], {"stock": "card-220"}), ([folder / "tag.svg"], {}),
    ):  # fmt: skip
        words = {**nobody, "options": _layer(**asked)}
        names = [path.name for path in sources]
        yield f"again {names} {asked}: {told(partial(made_again, record, spoilt, sources, **words), _of_job)}"
    prepare_job(
        make_job(both := [*card, folder / "strips.svg"], gap=4, sheet="A4", title="Bare", effort="quick"),
        folder / "bare",
    )
    bare = load_record(folder / "bare")
    for asked in ({}, {"gap": "5mm"}, {"stock": "card-160", "sheet": "letter"}):
        words = {**nobody, "options": _layer(**asked)}
        yield f"bare {asked}: {told(partial(made_again, bare, spoilt_copies(bare, ['B1']), both, **words), _of_job)}"
    yield f"from a job file: {from_job_file(bare)}"
    job = load_job(folder / "fair.toml")
    yield f"rows {sorted(again_by_row(job, spoilt).items())}"
    texts = Counter({("card", "meadow", "Ida"): 2, ("card", "meadow", "Bo"): 1, ("strips", "plain", ""): 3})
    yield f"rows {sorted(again_by_row(job, texts).items())}"
    yield told(partial(again_by_row, job, Counter({("lid", "meadow", ""): 1})))
    batch = job.batches[0]
    parted = replace(job, batches=(replace(batch, items=(replace(batch.items[0], less=("2",)),)),))
    yield told(partial(again_by_row, parted, Counter({("card", "meadow", ""): 1})))
    yield f"from a job file: {from_job_file(record)}"
    yield told(
        partial(drawings_of, record, [folder / "out", folder]),
        lambda found: str([path.name for path in found]),
    )
    yield told(partial(drawings_of, record, [folder / "out"]))


def _counted(folder: Path, out: Path) -> Iterator[str]:
    """Sheets at hand are counted down once, and only those of a card that was used and counted."""
    yield told(partial(count_down, "card-300", out))
    yield told(partial(count_down, "card-160", out))
    yield told(partial(count_down, "meadow", out))
    yield told(partial(count_down, "meadow", out))
    yield told(partial(count_down, "meadow", folder))
    counted = shelf.data_folder() / "counted.toml"
    counted.write_text("counted = 3\n", encoding="utf-8")
    yield told(partial(count_down, "meadow", out))
    counted.write_bytes(b"\xff")
    keep_card("meadow", {"at_hand": 1}, str, title=None, shade=None)
    yield told(partial(count_down, "meadow", out))


def _left_over(folder: Path, out: Path) -> Iterator[str]:
    """What is left of its sheets, and of an offcut that a job was laid on."""
    yield told(partial(keep_left_over, out, 9))
    yield f"{[one.name for one in keep_left_over(out, 1)]} of sheet 1"
    kept = keep_left_over(out)
    yield from (
        f"{o.name} {o.stock} like {o.like} {o.size} {o.count} of '{o.job}', room {o.room}" for o in kept
    )
    name = kept[-1].name
    for asked in (
        {"offcut": name},
        {"offcut": name, "sheet": "A4"},
        {"offcut": name, "price": 0.2, "at_hand": 1},
        {"offcut": "none-1"},
    ):
        job = told(
            partial(make_job, folder / "bookmark.svg", **asked), lambda job: str(job.batches[0].sheets)
        )
        yield f"{asked}: {job}"
    small = folder / "small"
    prepare_job(make_job(folder / "bookmark.svg", offcut=name, effort="quick"), small)
    for one in keep_left_over(small):
        yield f"then {one.name} like {one.like} {one.count} of '{one.job}', room {one.room}"
    yield f"kept: {[(one.name, one.count) for one in offcuts().values()]}"


def _accepted(out: Path) -> Iterator[str]:
    """Files that were changed on purpose, and those that can't be."""
    page = out / "job-sheet.html"
    whole = {path.name: path.read_bytes() for path in out.iterdir()}
    for name in ("nothing.txt", "making-sheet.txt", "job-sheet.html"):
        yield told(partial(accept, out, [name]))
    (out / "sheet-02-plain.hpgl").unlink()
    page.write_text(page.read_text(encoding="utf-8").replace("Spring fair", "Autumn fair"), encoding="utf-8")
    (out / "making-sheet.txt").write_text("mine", encoding="utf-8")
    for names in (["sheet-02-plain.hpgl"], ["making-sheet.txt"], ["making-sheet.txt", "job-sheet.html"]):
        yield f"{names}: {told(partial(accept, out, names), lambda found: str([f.code for f in found.findings]))}"
    (out / "sheet-02-plain.hpgl").write_bytes(whole["sheet-02-plain.hpgl"])
    took = accept(out, ["making-sheet.txt", "job-sheet.html"])
    yield from (f"{f.code}: {f.problem} {[place.file for place in f.places]}" for f in took.findings)
    record = json.loads((out / "job.json").read_text(encoding="utf-8"))
    yield str([(row["file"], [change["code"] for change in row["changes"]]) for row in record["accepted"]])
    shown = page.read_text(encoding="utf-8")
    yield shown[
        shown.index('<section class="on-purpose">') : shown.index("</section>", shown.index("on-purpose"))
    ]
    yield str(shown.count("on-purpose"))
    yield str([f.code for f in accept(out, []).findings])
    page.write_text("gone", encoding="utf-8")
    yield told(partial(accept, out, ["making-sheet.txt"]))
    (out / "job.json").write_text(json.dumps({**record, "title": "Other"}), encoding="utf-8")
    yield told(partial(accept, out, ["making-sheet.txt"]))
    yield from (f"{f.code}: {f.problem}" for f in verify(out).findings)
    shutil.rmtree(out)
    out.mkdir()
    for name, data in whole.items():
        (out / name).write_bytes(data)
    text = whole["sheet-02-plain.hpgl"].decode("latin-1")
    for spoilt in (
        "",
        "no machine file",
        text[: len(text) // 2],
        text.replace("PD", "PU", 1),
        text + text,
        text.replace("VS", "FS"),
    ):
        (out / "sheet-02-plain.hpgl").write_text(spoilt, encoding="latin-1")
        (found,) = (file for file in verify(out).files if file.file == "sheet-02-plain.hpgl")
        seconds = None if found.duration is None else round(found.duration.total, 1)
        yield f"{len(spoilt)} bytes: {found.strokes} strokes, {seconds} s, {[(f.code, f.problem, len(f.places)) for f in found.differences[:4]]}"


#: Placements in a `job.json`.
_PLACE = {"template": "card", "x_mm": 10, "y_mm": 20}
_SHEET = {"stock": "meadow", "width_mm": 160, "height_mm": 120, "placements": [_PLACE]}
PLACES: tuple[dict[str, object], ...] = (
    {}, {"sheets": []}, {"sheets": [3]}, {"sheets": [{}]}, {"sheets": [_SHEET]}, {"sheets": [{**_SHEET, "runs": 2}, {**_SHEET, "placements": []}]},
    {"sheets": [{**_SHEET, "runs": 0}]}, {"sheets": [{**_SHEET, "runs": 100_001}]}, {"sheets": [_SHEET, {**_SHEET, "stock": "moss"}]},
    {"sheets": [{**_SHEET, "placements": []}]}, {"sheets": [{**_SHEET, "placements": [{**_PLACE, "template": "lid"}]}]},
    {"sheets": [{**_SHEET, "placements": [{**_PLACE, "x_mm": float("inf")}]}]}, {"sheets": [{**_SHEET, "placements": [{**_PLACE, "turn": 90, "mirror": True}]}]},
    {"sheets": [{**_SHEET, "placements": [{"template": "card"}]}]}, {"sheets": [{**_SHEET, "placements": 3}]},
)  # fmt: skip


def _placed(folder: Path) -> Iterator[str]:
    job, path = load_job(folder / "fair.toml"), folder / "places.json"
    for data in PLACES:
        path.write_text(json.dumps({"schema": "cutprep-job/2", **data}), encoding="utf-8")
        yield f"{json.dumps(data)}: " + told(
            partial(with_places, job, path),
            lambda one: f"{one.amount} {[(b.stock.name, b.spots) for b in one.batches]}",
        )


def _later() -> Iterator[str]:
    with _prepared() as (folder, out):
        record = load_record(out)
        yield from _made_again(record, folder)
        yield from _counted(folder, out)
        yield from _left_over(folder, out)
        yield from _placed(folder)
        yield from _accepted(out)
        yield from files_of(shelf.own_folder())


def _timed() -> Iterator[str]:
    """Files that are run to be timed, by what a machine can."""
    for name in sorted(shelf.machines()):
        machine = shelf.machine(name)
        files = timed_files(machine)
        yield f"{name}: {operation_of(machine).name}, {in_its_place(machine)}"
        yield from (
            f"  {f.name}: {f.tries}, {len(f.text)} bytes, {f.estimate:.2f} s, {f.text.splitlines()[:3]}"
            for f in files
        )
    machine = shelf.machine("mat-cutter-300")
    files = timed_files(machine)
    bare = replace(machine, tools=())
    yield f"{operation_of(bare).name}: {in_its_place(bare)}"
    knives = replace(machine, tools=tuple(t for t in machine.tools if t.kind != "pen"))
    yield f"{operation_of(knives).name}: {in_its_place(knives)}"
    yield told(partial(timed_files, machine, "svg"))
    yield str([f.name for f in timed_files(machine, "gcode")])
    for typed in ("41.2", " 41,2 s", "0", "-3", "inf", "nan", "soon", "1" * 40):
        yield f"{typed}: {told(partial(seconds_of, typed))}"
    yield told(partial(fitted, files, [1.0], machine))
    found = fitted(files, [1.1 * f.estimate for f in files], machine)
    yield str([(name, round(value, 3)) for name, value, _ in found.figures])
    yield f"{found.predicted.round(2).tolist()} {found.residual:.3f}"
    for kind, span in (
        ("force", Span()),
        ("offset", Span(steps=3)),
        ("sound", Span()),
        ("all", Span("1", None)),
        ("all", Span(last="3")),
        ("pass", Span("9", "1")),
    ):
        yield f"{kind} {span.first} {span.last}: {told(partial(tried_kinds, kind, (_layer(machine='mat-cutter-300'),), span))}"
    yield told(partial(drawing_text, jobs.read(jobs.folder() / "card.svg"), ".pdf", "card.pdf"))


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "after-prepared": lambda: list(plain(_later())),
    "after-timed": lambda: list(plain(_timed())),
}
