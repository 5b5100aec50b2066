"""Settings are checked, and errors say file, line and key."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError, ProfileError
from cutprep.tables import Table, suggest

TEXT = """title = "x"
count = 3
long = "1 1/8in"
flag = true
words = ["a", "b"]

[inner]
area = "305x610mm"

[[tool]]
name = "pen"

[[tool]]
name = 5
"""


@pytest.fixture
def table(tmp_path: Path) -> Table:
    path = tmp_path / "job.toml"
    path.write_text(TEXT)
    return Table.load(path)


def test_values_come_out_typed(table: Table) -> None:
    assert table.text("title") == "x"
    assert table.whole("count", None) == 3
    assert table.length("long", None) == pytest.approx(28.575)
    assert table.flag("flag", default=False) is True
    assert table.texts("words") == ("a", "b")
    assert table.table("inner").size("area", None) == (305, 610)
    assert [t.text("name") for t in table.tables("tool")[:1]] == ["pen"]
    table.finish()


def test_defaults_stand_where_nothing_is_said(table: Table) -> None:
    assert table.text("none", "d") == "d"
    assert table.number_in("none", 2.5) == 2.5
    assert table.length("none", 4.0) == 4.0
    assert table.size("none", (1, 2)) == (1, 2)
    assert table.texts("none", ("q",)) == ("q",)
    assert table.tables("none") == ()


def test_an_error_names_file_line_and_key(table: Table) -> None:
    with pytest.raises(JobError) as caught:
        table.tables("tool")[1].text("name")
    assert caught.value.place.line == 14
    assert caught.value.place.file is not None
    assert "tool.name" in str(caught.value)


def test_an_unknown_key_names_the_near_one(table: Table) -> None:
    table.text("titel", "")
    for key in ("count", "long", "flag", "words"):
        table.has(key)
    with pytest.raises(JobError, match="Did you mean titel"):
        table.finish()


@pytest.mark.parametrize(
    ("text", "call"),
    [
        ("x = 5", lambda t: t.length("x", None)),
        ("x = '5'", lambda t: t.length("x", None)),
        ("x = '-5mm'", lambda t: t.length("x", None)),
        ("x = true", lambda t: t.number_in("x", None)),
        ("x = 1.5", lambda t: t.whole("x", None)),
        ("x = 9", lambda t: t.whole("x", None, most=8)),
        ("x = nan", lambda t: t.number_in("x", None)),
        ("x = 'q'", lambda t: t.choice("x", ("a", "b"))),
        ("x = 1", lambda t: t.flag("x", default=False)),
        ("x = [1]", lambda t: t.texts("x")),
        ("x = 1", lambda t: t.table("x")),
        ("x = [1]", lambda t: t.tables("x")),
        ("x = ['1mm']", lambda t: t.lengths("x", 2, None)),
        ("y = 1", lambda t: t.text("x")),
    ],
)
def test_wrong_values_are_refused_with_their_line(tmp_path: Path, text: str, call) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "p.toml"
    path.write_text(text)
    with pytest.raises(ProfileError) as caught:
        call(Table.load(path, error=ProfileError))
    assert "x" in str(caught.value)
    if text.startswith("x"):
        assert caught.value.place.line == 1


@pytest.mark.parametrize("content", [b"a = ", b"\xff\xfe", b"a = 1\na = 2"])
def test_what_is_no_toml_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "p.toml"
    path.write_bytes(content)
    with pytest.raises(JobError, match=r"p\.toml"):
        Table.load(path)


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="can't be read"):
        Table.load(tmp_path / "none.toml")


def test_near_words() -> None:
    assert suggest("mashine", ["machine", "stock"]) == "Did you mean machine?"
    assert suggest("zzz", ["machine", "stock"]) == "Known: machine, stock."


def test_a_key_of_very_many_parts_is_refused(tmp_path: Path) -> None:
    """The parser takes longer with the square of the parts: 2 MB of them took over 40 s."""
    path = tmp_path / "job.toml"
    path.write_text("a" + ".a" * 900_000 + " = 1\n")
    with pytest.raises(JobError, match="more than 64 parts"):
        Table.load(path)
    path.write_text("a" * 100_000 + ".b = 1\n")
    assert len(Table.load(path).values) == 1
