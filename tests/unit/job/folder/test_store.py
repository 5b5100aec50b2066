"""The output folder: whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cutprep.errors import OutputError
from cutprep.job.folder import store
from cutprep.job.folder.store import INDEX, publish, require_free, written


def files(text: str, *names: str) -> dict[str, str | bytes]:
    every = [*names, INDEX]
    return {**dict.fromkeys(names, text), INDEX: json.dumps({"files": every, "mark": text})}


def content(folder: Path) -> dict[str, str]:
    return {p.name: p.read_text() for p in folder.iterdir()}


def test_a_new_folder_and_its_parents_are_made(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    publish(folder, files("one", "sheet-01.hpgl"), replace=False)
    assert content(folder)["sheet-01.hpgl"] == "one"
    assert [p.name for p in folder.parent.iterdir()] == ["b"]


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    publish(folder, files("one", "a"), replace=False)
    assert set(content(folder)) == {"a", INDEX}


def test_line_feeds_stay_plain(tmp_path: Path) -> None:
    publish(tmp_path / "o", {INDEX: '{"files": []}', "a": "x\ny\n", "b": b"\x00\xff"}, replace=False)
    assert (tmp_path / "o" / "a").read_bytes() == b"x\ny\n"
    assert (tmp_path / "o" / "b").read_bytes() == b"\x00\xff"


def test_replacing_takes_old_files_away_and_keeps_foreign_ones(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "sheet-01.hpgl", "sheet-02.hpgl"), replace=False)
    (folder / "my notes.txt").write_text("mine")
    (folder / "pictures").mkdir()
    (folder / "pictures" / "p.txt").write_text("mine too")
    publish(folder, files("two", "sheet-01.hpgl"), replace=True)
    assert {p.name for p in folder.iterdir()} == {"sheet-01.hpgl", INDEX, "my notes.txt", "pictures"}
    assert (folder / "sheet-01.hpgl").read_text() == "two"
    assert (folder / "pictures" / "p.txt").read_text() == "mine too"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("exchange", [True, False])
def test_both_ways_of_swapping(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool) -> None:
    if not exchange:
        monkeypatch.setattr(store, "_exchange", lambda one, other: False)
    folder = tmp_path / "out"
    publish(folder, files("one", "a"), replace=False)
    (folder / "mine").write_text("m")
    publish(folder, files("two", "b"), replace=True)
    assert {p.name for p in folder.iterdir()} == {"b", "mine", INDEX}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_folder_with_files_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "a"), replace=False)
    with pytest.raises(OutputError, match="--replace"):
        publish(folder, files("two", "a"), replace=False)
    assert content(folder)["a"] == "one"


def test_a_folder_that_is_not_ours_is_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("x")
    with pytest.raises(OutputError, match="no job of cutprep"):
        require_free(tmp_path, replace=True)


def test_a_broken_index_is_not_trusted(tmp_path: Path) -> None:
    (tmp_path / INDEX).write_text("{")
    with pytest.raises(OutputError, match="can't be read"):
        require_free(tmp_path, replace=True)


def test_names_in_an_index_can_not_reach_outside(tmp_path: Path) -> None:
    (tmp_path / INDEX).write_text(json.dumps({"files": ["../x", "/etc/passwd", "a"]}))
    assert written(tmp_path) == {"a", INDEX}


def test_a_file_or_a_link_in_place_of_the_folder(tmp_path: Path) -> None:
    file, link = tmp_path / "f", tmp_path / "l"
    file.write_text("x")
    (tmp_path / "real").mkdir()
    link.symlink_to(tmp_path / "real")
    for path in (file, link):
        with pytest.raises(OutputError, match="file or a link"):
            publish(path, files("one", "a"), replace=True)


def test_a_foreign_file_is_never_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "a"), replace=False)
    (folder / "b").write_text("mine")
    with pytest.raises(OutputError, match="'b', which cutprep did not write"):
        publish(folder, files("two", "a", "b"), replace=True)
    assert content(folder) == {**files("one", "a"), "b": "mine"}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_foreign_links_and_folders_keep_what_they_are(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "a"), replace=False)
    (folder / "link").symlink_to("nowhere")
    (folder / "deep" / "er").mkdir(parents=True)
    (folder / "deep" / "er" / "f").write_text("mine")
    publish(folder, files("two", "a"), replace=True)
    assert (folder / "link").readlink() == Path("nowhere")
    assert (folder / "deep" / "er" / "f").read_text() == "mine"
    assert (folder / "a").read_text() == "two"


def test_what_a_killed_run_left_is_removed(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "a"), replace=False)
    left = tmp_path / ".out-cutprep-abcd_123"
    left.mkdir()
    (left / "half").write_text("x")
    publish(folder, files("two", "a"), replace=True)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_only_our_own_left_over_folders_are_removed(tmp_path: Path) -> None:
    names = [".out-personal", ".out-cutprep-mine", ".other-cutprep-abcd_123", "out-cutprep-abcd_123"]
    for name in names:
        (tmp_path / name).mkdir()
    (tmp_path / ".out-cutprep-aaaaaaaa").symlink_to(tmp_path / "out-cutprep-abcd_123")
    publish(tmp_path / "out", files("one", "a"), replace=False)
    assert {p.name for p in tmp_path.iterdir()} == {*names, "out", ".out-cutprep-aaaaaaaa"}


def test_a_run_at_work_keeps_its_folder(tmp_path: Path) -> None:
    with store._fresh_folder(tmp_path / "out") as fresh:
        store.clear_left_over(tmp_path / "out")
        assert fresh.is_dir()
    assert not fresh.exists()


def test_a_job_moved_aside_is_put_back(tmp_path: Path) -> None:
    aside = tmp_path / ".out-cutprep-abcd_123-old"
    publish(tmp_path / "out", files("one", "a"), replace=False)
    (tmp_path / "out").rename(aside)
    store.clear_left_over(tmp_path / "out")
    assert content(tmp_path / "out") == files("one", "a")
    assert not aside.exists()


def test_names_that_are_no_text_are_written_all_the_same(tmp_path: Path) -> None:
    publish(
        tmp_path / "o", {INDEX: json.dumps({"files": [], "t": "\udcff"}, ensure_ascii=False)}, replace=False
    )
    assert json.loads((tmp_path / "o" / INDEX).read_text())["t"] == "\udcff"


def test_a_disk_that_fails_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "out"
    publish(folder, files("one", "a", "b"), replace=False)

    def full(path: Path, data: bytes) -> None:
        if path.name == "b":
            raise OSError(28, "No space left on device")
        path.write_bytes(data)

    monkeypatch.setattr(store, "_write", full)
    with pytest.raises(OutputError, match="No space left"):
        publish(folder, files("two", "a", "b"), replace=True)
    assert content(folder)["a"] == content(folder)["b"] == "one"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
