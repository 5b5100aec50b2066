"""Card that is used already, and copies placed by hand: a second job on the same sheet."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import shapely

from cutprep.job.api import prepare, read
from cutprep.job.sheets.used import used_areas
from cutprep.tolerance import Tolerance
from cutprep.units import say_time
from tests.cli.test_more_commands import SAMPLES, good, run


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A first job that leaves room on its sheet."""
    out = tmp_path_factory.mktemp("first") / "o"
    good(
        "prepare", SAMPLES / "jar-carton.svg", "--copies", "2", "--out", out, "--also", "svg", "--effort", "quick"
    )  # fmt: skip
    return out


def solids(path: Path) -> list[shapely.Polygon]:
    lines = read(path).lines
    return [shapely.Polygon(lines.points(i)) for i in np.flatnonzero(lines.closed)]


def test_tags_go_round_the_cartons_that_were_cut_before(first: Path, tmp_path: Path) -> None:
    good(
        "prepare", SAMPLES / "swing-tag.svg", "--copies", "9", "--out", tmp_path / "o", "--also", "svg",
        "--effort", "quick", "--keep-out", first / "sheet-01.svg",
    )  # fmt: skip
    before, after = solids(first / "sheet-01.svg"), solids(tmp_path / "o" / "sheet-01.svg")
    assert len(before) == 2
    assert len(after) == 2 * 9  # outline and hole
    # 3 mm is the default gap; the drawings are rounded to a thousandth.
    assert shapely.union_all(before).distance(shapely.union_all(after)) >= 3 - 2e-3
    # The room between the cartons is used, not only what lies beyond the box round both.
    box = shapely.box(*shapely.total_bounds(before))
    assert any(box.intersects(solid) for solid in after)
    assert "kept free" in (tmp_path / "o" / "job-sheet.html").read_text(encoding="utf-8")


def test_a_layer_of_a_drawing_is_kept_free(tmp_path: Path) -> None:
    drawing = tmp_path / "used.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
        '<g id="cut"><rect x="0" y="0" width="9" height="9"/></g>'
        '<g id="used"><path fill="none" stroke="#000" d="M100 0H300V250H100Z"/></g></svg>'
    )
    (area,) = used_areas(drawing, "used", 2.0, Tolerance())
    assert area.equals(shapely.box(98, 48, 302, 302))  # y up, widened by the gap
    good(
        "prepare", SAMPLES / "swing-tag.svg", "--copies", "8", "--out", tmp_path / "o", "--effort", "quick",
        "--keep-out", f"{drawing}:used",
    )  # fmt: skip
    result = run(
        "prepare", SAMPLES / "swing-tag.svg", "--out", tmp_path / "p", "--keep-out", f"{drawing}:spent"
    )
    assert result.exit_code == 2
    assert "no layer 'spent'" in result.output
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        '<g id="cut"><path fill="none" stroke="#000" d="M1 1H5V5"/></g></svg>'
    )
    result = run("prepare", SAMPLES / "swing-tag.svg", "--out", tmp_path / "p", "--keep-out", drawing)
    assert result.exit_code == 2
    assert "no closed line" in result.output


def test_a_job_file_names_used_card(first: Path, tmp_path: Path) -> None:
    (tmp_path / "swing-tag.svg").write_bytes((SAMPLES / "swing-tag.svg").read_bytes())
    (tmp_path / "used.svg").write_bytes((first / "sheet-01.svg").read_bytes())
    job = tmp_path / "job.toml"
    job.write_text('[[keep_out]]\ndrawing = "used.svg"\n[[template]]\nfile = "swing-tag.svg"\ncopies = 3\n')
    good("prepare", job, "--out", tmp_path / "o")
    used = solids(first / "sheet-01.svg")
    for spot in json.loads((tmp_path / "o" / "job.json").read_text())["sheets"][0]["placements"]:
        assert not any(solid.contains(shapely.Point(spot["x_mm"], spot["y_mm"])) for solid in used)


def test_placements_of_a_job_are_taken_again_and_give_the_same_file(first: Path, tmp_path: Path) -> None:
    good(
        "prepare", SAMPLES / "jar-carton.svg", "--out", tmp_path / "o", "--places", first / "job.json",
        "--effort", "quick",
    )  # fmt: skip
    name = "sheet-01.hpgl"
    assert (tmp_path / "o" / name).read_bytes() == (first / name).read_bytes()


def test_a_moved_copy_stays_where_it_was_put_or_is_refused(first: Path, tmp_path: Path) -> None:
    data = json.loads((first / "job.json").read_text())
    spots = data["sheets"][0]["placements"]
    spots[1]["y_mm"] += 11.0
    moved = tmp_path / "moved.json"
    moved.write_text(json.dumps(data))
    good("prepare", SAMPLES / "jar-carton.svg", "--out", tmp_path / "o", "--places", moved)
    after = json.loads((tmp_path / "o" / "job.json").read_text())["sheets"][0]["placements"]
    assert [(s["x_mm"], s["y_mm"], s["turn"]) for s in after] == [
        (s["x_mm"], s["y_mm"], s["turn"]) for s in spots
    ]
    spots[1]["x_mm"] = spots[0]["x_mm"] + 5
    spots[1]["y_mm"] = spots[0]["y_mm"]
    moved.write_text(json.dumps(data))
    result = run("prepare", SAMPLES / "jar-carton.svg", "--out", tmp_path / "p", "--places", moved)
    assert result.exit_code == 2
    assert "a placement can't stay" in result.output
    assert not (tmp_path / "p").exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.update(schema="other/1"), "no job of the form"),
        (lambda d: d["sheets"][0].update(stock="velvet"), "no card 'velvet'"),
        (lambda d: d["sheets"][0]["placements"][0].update(template="hive"), "called 'hive'"),
        (lambda d: d["sheets"][0]["placements"][0].update(x_mm="here"), "can't be understood"),
        (lambda d: d["sheets"][0]["placements"][0].update(x_mm=float("inf")), "not JSON"),
        (lambda d: d["sheets"][0]["placements"].clear(), "no copy is placed"),
        (lambda d: d["sheets"][0].update(width_mm=99.0), "placed on a sheet of 99"),
    ],
)
def test_placements_that_make_no_sense_are_refused(change, words: str, first: Path, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    data = json.loads((first / "job.json").read_text())
    change(data)
    path = tmp_path / "job.json"
    path.write_text(json.dumps(data))
    result = run("prepare", SAMPLES / "jar-carton.svg", "--out", tmp_path / "o", "--places", path)
    assert result.exit_code == 2
    assert words in " ".join(result.output.split())
    assert not (tmp_path / "o").exists()


def test_a_curved_used_area_is_covered_by_what_is_kept_free(tmp_path: Path) -> None:
    drawing = tmp_path / "used.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
        '<g id="cut"><circle fill="none" stroke="#000" cx="120" cy="150" r="100"/></g></svg>'
    )
    areas = used_areas(drawing, "", 3.0, Tolerance())
    assert shapely.union_all(areas).contains(shapely.Point(120, 150).buffer(102.97))
    outcome = prepare(SAMPLES / "swing-tag.svg", copies=2)
    assert outcome.sheets[0].sheet.kept_free == ()


def test_shared_cuts_tell_the_length_and_the_time_that_they_save(tmp_path: Path) -> None:
    strip = tmp_path / "strip.svg"
    strip.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
        '<g id="cut"><rect fill="none" stroke="#000" width="60" height="40"/></g></svg>'
    )
    good("prepare", strip, "--copies", "32", "--gap", "0mm", "--out", tmp_path / "o", "--effort", "quick")
    data = json.loads((tmp_path / "o" / "job.json").read_text())
    (note,) = [f for f in data["findings"] if f["code"] == "shared-cuts"]
    # Every strip has 200 mm of edges; what is left to cut and what is saved are together all of them.
    assert sum(s["cut_mm"] for s in data["sheets"]) + note["measure"] == pytest.approx(32 * 200)
    speed = next(t["speed"] for t in data["machine_profile"]["tools"] if "cut" in t["does"])
    assert f"about {say_time(note['measure'] / speed)} of cutting saved" in note["problem"]
