"""The pages that people work from: valid, self-contained, escaped, legible.

Outside sources: html5lib 1.1, the WHATWG parsing algorithm in strict mode; WCAG 2.2, success criterion 1.4.3 and its
definitions of relative luminance and contrast ratio, for the 4.5 to 1 of text.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import html5lib
import pytest

from cutprep.job.api import make_job
from cutprep.job.file import load_job
from cutprep.job.job import Item
from cutprep.job.pipeline import run
from cutprep.model.findings.finding import Finding
from cutprep.profile.stock import SheetSize
from cutprep.report.cautions import CAUTIONS
from cutprep.report.costs import cost_of, cost_of_copies
from cutprep.report.jobsheet import job_sheet
from cutprep.report.makingsheet import making_sheet, making_text
from cutprep.report.outcome import Outcome
from cutprep.report.pictures.flat import flat_map, room_on_card
from cutprep.report.pictures.sheet import LINE_STYLES, outlines_in_order, sheet_map, sheet_marks
from cutprep.report.pictures.sheet_words import loading
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.kinds import KINDS, kind_named
from cutprep.units import say_size, say_time
from tests.making import made

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.fixture(scope="module")
def fair() -> Outcome:
    """The honey fair for three visitors instead of twelve: all of its cards, drawings and pages, on fewer sheets."""
    job = load_job(SAMPLES / "honey-fair.toml")
    nesting, ordering = replace(job.nesting, effort="quick"), replace(job.ordering, effort="quick")
    batches = [
        replace(
            batch, items=tuple(replace(i, copies=job.sets * _few(i), in_set=_few(i)) for i in batch.items)
        )
        for batch in job.batches
    ]
    return run(replace(job, batches=tuple(batches), nesting=nesting, ordering=ordering))


def _few(item: Item) -> int:
    """A quarter of what the fair needs of an item for each set."""
    return -(-item.in_set // 4)


@pytest.fixture(scope="module")
def tags() -> Outcome:
    """Three tags, read in inches."""
    return run(make_job(SAMPLES / "swing-tag.svg", copies=3, unit="in"))


def parsed(page: str) -> object:
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


@pytest.mark.parametrize("write", [job_sheet, making_sheet])
def test_pages_are_valid_html(fair: Outcome, write) -> None:  # type: ignore[no-untyped-def]
    page = write(fair)
    parsed(page)
    assert not re.search(r">\s*None\s*<", page)  # nothing is said where there is nothing to say


@pytest.mark.parametrize("write", [job_sheet, making_sheet])
def test_pages_need_nothing_from_elsewhere(fair: Outcome, write) -> None:  # type: ignore[no-untyped-def]
    page = write(fair).replace("http://www.w3.org/2000/svg", "")  # a name, not an address
    found = re.search(r"""(src|href)\s*=\s*["']?(?!["']?#)|url\((?!["']?#)|@import|https?://""", page)
    assert not found, page[found.start() - 60 : found.end() + 60]


@pytest.mark.parametrize("write", [job_sheet, making_sheet, making_text])
def test_every_caution_is_printed(fair: Outcome, write) -> None:  # type: ignore[no-untyped-def]
    page = write(fair)
    for head, _ in CAUTIONS:
        assert head in page
    assert "manual of your machine" in page


def test_the_job_sheet_tells_cards_sheets_tools_and_times(fair: Outcome) -> None:
    page = job_sheet(fair)
    assert "for 3 sets" in page
    for sheet in fair.sheets:
        assert f"Sheet {sheet.sheet.number} of {len(fair.sheets)}: {sheet.file}" in page
    for stock in fair.stocks:
        assert stock.title in page
    assert "scoring stylus" in page
    assert page.count('class="map"') >= len(fair.sheets)
    yellow = sum(s.runs for s in fair.sheets if s.stock.name == "honey-yellow")
    assert f"<td>{0.60 * yellow:.2f}</td>" in page


def test_a_running_clock(fair: Outcome) -> None:
    page = job_sheet(fair)
    clocks = re.findall(r"<b>Clock</b>(.*?) to (.*?)</li>", page)
    assert clocks[0][0] == "0 s"
    assert [c[0] for c in clocks[1:]] == [c[1] for c in clocks[:-1]]


def test_names_from_files_are_escaped(tags: Outcome) -> None:
    evil = '<script>alert("x")</script>&'
    finding = Finding.of("crumb", evil, fix=evil)
    bad = replace(
        tags,
        title=evil,
        findings=(finding,),
        templates=(replace(tags.templates[0], name=evil, scale_note=evil),),
    )
    for page in (job_sheet(bad), making_sheet(bad)):
        assert "<script>alert" not in page
        assert "&lt;script&gt;" in page
        parsed(page)


def test_lengths_in_inches_when_asked(tags: Outcome) -> None:
    assert "12 x 12 in" in job_sheet(tags)


def test_score_positions_of_the_tray(fair: Outcome) -> None:
    """The tray's walls are 30.15 mm (30 and half a caliper): scores at 30.15 from each edge."""
    text = making_text(fair)
    tray = text[text.index("display-tray") : text.index("swing-tag")]
    assert "1 3/16 in (30.2 mm) from the left edge" in tray
    assert "from the lower edge, all the way; valley" in tray
    assert "Make 3 (1 a set for 3 sets) from Kraft card" in tray
    assert tray.index("Score lines 1 to 4") < tray.index("Cut out along")


def test_a_picture_alone_is_whole(tags: Outcome) -> None:
    picture = sheet_map(tags.sheets[0], alone=True)
    assert picture.startswith("<svg")
    assert 'xmlns="http://www.w3.org/2000/svg"' in picture
    assert picture.count('class="step"') == len(tags.sheets[0].strokes) + 1


def test_the_grain_and_what_to_weed_are_shown(tags: Outcome) -> None:
    assert ">3 inner pieces, and the frame around the parts<" in job_sheet(tags)
    assert ">grain</text>" not in sheet_map(tags.sheets[0])
    known = replace(tags.sheets[0], stock=replace(tags.sheets[0].stock, grain=90.0))
    assert "rotate(-90)" in sheet_map(known)
    assert ">grain</text>" in sheet_map(known)


def luminance(colour: str) -> float:
    """Relative luminance after WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio after WCAG 2.2."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_at_least_four_and_a_half(fair: Outcome) -> None:
    page = job_sheet(fair)
    light = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", page[: page.index("@media")]))
    dark_rules = page[page.index("(prefers-color-scheme: dark)") :]
    dark = light | dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", dark_rules[: dark_rules.index("@media")]))
    names = light
    for scheme in (light, dark):
        for text in ("ink", "soft", "honey", "stop"):
            for ground in ("paper", "wash"):
                assert contrast(scheme[text], scheme[ground]) >= 4.5, (text, ground)
    assert contrast("#2b2118", dark["plate"]) >= 4.5
    for name, (colour, _, _) in LINE_STYLES.items():
        assert contrast(colour, names["paper"]) >= 4.5, name


def test_lines_that_mean_something_else_look_different_without_colour() -> None:
    looks = {name: (width, dash) for name, (_, width, dash) in LINE_STYLES.items() if name != "valley"}
    assert len(set(looks.values())) == len(looks)


def test_the_load_list_names_each_sheet_with_tools_and_clock(fair: Outcome) -> None:
    page = job_sheet(fair)
    table = page[page.index("Load in this order") : page.index("Card to lay out")]
    assert table.count('class="box"') == sum(sheet.runs for sheet in fair.sheets)  # one box a run
    for sheet in fair.sheets:
        assert f">{sheet.file}</a>" in table
    assert "2 - scoring stylus: 160, 1x<br>1 - drag knife: 120, 1x" in table
    assert f">{say_time(fair.seconds - fair.sheets[-1].duration.total * fair.sheets[-1].runs)}</td>" in table


def test_all_card_and_all_cost_are_summed_up(fair: Outcome) -> None:
    """0.60 a sheet of honey yellow, 0.75 of kraft; white has no price and is named."""
    names = [s.stock.name for s in fair.sheets for _ in range(s.runs)]
    cost = 0.60 * names.count("honey-yellow") + 0.75 * names.count("kraft")
    area = sum(s.sheet.width * s.sheet.height * s.runs for s in fair.sheets) / 1e6
    assert (
        f"Altogether {len(names)} sheets, {area:.2f} m2 of card; it costs {cost:.2f}, "
        f"without White card, 160 g/m2, which has no price. That is {cost / 3:.2f} a set."
    ) in job_sheet(fair)


def test_what_copies_cost_adds_up_to_what_their_sheets_cost(fair: Outcome) -> None:
    each = cost_of_copies(fair)
    for stock in fair.stocks:
        paid = [each[t.name, t.stock.name] * t.copies for t in fair.templates if t.stock.name == stock.name]
        assert sum(paid) == pytest.approx(cost_of(fair, stock), nan_ok=True)
    carton = next(t for t in fair.templates if t.name == "jar-carton")
    assert f"<td>{each['jar-carton', carton.stock.name]:.2f}</td>" in job_sheet(fair)


def test_the_still_picture_shows_whose_part_and_in_which_turn(fair: Outcome) -> None:
    """A letter tells templates apart, and a numbered dot stands where each outline begins."""
    for done in fair.sheets:
        picture = sheet_map(done, marks=sheet_marks(fair, done))
        turns = [int(n) for n in re.findall(r'class="turn"[^>]*>(\d+)<', picture)]
        assert turns == list(range(1, int(done.strokes.outline.sum()) + 1))
        begins = done.strokes.lines.xy[done.strokes.lines.start[:-1]][done.strokes.outline]
        dots = re.findall(r'class="begin" cx="([\d.]+)" cy="([\d.]+)"', picture)
        assert [(float(x), done.sheet.height - float(y)) for x, y in dots] == [
            pytest.approx(tuple(xy), abs=0.006) for xy in begins.tolist()
        ]
    mixed = next(s for s in fair.sheets if len({spot.template for spot in s.sheet.placements}) > 1)
    picture = sheet_map(mixed, marks=sheet_marks(fair, mixed))
    for spot in mixed.sheet.placements:
        letter = "C" if mixed.sheet.templates[spot.template].name == "swing-tag" else "D"
        assert f">{letter}{spot.copy}</text>" in picture


def test_outlines_are_traced_to_the_copies_they_free(fair: Outcome) -> None:
    for done in fair.sheets:
        freed = [place for _, place in outlines_in_order(done)]
        assert None not in freed
        assert {done.sheet.placements[k].copy for k in freed if k is not None} == {
            spot.copy for spot in done.sheet.placements
        }


def test_the_scale_bar_is_as_long_as_it_says(tags: Outcome) -> None:
    picture = sheet_map(tags.sheets[0], unit="in")
    bar = re.search(r'class="bar"[^>]* d="[^"]*H([\d.]+)M', picture)
    assert bar is not None
    assert float(bar[1]) == 50.8
    assert ">2 in</text>" in picture


def test_clean_drawings_are_said_to_be_clean(fair: Outcome) -> None:
    assert "no errors and no warnings" in job_sheet(fair)


def test_the_flat_picture_bears_the_letters_that_the_steps_name(fair: Outcome) -> None:
    page = making_sheet(fair)
    tray = page[page.index("<h2>display-tray") : page.index("<h2>swing-tag")]
    letters = re.findall(r'class="panel" x="[\d.]+" y="[\d.]+" font-size="[\d.]+">(\w+)<', tray)
    assert sorted(letters) == list("ABCDEFGHI")
    numbers = re.findall(r'class="score-number" x="[-\d.]+" y="[\d.]+" font-size="[\d.]+">(\w+)<', tray)
    assert sorted(numbers) == list("1234"), "numbers name scores, letters panels"
    assert "glue flaps F and H inside wall B" in tray
    assert "<b>1\u00a03/16</b></td><td><b>30.2</b></td>" in tray


def test_strips_with_slots_are_pushed_into_each_other(fair: Outcome) -> None:
    text = making_text(fair)
    assert "push the 2 of piece 2 down over it" in text[text.index("divider\n") :]
    assert text.count("slot into slot") == 1


def test_a_pillow_box_is_to_be_folded_by_hand_first(tmp_path: Path) -> None:
    drawing = kind_named("pillow-box").from_values()
    path = tmp_path / "pillow.svg"
    path.write_text(write_svg(drawing.lines, page=drawing.page, keep=True), encoding="utf-8")
    assert "fold one by hand" in making_text(run(make_job(path)))


def test_a_job_in_inches_is_in_inches_throughout(tmp_path: Path) -> None:
    """Lengths, thicknesses and areas; speeds stay those of the machine's profile. Words agree with their numbers."""
    page = job_sheet(run(make_job(SAMPLES / "swing-tag.svg", unit="in")))
    body = page[page.index("<body>") :]
    shown = re.sub(r"<svg.*?</svg>|<script.*?</script>|<details.*?</details>", "", body, flags=re.DOTALL)
    # What a drawing or a profile says of itself is quoted as it stands.
    quoted = re.sub(r"mm/s|real size from[^<]*|Drag-knife mat cutter, [^<]*", "", shown)
    assert not re.search(r"\d mm|\dmm|m2 of card", quoted), re.findall(r".{30}\d mm.{10}", quoted)
    assert re.search(r"0\.\d{3} in", shown)
    assert " sq ft of card" in shown
    assert "1 copy on 1 sheet of" in shown
    assert "1 copies" not in page


def test_a_set_with_spares_is_whole_numbers(tmp_path: Path) -> None:
    """Seven copies of four a set for two sets, less one: no 3.5 a set."""
    (tmp_path / "tag.svg").write_bytes((SAMPLES / "swing-tag.svg").read_bytes())
    (tmp_path / "job.toml").write_text(
        'sets = 2\n[[template]]\nfile = "tag.svg"\ncopies = 3\nspare = 10\n', encoding="utf-8"
    )
    assert "Make 7 (3 a set for 2 sets, and 1 spare) from" in making_text(
        run(load_job(tmp_path / "job.toml"))
    )


def test_the_load_picture_says_how_the_sheet_goes_in(tags: Outcome) -> None:
    done = tags.sheets[0]
    told = loading(tags.machine, face_down=False)
    picture = sheet_map(done, told=told, marks=sheet_marks(tags, done))
    for words in ("this edge goes in first", "machine zero", "this side up", "grain not stated"):
        assert f">{words}</text>" in picture
    bar = re.search(r'class="first" style="[^"]*" d="M0 ([\d.]+)H', picture)
    assert bar is not None
    assert float(bar[1]) > done.sheet.height, "zero is at the lower left, so the lower edge goes in first"
    frame = loading(
        replace(tags.machine, first_edge="none", origin="upper-right", width=400.0), face_down=False
    )
    picture = sheet_map(done, told=frame, unit="mm")
    assert "goes in first" not in picture
    assert re.search(r">machine zero: [\d.]+ mm further right", picture)


def test_copies_and_turns_are_told_apart_and_rub_out_no_score(fair: Outcome) -> None:
    done = fair.sheets[0]
    picture = sheet_map(done, marks=sheet_marks(fair, done))
    copies = re.findall(r'class="copy"[^>]*>(\w+)<', picture)
    assert copies == [f"A{spot.copy}" for spot in done.sheet.placements]
    assert set(copies).isdisjoint(re.findall(r'class="turn"[^>]*>(\d+)<', picture))
    assert '<rect class="halo"' not in picture


@pytest.mark.parametrize("name", sorted(KINDS))
def test_lettering_in_print_is_at_least_seven_points(name: str) -> None:
    """1 pt = 25.4 / 72 mm; sizes follow from a picture's width in print and its coordinates."""
    works, _ = made(KINDS[name].from_values())
    for work in works:
        pictures = [flat_map(work, limit=room_on_card(work))]
        for picture in pictures:
            wide, view = re.search(
                r'width="([\d.]+)mm".*?viewBox="[-\d.]+ [-\d.]+ ([\d.]+)', picture
            ).groups()  # type: ignore[union-attr]
            for size in re.findall(r'font-size="([\d.]+)"', picture):
                assert float(size) * float(wide) / float(view) / (25.4 / 72) >= 7


def test_first_things_come_first(fair: Outcome) -> None:
    page = job_sheet(fair)
    order = [
        "<h1>",
        'class="facts four"',
        'class="done plate"',
        'class="thumb plate"',
        "Load in this order",
        "Sheet 1 of",
    ]
    at = [page.index(word) for word in order]
    assert at == sorted(at)
    facts = page[page.index('class="facts four"') : page.index('<div class="top">')]
    assert re.findall(r"<b>(.*?)</b>", facts) == ["Card", "Sheets", "Machine time", "Load"]
    sections = page.split('<section class="sheet"')[1:]
    assert len(sections) == len(fair.sheets)
    for section in sections:
        assert '<p class="job">Honey fair</p>' in section
        assert section.index("<svg id=") < section.index('<ul class="legend">')


def test_many_drawings_get_a_name_and_a_list(tmp_path: Path) -> None:
    paths = [tmp_path / f"tag-{i}.svg" for i in range(5)]
    for path in paths:
        path.write_bytes((SAMPLES / "swing-tag.svg").read_bytes())
    job = make_job(paths)
    assert job.title == f"5 templates from {tmp_path.name}"
    assert make_job(paths[:2]).title == "tag-0, tag-1"
    page = making_sheet(run(job))
    assert re.findall(r'<li><a href="#card-\d">(tag-\d)</a>', page) == [p.stem for p in paths]


def test_a_small_blank_is_printed_at_real_size_and_a_large_one_says_its_scale() -> None:
    tag = flat_map(made(KINDS["swing-tag"].from_values())[0][0], limit=(104.0, 122.0))
    assert ">in print: real size</text>" in tag
    tray = flat_map(made(KINDS["tray"].from_values())[0][0], limit=(104.0, 122.0))
    assert ">in print: scale 2 : 5</text>" in tray
    wide = re.search(r'<path class="measure" d="M0 [\d.]+H([\d.]+)M', tray)
    assert wide is not None
    assert float(wide[1]) == pytest.approx(192.6 * 2 / 5, abs=0.01)


def test_a_size_that_the_card_is_sold_in_has_its_name(tags: Outcome) -> None:
    """Upright or lying; a sheet of another size, listed or not, is said by its measures alone, and once."""
    stock = tags.stocks[0]
    own = SheetSize(say_size(200.0, 300.0), 200.0, 300.0)
    stock = replace(stock, sheets=(*stock.sheets, own))
    for size, said in (
        ((200.0, 300.0), "1 x 200.0 x 300.0 mm"),
        ((210.0, 297.0), "1 x 210.0 x 297.0 mm (A4)"),
        ((297.0, 210.0), "1 x 297.0 x 210.0 mm (A4)"),
        ((205.0, 300.0), "1 x 205.0 x 300.0 mm"),
        ((210.0, 300.0), "1 x 210.0 x 300.0 mm"),
    ):
        done = tags.sheets[0]
        sheet = replace(done, stock=stock, sheet=replace(done.sheet, width=size[0], height=size[1]))
        assert f"<td>{said}</td>" in job_sheet(replace(tags, unit="mm", sheets=(sheet,)))


def test_a_job_done_despite_errors_says_so_and_no_other_does(tags: Outcome) -> None:
    """Errors alone stop a job; asked for and not needed, there is nothing to look at."""
    said = "despite errors in the drawing"
    wrong = Finding.of("open-outline", "An outline has a gap.")
    findings = {"none": (), "warning": (Finding.of("thin-strip", "A strip is thin."),), "error": (wrong,)}
    shown = {
        (asked, name): said in job_sheet(replace(tags, despite=asked, findings=found))
        for asked in (False, True)
        for name, found in findings.items()
    }
    assert [case for case, there in shown.items() if there] == [(True, "error")]


def test_a_flat_piece_alone_in_a_file_is_a_whole_picture() -> None:
    """On a page it takes its styles from there."""
    (work,), _ = made(KINDS["tray"].from_values())
    within, alone = (flat_map(work, limit=(400.0, 400.0), alone=alone) for alone in (False, True))
    assert ET.fromstring(alone).tag == "{http://www.w3.org/2000/svg}svg"
    assert "<style>" in alone
    assert ET.fromstring(within).tag == "svg"
    assert "<style>" not in within


def test_marks_for_the_scoring_board_stand_at_its_settings() -> None:
    """A tray's scores, from the left and from the lower edge: a mark outside the blank at each, with its number."""
    (work,), _ = made(KINDS["tray"].from_values())
    picture = flat_map(work, limit=(400.0, 400.0))
    high = work.piece.size[1]
    ticks = re.search(r'<path class="tick" d="([^"]*)"', picture)
    assert ticks is not None
    below = [float(x) for x, y in re.findall(r"M([\d.]+) ([\d.]+)v1.6", ticks[1]) if float(y) >= high]
    beside = [float(y) for x, y in re.findall(r"M(-[\d.]+) ([\d.]+)h-1.6", ticks[1]) if float(x) < 0]
    left = [row.at for row in work.rows if row.kind == "left"]
    lower = [row.at for row in work.rows if row.kind == "lower"]
    assert below == pytest.approx(left, abs=0.01)
    assert beside == pytest.approx([high - at for at in lower], abs=0.01)
    numbers = re.findall(r'<text class="score-number"[^>]*>(\d+)</text>', picture)
    assert sorted(map(int, numbers)) == list(range(1, len(work.rows) + 1))


def test_the_inside_is_said_so_that_one_can_be_checked(fair: Outcome) -> None:
    """The tray's scores lie 132.3 x 78.3 x 30.15 mm apart, so in card of 0.42 mm a caliper less, in height half of one.

    A flat tag has no inside.
    """
    page = making_sheet(fair)
    cards = {card[: card.index("</h2>")]: card for card in page.split("<h2>")[1:]}
    size = re.search(r"Inside when done: (.*?)\. Check one before you make the rest\.", cards["display-tray"])
    assert size is not None
    assert size[1] == "5 3/16 x 3 1/16 x 1 3/16 in (131.9 x 77.9 x 29.9 mm)"
    assert "Inside when done" not in cards["swing-tag"]


def test_files_are_named_after_their_card_when_there_are_several(fair: Outcome, tags: Outcome) -> None:
    """So that nobody loads white card for a kraft sheet."""
    assert [done.files[0].name for done in fair.sheets] == [
        f"sheet-{k:02d}-{done.stock.name}.hpgl" for k, done in enumerate(fair.sheets, 1)
    ]
    assert {done.stock.name for done in fair.sheets} == {"honey-yellow", "kraft", "white"}
    assert [done.files[0].name for done in tags.sheets] == ["sheet-01.hpgl"]
