"""Pages that were compiled before are taken from where they are kept; where nothing may be kept, nothing is."""

from __future__ import annotations

import sys
from pathlib import Path

import jinja2
import pytest

from cutprep.files import compiled_beside
from cutprep.report import page


def _page_of(folder: Path | None, monkeypatch: pytest.MonkeyPatch) -> jinja2.Template:
    monkeypatch.setattr(page, "compiled_beside", lambda _: folder)
    return page.pages_of("cutprep.report").get_template("class-sheet.html")


def test_a_compiled_page_is_kept_and_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    _page_of(tmp_path / "kept", monkeypatch)
    assert list((tmp_path / "kept").glob("*.jinja"))
    monkeypatch.setattr(jinja2.Environment, "compile", _never)
    _page_of(tmp_path / "kept", monkeypatch)


def test_a_damaged_one_is_compiled_anew(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    _page_of(tmp_path, monkeypatch)
    for kept in tmp_path.iterdir():
        kept.write_bytes(b"damaged")
    assert _page_of(tmp_path, monkeypatch).name == "class-sheet.html"


def test_where_nothing_can_be_kept_pages_are_compiled_each_time(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    assert _page_of(tmp_path / "file", monkeypatch).name == "class-sheet.html"
    assert _page_of(None, monkeypatch).name == "class-sheet.html"


def test_python_told_to_keep_nothing_keeps_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert compiled_beside(Path("page.py")) is None
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    assert compiled_beside(Path("room", "page.py")) == Path("room", "__pycache__")


def _never(*_: object, **__: object) -> None:
    raise AssertionError("it was compiled")
