"""`cutprep settings`: kept once, taken by every command; shown with where each value was said; forgotten again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cutprep.cli.app import app
from cutprep.job.settings.remembered import remembered, settings_file
from cutprep.profile.shelf import stock

SAMPLES = Path(__file__).parents[2] / "samples"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))
    return tmp_path / "own"


def sources(*words: str) -> dict[str, str]:
    result = run("settings", *words, "--json")
    assert result.exit_code == 0, result.output
    return {name: told["from"] for name, told in json.loads(result.stdout).items() if isinstance(told, dict)}


def test_what_is_kept_is_shown_as_hers_and_taken_by_other_commands() -> None:
    assert set(sources().values()) == {"built in"}
    kept = run("settings", "--gap", "1/8in", "--machine", "belt-servo-400", "--layer", "lid=score")
    assert "gap: 1/8in, from now on" in kept.stdout
    assert "gap\t--gap\t1/8in\tyours" in run("settings").stdout
    assert {name for name, where in sources().items() if where == "yours"} == {"gap", "machine", "layers"}
    assert 'gap = "1/8in"' in settings_file().read_text()  # in her words
    job = run("settings", SAMPLES / "honey-fair.toml")
    assert "machine\tmat-cutter-300\tjob" in job.stdout
    assert "drawing 1: layers\tlid=score\tyours" in job.stdout


def test_a_language_of_hers_is_taken_where_the_machine_knows_it(tmp_path: Path) -> None:
    """The usual machine begins its list with HP-GL."""
    run("settings", "--language", "gcode")
    run("prepare", SAMPLES / "swing-tag.svg", "--out", tmp_path / "tags")
    assert "language\tgcode\tyours" in run("settings", tmp_path / "tags").stdout


def test_rules_are_put_beside_those_that_are_kept_and_forgotten_one_by_one() -> None:
    run("settings", "--layer", "Lid=score", "--layer", "marks=guide")
    run("settings", "--layer", "lid=cut")
    assert dict(remembered()["layers"].value).keys() == {"Lid", "marks"}
    assert run("settings", "--forget", "layers.lid").exit_code == 0
    assert [name for name, _ in remembered()["layers"].value] == ["marks"]
    run("settings", "--forget", "layers.marks")
    assert remembered() == {}


def test_what_else_stands_in_the_file_stays_and_a_slip_can_be_forgotten(own: Path) -> None:
    own.mkdir()
    settings_file().write_text('# mine\nunit = "in"   # of the class\ngapp = "3mm"\n')
    assert run("settings").exit_code == 2
    assert run("settings", "--forget", "gapp").exit_code == 0
    run("settings", "--lengths-in", "cm", "--mend")
    assert settings_file().read_text() == '# mine\nunit = "cm"   # of the class\nmend = true\n'
    assert run("settings", "--forget", "--lengths-in").exit_code == 0
    assert sources()["unit"] == "built in"


def test_keys_are_those_of_job_files_and_their_former_names_are_read(own: Path) -> None:
    run("settings", "--passes-count", "2", "--bridges-width", "1/32in", "--lengths-in", "in")
    text = 'lengths_in = "in"\n\n[passes]\ncount = 2\n\n[bridges]\nwidth = "1/32in"\n'
    assert sorted(settings_file().read_text().split()) == sorted(text.split())
    assert "bridges.width\t--bridges-width\t1/32in\tyours" in run("settings").stdout
    for name in ("passes.count", "bridges_width", "unit"):
        assert "forgotten" in run("settings", "--forget", name).stdout
    assert remembered() == {}
    settings_file().write_text('unit = "in"\npasses_count = 2\n')
    assert {name for name, where in sources().items() if where == "yours"} == {"unit", "passes_count"}
    settings_file().write_text('unit = "in"\nlengths_in = "cm"\n')
    assert "Take one of them out" in run("settings").output


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--machine", "mat-cuter"], "Did you mean mat-cutter"),
        (["--stock", "kraft"], "no stock is called 'kraft'"),
        (["--sheet", "A9"], "no size of card-220"),
        (["--gap", "4"], "has no unit"),
        (["--forget", "gap"], "'gap' is not remembered"),
        (["job.toml", "--gap", "4mm"], "Leave the job out"),
        (["tag.svg"], "neither a job file nor a folder"),
    ],
)
def test_what_would_stop_every_later_command_is_not_kept(words: list[str], message: str) -> None:
    result = run("settings", *words)
    assert result.exit_code == 2
    assert message in result.stderr
    assert not settings_file().exists()


def test_a_profile_that_is_a_file_is_found_from_every_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (Path(__file__).parents[2] / "cutprep/profile/shipped/machines/mat-cutter-300.toml").read_text()
    (tmp_path / "mine.toml").write_text(text)
    monkeypatch.chdir(tmp_path)
    assert run("settings", "--machine", "mine.toml").exit_code == 0
    assert remembered()["machine"].value == str(tmp_path / "mine.toml")


def test_a_card_of_her_own_has_its_price_and_shade_on_the_job_sheet(tmp_path: Path) -> None:
    made = run("card", "brown-kraft", "--stock", "kraft-280", "--caliper", "0.41mm", "--shade", "#b08050")
    assert "take it with --stock brown-kraft" in made.stdout
    run("card", "brown-kraft", "--sheet", "A4", "--price", "0.3")  # what was said before stays
    card = stock("brown-kraft")
    assert (card.caliper, card.colour, card.sheets[0].price, card.strip) == (0.41, "#b08050", 0.3, 2.0)
    assert "A4 at 0.30, 12in" in run("stocks").stdout
    words = (
        "prepare",
        SAMPLES / "swing-tag.svg",
        "--copies",
        "10",
        "--stock",
        "brown-kraft",
        "--effort",
        "quick",
    )
    assert run(*words, "--out", tmp_path / "o").exit_code == 0
    page = (tmp_path / "o" / "job-sheet.html").read_text()
    assert "it costs 0.30." in page
    assert "<td>0.03</td>" in page
    data = json.loads((tmp_path / "o" / "job.json").read_text())
    assert (data["cost"], data["sheets"][0]["price"], data["templates"][0]["cost"]) == (0.3, 0.3, 0.03)
    assert "nobody has said how many" in run("card", "brown-kraft", "--used", tmp_path / "o").stderr
    run("card", "brown-kraft", "--sheet", "A4", "--at-hand", "12")
    assert "1 used; at hand now 11 of A4" in run("card", "brown-kraft", "--used", tmp_path / "o").stdout
    assert "counted already; at hand now 11" in run("card", "brown-kraft", "--used", tmp_path / "o").stdout
    assert "used no fresh sheet of card-220" in run("card", "card-220", "--used", tmp_path / "o").stderr
    assert 'fill="#b08050"' in page


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["a b"], "is not a plain name"),
        (["mine", "--shade", "brown"], "'brown' is not a colour"),
        (["mine", "--stock", "krafd"], "no stock is called 'krafd'"),
        (["mine", "--caliper", "4"], "has no unit"),
    ],
)
def test_a_card_that_can_t_be_read_is_not_kept(words: list[str], message: str, own: Path) -> None:
    result = run("card", *words)
    assert result.exit_code == 2
    assert message in result.stderr
    assert not (own / "stocks").exists()
