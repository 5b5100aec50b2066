"""Findings come by kind: one line for a code on a layer, how many, the first five places."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
from rich.console import Console
from typer.testing import CliRunner, Result

from cutprep.cli import show
from cutprep.cli.app import app

COUNT = 40


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture
def twice(tmp_path: Path) -> Path:
    """Forty slits drawn twice, and two lines that nothing places."""
    slits = "".join(f'<path d="M{10 + 3 * k} 10V30M{10 + 3 * k}.05 10V30"/>' for k in range(COUNT))
    path = tmp_path / "twice.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">'
        f'<g id="cut" fill="none" stroke="#d02020"><rect x="5" y="5" width="150" height="60"/>{slits}</g>'
        '<g id="lid" stroke="#d02020"><path d="M160 10h20"/><path d="M160 20h20" stroke="#0f0"/></g></svg>'
    )
    return path


def numbers(output: str) -> list[tuple[int, int]]:
    """First and last number of each row of findings."""
    rows = re.findall(r"^ *(\d+)(?:-(\d+))? +(?:error|warning|note)\b", output, re.MULTILINE)
    return [(int(first), int(last or first)) for first, last in rows]


def test_one_line_for_a_kind_with_five_places(twice: Path) -> None:
    found = run("check", twice).stdout
    assert f"doubled-line on layer 'cut', {COUNT} times" in found
    kind = found.partition("doubled-line")[2]
    assert kind.count(" at twice.svg") == 5
    assert f"and {COUNT - 5} more places; --all shows every one" in kind
    assert found.count("\n") < 25
    assert f"{COUNT + 2} errors" in found


def test_all_shows_every_one_with_the_same_numbers(twice: Path) -> None:
    by_kind, every = (numbers(run("check", twice, *more).stdout) for more in ((), ("--all",)))
    total = len(json.loads(run("check", twice, "--json").stdout)["findings"])
    assert [first for first, last in every if first == last] == list(range(1, total + 1))
    assert [n for first, last in by_kind for n in range(first, last + 1)] == list(range(1, total + 1))
    assert len(by_kind) < 6


def test_two_ways_out_are_two_kinds(twice: Path) -> None:
    found = run("check", twice).stdout
    assert "'#d02020=cut'" in found
    assert "'#00ff00=cut'" in found


def test_prepare_stops_with_the_same_few_lines(twice: Path) -> None:
    stopped = run("prepare", twice, "--out", twice.with_name("o"))
    assert stopped.exit_code == 1
    assert stopped.stderr.count("\n") < 25
    assert run("prepare", twice, "--all", "--out", twice.with_name("o")).stderr.count("\n") > 3 * COUNT


def test_a_terminal_shows_kinds_too(twice: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    screen = io.StringIO()
    monkeypatch.setattr(
        show, "out", lambda: Console(file=screen, force_terminal=True, width=100, color_system=None)
    )
    run("check", twice)
    shown = screen.getvalue()
    assert "40 times" in shown
    assert shown.count("\n") < 60
    assert max(map(len, shown.splitlines()[1:])) <= 100
    # Numbers stand in one piece, one below the other by their last figures.
    rows = re.findall(r"^│ *([\d-]*) │", shown, re.MULTILINE)
    assert [row for row in rows if row] == ["1", "2", f"3-{COUNT + 2}"]


def test_the_job_sheet_lists_kinds_too(twice: Path) -> None:
    out = twice.with_name("o")
    assert run("prepare", twice, "--despite-findings", "--out", out).exit_code == 0
    page = (out / "job-sheet.html").read_text()
    listed = re.findall(r'<li value="(\d+)"><span class="error">(.*?)</li>', page)
    assert [int(first) for first, _ in listed] == [1, 2, 3]
    assert f"error on layer 'cut', {COUNT} times</span> (numbers 3-{COUNT + 2})" in listed[2][1].replace(
        "&#39;", "'"
    )
    assert listed[2][1].count("<small>") == 5
