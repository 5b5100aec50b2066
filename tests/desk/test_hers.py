"""What is hers on the desk: settings, cards, offcuts and figures kept by requests, trials and spoilt pieces pressed in a browser."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from cutprep.profile.shelf import machine
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import read_back
from tests.desk_browser import IN_A_BROWSER, OF_COLOURS, Seen, done, seeing, unfold, violations
from tests.desk_server import Running


def told(desk: Running, act: str, status: int = 200, **words: str) -> str:
    """Send a form of the page of her own things; the page that comes."""
    sent = {key.replace("__", "/"): value for key, value in words.items()}
    answer, _, body = desk.ask("POST", f"/hers/{act}", sent)
    assert answer == status, body
    return body.decode()


def own(desk: Running, name: str = "settings.toml") -> dict[str, object]:
    return tomllib.loads((desk.folder / "own" / name).read_text())


def test_settings_are_kept_in_her_words_and_forgotten(desk: Running) -> None:
    page = told(desk, "settings", own__gap="1/8 in", own__unit="in", own__effort="quick", own__mend="no")
    assert "gap: 1/8 in, from now on; lengths_in: in, from now on" in page
    assert own(desk) == {"effort": "quick", "gap": "1/8 in", "lengths_in": "in"}
    job = desk.begun("swing-tag.svg")
    assert 'gap = "1/8 in"' in (desk.folder / job / "job.toml").read_text()
    assert "Nothing was changed" in told(desk, "settings", own__gap="1/8 in", own__effort="quick")
    for words, wrong in (
        ({"own__gap": "many"}, "many"),
        ({"own__passes_count": "none"}, "none"),
        ({"own__machine": "saw"}, "saw"),
    ):
        _beside(
            told(desk, "settings", 422, **words),
            next(iter(words)).replace("__", "-").replace("_", "-"),
            wrong,
        )
    told(desk, "rule", name="lid", word="score")
    assert own(desk)["layers"] == {"lid": "score"}
    assert "no colour is named" in told(desk, "rule", 422, name="", word="cut")
    told(desk, "rule", forget="layers.lid")
    told(desk, "settings", own__gap="", own__unit="")
    assert own(desk) == {"effort": "quick"}


def test_a_card_of_hers_is_kept_and_offered(desk: Running) -> None:
    words = {"name": "brown", "stock": "kraft-280", "price": "0.6", "sheet": "8x10in", "at_hand": "12"}
    assert "12 at hand, 0.60 each" in told(desk, "card", **words)
    for key, word, wrong in (
        ("name", "my card", "is not a plain name"),
        ("price", "cheap", "is no number"),
        ("caliper", "thin", "is not a length"),
    ):
        _beside(told(desk, "card", 422, **{**words, key: word}), f"card-{key}", wrong)
    (desk.folder / "own" / "stocks" / "brown.toml").unlink()


def test_a_slip_in_a_file_of_hers_is_told_with_its_line_and_stops_no_job(desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    path = desk.folder / "own" / "figures.toml"
    path.write_text("\n[mat-cutter-300.card-220]\nforce = 3\n")
    try:
        status, _, body = desk.ask("GET", "/hers")
        assert (status, b"figures.toml:3" in body) == (422, True)
        assert desk.ask("GET", f"/jobs/{job}")[0] == 200
    finally:
        path.unlink()


def test_what_is_not_there_is_told(desk: Running) -> None:
    assert "No offcut is called" in told(desk, "offcut", 422, name="a-1")
    assert desk.ask("GET", "/hers/offcuts/..%2Fsettings.toml")[0] == 404
    assert desk.ask("POST", "/hers/else", {})[0] == 404
    usual = {"machine": "mat-cutter-300", "stock": "card-220"}
    assert "no trial" in told(desk, "trial", 422, **usual, kind="colour")
    for field, words, wrong in (
        ("to", {"kind": "force", "from": "200", "to": "900"}, "240 at most"),
        ("from", {"kind": "offset", "from": "far"}, "&#39;far&#39; is not a length"),
        ("from", {"kind": "force", "from": "900"}, "240 at most"),
        ("steps", {"kind": "force", "steps": "1"}, "1 figure can&#39;t be compared"),
        ("corner", {"kind": "pass", "corner": "middle"}, "no corner"),
        ("sheet", {"kind": "all", "sheet": "A99"}, "A99"),
    ):
        _beside(told(desk, "trial", 422, **{**usual, **words}), f"trial-{field}", wrong)
    job = desk.begun("swing-tag.svg")
    desk.paper(job)
    for way, words in (
        ("best", {"kind": "force", "figure": "1"}),
        ("onto", {"card": "card-0", "offcut": "a-1"}),
    ):
        assert desk.change(job, way, **words)[0] in (200, 422)
    desk.paper(job, section="card", state="needs")
    assert "no offcut is called" in json.dumps(json.loads((desk.folder / job / "paper.json").read_text()))
    desk.change(job, "undo")
    desk.paper(job)
    status, _, body = desk.ask("POST", f"/jobs/{job}/again", {"marks": "A9"})
    assert (status, b"has no copy A9" in body) == (422, True)


def _beside(page: str, field: str, wrong: str) -> None:
    """The page says what is wrong beside that field, and nowhere else."""
    assert re.search(rf'id="{field}"[^>]*aria-invalid="true" aria-describedby="{field}-wrongly"', page)
    told = re.search(rf'id="{field}-wrongly" role="alert">([^<]*)<', page)
    assert told
    assert wrong in told[1]
    assert page.count('aria-invalid="true"') == 1
    assert page.count(told[1]) == 1


def test_a_machine_is_timed_and_its_profile_kept(desk: Running) -> None:
    status, headers, _ = desk.ask("POST", "/hers/trial", {"kind": "times", "machine": "mat-cutter-300"})
    assert (status, headers["location"]) == (303, "/hers/times/mat-cutter-300")
    page = desk.ask("GET", headers["location"])[2].decode()
    files = re.findall(r'href="(/hers/times/mat-cutter-300/trial-\d\.hpgl)"', page)
    assert len(files) == 5
    seconds = []
    for file in files:
        status, headers, text = desk.ask("GET", file)
        assert (status, headers["content-disposition"].startswith("attachment")) == (200, True)
        moves = read_back(text.decode(), "hpgl", machine("mat-cutter-300"))
        seconds.append(duration(moves, replace(machine("mat-cutter-300"), travel_speed=200.0)).total)
    typed = {f"seconds-{k}": f"{s:.3f}" for k, s in enumerate(seconds, 1)}
    for field, word, wrong in (
        ("seconds-2", "", "no time in seconds"),
        ("seconds-5", "-3", "no time in seconds"),
    ):
        _beside(told(desk, "times/mat-cutter-300", 422, **{**typed, field: word}), field, wrong)
    path = desk.folder / "own" / "machines" / "mat-cutter-300.toml"
    assert not path.exists()
    try:
        assert "speed with the tool up</td><td>200 mm/s" in told(desk, "times/mat-cutter-300", **typed)
        assert tomllib.loads(path.read_text())["motion"]["travel_speed"] == pytest.approx(200, rel=0.01)
        _beside(told(desk, "times/mat-cutter-300", 422, **typed), "replace", "is kept already")
        told(desk, "times/mat-cutter-300", **typed, replace="yes")
    finally:
        path.unlink(missing_ok=True)
    assert desk.ask("GET", "/hers/times/saw")[0] == 404
    assert desk.ask("GET", "/hers/times/mat-cutter-300/trial-6.hpgl")[0] == 404


class TestInABrowser:
    pytestmark = IN_A_BROWSER

    def test_a_trial_is_made_and_its_best_figure_kept(self, browser: Browser, desk: Running) -> None:
        with seeing(browser, desk, viewport={"width": 390, "height": 800}, reduced_motion="reduce") as one:
            page = self._hers(one)
            page.goto(f"{page.url}/times/mat-cutter-300")
            _reads_well(page)
            page = self._hers(one)
            _reads_well(page)
            page.select_option("#trial-stock", "kraft-280")
            page.fill("#trial-steps", "4")
            page.get_by_role("button", name="make the trial").click()
            page.wait_for_url("**/jobs/*")
            done(page)
            unfold(page, "cutting")
            page.locator(".choice[data-figure='140']").click()
            expect(page.locator("#told")).to_have_text(
                "force: 140 from now on for kraft-280 on mat-cutter-300."
            )
            expect(page.locator(".choice.kept")).to_have_attribute("data-figure", "140")
            assert own(desk, "figures.toml") == {"mat-cutter-300": {"kraft-280": {"cut_force": 140.0}}}
            assert violations(page) == []
            page.locator(".choice[data-figure='100']").press("Enter")
            expect(page.locator(".choice.kept")).to_have_attribute("data-figure", "100")
            page = self._hers(one)
            page.get_by_role("button", name="forget force of kraft-280 on mat-cutter-300").click()
            expect(page.locator("[role=status]")).to_contain_text("forgotten for kraft-280")

    def test_spoilt_pieces_are_pressed_and_made_again_on_an_offcut(
        self, seen: Seen, desk: Running, tmp_path: Path
    ) -> None:
        page, job = seen.of_my_own("swing-tag.svg")
        desk.change(job, "set", **{"template-0/copies": "7"})
        page = seen.job(job)
        unfold(page, "cutting")
        page.locator("details.after > summary").click()
        pieces = page.locator(".spoilable")
        pieces.nth(1).click()
        pieces.nth(4).press("Enter")
        expect(page.locator("#spoilt-marks")).to_have_value("A2, A5")
        page.fill("#spoilt-marks", "a5")
        expect(pieces.nth(1)).to_have_attribute("aria-pressed", "false")
        page.get_by_role("button", name="keep what is left").click()
        expect(page.locator("#told")).to_contain_text("Kept: card-220-1")
        page.get_by_role("button", name="make these again").click()
        page.wait_for_url(lambda url: not url.endswith(job))
        done(page)
        expect(page.locator("#making .answer")).to_have_text("1 of swing-tag.svg")
        unfold(page, "sheets")
        assert violations(page) == []
        page.get_by_role("button", name="lay it on card-220-1").click()
        done(page)
        expect(page.locator("#sheets")).to_contain_text("Lies on the offcut card-220-1")
        small = page.url.rpartition("/")[2]
        environment = {"CUTPREP_FOLDER": str(desk.folder / "own")}
        made = json.loads((desk.folder / small / "made" / "job.json").read_text())
        assert made["settings"]["stock"][0]["offcut"]["value"] == "card-220-1"
        subprocess.run(
            [sys.executable, "-m", "cutprep", "verify", str(desk.folder / small / "made")],
            check=True, capture_output=True, env=environment,
        )  # fmt: skip
        page.get_by_role("button", name="take a fresh sheet").click()
        done(page)
        assert "offcut" not in (desk.folder / small / "job.toml").read_text()
        told(desk, "offcut", name="card-220-1")

    @staticmethod
    def _hers(one: Seen) -> Page:
        one.first().get_by_role("link", name="What is yours").click()
        one.page.wait_for_url("**/hers")
        return one.page


def _reads_well(page: Page) -> None:
    page.emulate_media(color_scheme="light")
    assert violations(page) == []
    page.emulate_media(color_scheme="dark")
    assert violations(page, OF_COLOURS) == []
    wide = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getClientRects().length && "
        "e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('pre, svg')).map(e => e.outerHTML.slice(0, 120))"
    )
    assert wide == []
