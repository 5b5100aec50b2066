"""Lists of names: one a line, or a table with a column for each word in braces."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError
from cutprep.job.names.listed import read_list


@pytest.mark.parametrize(
    ("name", "content", "wanted", "rows"),
    [
        ("a.txt", "Ana\n\n  Zoë   Lind \r\nŁucja\n", ["name"], [["Ana"], ["Zoë Lind"], ["Łucja"]]),
        ("a.csv", "Name;Table\nAna;1\n;\nZoë;2\n", ["name", "table"], [["Ana", "1"], ["Zoë", "2"]]),
        ("a.csv", 'table,name\n1,"Lind, Zoë"\n', ["name"], [["Lind, Zoë"]]),
        ("a.tsv", "name\ttable\nAna\t7\n", ["table"], [["7"]]),
        ("a.csv", "Ana\nZoë\n", ["name"], [["Ana"], ["Zoë"]]),
        ("a.csv", "name\n", ["name"], [["name"]]),
    ],
)
def test_each_row_gives_its_words(
    name: str, content: str, wanted: list[str], rows: list[list[str]], tmp_path: Path
) -> None:
    path = tmp_path / name
    path.write_bytes(content.encode())
    assert [[row[word] for word in wanted] for row in read_list(path, wanted)] == rows


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_table_program_s_marks_are_no_letters(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes("name;table\nZoë;1\n".encode(encoding))
    assert [row["name"] for row in read_list(path, ["name"])] == ["Zoë"]


@pytest.mark.parametrize(
    ("name", "content", "wanted", "words"),
    [
        ("a.csv", b"nmae;table\nAna;1\n", ["name"], "no column 'name'.*'nmae', 'table'.*mean nmae"),
        ("a.csv", b"name\nAna\n", ["name", "table"], "no column 'table'"),
        ("a.csv", b"name\n", ["name", "table"], "no column 'table'"),
        ("a.txt", b"Ana\n", ["name", "table"], "no column 'name'"),
        ("a.txt", "Ana\nZoë\n".encode("latin-1"), ["name"], "a.txt:2.*not written in UTF-8.*CSV UTF-8"),
        ("a.txt", b"\n \n", ["name"], "'a.txt' holds no name"),
        ("a.txt", b"A\x00B\n", ["name"], "no list of names"),
        ("a.csv", b'name\n"Ana\n', ["name"], "the table can't be read"),
        (None, b"", ["name"], "there is no such file"),
    ],
)
def test_a_bad_list_gets_one_sentence(
    name: str | None, content: bytes, wanted: list[str], words: str, tmp_path: Path
) -> None:
    path = tmp_path / (name or "none.txt")
    if name:
        path.write_bytes(content)
    with pytest.raises(JobError, match=words):
        read_list(path, wanted)


def test_texts_of_a_job_file_stand_for_themselves() -> None:
    assert [row["name"] for row in read_list(("Ana", "Zoë"), ["name"])] == ["Ana", "Zoë"]
