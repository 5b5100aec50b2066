"""What the pages name is there: files, folders, commands of the tests, pictures; and no sentence stands twice."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import asdict
from pathlib import Path

import pytest

from cutprep.limits import Limits

ROOT = Path(__file__).parents[2]
#: The changelog tells of files as they were.
PAGES = [
    p
    for p in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md")))
    if p.name != "CHANGELOG.md"
]
#: A path may be said from here.
FROM = [ROOT, ROOT / "cutprep", ROOT / "cutprep" / "stages"]
_PATH = re.compile(
    r"(?<![\w/.-])(?:tests|cutprep|docs|samples|stages|model|geometry|profile|report|template|job|desk|"
    r"order|blade|motion|readback|check|mend|fold|nest|read|write)/[\w./-]*\w"
)
#: Long enough that it is no mere heading or unit.
_WORDS = 8
#: Pages that a command makes of tables of the code, row by row.
MADE = {"MAKING.md", "FINDINGS.md", "JOB-FILE.md"}
#: A caution stands wherever somebody may need it.
CAUTIONS = {"the machine s own switch is the emergency stop"}


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_paths_commands_and_links_lead_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    paths = {p for p in _PATH.findall(text) if not re.fullmatch(r"job/\d|desk/pages/s", p)}
    assert not [p for p in paths if not any((base / p).exists() for base in FROM)]
    modules = {ROOT / name.replace(".", "/") for name in re.findall(r"python -m (tests[\w.]*\w)", text)}
    assert not [m for m in modules if not (m.with_suffix(".py").exists() or (m / "__main__.py").exists())]
    links = re.findall(r"\]\(([^)#:]+)[)#]", text) + re.findall(r'src="([^":]+)"', text)
    assert not [link for link in links if not (page.parent / link).exists()]


def test_no_sentence_stands_twice() -> None:
    """Whoever mends one of two would leave the other. Pages that are made by a command may say a thing in each of their rows."""
    found: dict[str, list[str]] = defaultdict(list)
    for page in (*PAGES, ROOT / "docs" / "CHANGELOG.md"):
        text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
        for block in re.split(r"\n\s*\n|\||\n- (?:\[[\w, ]+\])?|\n\d\. ", text):
            for sentence in re.split(r"(?<=[.;:])\s+", block.replace("\n", " ")):
                plain = re.sub(r"\W+", " ", sentence.lower()).strip()
                if len(plain.split()) >= _WORDS and plain not in CAUTIONS:
                    found[plain].append(page.name)
    assert not {
        sentence: pages
        for sentence, pages in found.items()
        if len(pages) > 1 and (len(set(pages)) > 1 or pages[0] not in MADE)
    }


def test_limits_on_the_page_are_those_that_hold() -> None:
    """Each with its option; what has none is no field of `Limits`."""
    page = (ROOT / "docs" / "SAFETY.md").read_text(encoding="utf-8")
    units = {"MB": 1e6, "m": 1e3, "km": 1e6, "": 1.0}
    told = {
        name.replace("-", "_"): float(figure.replace(",", "")) * units[unit]
        for name, figure, unit in re.findall(
            r"^\|[^|]+\| `([\w-]+)` \| ([\d,]+) ?(\w*) \|$", page, re.MULTILINE
        )
    }
    assert told == asdict(Limits())
