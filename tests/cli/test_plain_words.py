"""What commands say: names that can be typed, slips of the command line in plain words, nothing done in silence."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from rich.console import Console
from typer.testing import CliRunner, Result

from cutprep.cli import show
from cutprep.cli.app import app
from cutprep.profile import shelf
from cutprep.stages.write.machine_file import write
from tests.plans import MACHINE, plan

SAMPLES = Path(__file__).parents[2] / "samples"
TAG = SAMPLES / "swing-tag.svg"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> io.StringIO:
    """A terminal of 80 columns."""
    screen = io.StringIO()
    monkeypatch.setattr(
        show, "out", lambda: Console(file=screen, force_terminal=True, width=80, color_system=None)
    )
    return screen


def test_names_to_type_are_whole_at_80_columns(terminal: io.StringIO, tmp_path: Path) -> None:
    run("machines")
    run("stocks")
    run("template")
    run("prepare", TAG, "--title", "tags", "--out", tmp_path / "o")
    shown = terminal.getvalue()
    for name in (*shelf.machines(), *shelf.stocks(), "tray-with-lid", "sheet-01.hpgl"):
        assert any(row.split()[:1] == [name] for row in shown.splitlines()), name
    assert "…" not in shown
    tables = [row for row in shown.splitlines() if not row.endswith(".") and "job-sheet" not in row]
    assert len(tables) > 20
    assert max(map(len, tables)) <= 80


def test_a_long_file_name_stays_whole(terminal: io.StringIO) -> None:
    name = "sheet-01-honey-yellow-1-scoring-stylus.hpgl"
    show.show_table(("file", "copies", "time", "cut"), [(name, "12", "12 min 05 s", "12.34 m")])
    assert name in terminal.getvalue()


def test_figures_stand_one_under_the_other_and_words_begin_together(terminal: io.StringIO) -> None:
    show.show_table(("file", "score", "length"), [("a.svg", "A-B", "4 mm"), ("b.svg", "A-C", "120 mm")])
    rows = terminal.getvalue().splitlines()[-2:]
    assert [row.index("A-") for row in rows] == [rows[0].index("A-")] * 2
    assert [row.rindex(" mm") for row in rows] == [rows[0].rindex(" mm")] * 2


def test_without_a_word_the_commands_are_listed_and_nothing_is_called_an_error() -> None:
    result = run()
    assert "prepare" in result.output
    assert "Error" not in result.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("prepare", TAG, "--copies", "x"), "--copies: 'x' is no whole number; write for example 12."),
        (("prepare", TAG, "--seed", "1.5"), "--seed: '1.5' is no whole number"),
        (("prepare", TAG, "--sed", "3"), "there is no option --sed. Did you mean --seed"),
        (("prepare", TAG, "--seed"), "--seed needs a value behind it."),
        (("prepare", TAG), "--out is missing: folder for the results."),
        (("time",), "FILE is missing: an HP-GL or G-code file."),
        (("fold", TAG, "again"), "'again' is one word too many"),
        (("send", "out", "--sheet", "x"), "--sheet: 'x' is no whole number; write for example 12."),
        (("send", "out", "--from-stroke", "0"), "--from-stroke: is 0; it must be at least 1."),
        (("desk", "--port", "70000"), "--port: is 70000; it must be at most 65535."),
        (("prepar", TAG), "there is no command 'prepar'. Did you mean 'prepare'?"),
    ],
)
def test_slips_of_the_command_line(words: tuple[str, ...], said: str) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert not {"Input should", "parse", "argument", "Invalid value"} & set(result.stderr.split())
    assert result.stderr.count("\n") == 1


def test_help_and_version_still_come() -> None:
    assert run("--version").stdout.strip()
    assert "--copies NUMBER" in run("prepare", "--help").stdout
    assert "Usage" in run().output


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_time_and_look_take_the_language_that_they_ask_for(language: str, tmp_path: Path) -> None:
    head = {"hpgl": "NP8;", "gcode": "BEGIN\n" * 20}[language]
    text = write(plan([(1, [(10, 10), (60, 10)])]), MACHINE, language)
    path = tmp_path / "odd.txt"
    path.write_text(head + text)
    assert "--language hpgl" in run("time", path).stderr
    assert run("time", path, "--language", language).exit_code == 0
    picture = tmp_path / "p.svg"
    assert run("look", path, "--language", language, "--picture", picture).exit_code == 0
    assert "Did you mean gcode" in run("time", path, "--language", "g-code").stderr


def test_a_template_without_a_file_says_so(tmp_path: Path) -> None:
    result = run("template", "tray", "length=3in")
    assert result.exit_code == 2
    assert "nothing was drawn. Add --out" in result.stderr
    listed = run("template", "tray")
    assert listed.exit_code == 0
    typed = listed.stderr.partition("cutprep ")[2].partition(";")[0].split()
    assert run(*typed[:-1], tmp_path / typed[-1]).exit_code == 0


def test_fold_takes_the_usual_card_and_says_so() -> None:
    tray = SAMPLES / "display-tray.svg"
    caliper = shelf.stock("card-220").caliper
    usual = run("fold", tray)
    assert f"Folded in card of {caliper:g} mm (card-220)" in usual.stdout
    told = json.loads(run("fold", tray, "--thickness", f"{caliper}mm", "--json").stdout)
    assert json.loads(run("fold", tray, "--json").stdout) == told
    heavy = run("fold", tray, "--stock", "kraft-280").stdout
    assert "0.42 mm (kraft-280)" in heavy
    assert heavy.splitlines()[2:] != usual.stdout.splitlines()[2:]


def test_what_is_locked_has_no_seam_to_measure(tmp_path: Path) -> None:
    """Four scores in a ring hold each other: nothing was folded, and no figure is made up for it."""
    drawing = tmp_path / "ring.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="5in" height="4in" viewBox="0 0 5 4" fill="none" stroke="black" stroke-width=".01">'
        '<g id="cut"><path d="M0 0H5V4H0Z"/></g><g id="score"><path d="M1 1H4M1 3H4M1 1V3M4 1V3"/></g></svg>'
    )
    said = run("fold", drawing, "--inches")
    assert said.exit_code == 1
    assert "locked" in said.stdout
    assert "nan" not in said.stdout


@pytest.mark.parametrize(
    "words",
    [("check", SAMPLES / "display-tray.svg"), ("fold", SAMPLES / "display-tray.svg"), ("template", "tray")],
)
def test_who_works_in_inches_reads_inches(words: tuple[str | Path, ...]) -> None:
    said = run(*words, "--inches").stdout
    assert said == run(*words, "--lengths-in", "in").stdout
    assert " in" in said
    assert " mm" in run(*words).stdout
    # What a sentence of help names in millimetres, such as a slot's usual height, stays as it is.
    assert " mm" not in "".join(row for row in said.splitlines() if not row.startswith(("hang", "margin")))


FAULTY = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="3in" viewBox="0 0 4 3"><g id="cut" fill="none" stroke="#000" '
    'stroke-width=".01"><path d="M.25 .25H3.75V2.75H.25Z"/></g><g id="score" fill="none" stroke="#00f"><path d="M1 1H2"/>'
    '<path d="M1 1H2.5"/></g></svg>'
)


def test_places_of_findings_and_what_can_not_be_are_told_in_her_unit(tmp_path: Path) -> None:
    """In the terminal and on the job sheet; `job.json` keeps millimetres."""
    drawing, out = tmp_path / "label.svg", tmp_path / "out"
    drawing.write_text(FAULTY)
    assert "at 1.000, 2.000 in)" in run("check", drawing, "--inches").stdout
    assert "at 25.40, 50.80 mm)" in run("check", drawing).stdout
    quick = ("--despite-findings", "--effort", "quick", "--out", out)
    said = run("prepare", drawing, "--inches", *quick)
    assert said.exit_code == 0, said.output
    assert "at 1.000, 2.000 in)" in (out / "job-sheet.html").read_text()
    data = json.loads((out / "job.json").read_text())
    assert any(place["xy_mm"] == [25.4, 50.8] for found in data["findings"] for place in found["places"])
    said = run("prepare", drawing, "--inches", "--margin", "6in", "--replace", *quick)
    assert "a margin of 6 in leaves no room" in said.stderr
    assert " mm" not in said.stderr


def test_what_a_fold_has_found_can_be_given_back_as_it_is_printed(tmp_path: Path) -> None:
    said = run("fold", SAMPLES / "hand-drawn" / "jar-carton.svg").stderr
    found = said.partition("--angles:\n")[2]
    (tmp_path / "fold.toml").write_text(found)
    assert "[[mate]]" in found.splitlines()
    told = run("fold", SAMPLES / "hand-drawn" / "jar-carton.svg", "--angles", tmp_path / "fold.toml")
    assert told.exit_code != 2, told.output


def test_color_is_a_colour() -> None:
    assert run("check", TAG, "--color", "#2b2118=cut").exit_code == 0
    assert "'x' is not a colour" in run("check", TAG, "--color", "x=cut").stderr
