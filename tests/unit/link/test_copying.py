"""Files onto a stick, and the log of what was sent."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError, OutputError
from cutprep.link.copying import copy_files
from cutprep.link.log import SendLog, new_log


def test_copies_are_whole_and_nothing_else_is_replaced_unasked(tmp_path: Path) -> None:
    source, stick = tmp_path / "sheet-01.hpgl", tmp_path / "stick"
    source.write_bytes(b"IN;")
    stick.mkdir()
    assert copy_files([source], stick, most=100) == (stick / "sheet-01.hpgl",)
    assert copy_files([source], stick, most=100)  # the same again is no other file
    (stick / "sheet-01.hpgl").write_bytes(b"IN;SP1;")
    with pytest.raises(OutputError, match="holds something else"):
        copy_files([source], stick, most=100)
    assert (stick / "sheet-01.hpgl").read_bytes() == b"IN;SP1;"
    copy_files([source], stick, most=100, replace=True)
    assert [file.name for file in stick.iterdir()] == ["sheet-01.hpgl"]
    assert (stick / "sheet-01.hpgl").read_bytes() == b"IN;"


def test_a_stick_that_can_not_be_written_to(tmp_path: Path) -> None:
    (tmp_path / "sheet-01.hpgl").write_bytes(b"IN;")
    with pytest.raises(OutputError, match="can't be written"):
        copy_files([tmp_path / "sheet-01.hpgl"], tmp_path / "gone", most=100)


def test_a_file_that_is_gone_or_too_large_is_a_sentence_and_no_fault_of_ours(tmp_path: Path) -> None:
    source = tmp_path / "sheet-01.hpgl"
    with pytest.raises(JobError, match=r"sheet-01\.hpgl: the file can't be read \(No such file"):
        copy_files([source], tmp_path, most=100)
    source.write_bytes(b"IN;SP1;")
    with pytest.raises(JobError, match=r"larger than .* allow more with --limit machine-bytes=NUMBER"):
        copy_files([source], tmp_path, most=3)


def test_the_log_stands_in_her_own_folder_and_old_ones_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path))
    sent = tmp_path / "sent"
    sent.mkdir()
    for k in range(50):
        (sent / f"2020-01-01-0000{k:02d}-old.log").write_text("old")
    log = new_log("Honey fair: 12 cartons/../")
    log.say(1.5, "3 PD100,200;")
    log.close()
    log.close()
    assert log.path is not None
    assert log.path.parent == sent
    assert log.path.name.endswith("-Honey-fair-12-cartons.log")
    assert log.path.read_text().splitlines()[1] == "       1.500 3 PD100,200;"
    assert len(list(sent.glob("*.log"))) == 40


def test_where_no_log_can_be_written_none_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "file"))
    assert new_log("tags").path is None
    SendLog(None).say(0.0, "nothing")
