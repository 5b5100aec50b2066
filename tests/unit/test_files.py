"""Files that are none, or never end."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from cutprep.errors import JobError, OutputError
from cutprep.files import load_bytes, write_whole
from cutprep.tables import Table


def test_a_plain_file_up_to_its_limit(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"12345")
    assert load_bytes(path, 5) == b"12345"
    with pytest.raises(OSError, match="larger than 0 MB"):
        load_bytes(path, 4)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")
def test_a_pipe_would_be_waited_for_without_end(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(OSError, match="folder, device or pipe"):
        load_bytes(tmp_path / "pipe.toml", 5)
    with pytest.raises(JobError, match="folder, device or pipe"):
        Table.load(tmp_path / "pipe.toml")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a device that never ends")
def test_a_device_that_never_ends() -> None:
    assert Path("/dev/zero").stat().st_size == 0  # so its size would let it pass
    with pytest.raises(OSError, match="folder, device or pipe"):
        load_bytes(Path("/dev/zero"), 5)


def test_below_a_file_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    for folders in (False, True):
        with pytest.raises(OutputError, match="can't be written"):
            write_whole(tmp_path / "file" / "deep" / "a.svg", b"", folders=folders)
    with pytest.raises(OutputError, match="can't be written"):
        write_whole(tmp_path / "file" / "a.svg", b"")
    write_whole(tmp_path / "made" / "a.svg", b"new", folders=True)
    assert [path.name for path in (tmp_path / "made").iterdir()] == ["a.svg"]


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        load_bytes(tmp_path / "none", 5)
    with pytest.raises(OSError, match="folder, device or pipe"):
        load_bytes(tmp_path, 5)
