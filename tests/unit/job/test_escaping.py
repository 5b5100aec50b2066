"""Names from files in everything that is written: each stays a name."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

import ezdxf
import html5lib
import pytest
from lxml import etree

from cutprep.cli import show
from cutprep.cli.drawings import start_job
from cutprep.job.api import make_job, make_rules, prepare_job
from cutprep.job.folder.outputs import output_files
from cutprep.job.pipeline import run
from cutprep.stages.read.reader import read
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.plain_text import comment
from cutprep.stages.write.svg_file import write_svg
from cutprep.tables import quoted
from cutprep.tolerance import Tolerance

#: Quotes, mark-up, terminal codes (C0 and C1), a turned text direction, words of G-code and HP-GL.
EVIL = (
    "</title></style>\"'><script>alert(1)</script>&amp;{{7*7}}{% x %}\n[x]\ny=1\r\nG0 X999 Z-9;PD9,9;)"
    "(M3 S999%\x7f\x9b31m\u2028\u202e\\U+000A^J\\u0041"
)
NAMED = "honey-fair carton"
TERMINAL = "\x1b]0;title\x07\x1b[2J"
ALSO = ("svg", "dxf", "pdf", "pictures")


def drawing(folder: Path, name: str) -> Path:
    """A carton's panel with a window and scores, its layer and elements called by a name."""
    space = "urn:x"
    root = etree.Element("{http://www.w3.org/2000/svg}svg", width="60mm", height="60mm", viewBox="0 0 60 60")
    for kind in ("cut", "score"):
        group = etree.SubElement(root, "{http://www.w3.org/2000/svg}g", id=kind)
        inner = etree.SubElement(
            group, "{http://www.w3.org/2000/svg}g", {f"{{{space}}}label": name, "id": name}
        )
        etree.SubElement(
            inner,
            "{http://www.w3.org/2000/svg}path",
            {
                "d": "M5 5H55V55H5z" if kind == "cut" else "M5 30H55M30 5V55",
                "id": name,
                "class": name,
                "stroke": "red",
            },
        )
        etree.SubElement(inner, "{http://www.w3.org/2000/svg}desc").text = name
    path = folder / "panel.svg"
    path.write_bytes(etree.tostring(root, encoding="utf-8"))
    return path


def outputs(folder: Path, name: str, language: str) -> Mapping[str, str | bytes]:
    folder.mkdir()
    layers = dict.fromkeys(
        {line.layer for line in read(drawing(folder, name), tolerance=Tolerance()).lines}, "cut"
    )
    kinds = {layer: "score" if "score" in layer else "cut" for layer in layers}
    job = make_job(
        folder / "panel.svg",
        machine="mat-cutter-300" if language == "hpgl" else "belt-servo-400",
        language=language,
        rules=make_rules(kinds),
        title=name,
        also=ALSO,
        effort="quick",
        despite_findings=True,
    )
    outcome = run(job)
    assert len(outcome.sheets) == 1
    return output_files(outcome, ALSO)


@pytest.fixture(scope="module", params=["hpgl", "gcode"])
def pair(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Mapping[str, str | bytes], Mapping[str, str | bytes]]:
    """The same job with a harmless name and with a hostile one."""
    home = tmp_path_factory.mktemp("names")
    legal = EVIL.replace("\r", "")  # what XML hands on of it
    return request.param, outputs(home / "a", NAMED, request.param), outputs(home / "b", legal, request.param)


Pair = tuple[str, Mapping[str, str | bytes], Mapping[str, str | bytes]]


def text(content: str | bytes) -> str:
    return content if isinstance(content, str) else content.decode("latin-1")


def test_the_same_files_are_written(pair: Pair) -> None:
    _, plain, evil = pair
    assert list(plain) == list(evil)
    assert all(re.fullmatch(r"[a-z0-9.-]+", name) for name in evil)


def test_machine_files_differ_in_a_comment_at_most(pair: Pair) -> None:
    language, plain, evil = pair
    name = f"sheet-01.{language}"
    rows = [
        (a, b)
        for a, b in zip(text(plain[name]).splitlines(), text(evil[name]).splitlines(), strict=True)
        if a != b
    ]
    if language == "hpgl":
        assert not rows
    for _, row in rows:
        assert re.fullmatch(r"\([A-Za-z0-9 .,_+/:=-]*\)", row)
    assert text(evil[name]).isascii()


@pytest.mark.parametrize("page", ["job-sheet.html", "making-sheet.html"])
def test_pages_keep_their_structure(pair: Pair, page: str) -> None:
    _, plain, evil = pair
    trees = [html5lib.parse(text(files[page]), namespaceHTMLElements=False) for files in (plain, evil)]
    tags = [[node.tag for node in tree.iter() if isinstance(node.tag, str)] for tree in trees]
    assert tags[0] == tags[1]
    own = [[node.text for node in tree.iter("script")] for tree in trees]
    assert own[0] == own[1]
    for node in trees[1].iter():
        assert not [
            key for key in node.attrib if key.lower().startswith("on") and "alert" in node.attrib[key]
        ]
    assert "alert(1)" in "".join(trees[1].itertext())


def test_drawings_keep_their_structure(pair: Pair) -> None:
    _, plain, evil = pair
    for name in (name for name in evil if name.endswith(".svg")):
        trees = [etree.fromstring(text(files[name]).encode()) for files in (plain, evil)]
        assert [node.tag for node in trees[0].iter()] == [node.tag for node in trees[1].iter()]
    assert text(plain["sheet-01.dxf"]) == text(evil["sheet-01.dxf"])


def test_the_pdf_has_the_same_objects(pair: Pair) -> None:
    _, plain, evil = pair
    first, second = (text(files["sheet-01.pdf"]).count("endobj") for files in (plain, evil))
    assert first == second
    assert "alert(1)" not in text(evil["sheet-01.pdf"])


def test_the_text_to_read_drives_no_terminal(pair: Pair) -> None:
    _, _, evil = pair
    page = text(evil["making-sheet.txt"])
    assert all(c.isprintable() or c == "\n" for c in page)
    assert not [row for row in page.splitlines() if row.startswith(("[x]", "y=1"))]


def test_the_index_is_json_with_the_name_in_it(pair: Pair) -> None:
    _, _, evil = pair
    assert "<script>" in json.loads(text(evil["job.json"]))["title"]


def test_a_mended_drawing_carries_the_names_and_nothing_more(tmp_path: Path) -> None:
    lines = read(drawing(tmp_path, EVIL.replace("\r", "")), tolerance=Tolerance()).lines
    tree = etree.fromstring(write_svg(lines, keep=True, title=EVIL).encode())
    assert {etree.QName(node).localname for node in tree.iter()} == {"svg", "title", "g", "path"}
    path = tmp_path / "out.dxf"
    path.write_text(write_dxf(lines, keep=True), encoding="utf-8")
    found = ezdxf.readfile(path)
    assert {entity.dxftype() for entity in found.modelspace()} == {"LWPOLYLINE"}
    assert len(read(path, tolerance=Tolerance()).lines) == len(lines)
    values = [row for row in path.read_text(encoding="utf-8").splitlines() if "alert" in row]
    assert values
    assert all(c.isprintable() for row in values for c in row)


@pytest.mark.parametrize("name", [EVIL, TERMINAL, "\udcff\udc9b31m", "a\nb", "\x00", "é 🐝"])
def test_what_is_shown_and_quoted(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert show.clean(name).isprintable()
    show.say_json({"name": name})
    shown = capsys.readouterr().out
    assert json.loads(shown)["name"] == name
    assert all(row.isprintable() for row in shown.rstrip("\n").split("\n"))
    assert comment(name).isascii()
    assert re.fullmatch(r"\([^()]*\)", comment(name))
    if not re.search("[\ud800-\udfff]", name):  # no text at all, and refused before
        assert tomllib.loads(f"x = {quoted(name)}") == {"x": name}


def test_a_job_file_made_for_hostile_names_says_the_same(tmp_path: Path) -> None:
    name = 'a\n"]\nseed = 9 #\x1b[31m\\.svg'
    drawing(tmp_path, NAMED).rename(tmp_path / name)
    out = tmp_path / "b\nseed = 3\n#.toml"
    start_job(out, [tmp_path / name], replace=False)
    data = tomllib.loads(out.read_text(encoding="utf-8"))
    assert "seed" not in data
    assert [row["file"] for row in data["template"]] == [name]
    assert data["title"] == out.stem


def test_a_whole_job_with_a_name_that_is_no_text(tmp_path: Path) -> None:
    path = tmp_path / "panel\udcff.svg"
    try:
        drawing(tmp_path, NAMED).rename(path)
    except (OSError, UnicodeEncodeError):
        pytest.skip("the file system takes no such name")
    layers = {line.layer for line in read(path, tolerance=Tolerance()).lines}
    rules = make_rules({layer: "score" if "score" in layer else "cut" for layer in layers})
    prepare_job(
        make_job(path, rules=rules, also=ALSO, despite_findings=True, effort="quick"), tmp_path / "out"
    )
    assert json.loads((tmp_path / "out" / "job.json").read_text(encoding="utf-8"))["title"] == "panel\udcff"
