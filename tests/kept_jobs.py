"""What a job is in its files, and what is made of it later: read and kept as pages are (`tests.readings`)."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import ezdxf

from cutprep.errors import CutprepError
from cutprep.job.api import make_job, make_rules, prepare_job, read
from cutprep.job.file import load_job
from cutprep.job.folder.accept import accept
from cutprep.job.folder.verify import Verification, verify
from cutprep.job.gallery import drawn_picture, entry_of, gallery, gallery_page
from cutprep.job.lasting import drawing_text
from cutprep.job.own.again import again_by_row, made_again, spoilt_copies
from cutprep.job.own.best import keep_best, tried_kinds
from cutprep.job.own.cards import keep_card
from cutprep.job.own.figures import all_figures
from cutprep.job.own.kept import kept_job
from cutprep.job.own.left_over import keep_left_over
from cutprep.job.own.settings import keep_own, own_settings, said_of
from cutprep.job.own.trial import Span, figures_of, said
from cutprep.job.own.trial_file import trial_files, tried
from cutprep.job.pieces.sets import prove_set, set_job
from cutprep.job.record.read import load_record
from cutprep.job.record.write import job_data
from cutprep.job.settings.resolve import Given, Layer, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.limits import Limits
from cutprep.profile import shelf
from cutprep.report.outcome import Outcome
from cutprep.template.family.fitting import fit_set
from cutprep.template.family.ready import READY, ready_set
from cutprep.template.kinds import KINDS
from tests import kept_readings as jobs
from tests.readings import data_rows, page_rows, picture_rows


def plain(rows: Iterator[str]) -> Iterator[str]:
    """Rows without the names of folders of this run."""
    for row in rows:
        here = re.sub(r"(/\S*)?/cutprep-(hers|later)-\w+", "HERE", row.replace(str(jobs.folder()), "HERE"))
        yield re.sub(r"\b[0-9a-f]{16}-", "DIGEST-", here)


def _record(outcome: Outcome, *left_out: str) -> Iterator[str]:
    data = json.loads(json.dumps(job_data(outcome, {"note.txt": "four words of text", "key.pdf": b"%PDF"})))
    yield from data_rows({key: value for key, value in data.items() if key not in left_out})


@contextmanager
def hers() -> Iterator[Path]:
    """A folder of the maker's own, for as long as it takes."""
    was = os.environ.get("CUTPREP_FOLDER")
    with tempfile.TemporaryDirectory(prefix="cutprep-hers-") as folder:
        os.environ["CUTPREP_FOLDER"] = folder
        try:
            yield Path(folder)
        finally:
            os.environ.pop("CUTPREP_FOLDER")
            os.environ.update({} if was is None else {"CUTPREP_FOLDER": was})


def files_of(folder: Path) -> Iterator[str]:
    """Every text file of a folder, by name."""
    for path in sorted(folder.rglob("*")):
        if path.suffix in {".toml", ".txt"}:
            yield f"{path.relative_to(folder)}:"
            yield from (f"| {row}" for row in path.read_text(encoding="utf-8").splitlines())


def _layer(**given: object) -> Layer:
    return read_layer(SETTINGS.values(), Given(given), Source.OPTION, as_typed)


def _trials() -> Iterator[str]:
    for name in ("mat-cutter-300", "belt-servo-400"):
        machine = shelf.machine(name)
        for kind in ("force", "offset", "overcut", "score", "pass"):
            for span in (Span(), Span(steps=3), Span("1", "2", 3), Span(last="3")):
                try:
                    values = figures_of(kind, machine, span)
                    told = " ".join(said(kind, value) for value in values)
                except CutprepError as fault:
                    told = str(fault)
                yield f"{name} {kind} {span.first} {span.last} {span.steps}: {told}"
        kinds, notes = tried_kinds("all", (_layer(machine=name),), Span(steps=2))
        yield " ".join(kinds)
        yield from notes
    for kinds, corner, given in (
        (["force", "score"], "upper-right", {"unit": "in", "sheet": "letter"}),
        (["pass", "offset", "overcut"], "lower-left", {"margin": "8mm"}),
    ):
        texts = trial_files(
            kinds, (_layer(**given),), Span(steps=2), corner=corner, pen=corner == "lower-left"
        )
        yield from texts[""].splitlines()
        yield from picture_rows(texts["trial.svg"][texts["trial.svg"].index("<svg") :])
    job = make_job(jobs.folder() / "seed-tray.svg")
    yield json.dumps(tried(job.cutting.layers))


def _hers() -> Iterator[str]:
    """What is kept for her: cards, figures of a card, settings; and what the files say of it."""
    with hers() as folder:
        layer = _layer(machine="mat-cutter-300", stock="card-160")
        for kind, best in (
            ("force", "95"),
            ("offset", "0.3mm"),
            ("pass", "2"),
            ("score", "120"),
            ("pass", "none"),
        ):
            yield " / ".join(keep_best(kind, (_layer(card_offset="1mm"), layer), best))
        yield from data_rows(
            {m: {s: sorted(f) for s, f in cards.items()} for m, cards in all_figures().items()}
        )
        yield from keep_own(
            {"gap": "4mm", "sheet": "letter", "layers": {"lid": "cut"}, "unit": "in"}, (), str
        )
        yield from keep_own({"gap": "1/8in"}, ("unit",), str)
        resolved, words = own_settings()
        yield from (f"{entry.setting.name}: {said_of(entry, words)}" for entry in resolved.entries)
        yield keep_card(
            "meadow",
            {"stock": "card-160", "caliper": "0.3mm", "sheet": "8x10in"},
            str,
            title="Meadow",
            shade="#88aa44",
        )
        yield keep_card("meadow", {"price": 0.4}, str, title=None, shade=None)
        yield from files_of(folder)


def _spoil(path: Path) -> None:
    """A number of a machine file is changed, as a slip in an editor would."""
    text = path.read_text(encoding="latin-1")
    at = text.index("PD") + 2
    path.write_text(text[:at] + "9" + text[at:], encoding="latin-1")


def _verified(found: Verification) -> Iterator[str]:
    for file in found.files:
        took = f"{file.duration.total:.2f}" if file.duration is not None else "unknown"
        yield f"{file.file}: {file.strokes} strokes, {took} s, {file.runs} runs"
        yield from (
            f"- {f.code} {f.severity.value}: {f.problem} {f.fix} {[str(place) for place in f.places]}"
            for f in file.differences
        )
    yield from (f"{f.code} {f.severity.value}: {f.problem} {f.fix}" for f in found.findings)


def _later() -> Iterator[str]:
    """A prepared folder: proved, spoilt, taken as it is; copies made again; what is left of its sheets."""
    with hers() as own, tempfile.TemporaryDirectory(prefix="cutprep-later-") as folder:
        out = Path(folder) / "out"
        prepare_job(load_job(jobs.folder() / "fair.toml"), out)
        yield " ".join(sorted(path.name for path in out.iterdir()))
        yield from _verified(verify(out))
        record = load_record(out)
        spoilt = spoilt_copies(record, ["A2", "b1"])
        yield repr(sorted(spoilt.items()))
        again = made_again(
            record, spoilt, [jobs.folder() / "fair.toml"], options={}, yours={}, limits=Limits()
        )
        yield f"{again.title}: {[(item.path.name, item.copies, item.in_set) for item in again.items]}"
        yield repr(sorted(again_by_row(load_job(jobs.folder() / "fair.toml"), spoilt).items()))
        for marks in (["Z1"], ["A9"], ["4"], []):
            try:
                spoilt_copies(record, marks)
            except CutprepError as fault:
                yield str(fault)
        yield from map(repr, keep_left_over(out))
        yield from files_of(own)
        _spoil(out / "sheet-02-plain.hpgl")
        (out / "making-sheet.txt").write_text("gone", encoding="utf-8")
        (out / "note.txt").write_text("mine", encoding="utf-8")
        yield from _verified(verify(out))
        yield from _verified(accept(out, ["sheet-02-plain.hpgl"]))
        page = (out / "job-sheet.html").read_text(encoding="utf-8")
        yield from page_rows(page)[:8]
        shutil.rmtree(out)


def _kept() -> Iterator[str]:
    for name, content in kept_job(load_job(jobs.folder() / "fair.toml"), jobs.folder() / "fair.toml").items():
        yield f"{name}:"
        yield from (
            content.decode("utf-8") if name.endswith((".toml", ".svg")) else repr(content)
        ).splitlines()


def _lasting() -> Iterator[str]:
    drawing = read(
        jobs.folder() / "card.svg",
        rules=make_rules({"partial-cut": "score", "score": "guide"}, dashed="score"),
    )
    yield from drawing_text(drawing, ".svg", "card.svg").splitlines()
    for one in ezdxf.read(io.StringIO(drawing_text(drawing, ".dxf", "card.dxf"))).modelspace():
        points = one.get_points() if one.dxftype() == "LWPOLYLINE" else ()
        yield f"  {one.dxftype()} {one.dxf.layer} {one.dxf.color} {[[round(float(v), 1) for v in p] for p in points]}"


def _shown() -> Iterator[str]:
    """Every kind of template as it is offered, and two pictures that are drawn, not stored."""
    kinds = gallery()
    yield from page_rows(gallery_page(kinds))
    for kind in kinds:
        letters = [(field.name, field.letter, field.default) for field in kind.fields]
        yield f"{kind.name}: {letters} and {[field.name for field in kind.extras]}, folds: {kind.folds}"
    for name, words in (("swing-tag", {}), ("tray", {"height": "2in", "length": "5in"})):
        yield from picture_rows(drawn_picture(KINDS[name], words=words))
    yield entry_of(KINDS["swing-tag"]).title


def _sets() -> Iterator[str]:
    for name in sorted(READY)[:2]:
        one = ready_set(name)
        fitted = fit_set(one)
        yield from set_job(one, fitted).splitlines()
        yield from (
            f"{f.code} {f.severity.value}: {f.problem} {f.measure} {f.limit}" for f in prove_set(fitted)
        )


#: Wrong settings: what is given, and to which job.
WRONG: tuple[Mapping[str, object], ...] = (
    {"gap": "3"}, {"gap": "-1mm"}, {"copies": -1}, {"copies": 10**9}, {"sheet": "A9"}, {"sheet": "2x2mm"},
    {"machine": "mill"}, {"stock": "paper"}, {"unit": "ell"}, {"effort": "much"}, {"turns": "free", "grain": "any"},
    {"keep_out": ["1mm,2mm"]}, {"align": ["1mm,1mm=2mm"]}, {"also": ["sound"]}, {"students": 3, "also": ["class-sheet"]},
    {"also": ["class-sheet"]}, {"names": ["Ida"]}, {"layers": {"no": "cut"}}, {"layers": ["no"]}, {"language": "svg"},
    {"from_back": "mountains"}, {"amount": "stock"}, {"expect": "1x1mm"}, {"bridges_count": 2, "passes_count": 3},
    {"perforation_cut": "0mm"}, {"price": -1.0}, {"offcut": "none-there"}, {"font": "no-such-font"}, {"turn_by": "luck"},
    {"blade_offset": "9mm"}, {"seed": -1}, {"card_grain": 400.0}, {"at_hand": 0}, {"places": "nowhere.json"},
)  # fmt: skip


def _refused() -> Iterator[str]:
    from cutprep.job.pipeline import run

    for given in WRONG:
        try:
            outcome = run(make_job(jobs.folder() / "seed-tray.svg", **{"effort": "quick", **given}))  # type: ignore[arg-type]
            told = (
                f"made: {outcome.runs} sheets, {outcome.copies} copies, {[f.code for f in outcome.findings]}"
            )
        except CutprepError as fault:
            told = f"{type(fault).__name__}: {fault}"
        yield f"{dict(given)}: {told}"


def _rows(read_it: Callable[[], Iterator[str]]) -> Callable[[], list[str]]:
    return lambda: list(plain(read_it()))


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "job-inches": _rows(lambda: _record(jobs.inches(), "settings")),
    "job-fair": _rows(lambda: _record(jobs.fair(), "machine_profile")),
    "job-named": _rows(lambda: _record(jobs.named(), "machine_profile", "settings")),
    "job-printed": _rows(lambda: _record(jobs.printed(), "machine_profile", "settings")),
    "job-drawn": _rows(lambda: _record(jobs.drawn(), "machine_profile", "settings")),
    "job-trials": _rows(_trials),
    "job-hers": _rows(_hers),
    "job-later": _rows(_later),
    "job-kept": _rows(_kept),
    "job-lasting": _rows(_lasting),
    "job-shown": _rows(_shown),
    "job-sets": _rows(_sets),
    "job-refused": _rows(_refused),
}
