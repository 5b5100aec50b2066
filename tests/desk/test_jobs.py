"""Jobs on the desk, from outside: dropped, changed, undone, repeated by the command line byte for byte."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
import zipfile
from pathlib import Path
from urllib.parse import urlencode

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from tests.desk_server import SAMPLES, Running


def _answers(paper: dict) -> dict[str, str]:
    return {name: section["answer"] for name, section in paper["sections"].items()}


def test_dropped_drawings_become_a_whole_paper(desk: Running) -> None:
    job = desk.begun("jar-carton.svg", "swing-tag.svg")
    answers = _answers(desk.paper(job))
    assert answers["making"] == "1 of jar-carton.svg, 1 of swing-tag.svg"
    assert answers["lines"] == "3 to cut, 18 to score"
    assert answers["wrong"] == "Nothing"
    assert "inside" in answers["folds"]
    assert answers["sheets"] == "1 sheet"
    assert "read back and proved" in answers["cutting"]
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    for answer in answers.values():
        assert answer in page


def test_the_command_line_makes_the_same_bytes(desk: Running, tmp_path: Path) -> None:
    job = desk.begun("jar-carton.svg")
    for words in (
        {"template-0/copies": "12"},
        {"job/gap": "1/8 in"},
        {"job/effort": "quick"},
        {"job/also": "svg"},
    ):
        status, _, body = desk.ask("POST", f"/jobs/{job}/set", words, {"x-desk": "1"})
        assert status == 200, body
    desk.paper(job)
    out = tmp_path / "out"
    desk.require_same_as_the_command(job, out)
    packed = zipfile.ZipFile(io.BytesIO(desk.ask("GET", f"/jobs/{job}/all")[2]))
    assert {Path(n).name for n in packed.namelist()} == {p.name for p in out.iterdir()}


def test_a_value_that_can_not_be_is_said_and_not_taken(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    before = (desk.folder / job / "job.toml").read_bytes()
    for key, value, word in (
        ("job/gap", "many", "many"),
        ("job/gap", "-3 mm", "3"),
        ("template-0/copies", "0", "copies"),
        ("template-0/copies", "one", "one"),
        ("job/effort", "endless", "endless"),
        ("job/nothing", "1", "nothing"),
        ("template-9/copies", "1", "copies"),
        ("sheet-0-0/sheet", "huge", "'huge' is no size of card-220"),
        ("card-0/stock", "velvet", "no stock is called"),
        ("job/machine", "saw", "no machine is called"),
        ("job/language", "svg", "does not read svg"),
        ("job/also", "poem", "'poem' is not known"),
        ("job/passes_force", "80, 9000", "240 at most"),
        ("card-0/cut_force", "1e9", "240 at most"),
        ("template-0/copies", "2000000", "the limit is"),
    ):
        status, told = desk.change(job, "set", **{key: value})
        assert (status, told["field"]) == (422, key)
        assert word in str(told["problem"]).lower()
        assert not str(told["problem"]).startswith(f"{key.rpartition('/')[2]}:")
    assert (desk.folder / job / "job.toml").read_bytes() == before


def test_what_a_layer_is_for_is_remembered_for_the_next_drawing_that_has_it(desk: Running) -> None:
    tag = (SAMPLES / "swing-tag.svg").read_text().replace('id="cut"', 'id="lime"').replace("tag-cut", "lime")
    odd = tag.replace('label="cut"', 'label="lime / 2"').encode()
    _, job, _ = desk.drop(("tag.svg", odd))
    desk.paper(job, section="lines", state="needs")
    told = desk.change(job, "rule", target="template-0", layer="lime / 2", word="cut")[1]["told"]
    assert told == "Remembered for the next drawing that has “lime / 2”: cut."
    _, other, _ = desk.drop(("tag.svg", odd))
    assert _answers(desk.paper(other))["lines"] == "2 to cut"
    plan = tomllib.loads((desk.folder / other / "job.toml").read_text())
    assert "layers.lime / 2" in plan["yours"]
    told = desk.change(other, "rule", target="template-0", layer="lime / 2", word="")[1]["told"]
    assert told == "“lime / 2” is no longer remembered."
    plain = desk.begun("swing-tag.svg")
    told = desk.change(plain, "rule", target="template-0", layer="cut", word="draw")[1]["told"]
    assert "For this job only" in str(
        told
    )  # or the next tag would be drawn where it should be cut, in silence
    assert tomllib.loads((desk.folder / "own" / "settings.toml").read_text()) == {"effort": "quick"}


def test_each_finding_leads_to_its_places_and_speaks_of_the_page(desk: Running) -> None:
    _, job, _ = desk.drop(("carton.svg", (SAMPLES / "hand-drawn" / "jar-carton.svg").read_bytes()))
    desk.change(job, "set", **{"job/unit": "in"})
    desk.paper(job, section="cutting", state="waiting")
    page = desk.ask("GET", f"/jobs/{job}/sections/wrong")[2].decode()
    places = re.findall(
        r'<a class="place" href="#lines" data-row="0" data-at="([-\d.]+),([-\d.]+)">at ([-\d.]+), ([-\d.]+) in</a>',
        page,
    )
    assert len(places) >= 7
    for x, y, across, up in places:
        assert (float(x) / 25.4, float(y) / 25.4) == pytest.approx((float(across), float(up)), abs=0.001)
    assert "--" not in re.sub(r"<[^>]*>", "", page)


def test_of_several_fields_that_are_sent_together_the_one_at_fault_is_named(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    many = {"job/gap": "4mm", "job/also": "class-sheet", "job/students": "12"}
    assert desk.change(job, "set", **many)[0] == 200  # each for itself it could not be
    for words in ({"job/gap": "5mm", "sheet-0-0/sheet": "huge", "job/margin": "6mm"}, {"job/students": "0"}):
        status, told = desk.change(job, "set", **words)
        assert (status, told["field"]) == (422, list(words)[len(words) // 2])
    desk.change(job, "set", **{"job/mend": "yes"})
    desk.change(job, "set", **{"job/keep": "cut"})
    assert desk.change(job, "set", **{"job/mend": "no"})[0] == 200  # what was to be kept goes with it
    assert "keep" not in (desk.folder / job / "job.toml").read_text()


def test_a_job_that_can_not_be_begun_is_mended_one_field_after_the_other(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    path = desk.folder / job / "job.toml"
    path.write_text('machine = "saw"\nstock = "velvet"\n' + path.read_text())
    assert desk.change(job, "set", **{"job/machine": "mat-cutter-300"})[0] == 200
    assert desk.change(job, "set", **{"card-0/stock": "card-220"})[0] == 200
    assert desk.change(job, "set", **{"card-0/stock": "velvet"})[0] == 422


def test_each_side_of_a_used_area_is_answered_for_itself(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    sides = {"left": "0mm", "bottom": "0mm", "right": "2in", "top": "1 1/8 in"}
    for side, word, problem in (
        ("left", "", "it is not said where the left side lies."),
        ("bottom", "low", "'low' is not a length."),
        ("right", "7", "the length '7' has no unit."),
        ("right", "0 mm", "the right side does not lie to the right of the left one."),
        ("top", "-1mm", "the top side does not lie above the bottom one."),
    ):
        status, told = desk.change(job, "area", **{**sides, side: word})
        assert (status, told["field"], str(told["problem"]).lower()) == (422, side, problem)
    assert desk.change(job, "area", **sides)[0] == 200
    assert 'right = "2in"' in (desk.folder / job / "job.toml").read_text()


def test_without_a_script_the_page_says_the_same_beside_the_field(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    for key, value, section in (
        ("job/gap", "many", "sheets"),
        ("sheet-0-0/sheet", "huge", "card"),
        ("job/bridges_width", "wide", "card"),
    ):
        status, _, body = desk.ask("POST", f"/jobs/{job}/set", {key: value})
        assert status == 422
        page = body.decode()
        told = re.search(rf'value="{value}"[^>]*aria-invalid="true" aria-describedby="([\w-]+)"', page)
        assert told
        assert page.count(f'id="{told[1]}" role="alert"') == 1
        assert re.search(rf'id="{section}" open', page)
        assert '<p class="fault" id="fault" role="alert" hidden>' in page
    status, headers, _ = desk.ask("POST", f"/jobs/{job}/set", {"job/gap": "4mm"})
    assert (status, headers["location"]) == (303, f"/jobs/{job}")
    assert 'gap = "4mm"' in (desk.folder / job / "job.toml").read_text()


def test_undo_and_redo_walk_through_the_versions(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    path = desk.folder / job / "job.toml"
    texts = [path.read_text()]
    for gap in ("4mm", "5mm", "6mm"):
        desk.ask("POST", f"/jobs/{job}/set", {"job/gap": gap}, {"x-desk": "1"})
        texts.append(path.read_text())
    for text in reversed(texts[:-1]):
        assert desk.change(job, "undo")[0] == 200
        assert path.read_text() == text
    assert desk.change(job, "undo")[1]["can"] == [False, True]
    assert path.read_text() == texts[0]
    desk.change(job, "redo")
    assert path.read_text() == texts[1]
    desk.ask("POST", f"/jobs/{job}/set", {"job/gap": "9mm"}, {"x-desk": "1"})
    assert desk.change(job, "redo")[1]["can"] == [
        True,
        False,
    ]  # what was undone is gone once something else is done


def test_another_tab_that_is_older_is_told(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    version = (desk.folder / job / "versions" / "now").read_text()
    first = desk.ask("POST", f"/jobs/{job}/set", {"job/gap": "4mm", "version": version}, {"x-desk": "1"})
    second = desk.ask("POST", f"/jobs/{job}/set", {"job/gap": "8mm", "version": version}, {"x-desk": "1"})
    assert first[0] == 200
    assert second[0] == 409
    assert "another window" in json.loads(second[2])["problem"]
    assert 'gap = "4mm"' in (desk.folder / job / "job.toml").read_text()


def test_a_job_file_that_was_changed_by_hand_is_a_version_like_others(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    desk.paper(job)
    path = desk.folder / job / "job.toml"
    path.write_text('gap = "7mm" # mine\n' + path.read_text())
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    assert 'value="7mm"' in page
    desk.paper(job)
    desk.ask("POST", f"/jobs/{job}/set", {"job/margin": "6mm"}, {"x-desk": "1"})
    assert 'gap = "7mm" # mine' in path.read_text()  # her comment stays


def test_a_dropped_job_file_keeps_its_comments_and_its_cards(desk: Running) -> None:
    names = ("honey-fair.toml", "jar-carton.svg", "display-tray.svg", "swing-tag.svg", "divider.svg")
    job = desk.begun(*names)
    text = (desk.folder / job / "job.toml").read_text()
    assert "# every `copies` below is what one set needs" in text
    desk.paper(job, section="folds")
    status, _, body = desk.ask("POST", f"/jobs/{job}/set", {"card-1/stock": "card-160"}, {"x-desk": "1"})
    assert status == 200, body
    assert 'like = "card-160"' in (desk.folder / job / "job.toml").read_text()
    assert desk.change(job, "stop")[0] == 200


def test_what_can_not_be_begun_leaves_nothing(desk: Running) -> None:
    before = sorted(p.name for p in desk.folder.iterdir())
    for files, word in (
        ([("notes.txt", b"honey")], "no drawing"),
        ([("honey-fair.toml", (SAMPLES / "honey-fair.toml").read_bytes())], "no drawing"),
        ([("a.toml", b'[[template]]\nfile = "b.svg"\n'), ("c.svg", b"<svg/>")], "b.svg"),
        ([("a.toml", b"= ="), ("c.svg", b"<svg/>")], "no job file"),
        ([("a.toml", b""), ("b.toml", b""), ("c.svg", b"<svg/>")], "stands alone"),
        ([], "no drawing"),
    ):
        status, job, page = desk.drop(*files)
        assert (status, job) == (422, "")
        assert word in page.lower()
    assert sorted(p.name for p in desk.folder.iterdir()) == before


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../evil.svg", "evil.svg"), ("C:\\\\cards\\\\tray.svg", "tray.svg"), ("<b>x</b>.svg", "b_.svg"),
        (".svg.svg", "svg.svg"), ("nul.svg", "_nul.svg"), ("gr\u00f6\u00dfe 1.svg", "gr\u00f6\u00dfe 1.svg"), ("a" * 300 + ".svg", "a" * 60 + ".svg"),
    ],
)  # fmt: skip
def test_a_name_from_outside_is_plain(desk: Running, name: str, kept: str) -> None:
    status, job, page = desk.drop((name, (SAMPLES / "swing-tag.svg").read_bytes()))
    assert status == 303, page
    assert kept in {p.name for p in (desk.folder / job).iterdir()}
    assert not list(desk.folder.parent.glob("evil*"))


def test_names_are_text_and_never_markup(desk: Running) -> None:
    hostile = (
        (SAMPLES / "swing-tag.svg")
        .read_text()
        .replace('id="cut"', 'id="cut&quot;&gt;&lt;script&gt;x&lt;/script&gt;"')
    )
    _, job, _ = desk.drop(("<img src=x onerror=alert(1)>.svg", hostile.encode()))
    desk.ask("POST", f"/jobs/{job}/set", {"job/title": "</title><script>alert(2)</script>"}, {"x-desk": "1"})
    desk.paper(job, section="folds")
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    assert "<img src=x" not in page
    assert "<script>" not in page.replace('<script src="/shared', "")
    assert "&lt;script&gt;alert(2)" in page


def test_a_broken_drawing_says_so_on_the_paper(desk: Running) -> None:
    _, job, _ = desk.drop(("broken.svg", b"<svg><path d='M0"))
    desk.paper(job, section="lines", state="needs")
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    assert "broken.svg" in page


def test_a_drawing_with_errors_waits_until_they_are_mended(desk: Running) -> None:
    _, job, _ = desk.drop(("carton.svg", (SAMPLES / "hand-drawn" / "jar-carton.svg").read_bytes()))
    answers = _answers(desk.paper(job, section="cutting", state="waiting"))
    assert answers["wrong"] == "4 errors and 3 warnings"
    assert "mat cutter" in answers["card"]
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    assert "--" not in page.split('id="wrong"')[1].split('id="folds"')[0]  # no option of the command line
    desk.ask("POST", f"/jobs/{job}/set", {"job/mend": "yes"}, {"x-desk": "1"})
    answers = _answers(desk.paper(job, section="cutting", state="waiting"))
    assert answers["wrong"].endswith("6 things were mended")
    desk.ask("POST", f"/jobs/{job}/set", {"job/keep": "outline"}, {"x-desk": "1"})
    answers = _answers(desk.paper(job))
    assert answers["wrong"].startswith("Nothing")
    assert "inside" in answers["folds"]


def test_a_job_that_made_room_for_another_is_taken_up_again(desk: Running) -> None:
    first = desk.begun("jar-carton.svg")
    second = desk.begun("swing-tag.svg")
    assert _answers(desk.paper(second))["making"] == "1 of swing-tag.svg"
    assert _answers(desk.paper(first))["making"] == "1 of jar-carton.svg"


def test_stopped_work_says_so_and_goes_on_when_asked(desk: Running) -> None:
    job = desk.begun("jar-carton.svg", "divider.svg")
    assert desk.change(job, "stop")[0] == 200
    paper = json.loads((desk.folder / job / "paper.json").read_text())
    states = {section["state"] for section in paper["sections"].values()}
    assert "working" not in states
    assert "stopped" in states
    page = desk.ask("GET", f"/jobs/{job}")[2].decode()
    assert "go on" in page
    assert "nothing to fold" not in page  # what is not known is not said
    assert desk.change(job, "go")[0] == 200
    desk.paper(job)


def test_a_template_and_a_set_become_jobs_that_say_how_they_were_drawn(desk: Running) -> None:
    for name, words, note in (
        ("tray", {"width": "2 1/2 in", "height": ""}, '# tray.svg: cutprep template tray width="2 1/2 in" --out tray.svg'),
        ("box-in-box", {"inner.width": "50mm"}, "# drawn by: cutprep template box-in-box inner.width=50mm --out FOLDER"),
    ):  # fmt: skip
        status, headers, body = desk.ask("POST", f"/templates/{name}", words)
        assert status == 303, body
        text = (desk.folder / headers["location"].rpartition("/")[2] / "job.toml").read_text()
        assert text.startswith(note)
        assert tomllib.loads(text)["title"]
    status, _, body = desk.ask("POST", "/templates/tray", {"width": "wide"})
    assert status == 422
    assert b"wide" in body
    status, _, body = desk.ask("POST", "/templates/tray", {"height": "3/8in"})
    assert (status, b"height=0.625in or tab=0.25in" in body) == (422, True)
    assert desk.ask("POST", "/templates/none", {})[0] == 404
    assert desk.ask("GET", "/templates/none")[0] == 404
    assert desk.ask("GET", "/templates/tray/picture?width=9000mm")[0] == 422


def test_what_fits_into_a_folded_part_is_told_in_her_unit(desk: Running) -> None:
    job = desk.begun("display-tray.svg")
    desk.change(job, "set", **{"job/unit": "in"})
    desk.paper(job)

    def asked(size: str, clearance: str = "", part: int = 0) -> tuple[int, dict[str, str]]:
        words = urlencode({"part": part, "size": size, "clearance": clearance})
        for _ in range(100):  # nothing is told while anything is being worked on
            status, _, body = desk.ask("GET", f"/jobs/{job}/holds?{words}", headers={"x-desk": "1"})
            told = json.loads(body)
            if "being worked on" not in told.get("problem", ""):
                return status, told
            time.sleep(0.05)
        raise AssertionError(told)

    said = CliRunner().invoke(
        app, ["fold", str(SAMPLES / "display-tray.svg"), "--holds", "36x36x28mm", "--inches"]
    )
    status, told = asked("36x36x28mm")
    assert status == 200
    assert "At least 6 of 1.417 x 1.417 x 1.102 in fit" in told["told"]
    assert told["told"] in said.output
    assert asked("1 x 1 x 1 in", "1/8 in")[0] == 200
    for size, clearance, field, word in (
        ("large", "", "size", "'large' is no size of a box"),
        ("1x1in", "", "size", "is no size of a box"),
        ("1x1x1in", "some", "clearance", "is not a length"),
    ):
        status, told = asked(size, clearance)
        assert (status, told["field"], word in told["problem"]) == (422, field, True)
    assert asked("1x1x1in", part=7)[0] == 422
    page = desk.ask("GET", f"/jobs/{job}/holds?part=0&size=1x1x1in&clearance=0mm")[2].decode()
    assert re.search(
        r'id="told" role="status">[^<]*fit', page
    )  # without a script the page says it at its head


def test_a_declared_angle_holds_for_the_command_line_too(desk: Running, tmp_path: Path) -> None:
    job = desk.begun("jar-carton.svg")
    at = desk.paper(job, section="folds")["sections"]["folds"]["parts"][0]["angles"][0]["at"]
    assert desk.change(job, "angle", target="template-0", at=at, degrees="far")[0] == 422
    assert desk.change(job, "angle", target="template-0", at="here", degrees="60")[0] == 422
    assert desk.change(job, "angle", target="template-0", at=at, degrees="270")[0] == 422
    assert desk.change(job, "angle", target="template-0", at=at, degrees="60")[0] == 200
    assert "does not close" in _answers(desk.paper(job))["folds"]
    desk.require_same_as_the_command(job, tmp_path / "out")
    assert desk.change(job, "angle", target="template-0", at=at, degrees="")[0] == 200
    assert "fold" not in tomllib.loads((desk.folder / job / "job.toml").read_text())["template"][0]
    assert "a closed shape" in _answers(desk.paper(job))["folds"]


def test_what_a_former_job_left_of_a_sheet_is_used(desk: Running) -> None:
    former = desk.begun("display-tray.svg")
    desk.paper(former)
    desk.change(former, "area", left="0mm", bottom="0mm", right="1 in", top="1 in")
    desk.paper(former)
    job = desk.begun("swing-tag.svg")
    desk.paper(job)
    assert former in desk.ask("GET", f"/jobs/{job}/sections/sheets")[2].decode()
    assert desk.change(job, "offcut", sheet="none/1")[0] == 422
    assert desk.change(job, "offcut", sheet=f"{former}/1")[0] == 200
    kept = tomllib.loads((desk.folder / job / "job.toml").read_text())["keep_out"]
    assert kept == [
        {"left": "0mm", "bottom": "0mm", "right": "1 in", "top": "1 in"},
        {"drawing": f"cut-{former}-1.svg"},
    ]
    desk.paper(job)
    assert desk.change(job, "area", left="5mm", bottom="0mm", right="1mm", top="1 in")[0] == 422
    assert desk.change(job, "area", number="9")[0] == 422


def test_a_killed_worker_is_started_again(desk: Running) -> None:
    job = desk.begun("jar-carton.svg")
    workers = desk.children()
    if not workers:
        pytest.skip("this system does not list children")
    for pid in workers:
        os.kill(pid, signal.SIGKILL)
    time.sleep(0.3)
    status, _, _ = desk.ask("POST", f"/jobs/{job}/set", {"job/gap": "4mm"}, {"x-desk": "1"})
    assert status == 200
    assert _answers(desk.paper(job))["sheets"] == "1 sheet"


def test_a_place_by_hand_holds_or_is_not_taken(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    desk.ask("POST", f"/jobs/{job}/set", {"template-0/copies": "2"}, {"x-desk": "1"})
    paper = desk.paper(job)
    name = paper["sections"]["sheets"]["sheets"][0]["places"]
    places = json.loads(desk.ask("GET", f"/jobs/{job}/view/{name}")[2])
    spots = [
        {"file": "swing-tag.svg", "x": s["x"], "y": s["y"], "turn": s["turn"], "mirror": s["mirror"]}
        for s in places["spots"]
    ]
    before = (desk.folder / job / "job.toml").read_text()
    onto = [spots[0], {**spots[0], "x": spots[0]["x"] + 1.0}]
    status, told = desk.change(job, "place", sheets=json.dumps([onto]))
    assert status == 422
    assert told["problem"]
    assert (desk.folder / job / "job.toml").read_text() == before
    apart = [spots[0], {**spots[0], "x": spots[0]["x"] + 100.0, "y": spots[0]["y"] + 37.25}]
    assert desk.change(job, "place", sheets=json.dumps([apart]))[0] == 200
    paper = desk.paper(job)
    name = paper["sections"]["sheets"]["sheets"][0]["places"]
    moved = json.loads(desk.ask("GET", f"/jobs/{job}/view/{name}")[2])["spots"]
    assert [(s["x"], s["y"]) for s in moved] == [(s["x"], s["y"]) for s in apart]
    assert desk.change(job, "rest")[0] == 422  # none of them was moved by hand
    assert desk.change(job, "place", sheets=json.dumps([[{**apart[1], "hand": True}]]))[0] == 200
    status, told = desk.change(job, "set", **{"template-0/copies": "5"})
    assert (status, told["told"]) == (
        200,
        "What you have placed by hand stays; the rest is laid out round it.",
    )
    paper = desk.paper(job)
    name = paper["sections"]["sheets"]["sheets"][0]["places"]
    round_it = json.loads(desk.ask("GET", f"/jobs/{job}/view/{name}")[2])["spots"]
    assert (len(round_it), [(s["x"], s["y"]) for s in round_it if s["hand"]]) == (
        5,
        [(apart[1]["x"], apart[1]["y"])],
    )
    ask = f"/jobs/{job}/room?sheet=0&mirror=no"
    for _ in range(100):  # nothing is told while anything is being worked on
        if rings := json.loads(desk.ask("GET", f"{ask}&spot=0&turn=90")[2])["rings"]:
            break
        time.sleep(0.05)
    assert rings
    assert all(4.99 < y < 300 for ring in rings for _, y in ring)
    assert json.loads(desk.ask("GET", f"{ask}&spot=77&turn=0")[2]) == {"rings": []}
    assert desk.ask("GET", f"{ask}&spot=0&turn=round")[0] == 404
    desk.change(job, "set", **{"template-0/copies": "2"})
    assert desk.change(job, "loose")[0] == 200
    assert tomllib.loads((desk.folder / job / "job.toml").read_text()) == tomllib.loads(before)


def test_a_job_is_kept_for_another_desk_and_lays_another_one_as_it_was_laid(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    desk.change(job, "set", **{"template-0/copies": "2", "job/gap": "1/4 in"})
    desk.paper(job)
    command = f"cutprep prepare {desk.folder / job / 'job.toml'} --out results"
    assert command in desk.ask("GET", f"/jobs/{job}/sections/cutting")[2].decode()
    kept = zipfile.ZipFile(io.BytesIO(desk.ask("GET", f"/jobs/{job}/kept")[2]))
    assert {"job.toml", "swing-tag.svg", "mat-cutter-300.toml"} <= set(kept.namelist())
    assert "margin" in kept.read("job.toml").decode()  # as built in, and written out
    status, other, page = desk.drop(*((name, kept.read(name)) for name in kept.namelist()))
    assert status == 303, page
    desk.paper(other)
    name = "made/sheet-01.hpgl"
    assert (desk.folder / other / name).read_bytes() == (desk.folder / job / name).read_bytes()
    shown = desk.ask("GET", f"/jobs/{other}/sections/card")[2].decode()
    assert '<option value="mat-cutter-300.toml" selected>' in shown
    assert desk.ask("GET", f"/jobs/{other}/places")[0] == 405

    third = desk.begun("swing-tag.svg")
    desk.paper(third)
    for content, words in (
        ((desk.folder / job / "made" / "job.json").read_bytes(), ""),
        (b"{}", "no job of the form"),
        (b"", "No job.json was chosen"),
    ):
        status, told = desk.send_file(third, "places", "job.json", content)
        assert (status, words in str(told.get("problem", ""))) == (422 if words else 200, True), told
    desk.paper(third)
    made = json.loads((desk.folder / third / "made" / "job.json").read_text())
    was = json.loads((desk.folder / job / "made" / "job.json").read_text())
    assert made["sheets"][0]["placements"] == was["sheets"][0]["placements"]
    assert "Copies lie where job.json says." in desk.ask("GET", f"/jobs/{third}/sections/sheets")[2].decode()
    assert desk.change(third, "places", away="yes")[0] == 200
    assert "places" not in tomllib.loads((desk.folder / third / "job.toml").read_text())


def test_files_are_saved_into_a_folder_of_hers(desk: Running, tmp_path: Path) -> None:
    job = desk.begun("swing-tag.svg")
    desk.paper(job)
    folder = tmp_path / "for the fair"
    status, told = desk.change(job, "save", folder=str(folder))
    assert status == 200
    assert str(folder) in str(told["told"])
    verify = [sys.executable, "-m", "cutprep", "verify", str(folder)]
    assert subprocess.run(verify, check=False, capture_output=True).returncode == 0
    status, told = desk.change(job, "save", folder=str(folder))
    assert status == 422
    assert "not empty" in str(told["problem"])
    assert desk.change(job, "save", folder=str(folder), replace="yes")[0] == 200
    assert desk.change(job, "save", folder="")[0] == 422


def test_a_forgotten_job_is_gone(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    assert desk.ask("POST", f"/jobs/{job}/forget", {})[0] == 303
    assert not (desk.folder / job).exists()
    assert desk.ask("GET", f"/jobs/{job}")[0] == 404


def test_the_terminal_is_told_what_can_not_be(desk: Running, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("honey")
    for options, word in (
        ([str(tmp_path / "file")], "folder"),
        ([str(tmp_path), "--port", "70000"], "port"),
        ([str(tmp_path), "--port", str(desk.port)], str(desk.port)),
    ):
        told = CliRunner().invoke(app, ["desk", "--no-browser", *options])
        assert told.exit_code == 2
        assert word in told.stderr
