"""Each thing of the paper in a real browser: by mouse, by touch and by keyboard, at every width, light and dark."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.desk_browser import (
    IN_A_BROWSER,
    OF_COLOURS,
    OF_WIDTH,
    Seen,
    at_rest,
    done,
    drop,
    seeing,
    type_into,
    unfold,
    violations,
)
from tests.desk_server import SAMPLES, Running

pytestmark = IN_A_BROWSER

Ready = Callable[..., str]


def _job_file(desk: Running, job: str) -> str:
    return (desk.folder / job / "job.toml").read_text()


def _look(page: Page) -> list[float]:
    look = "() => { const l = document.querySelector('#lines figure').look; return [l.scale, l.x, l.y]; }"
    found: list[float] = page.evaluate(look)
    return found


def _press_at(page: Page, x: float, y: float) -> None:
    """Press a place of the drawing, mm."""
    scale, left, bottom = _look(page)
    box = page.locator("#lines canvas").first.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + left + scale * x, box["y"] + bottom - scale * y)


def test_every_view_reads_well(seen: Seen, ready: Ready) -> None:
    """Looked through wholly once, light and dark; what depends on the width, at every width."""
    job = ready("jar-carton.svg", "swing-tag.svg")
    page = seen.first()
    page.wait_for_selector("#kinds img")
    _reads_well(page)
    page.goto(page.url + "templates/tuck-carton")
    page.locator("details summary").click()
    _reads_well(page)
    seen.job(job)
    for width in WIDTHS:  # closed, it holds nothing that is not there when it is open
        _fits(page, width)
    unfold(page)
    for more in page.locator(".inside details > summary").all():
        more.click()
    page.wait_for_selector("#cutting figure[data-ready=yes]")
    _reads_well(page)


WIDTHS = (1920, 1280, 768, 390)


def _reads_well(page: Page) -> None:
    page.emulate_media(color_scheme="light")
    for width in WIDTHS:  # nothing is shown or hidden by the width alone
        _fits(page, width)
        assert violations(page, *([] if width == 1280 else [OF_WIDTH])) == []
    page.emulate_media(color_scheme="dark")
    assert violations(page, OF_COLOURS) == []


def _fits(page: Page, width: int) -> None:
    """Nothing is wider than the screen, and nothing that is pressed is small."""
    page.set_viewport_size({"width": width, "height": 900})
    wide = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getClientRects().length && "
        "e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('pre, svg')).map(e => e.outerHTML.slice(0, 120))"
    )
    assert wide == []
    small = page.evaluate(
        "[...document.querySelectorAll('button, summary, select, input:not([type=hidden])')].filter(e => "
        "e.getClientRects().length && e.getBoundingClientRect().height < 22).map(e => e.outerHTML.slice(0, 120))"
    )
    assert small == []  # WCAG 2.2, success criterion 2.5.8: 24 px, but for targets with room around them


def test_a_template_is_redrawn_as_she_types_and_becomes_a_job(seen: Seen, desk: Running) -> None:
    page = seen.first()
    page.locator("#kinds a", has_text="prism carton").click()
    usual = page.locator("#drawn").get_attribute("src")
    page.get_by_label(
        "inside width: twice the inside radius, so from side to side where their number is even"
    ).fill("2 in")
    expect(page.locator("#drawn")).not_to_have_attribute("src", usual or "")
    page.get_by_label(
        "inside width: twice the inside radius, so from side to side where their number is even"
    ).fill("2 in")
    page.get_by_label("inside height").fill("4 m")
    expect(page.locator(".wrongly")).to_contain_text("Height is 157.480 in")
    page.get_by_label("inside height").fill("3 1/2 in")
    expect(page.locator(".wrongly")).to_have_count(0)
    page.get_by_role("button", name="begin with this").click()
    page.wait_for_url("**/jobs/*")
    expect(page.locator("#folds .answer")).to_contain_text("50.8 x 88.9 mm inside")
    assert 'width="2 in" height="3 1/2 in"' in _job_file(desk, page.url.rpartition("/")[2])
    seen.forget_refusals()


def test_work_is_stopped_gone_on_with_and_the_first_layout_kept(seen: Seen, desk: Running) -> None:
    job = desk.begun("display-tray.svg", "swing-tag.svg")
    desk.change(
        job, "set", **{"job/effort": "thorough", "template-0/copies": "40", "template-1/copies": "300"}
    )
    page = seen.page
    page.goto(f"{desk.address.split('?')[0]}jobs/{job}")
    expect(page.locator("#keep-first")).to_be_visible()
    expect(page.locator("#work .words")).not_to_be_empty()
    page.locator("#work").get_by_role("button", name="stop").click()
    expect(page.locator("#sheets")).to_have_attribute("data-state", "stopped")
    expect(page.locator("#work")).to_be_hidden()
    expect(page.locator("#sheets .answer")).to_contain_text("not waited for")
    page.reload()
    expect(page.locator("#sheets")).to_have_attribute("data-state", "stopped")
    unfold(page, "sheets")
    page.locator("#sheets").get_by_role("button", name="go on").click()
    expect(page.locator("#work")).to_be_visible()
    page.locator("#keep-first button").click()
    done(page)
    assert 'effort = "quick"' in _job_file(desk, job)


def test_a_line_is_touched_and_its_layer_changed(seen: Seen, desk: Running) -> None:
    page, job = seen.of_my_own("swing-tag.svg")
    unfold(page, "lines")
    page.wait_for_selector("#lines figure[data-ready=yes]")
    _press_at(page, 0, 35)
    expect(page.locator("#lines figure output").first).to_contain_text("cut")
    expect(page.locator("#lines tr.shown")).to_have_count(1)
    page.locator("#lines tr.shown select").select_option("draw")
    expect(page.locator("#lines .answer")).to_have_text("2 to draw")
    done(page)
    assert 'cut = "draw"' in _job_file(desk, job)
    page.get_by_role("button", name="undo").click()
    expect(page.locator("#lines .answer")).to_have_text("2 to cut")


def test_two_points_are_measured_and_the_picture_zoomed_and_brought_back(seen: Seen, ready: Ready) -> None:
    page = seen.job(ready("swing-tag.svg"))
    unfold(page, "lines")
    page.wait_for_selector("#lines figure[data-ready=yes]")
    first = _look(page)
    page.get_by_role("button", name="measure").click()
    _press_at(page, 0, 35)
    _press_at(page, 40, 35)
    said = page.locator("#lines figure output").first.inner_text()
    assert abs(float(said.split(" mm")[0]) - 40.0) < 0.3
    assert said.endswith("in")
    page.locator("#lines canvas").first.focus()
    page.keyboard.press("+")
    assert _look(page)[0] == pytest.approx(1.25 * first[0])
    page.keyboard.press("0")
    assert _look(page) == pytest.approx(first)
    page.keyboard.press("1")
    assert _look(page)[0] == pytest.approx(96 / 25.4)


def test_printed_the_closed_paper_keeps_its_pictures_and_cautions(seen: Seen, ready: Ready) -> None:
    page = seen.job(ready("swing-tag.svg"))
    page.emulate_media(media="print")
    expect(page.locator("#sheets img").first).to_be_hidden()
    page.wait_for_function(  # also what no eye has seen yet: printing does not wait
        "[...document.querySelectorAll('#folds .still img, #sheets .sheets img')].every(i => i.complete && i.naturalWidth)"
    )
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    for shown in ("#sheets img", "#cutting .cautions"):
        expect(page.locator(shown).first).to_be_visible()
    for hidden in ("#sheets .sentence", "#cutting .strokes", "#cutting .save", "#print"):
        expect(page.locator(hidden).first).to_be_hidden()
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(page.locator(".section[open]")).to_have_count(0)


def test_each_place_of_a_finding_leads_to_it(seen: Seen, desk: Running) -> None:
    _, job, _ = desk.drop(("label.svg", FAULTY))
    page = seen.page
    page.goto(f"{desk.address.split('?')[0]}jobs/{job}")
    at_rest(page)
    unfold(page, "wrong")
    page.get_by_role("link", name="at 40.00, 40.00 mm").click()
    expect(page.locator("#lines figure output").first).to_have_text("at 40.00, 40.00 mm")
    scale, left, bottom = _look(page)
    box = page.locator("#lines canvas").first.bounding_box()
    assert box is not None
    assert left + scale * 40 == pytest.approx(box["width"] / 2, abs=15)
    assert bottom - scale * 40 == pytest.approx(box["height"] / 2, abs=15)


def test_an_unknown_layer_opens_by_itself_and_asks(seen: Seen, desk: Running) -> None:
    drawing = (
        (SAMPLES / "swing-tag.svg")
        .read_text()
        .replace('id="cut"', 'id="honey"')
        .replace("tag-cut", "tag-honey")
        .replace('label="cut"', 'label="honey"')
    )
    _, job, _ = desk.drop(("tag.svg", drawing.encode()))
    page = seen.page
    page.goto(f"{desk.address.split('?')[0]}jobs/{job}")
    page.wait_for_selector("#lines[data-state=needs][open]")
    expect(page.locator("#lines .answer")).to_contain_text("honey")
    page.locator("#lines tr.needs select").select_option("cut")
    done(page)
    expect(page.locator("#lines .answer")).to_have_text("2 to cut")
    expect(page.locator("#told")).to_have_text("Remembered for the next drawing that has “honey”: cut.")
    desk.ask("POST", "/hers/rule", {"forget": "layers.honey"})


FAULTY = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    b'<g id="cut" fill="none" stroke="#000"><path d="M5 5H75V55H5V5.5"/><path d="M20 20H60V40H20Z"/><path d="M30 20H50"/></g></svg>'
)


def test_each_change_of_mending_is_seen_and_left_or_made(seen: Seen, desk: Running, tmp_path: Path) -> None:
    _, job, _ = desk.drop(("label.svg", FAULTY))
    page = seen.page
    page.goto(f"{desk.address.split('?')[0]}jobs/{job}")
    at_rest(page)
    unfold(page, "wrong")
    page.get_by_label("Mend what can be mended safely").check()
    done(page)
    answer = page.locator("#wrong .answer")
    expect(answer).to_contain_text("things were mended")
    page.get_by_text("see what was mended in label.svg").click()
    change = page.locator(".changes li", has_text="Two ends missed each other by 0.50 mm")
    expect(change.locator("img")).to_have_js_property("complete", True)
    double = page.locator(".changes li", has_text="lay on 1 other line")
    double.get_by_role("button", name="leave it as drawn").click()
    at_rest(page)
    expect(answer).to_contain_text("tear the card; 1 thing was mended; 1 left as drawn")
    page.get_by_label("Go on although the drawing has errors").check()
    done(page)
    expect(double).to_have_count(0)
    expect(change).to_have_count(1)
    left = tomllib.loads(_job_file(desk, job))["template"][0]["leave"]
    assert left == [{"code": "removed-double", "at": [30, 40]}]
    desk.require_same_as_the_command(job, tmp_path / "out")
    page.get_by_role("button", name="mend it after all").click()
    done(page)
    expect(double).to_have_count(1)
    assert "leave" not in _job_file(desk, job)


PRINTED = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">'
    b'<g id="print"><rect x="4" y="4" width="32" height="22" fill="#ecb566"/></g>'
    b'<g id="cut" fill="none" stroke="#000"><path d="M2 2H38V28H2Z"/></g></svg>'
)


def test_a_page_to_print_comes_and_the_cuts_are_laid_where_its_marks_are_found(
    seen: Seen, desk: Running
) -> None:
    _, job, _ = desk.drop(("label.svg", PRINTED))
    page = seen.job(job)
    unfold(page, "cutting")
    with page.expect_download() as given:
        page.locator(".printed a").click()
    assert given.value.suggested_filename == "sheet-01-print.pdf"
    assert given.value.path().read_bytes().startswith(b"%PDF")
    page.get_by_text("the sheet lies elsewhere on the mat").click()
    page.get_by_label("1: plan").fill("9mm, 9mm")
    page.get_by_label("on the mat").first.fill("9.6mm, 8.8mm")
    page.get_by_role("button", name="lay the cuts there").click()
    expect(page.locator(".align .wrongly")).to_contain_text("Two to four points")
    page.get_by_label("2: plan").fill("201mm, 9mm")
    page.get_by_label("on the mat").nth(1).fill("201.5mm, 9.4mm")
    page.locator("#align-mat-1").press("Enter")
    done(page)
    points = tomllib.loads(_job_file(desk, job))["align"]
    assert [point["mat"] for point in points] == [["9.6mm", "8.8mm"], ["201.5mm", "9.4mm"]]
    seen.forget_refusals()


def test_a_wrong_value_is_said_beside_its_field(seen: Seen, desk: Running) -> None:
    page, job = seen.of_my_own("swing-tag.svg")
    unfold(page, "sheets")
    before = _job_file(desk, job)
    field = page.get_by_label("Distance between pieces")
    type_into(field, "three")
    told = page.locator("#sheets .wrongly")
    expect(told).to_contain_text("three")
    expect(field).to_have_attribute("aria-invalid", "true")
    at_rest(page)
    assert _job_file(desk, job) == before
    type_into(field, "2mm")
    expect(told).to_have_count(0)
    seen.forget_refusals()


def test_a_piece_is_moved_by_mouse_and_by_keys_and_the_rest_is_laid_round_it(
    seen: Seen, desk: Running, tmp_path: Path
) -> None:
    job = desk.begun("swing-tag.svg")
    desk.change(job, "set", **{"template-0/copies": "3"})
    page = seen.job(job)
    unfold(page, "sheets")
    page.get_by_role("button", name="move pieces by hand").click()
    piece = page.locator(".moving .piece").first
    box = piece.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    expect(page.locator(".free[d^=M]")).to_have_count(1)  # where it may lie, as the server says
    page.mouse.move(box["x"] + 250, box["y"] - 60, steps=4)
    page.mouse.move(box["x"] + box["width"] / 2 + 2, box["y"] - 90, steps=4)
    page.mouse.up()  # two pixels off the edge it lies on it
    expect(page.locator("#told")).to_contain_text("it stays there when the rest is laid out again")
    done(page)
    mine, *others = tomllib.loads(_job_file(desk, job))["template"][0]["place"]
    assert (mine["x"], "loose" in mine) == ("75.0 mm", False)  # 70 mm long, turned, in the corner
    assert [one["loose"] for one in others] == [True, True]
    # She is still at it, and at the same piece.
    expect(page.locator(".moving .piece.laid:focus")).to_have_count(1)
    for key in ("ArrowRight", "Shift+ArrowUp", "r", "Enter"):
        page.keyboard.press(key)
    expect(page.locator("body")).to_have_attribute("data-version", "4")
    done(page)
    assert "turn = 180.0" in _job_file(desk, job)
    # Beyond the sheet's edge it can't stay.
    for _ in range(16):
        page.keyboard.press("Shift+ArrowLeft")
    expect(page.locator(".moving .piece.hit")).to_have_count(1)  # said at once, before it is proved
    page.keyboard.press("Enter")
    expect(page.locator("#fault")).to_contain_text("can't stay")
    at_rest(page)
    page.get_by_role("button", name="lay out the rest again round it").click()
    done(page)
    rows = tomllib.loads(_job_file(desk, job))
    assert rows["lay_rest"]
    assert [one["turn"] for one in rows["template"][0]["place"]] == [180.0]
    desk.require_same_as_the_command(job, tmp_path / "out")
    page.get_by_role("button", name="done moving").click()
    expect(page.locator(".moving")).to_have_count(0)
    page.get_by_role("button", name="lay out all again").click()
    done(page)
    assert "place" not in _job_file(desk, job)
    seen.forget_refusals()


def test_two_fingers_zoom_and_one_moves_the_picture_or_a_piece(browser: Browser, desk: Running) -> None:
    phone = {"viewport": {"width": 390, "height": 840}, "has_touch": True, "is_mobile": True}
    with seeing(browser, desk, **phone) as one:
        page, job = one.of_my_own("swing-tag.svg")
        hand = one.context.new_cdp_session(page)

        def touch(kind: str, *spots: tuple[float, float]) -> None:
            points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(spots)]
            hand.send("Input.dispatchTouchEvent", {"type": f"touch{kind}", "touchPoints": points})

        unfold(page, "lines")
        page.wait_for_selector("#lines figure[data-ready=yes]")
        canvas = page.locator("#lines canvas").first
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        scale, left, _ = _look(page)
        at = (x - box["x"] - left) / scale
        touch("Start", (x - 30, y), (x + 30, y))
        for apart in (40, 50, 60):
            touch("Move", (x - apart, y), (x + apart, y))
        touch("End")
        wide, left, _ = _look(page)
        assert wide == pytest.approx(2 * scale)
        assert left + wide * at == pytest.approx(x - box["x"], abs=1)  # what was between them still is
        touch("Start", (x, y))
        touch("Move", (x + 25, y))
        touch("End")
        assert _look(page) == pytest.approx([wide, left + 25, _look(page)[2]])
        unfold(page, "sheets")
        page.get_by_role("button", name="move pieces by hand").click()
        piece = page.locator(".moving .piece").first
        piece.scroll_into_view_if_needed()
        box = piece.bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        touch("Start", (x, y))
        for step in (1, 2, 3):
            touch("Move", (x + 20 * step, y - 15 * step))
        touch("End")
        expect(page.locator("#told")).to_contain_text("Placed by hand")
        done(page)
        row = tomllib.loads(_job_file(desk, job))["template"][0]["place"][0]
        assert float(row["x"].split()[0]) > 20
        assert float(row["y"].split()[0]) > 20


def test_pieces_go_onto_the_pile_and_to_other_sheets(seen: Seen, desk: Running) -> None:
    job = desk.begun("swing-tag.svg")
    desk.change(job, "set", **{"template-0/copies": "2"})
    page = seen.job(job)
    unfold(page, "sheets")
    page.get_by_role("button", name="move pieces by hand").click()
    first, other = page.locator(".moving .piece").nth(0), page.locator(".moving .piece").nth(1)
    first.focus()
    page.keyboard.press("ArrowRight")
    for _ in range(5):
        page.keyboard.press("Shift+ArrowRight")
    for _ in range(5):
        page.keyboard.press("Shift+ArrowUp")
    expect(first).not_to_have_class("piece hit")
    box, onto = first.bounding_box(), other.bounding_box()
    assert box is not None
    assert onto is not None
    page.mouse.move(box["x"] + 8, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(onto["x"] + 12, onto["y"] + onto["height"] / 2, steps=4)
    expect(page.locator(".moving .piece.hit")).to_have_count(
        2
    )  # while it is dragged, both that lie on each other
    page.keyboard.press("Escape")
    expect(page.locator(".moving .piece.hit")).to_have_count(0)
    page.mouse.up()
    first.press("Delete")
    done(page)
    assert len(tomllib.loads(_job_file(desk, job))["template"][0]["place"]) == 1
    expect(page.locator(".pile")).to_contain_text("On the pile: 1 of swing-tag.svg.")
    page.get_by_role("button", name="lay one on a new sheet").click()
    done(page)
    expect(page.locator("#sheets .answer")).to_have_text("2 sheets")
    page.get_by_role("button", name="undo").click()
    page.get_by_role("button", name="undo").click()
    done(page)
    expect(page.locator("#sheets .answer")).to_have_text("1 sheet")
    page.locator(".moving .piece").first.focus()
    page.get_by_role("button", name="to the next sheet").click()
    done(page)
    assert [one["sheet"] for one in tomllib.loads(_job_file(desk, job))["template"][0]["place"]] == [1, 2]


def test_a_piece_gets_its_own_card_and_count(seen: Seen, desk: Running) -> None:
    _, job, _ = desk.drop(("tray.svg", _tray_with_lid(desk)))
    page = seen.job(job)
    unfold(page, "making")
    page.get_by_text("pieces of tray.svg").click()
    page.get_by_label("Card for lid of tray.svg").select_option("kraft-280")
    expect(page.locator("#making .answer")).to_have_text("1 of tray.svg, 1 of tray.svg (lid)")
    type_into(page.get_by_label("How many of lid one tray.svg has"), "2")
    expect(page.locator("#making .answer")).to_have_text("1 of tray.svg, 2 of tray.svg (lid)")
    done(page)
    own = tomllib.loads(_job_file(desk, job))["template"][0]["piece"]
    assert own == [{"name": "lid", "stock": "kraft-280", "count": 2}]


def _tray_with_lid(desk: Running) -> bytes:
    _, headers, _ = desk.ask("POST", "/templates/tray-with-lid", {"height": "20mm"})
    return (desk.folder / headers["location"].rpartition("/")[2] / "tray-with-lid.svg").read_bytes()


def test_strokes_are_played(seen: Seen, ready: Ready) -> None:
    page = seen.job(ready("swing-tag.svg"))
    unfold(page, "cutting")
    page.wait_for_selector("#cutting figure[data-ready=yes]")
    slider = page.get_by_label("Time on sheet 1")
    page.get_by_role("button", name="play").click()
    expect(page.locator("#cutting output")).to_contain_text(" of ")
    page.locator("#cutting .run").click()
    slider.fill("0")
    expect(page.locator("#cutting output")).to_have_text("begin")
    slider.fill("500")
    expect(page.locator("#cutting output")).to_contain_text(" of ")


def test_a_part_is_folded_and_turned(seen: Seen, ready: Ready) -> None:
    page = seen.job(ready("jar-carton.svg", "swing-tag.svg"))
    unfold(page, "folds")
    figure = page.locator("#folds figure").first
    expect(figure).to_have_attribute("data-ready", "yes")
    look = figure.get_attribute("data-look")
    figure.locator("canvas").focus()
    page.keyboard.press("ArrowLeft")
    expect(figure).not_to_have_attribute("data-look", look or "")
    figure.locator("input").fill("0")
    expect(figure.locator("output")).to_have_text("flat")
    asked = page.locator("#folds form.holds")
    size = asked.get_by_label("Length, width and height of what goes in")
    size.fill("large")
    asked.get_by_role("button").click()
    expect(size).to_have_attribute("aria-describedby", "holds-size-0-wrongly")
    size.fill("20x20x20mm")
    size.press("Enter")
    expect(asked.locator("output")).to_contain_text("fit")
    expect(asked.locator(".wrongly")).to_have_count(0)
    seen.forget_refusals()


def test_she_says_how_it_folds_in_the_flat_view(seen: Seen, desk: Running) -> None:
    page, job = seen.of_my_own("jar-carton.svg")
    unfold(page, "folds")
    page.get_by_text("say how it folds").click()
    flat = page.locator("details.flat")
    expect(flat).to_have_attribute("data-ready", "yes")
    page.locator("#folds canvas").hover()
    expect(flat.locator(".panel.lit")).to_have_count(1)  # pointed at in one view, marked in the other
    flat.get_by_label("score A-F: say its angle").press("Enter")
    page.keyboard.type("60")
    page.keyboard.press("Tab")
    expect(page.locator("#folds .answer")).to_contain_text("does not close")
    done(page)
    assert tomllib.loads(_job_file(desk, job))["template"][0]["fold"]["angle"][0]["deg"] == 60
    expect(flat).to_have_attribute("data-ready", "yes")
    flat.locator(".side").nth(0).click()
    flat.locator(".side").nth(5).click()
    page.get_by_role("button", name="no longer").click()
    page.get_by_role("button", name="undo").click()
    page.get_by_role("button", name="undo").click()
    page.get_by_role("button", name="undo").click()
    expect(page.locator("#folds .answer")).to_contain_text("a closed shape")


def test_a_used_area_is_drawn_with_the_mouse_and_written(seen: Seen, desk: Running) -> None:
    page, job = seen.of_my_own("swing-tag.svg")
    unfold(page, "sheets")
    page.get_by_text("the card is partly used already").click()
    expect(page.locator(".draw-area img")).to_have_js_property("complete", True)
    page.locator(".draw-area").evaluate("one => one.scrollIntoView({ block: 'center' })")
    box = page.locator(".draw-area img").bounding_box()
    assert box is not None
    page.mouse.move(
        box["x"] + 2, box["y"] + box["height"] - 2
    )  # from beside the sheet: it begins at its corner
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, steps=4)
    page.mouse.up()
    expect(page.locator("#area-left")).to_have_value("0.0mm")
    width = float(page.locator(".draw-area").get_attribute("data-width") or 0)
    assert abs(float(page.locator("#area-right").input_value().removesuffix("mm")) - width / 2) < 2
    page.keyboard.press("Enter")
    expect(page.get_by_text("Kept free: from 0.0mm")).to_be_visible()
    done(page)
    type_into(page.locator("#area-left"), "1 in")
    page.locator("#area-left").press("Enter")
    expect(page.locator("#sheets .wrongly")).to_contain_text("bottom")
    page.locator("#sheets").get_by_role("button", name="no longer").click()
    done(page)
    assert "keep_out" not in _job_file(desk, job)
    seen.forget_refusals()


def test_real_size_is_set_with_a_bank_card(seen: Seen, ready: Ready) -> None:
    """ISO/IEC 7810, ID-1: 85.60 mm by 53.98 mm."""
    page = seen.job(ready("swing-tag.svg"))
    unfold(page, "lines")
    page.get_by_text("real on this screen").click()
    page.get_by_label("width of the frame").fill("1.25")
    box = page.locator(".bank-card").bounding_box()
    assert box is not None
    assert box["width"] / box["height"] == pytest.approx(85.60 / 53.98, rel=0.01)
    assert box["width"] == pytest.approx(1.25 * 85.60 * 96 / 25.4, abs=1)
    page.wait_for_selector("#lines figure[data-ready=yes]")
    page.get_by_role("button", name="real size").click()
    assert _look(page)[0] == pytest.approx(1.25 * 96 / 25.4)
    page.evaluate("localStorage.clear()")


def test_a_line_that_was_cut_is_taken_up_again(seen: Seen, desk: Running) -> None:
    page, job = seen.of_my_own("swing-tag.svg")
    seen.context.set_offline(True)
    desk.change(job, "set", **{"template-0/copies": "7"})
    desk.paper(job)
    seen.context.set_offline(False)
    expect(page.locator("#making .answer")).to_have_text("7 of swing-tag.svg")
    done(page)
    seen.wrong = [words for words in seen.wrong if "ERR_INTERNET_DISCONNECTED" not in words]


def test_a_second_tab_follows_the_first_and_a_reload_shows_the_same(seen: Seen) -> None:
    page, _ = seen.of_my_own("swing-tag.svg")
    other = seen.context.new_page()
    other.goto(page.url)
    done(other)
    unfold(page, "making")
    type_into(page.get_by_label("Copies of swing-tag.svg"), "4")
    expect(other.locator("#making .answer")).to_have_text("4 of swing-tag.svg")
    other.reload()  # in the middle
    done(other)
    done(page)
    assert other.locator(".answer").all_inner_texts() == page.locator(".answer").all_inner_texts()


def test_it_works_without_a_script(browser: Browser, desk: Running) -> None:
    with seeing(browser, desk, java_script_enabled=False) as one:
        page = one.first()
        job = drop(page, "swing-tag.svg")
        desk.paper(job)
        page.reload()
        page.locator("#making > summary").click()
        page.get_by_label("Copies of swing-tag.svg").fill("6")
        with page.expect_navigation():
            page.locator("#making").get_by_role("button", name="take these").first.click()
        assert "copies = 6" in _job_file(desk, job)


def test_nothing_moves_where_less_motion_is_wished(seen: Seen, ready: Ready) -> None:
    page = seen.job(ready("swing-tag.svg"))
    moves = (
        "() => { const one = document.querySelector('#sheets'); one.classList.add('working');"
        " return getComputedStyle(one.querySelector('.answer'), '::after').animationName; }"
    )
    assert page.evaluate(moves) == "none"
    page.emulate_media(reduced_motion="no-preference")
    assert page.evaluate(moves) == "breathe"


def test_a_written_sheet_is_shown_as_a_stranger(seen: Seen, desk: Running, ready: Ready) -> None:
    """Its script runs, but it has no part in the desk: no cookie, no request."""
    page = seen.page
    page.goto(
        f"{desk.address.split('?')[0]}jobs/{ready('jar-carton.svg', 'swing-tag.svg')}/made/job-sheet.html"
    )
    expect(page.locator(".play").first).to_be_visible()
    assert page.evaluate("window.origin") == "null"
