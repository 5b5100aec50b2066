"""No drawing opens a file or an address: watched from outside, so that any library would be seen."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path

import pytest
from lxml import etree

import cutprep
from cutprep.errors import CutprepError
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.faults.watch import ABLE, opened
from tests.svg_text import PAGE
from tests.unit.stages.read.svg.test_xml import outside_references

_FETCHED = re.compile(r"url\(\s*|@import\s+")


class _Links(HTMLParser):
    """Whatever a browser would fetch for a page: links, sources, and addresses in styles."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name.split(":")[-1] in {"href", "src", "srcset", "action", "data", "poster"} or (
                name == "style" and _FETCHED.search(value or "")
            ):
                self.found.append(value or "")

    def handle_data(self, data: str) -> None:
        # Style sheets; text that people read may well name an address.
        if self.cdata_elem == "style" and _FETCHED.search(data):
            self.found.append(data)


def links_of(page: str) -> list[str]:
    parser = _Links()
    parser.feed(page)
    return parser.found


SAMPLES = Path(__file__).parents[2] / "samples"
pytestmark = pytest.mark.skipif(not ABLE, reason="needs inotify")


@contextmanager
def listening() -> Iterator[tuple[int, list[bytes]]]:
    """A port of this machine, and what knocked at it: seen even when nobody accepts."""
    seen: list[bytes] = []
    with socket.create_server(("127.0.0.1", 0), backlog=200) as server:
        server.setblocking(False)
        yield server.getsockname()[1], seen
        while True:
            try:
                visitor, _ = server.accept()
            except BlockingIOError:
                break
            visitor.close()
            seen.append(b"knock")


@pytest.fixture
def secret(tmp_path: Path) -> Path:
    path = tmp_path / "secret.svg"
    path.write_text(f"<svg {PAGE}><path id='s' d='M1 2H33'/></svg>")
    (tmp_path / "in").mkdir()
    return path


def every_address(secret: Path, port: int) -> list[str]:
    return [
        f"http://127.0.0.1:{port}/secret.svg",
        f"ftp://127.0.0.1:{port}/secret.svg",
        secret.as_uri(),
        str(secret),
        "../secret.svg",
    ]


def test_no_svg_opens_a_file_or_an_address(secret: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = secret.parent / "in" / "drawing.svg"
    monkeypatch.chdir(drawing.parent)
    tried = 0
    with listening() as (port, knocks), opened(secret) as seen:
        for address in every_address(secret, port):
            for text in outside_references(address):
                drawing.write_text(text)
                tried += 1
                try:
                    read(drawing, tolerance=Tolerance())
                except CutprepError as fault:
                    assert "another file, which is never opened" in str(fault)  # noqa: PT017
    assert tried > 60
    assert (knocks, seen.files) == ([], [])


def _dxf(*rows: object) -> str:
    return "\n".join(str(row) for row in rows) + "\n"


def test_no_dxf_opens_a_file(secret: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawings attached by reference, pictures, underlays and data links name other files."""
    drawing = secret.parent / "in" / "drawing.dxf"
    monkeypatch.chdir(drawing.parent)
    with listening() as (port, knocks), opened(secret) as seen:
        for address in every_address(secret, port):
            head = (
                0,
                "SECTION",
                2,
                "BLOCKS",
                0,
                "BLOCK",
                2,
                "X",
                70,
                4,
                10,
                0,
                20,
                0,
                1,
                address,
                0,
                "ENDBLK",
            )
            body = (0, "ENDSEC", 0, "SECTION", 2, "ENTITIES", 0, "LINE", 10, 0, 20, 0, 11, 9, 21, 9)
            more = (0, "INSERT", 2, "X", 10, 0, 20, 0, 0, "IMAGE", 340, "A1", 0, "PDFUNDERLAY", 340, "A2")
            tail = (0, "ENDSEC", 0, "SECTION", 2, "OBJECTS", 0, "IMAGEDEF", 5, "A1", 1, address)
            end = (0, "PDFDEFINITION", 5, "A2", 1, address, 2, "1", 0, "ENDSEC", 0, "EOF")
            drawing.write_text(_dxf(*head, *body, *more, *tail, *end))
            assert len(read(drawing, tolerance=Tolerance()).lines) == 1
    assert (knocks, seen.files) == ([], [])


def test_a_whole_job_opens_nothing_outside(secret: Path) -> None:
    """From the command to the pages, in a process of its own; the pages name no address either."""
    drawing, out = secret.parent / "in" / "drawing.svg", secret.parent / "out"
    with listening() as (port, knocks), opened(secret) as seen:
        links = [f"http://127.0.0.1:{port}/secret.svg", secret.as_uri()]
        inner = "".join(
            f"<image href='{link}' width='9' height='9'/><style>@import url({link});</style><use href='{link}#s'/>"
            for link in links
        )
        drawing.write_text(f"<svg {PAGE}><g id='cut'><path d='M5 5H45V45H5Z'/></g>{inner}</svg>")
        words = f"prepare {drawing} --out {out} --effort quick --also svg".split()
        done = subprocess.run(
            [sys.executable, "-m", "cutprep", *words],
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stderr
    assert (knocks, seen.files) == ([], [])
    pages = [path for path in out.iterdir() if path.suffix in {".html", ".svg"}]
    assert len(pages) >= 3
    for path in pages:
        assert all(link.startswith("#") for link in links_of(path.read_text())), path.name
    page = "<a href='x'>url(n)</a><img src=y><p style='a:url(z)'><style>@import 'w'</style>"
    assert links_of(page) == ["x", "y", "a:url(z)", "@import 'w'"]


_RUNS = "__import__('pathlib').Path('ran').touch()"


@pytest.mark.parametrize(
    "selector",
    [
        f"""[a="' or {_RUNS} or '"]""",
        f"""[a='\\' or {_RUNS} #']""",
        f"""[a="\\A {_RUNS}\\A "]""",
        ".\\27\\20or\\20" + "".join(f"\\{ord(c):x} " for c in _RUNS),
        "#" + "".join(f"\\{ord(c):x} " for c in f"x') or {_RUNS} or ('"),
        ":nth-child(" + _RUNS + ")",
        ":is(" * 300 + "path" + ")" * 300,
        ",".join(["path"] * 5000),
        "a>" * 2000 + "path",
    ],
)
def test_no_selector_runs_anything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, selector: str) -> None:
    """The library for selectors makes Python source of them and evaluates it."""
    monkeypatch.chdir(tmp_path)
    style = selector.replace("&", "&amp;").replace("<", "&lt;")
    path = tmp_path / "drawing.svg"
    path.write_text(
        f"<svg {PAGE}><style>{style}{{stroke:red}}</style><path stroke='blue' d='M0 0L9 9' a='x'/></svg>"
    )
    drawing = read(path, tolerance=Tolerance())
    assert len(drawing.lines) == 1
    assert [found.name for found in tmp_path.iterdir()] == ["drawing.svg"]


_OPENED = """
import sys
seen = []
def hook(event, given):
    if event == "open" and isinstance(given[0], (str, bytes)):
        seen.append(str(given[0]))
    elif event in {"socket.connect", "subprocess.Popen"}:
        seen.append(event)
sys.addaudithook(hook)
from cutprep.stages.read.reader import read
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.tolerance import Tolerance
for name in sys.argv[1:]:
    write_dxf(read(name, tolerance=Tolerance()).lines)
print("\\n".join(sorted(set(seen))))
"""


@pytest.mark.parametrize("settings", [b"\xff\xfe no text", b"no settings", b"[core]\nDISABLE_C_EXT = true\n"])
def test_no_settings_beside_a_drawing_and_no_fonts_are_read(tmp_path: Path, settings: bytes) -> None:
    """The DXF library would read `ezdxf.ini` from the working folder, and open every font of the system."""
    (tmp_path / "ezdxf.ini").write_bytes(settings)
    samples = [str(SAMPLES / f"jar-carton.{kind}") for kind in ("dxf", "svg")]
    package = Path(cutprep.__file__).parent
    done = subprocess.run(
        [sys.executable, "-c", _OPENED, *samples],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={
            "HOME": str(tmp_path / "home"), "PATH": os.environ["PATH"], "EZDXF_CONFIG_FILE": "ezdxf.ini",
            # The package that is tested, wherever another one is installed.
            "PYTHONPATH": str(package.parent),
        },
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    own = (f"{package}{os.sep}", sys.prefix, sys.base_prefix)
    assert [name for name in done.stdout.splitlines() if not name.startswith(own)] == samples
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["ezdxf.ini"]


def test_a_careless_reader_would_be_seen(secret: Path) -> None:
    """The same watch over the same library, told to follow references."""
    text = f"<!DOCTYPE svg [<!ENTITY x SYSTEM '{secret.as_uri()}'>]><svg>&x;</svg>"
    careless = etree.XMLParser(resolve_entities=True, load_dtd=True, no_network=False)
    with listening() as (port, knocks), opened(secret) as seen:
        etree.fromstring(text.encode(), careless)
        with socket.create_connection(("127.0.0.1", port)):
            pass
    assert seen.files[:1] == ["secret.svg"]
    assert len(knocks) == 1
