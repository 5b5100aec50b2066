"""The class sheet: cards, pieces and spares for each place, tools, and steps without the machine's part."""

from __future__ import annotations

import re
from pathlib import Path

import html5lib
import pytest

from cutprep.errors import JobError
from cutprep.job.api import make_job, prepare_job
from cutprep.report.cautions import CAUTIONS

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    out = tmp_path_factory.mktemp("class") / "out"
    job = make_job(
        [SAMPLES / "display-tray.svg", SAMPLES / "swing-tag.svg"], copies=5, also=["class-sheet"], students=2
    )
    prepare_job(job, out)
    return (out / "class-sheet.html").read_text(encoding="utf-8")


def test_it_tells_pieces_and_spares_for_each_place(page: str) -> None:
    html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    assert "class sheet for 2 students" in page
    rows = re.findall(r"<tr><td>([\w-]+)</td><td>[^<]*</td><td>(\d+)</td><td>(\d+)</td><td>(\d+)</td>", page)
    assert rows == [("display-tray", "2", "5", "1"), ("swing-tag", "2", "5", "1")]
    assert "5 blanks for display-tray: 7 9/16 in (192.6 mm) by 5 7/16 in (138.6 mm)" in page


def test_tools_are_those_of_the_steps_for_both_ways_of_working(page: str) -> None:
    hand, ready = (
        page.split("Handed out ready cut", maxsplit=1)[0],
        page.split("Handed out ready cut")[1].split("Cautions", maxsplit=1)[0],
    )
    for tool in ("scissors", "scoring board", "bone folder", "glue stick", "craft knife"):
        assert tool in hand
    assert "scissors" not in ready
    assert "glue stick" in ready


def test_ready_cut_pieces_begin_at_the_creasing_and_nothing_is_said_of_the_machine(page: str) -> None:
    begin = re.search(r'<li class="ready">.*?<p>(.*?)</p>', page, re.DOTALL)
    assert begin is not None
    assert begin[1].startswith("Fold scores 1 to 4")
    told = page[: page.index("Cautions")] + page[page.index("</dl>") :]
    told = re.sub(r"<style>.*?</style>", "", told, flags=re.DOTALL)
    assert not re.search(r"hpgl|HP-GL|speed|force|machine", told)
    for head, _ in CAUTIONS:
        assert head in page


def test_it_needs_to_know_how_many_students() -> None:
    with pytest.raises(JobError, match="how many students"):
        make_job(SAMPLES / "swing-tag.svg", also=["class-sheet"])
