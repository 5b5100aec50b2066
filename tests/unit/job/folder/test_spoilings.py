"""Every way to spoil a prepared job is named or refused: two languages, and a servo, a coil and an axis that lifts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cutprep.errors import CutprepError, JobError
from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder import verify as verifying
from cutprep.job.folder.verify import verify
from cutprep.job.record.read import Record, load_record
from cutprep.model.findings.finding import errors
from cutprep.stages.readback.compare.proof import prove
from tests import spoilings
from tests.spoilings import ENCODED, GCODE, HPGL, INDEX, LIFTED, SWITCHED, Change, spoilt

MACHINES = ("belt-servo-400", "mat-cutter-300", "axis")
#: Only in HP-GL.
ENCODING = "encoding"
FOLDERS = [*((m, n) for m in MACHINES for n in ("hpgl", "gcode")), (ENCODING, "hpgl")]
#: Told by the file's bytes and its instructions, while the machine does the same.
ONLY_IN_BYTES = {
    "small letters",
    "a number of a line",
    "the same place said twice",
    "an empty one put in",
    "the flags in another order",
}


def changes_of(machine: str, language: str) -> dict[str, Change]:
    if machine == ENCODING:
        return ENCODED
    if language == "hpgl":
        return HPGL
    return GCODE | (LIFTED if machine == "axis" else SWITCHED)


CASES = [(machine, language, name) for machine, language in FOLDERS for name in changes_of(machine, language)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    base = tmp_path_factory.mktemp("spoilings")
    (base / "axis.toml").write_text(spoilings.AXIS, encoding="utf-8")
    (base / f"{ENCODING}.toml").write_text(spoilings.TAKES_ENCODED, encoding="utf-8")
    (base / "card.svg").write_text(spoilings.DRAWING, encoding="utf-8")
    for machine, language in FOLDERS:
        own = base / f"{machine}.toml"
        named = str(own) if own.exists() else machine
        job = make_job(base / "card.svg", machine=named, language=language, effort="quick")
        prepare_job(job, base / f"{machine}-{language}")
    return base


def test_the_list_is_long_and_no_name_stands_for_nothing() -> None:
    assert len(CASES) + len(INDEX) >= 150
    assert len({*HPGL, *GCODE, *SWITCHED, *LIFTED, *ENCODED}) + len(INDEX) >= 130


@pytest.mark.parametrize(("machine", "language"), FOLDERS)
def test_a_sound_job_is_sound(machine: str, language: str, folder: Path) -> None:
    result = verify(folder / f"{machine}-{language}")
    assert result.sound
    assert not result.everything


@pytest.mark.parametrize(("machine", "language"), FOLDERS)
def test_every_spoiling_is_named_or_refused(machine: str, language: str, folder: Path) -> None:
    out = folder / f"{machine}-{language}"
    (name,) = (path.name for path in out.glob(f"*.{language}"))
    record = load_record(out)
    right = (out / name).read_bytes()
    unseen, unmade, unproved = [], [], []
    for title, change in changes_of(machine, language).items():
        text = spoilt(right.decode("ascii"), change)
        if text == right.decode("ascii"):
            unmade.append(title)
            continue
        (out / name).write_bytes(text.encode("latin-1"))
        try:
            result = verify(out)
        except CutprepError:
            continue
        finally:
            (out / name).write_bytes(right)
        if result.sound or not all(f.problem for f in errors(result.everything)):
            unseen.append(title)
        if title not in ONLY_IN_BYTES and not _proved(text, language, record):
            unproved.append(title)
    assert not unseen
    assert not unproved, "the reader alone, without the file's bytes, must see it"
    assert len(unmade) <= 4, unmade
    assert record.language == language


def _proved(text: str, language: str, record: Record) -> bool:
    """Whether the reader that knows nothing of the writer says something against it."""
    (sheet,) = record.sheets
    within = 0.025 if language == "hpgl" else 0.005
    try:
        return bool(prove(sheet.planned, text, language, record.machine, within=within).findings)
    except CutprepError:
        return True


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_every_change_of_the_index_is_named_or_refused(machine: str, language: str, folder: Path) -> None:
    out = folder / f"{machine}-{language}"
    right = (out / "job.json").read_bytes()
    unseen = []
    for title, change in INDEX.items():
        data = json.loads(right)
        change(data)
        (out / "job.json").write_text(json.dumps(data), encoding="utf-8")
        try:
            result = verify(out)
        except CutprepError:
            continue
        finally:
            (out / "job.json").write_bytes(right)
        if result.sound or not all(f.problem for f in errors(result.everything)):
            unseen.append(title)
    assert not unseen


@pytest.mark.parametrize("name", ["job-sheet.html", "making-sheet.html", "making-sheet.txt"])
def test_a_page_that_was_replaced_or_lost_is_named(name: str, folder: Path) -> None:
    out = folder / "belt-servo-400-gcode"
    right = (out / name).read_bytes()
    (out / name).write_bytes(b"<p>something else</p>")
    assert [f.code for f in errors(verify(out).everything)] == ["file-changed"]
    (out / name).unlink()
    assert [f.code for f in errors(verify(out).everything)] == ["file-missing"]
    (out / name).write_bytes(right)


def test_line_ends_alone_are_no_fault(folder: Path) -> None:
    for machine in MACHINES:
        for language in ("hpgl", "gcode"):
            out = folder / f"{machine}-{language}"
            (path,) = out.glob(f"*.{language}")
            right = path.read_bytes()
            path.write_bytes(right.replace(b"\n", b"\r\n"))
            result = verify(out)
            path.write_bytes(right)
            assert result.sound
            assert [f.code for f in result.everything] == ["line-ends-differ"]


def test_a_file_of_hers_is_a_note(folder: Path) -> None:
    out = folder / "belt-servo-400-gcode"
    (out / "notes.txt").write_text("mine", encoding="utf-8")
    result = verify(out)
    (out / "notes.txt").unlink()
    assert result.sound
    assert [f.code for f in result.everything] == ["not-of-the-job"]


def test_a_file_of_a_version_that_wrote_otherwise_is_told_so(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its moves are the plan's: only that it can't be compared byte for byte is said, with the file as its place."""
    out = folder / "belt-servo-400-gcode"
    (path,) = out.glob("*.gcode")
    right = path.read_text(encoding="ascii")
    monkeypatch.setattr(verifying, "write", lambda *_, **__: right.replace("G21 G90", "G21\nG90"))
    assert verify(out).sound  # as it was prepared
    path.write_text(right + "\n", encoding="ascii")
    (found,) = verify(out).files
    path.write_text(right, encoding="ascii")
    told = found.differences[0]
    assert told.code == "file-changed"
    assert told.problem == (
        f"{path.name} is not byte for byte what was prepared, and this version writes the plan otherwise"
    )
    assert [place.file for place in told.places] == [path.name]
    monkeypatch.setattr(verifying, "write", refuse)
    path.write_text(right + "\n", encoding="ascii")
    (found,) = verify(out).files
    path.write_text(right, encoding="ascii")
    assert [f.problem for f in found.differences] == [f"{path.name} can't be written anew (no such language)"]
    assert [place.file for place in found.differences[0].places] == [path.name]


def refuse(*_: object, **__: object) -> str:
    raise JobError("no such language")
