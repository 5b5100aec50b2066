"""The commands, as a maker types them: words, files, exit codes."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from contextlib import chdir
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cutprep.cli.app import app
from tests import readme
from tests.recorded import every_sheet, machine_files

SAMPLES = Path(__file__).parents[2] / "samples"
CARTON = str(SAMPLES / "jar-carton.svg")


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture(scope="module")
def cartons(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Twelve cartons in each language, as the README's first block makes them in a fresh folder."""
    base = tmp_path_factory.mktemp("cartons")
    shutil.copytree(SAMPLES, base / "samples")
    with chdir(base):
        for words in readme.commands(readme.blocks()[0]):
            if words[0] == ".venv/bin/cutprep":
                result = run(*words[1:])
                assert result.exit_code == 0, result.output
    return {language: base / f"cartons-{language}" for language in ("hpgl", "gcode")}


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_prepare_writes_what_the_readme_promises(cartons: dict[str, Path], language: str) -> None:
    folder = cartons[language]
    data = json.loads((folder / "job.json").read_text())
    names = machine_files(data)
    assert names[0] == f"sheet-01.{language}"
    assert {p.name for p in folder.iterdir()} == {
        *names,
        "job-sheet.html",
        "making-sheet.html",
        "making-sheet.txt",
        "job.json",
    }
    assert data["schema"] == "cutprep-job/2"
    assert data["copies"] == sum(sheet["copies"] for sheet in every_sheet(data)) == 12
    assert data["language"] == language
    assert data["stocks"] == ["card-220"]
    assert data["seconds"] == pytest.approx(sum(s["seconds"] for s in every_sheet(data)), abs=0.01)
    for sheet in data["sheets"]:
        assert sheet["cut_mm"] > 0 < sheet["score_mm"]
        assert 0 < sheet["utilisation"] < 1
        assert sheet["width_mm"] == sheet["height_mm"] == 304.8
        assert len(sheet["placements"]) == sheet["copies"]
        assert sheet["blade_error_mm"] <= 0.05


def test_the_readme_s_other_commands_work_as_typed_after_the_first(cartons: dict[str, Path]) -> None:
    first, desk, send, tests, then = readme.blocks()
    assert readme.commands(desk) == [
        [".venv/bin/cutprep", "desk"]
    ]  # which serves until it is stopped: tests/desk
    assert {words[1] for words in readme.commands(send)} <= {"ports", "send"}  # to a machine: test_send
    made = [words[0] for words in readme.commands(first)]
    assert made[0] == "python3"
    assert set(made[1:]) == {".venv/bin/python", ".venv/bin/cutprep"}
    assert readme.commands(tests)[-1] == [".venv/bin/python", "-m", "pytest"]  # .ci/run types this block
    typed = readme.commands(then)
    assert typed[0] == [".", ".venv/bin/activate"]
    with chdir(cartons["hpgl"].parent):
        for words in typed[1:]:
            assert words[0] == "cutprep"
            result = run(*words[1:])
            faults = words[1] == "check"  # of a drawing with faults planted in it
            assert result.exit_code == faults, f"{words}: {result.output}"
            for name in (
                words[words.index("--out") + 1 : words.index("--out") + 2] if "--out" in words else ()
            ):
                assert Path(name).exists()


def test_every_picture_and_page_that_the_readme_names_is_there() -> None:
    text = readme.README.read_text(encoding="utf-8")
    named = re.findall(r"\]\(([^):]+)\)|src=\"([^\"]+)\"", text)
    assert len(named) > 10
    for one in named:
        assert (readme.ROOT / "".join(one)).exists(), one
    for name in readme.DRAWN:
        assert f'src="docs/pictures/{name}"' in text
        assert (readme.PICTURES / name).read_text(encoding="utf-8").lstrip().startswith(("<?xml", "<svg"))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_verify_accepts_its_own_files_and_refuses_changed_ones(
    cartons: dict[str, Path], language: str, tmp_path: Path
) -> None:
    assert run("verify", cartons[language]).exit_code == 0
    copy = tmp_path / "copy"
    copy.mkdir()
    for path in cartons[language].iterdir():
        (copy / path.name).write_bytes(path.read_bytes())
    file = copy / f"sheet-01.{language}"
    rows = file.read_text().splitlines(keepends=True)
    half = len(rows) // 2
    file.write_text("".join(rows[:half] + rows[half + 2 :]))
    result = run("verify", copy)
    assert result.exit_code == 1
    assert "is missing" in result.output
    assert f"1 file is not what was prepared: sheet-01.{language}" in result.output


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_time_gives_the_figure_that_prepare_stated(cartons: dict[str, Path], language: str) -> None:
    data = json.loads((cartons[language] / "job.json").read_text())
    sheet = data["sheets"][0]
    result = run(
        "time", cartons[language] / sheet["files"][0]["name"], "--machine", data["machine"], "--json"
    )
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["seconds"]["total"] == pytest.approx(sheet["seconds"], abs=0.002)


def test_the_same_job_gives_the_same_bytes(cartons: dict[str, Path], tmp_path: Path) -> None:
    run(
        "prepare",
        CARTON,
        "--copies",
        "12",
        "--machine",
        "mat-cutter-300",
        "--stock",
        "card-220",
        "--language",
        "hpgl",
        "--out",
        tmp_path / "o",
    )
    for path in cartons["hpgl"].iterdir():
        assert (tmp_path / "o" / path.name).read_bytes() == path.read_bytes(), path.name


def test_check_of_a_clean_sample_is_fine() -> None:
    for path in sorted(SAMPLES.glob("*.svg")):
        result = run("check", path)
        assert result.exit_code == 0, result.output
        assert "0 errors" in result.stdout


@pytest.mark.parametrize("suffix", ["svg", "dxf"])
@pytest.mark.parametrize("name", ["jar-carton", "display-tray", "swing-tag"])
def test_every_doubled_line_of_the_hand_drawn_samples_is_reported(name: str, suffix: str) -> None:
    planted = json.loads((SAMPLES / "hand-drawn" / "faults.json").read_text())[name]
    result = run("check", SAMPLES / "hand-drawn" / f"{name}.{suffix}", "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)["findings"]
    for code in ("doubled-line", "doubled-across-operations"):
        wanted = sorted(f["measure"] for f in planted if f["code"] == code)
        got = sorted(f["measure"] for f in found if f["code"] == code)
        assert got == pytest.approx(wanted, abs=0.05)


def test_check_json_keeps_its_contract() -> None:
    data = json.loads(run("check", CARTON, "--json").stdout)
    assert set(data) >= {"size_mm", "layers", "findings"}
    assert data["size_mm"] == pytest.approx([134.45, 131.9], abs=0.1)
    assert set(data["layers"][0]) >= {"layer", "operation", "rule", "lines", "length_mm"}


def test_faulty_drawings_are_not_prepared_in_silence(tmp_path: Path) -> None:
    faulty = SAMPLES / "hand-drawn" / "swing-tag.svg"
    result = run("prepare", faulty, "--out", tmp_path / "o")
    assert result.exit_code == 1
    assert "doubled-line" in result.stderr
    assert not (tmp_path / "o").exists()
    result = run("prepare", faulty, "--out", tmp_path / "o", "--despite-findings")
    assert result.exit_code == 0, result.output
    assert "despite" in result.stderr
    assert "despite errors" in (tmp_path / "o" / "job-sheet.html").read_text()


SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">{body}</svg>'
)


def drawing(folder: Path, body: str, w: int = 100, h: int = 100) -> Path:
    path = folder / "d.svg"
    path.write_text(SVG.format(w=w, h=h, body=body))
    return path


SQUARE = '<path d="M10 10H60V60H10Z" fill="none" stroke="#123456"/>'


def test_a_line_that_nothing_places_stops_the_command_with_the_option(tmp_path: Path) -> None:
    path = drawing(tmp_path, f'<g id="lid">{SQUARE}</g>')
    result = run("prepare", path, "--out", tmp_path / "o")
    assert result.exit_code == 1
    assert "--layer lid=cut" in result.stderr
    assert not (tmp_path / "o").exists()
    assert run("prepare", path, "--out", tmp_path / "o", "--layer", "lid=cut").exit_code == 0
    assert run("prepare", path, "--out", tmp_path / "p", "--colour", "#123456=cut").exit_code == 0


def test_despite_findings_never_cuts_what_nothing_places(tmp_path: Path) -> None:
    path = drawing(tmp_path, f'<g id="cut">{SQUARE}</g><g id="lid"><path d="M20 20H50" stroke="#f00"/></g>')
    result = run("prepare", path, "--out", tmp_path / "o", "--despite-findings")
    assert result.exit_code == 0, result.output
    assert json.loads((tmp_path / "o" / "job.json").read_text())["sheets"][0]["cut_mm"] == pytest.approx(200)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("nowhere.svg",), "nowhere.svg"),
        ((CARTON, "--copies", "0"), "copies"),
        ((CARTON, "--machine", "mat-cuter-300"), "Did you mean mat-cutter-300"),
        ((CARTON, "--stock", "card-22"), "card-220"),
        ((CARTON, "--language", "postscript"), "hpgl"),
        ((CARTON, "--sheet", "A0.5"), "A4"),
        ((CARTON, "--gap", "3"), "no unit"),
        ((CARTON, "--sheet", "100x100mm"), "jar-carton"),
        ((CARTON, "--layer", "lid"), "lid"),
        ((CARTON, "--blade-offset", "40mm"), "offset"),
        ((CARTON, "--align", "a,1mm=2mm,3mm"), "--align: 'a' is not a length"),
        ((CARTON, "--keep-out", "1mm,2,3mm,4mm"), "--keep-out: the length '2' has no unit"),
        ((CARTON, "--keep-out", "1mm"), "'1mm' has 1 length where 4 are needed"),
        ((CARTON, "--layer", "cut=pink"), "--layer cut: the operation 'pink' is not known"),
        ((CARTON, "--margin", "200mm"), "margin"),
        ((str(Path(__file__)),), "test_commands.py"),
    ],
)
def test_wrong_input_gets_one_clear_message(words: tuple[str, ...], message: str, tmp_path: Path) -> None:
    result = run("prepare", *words, "--out", tmp_path / "o")
    assert result.exit_code == 2, result.output
    assert message in result.stderr
    assert "Traceback" not in result.output
    assert not (tmp_path / "o").exists()


def test_wrong_output_folders(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    assert run("prepare", CARTON, "--out", file).exit_code == 2
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "thesis.txt").write_text("x")
    for extra in ((), ("--replace",)):
        assert run("prepare", CARTON, "--out", tmp_path / "full", *extra).exit_code == 2
    assert [p.name for p in (tmp_path / "full").iterdir()] == ["thesis.txt"]


@pytest.mark.parametrize(
    "content",
    [
        "",
        "<svg",
        "<html/>",
        SVG.format(w=10, h=10, body=""),
        SVG.format(w=10, h=10, body="<text>hello</text>"),
    ],
)
def test_drawings_without_lines(content: str, tmp_path: Path) -> None:
    path = tmp_path / "d.svg"
    path.write_text(content)
    for words in (("prepare", path, "--out", tmp_path / "o"), ("check", path)):
        result = run(*words)
        assert result.exit_code == 2
        assert "d.svg" in result.stderr


def test_verify_and_time_of_what_is_not_there(tmp_path: Path) -> None:
    assert run("verify", tmp_path).exit_code == 2
    assert run("time", tmp_path / "no.hpgl").exit_code == 2
    (tmp_path / "x.hpgl").write_bytes(b"\x00\x01")
    assert run("time", tmp_path / "x.hpgl").exit_code == 2
    (tmp_path / "job.json").write_text('{"schema": "cutprep-job/1"}')
    assert run("verify", tmp_path).exit_code == 2


@pytest.mark.parametrize("kind", ["machines", "stocks"])
def test_lists(kind: str) -> None:
    result = run(kind)
    assert result.exit_code == 0
    assert ("mat-cutter-300" if kind == "machines" else "card-220") in result.stdout
    assert json.loads(run(kind, "--json").stdout)


def test_help_loads_no_geometry() -> None:
    code = (
        "import sys; from cutprep.cli.app import app\n"
        "from typer.testing import CliRunner\n"
        "assert CliRunner().invoke(app, ['--help']).exit_code == 0\n"
        "print(sorted({'numpy', 'shapely', 'ezdxf', 'lxml', 'networkx', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_version() -> None:
    assert run("--version").stdout.strip() == "0.1.0"


def test_a_name_from_a_file_does_not_drive_the_terminal(tmp_path: Path) -> None:
    path = drawing(tmp_path, f'<g id="&#x9b;31mlid">{SQUARE}</g>')
    result = run("check", path)
    assert "\x9b" not in result.output
    assert "\\u009b31mlid" in result.output
