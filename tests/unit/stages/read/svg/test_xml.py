"""Parsing within limits, and never reaching outside the file."""

from __future__ import annotations

import gzip
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from cutprep.stages.read.svg.xml import line_of, parse_xml
from tests.svg_text import PAGE, SPACE, codes, read_text

LIMITS = Limits()
LINE = "<path d='M0 0L9 9'/>"


@pytest.mark.parametrize(
    "data",
    [
        f"<svg {SPACE}/>".encode(),
        f"\n  <?xml version='1.0'?><svg {SPACE}/>".encode(),
        f"<?xml version='1.0' encoding='UTF-16'?><svg {SPACE} id='ä'/>".encode("utf-16"),
        f"<?xml version='1.0' encoding='ISO-8859-1'?><svg {SPACE} id='ä'/>".encode("latin-1"),
        f"<?xml version='1.0' encoding='windows-1252'?><svg {SPACE} id='€'/>".encode("cp1252"),
        f"<?xml version='1.0' encoding='Shift_JIS'?><svg {SPACE} id='日本'/>".encode("shift_jis"),
        b"\xef\xbb\xbf" + f"<svg {SPACE} id='ä'/>".encode(),
        gzip.compress(f"<svg {SPACE}/>".encode(), mtime=0),
        b"<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd'><svg/>",
        b"<!DOCTYPE svg [<!ENTITY % other SYSTEM 'file:///none'> %other;]><svg/>",
    ],
)
def test_documents_that_are_read(data: bytes) -> None:
    parsed = parse_xml(data, LIMITS)
    assert str(parsed.root.tag).endswith("svg")
    assert parsed.root.get("id", "ä") in {"ä", "€", "日本"}
    assert not parsed.repaired


def test_undeclared_prefixes_are_overlooked_and_told() -> None:
    parsed = parse_xml(f"<svg {SPACE}><g ink:label='cut'/></svg>".encode(), LIMITS)
    assert "ink" in parsed.repaired
    drawing = read_text(f"<svg {PAGE}><g ink:label='cut'>{LINE}</g></svg>")
    assert drawing.lines[0].layer == "cut"
    assert "xml-repaired" in codes(drawing)


@pytest.mark.parametrize(
    ("data", "told", "line"),
    [
        (b"", "empty", None),
        (b"  \n ", "empty", None),
        (b"<svg>\n<g>\n<path d='M0", "damaged or cut off", 3),
        (b"<svg>\n<g></svg>", "damaged or cut off", 2),
        (b"<svg>\n<g id='a' id='b'/></svg>", "damaged or cut off", 2),
        (b"<svg>&nbsp;</svg>", "damaged or cut off", 1),
        (b"<svg id='\xe4'/>", "not in the encoding", 1),
        (b"<?xml version='1.0' encoding='Klingon'?><svg/>", "not in the encoding", 1),
        (b"<svg>" + b"<g>" * 3000 + b"</g>" * 3000 + b"</svg>", "nested too deeply", 1),
        (b"<svg>" + b"\n<g>" * 300 + b"</g>" * 300 + b"</svg>", "nested more than 250 deep", 251),
    ],
)
def test_documents_that_are_refused(data: bytes, told: str, line: int | None) -> None:
    with pytest.raises(DrawingError, match=told) as caught:
        parse_xml(data, LIMITS)
    assert caught.value.place.line == line
    assert "save" in caught.value.fix.lower() or "flatten" in caught.value.fix.lower(), caught.value.fix


def test_limits_on_size_and_count() -> None:
    small = Limits(inflated_bytes=1000, elements=5)
    with pytest.raises(DrawingError, match="MB"):
        parse_xml(b"<svg>" + b" " * 2000 + b"</svg>", small)
    with pytest.raises(DrawingError, match="MB"):
        parse_xml(gzip.compress(b"<svg>" + b" " * 100_000 + b"</svg>", mtime=0), small)
    with pytest.raises(DrawingError, match="7 elements; at most 5"):
        parse_xml(b"<svg>" + b"<g/>" * 6 + b"</svg>", small)


def laughs(text: str = "&j;") -> str:
    """Nine entities of ten others each, 29,000,000,000 characters in all."""
    inner = "".join(f"<!ENTITY {chr(98 + i)} '{f'&{chr(97 + i)};' * 10}'>" for i in range(9))
    return f"<!DOCTYPE svg [<!ENTITY a '{'ha' * 14}'>{inner}]><svg {SPACE}>{text}</svg>"


@pytest.mark.parametrize(
    "text",
    [
        laughs(),
        laughs("<g id='&j;'/>"),
        f"<!DOCTYPE svg [<!ENTITY a '{'a' * 100_000}'>]><svg>{'&a;' * 1000}</svg>",
        "<!DOCTYPE svg [<!ENTITY a '&b;'><!ENTITY b '&a;'>]><svg>&a;</svg>",
        f"<!DOCTYPE svg [<!ENTITY a '{'a' * 2000}'>]><svg><style>a{{}}]]&gt;</style>{'&a;' * 1000}</svg>",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_that_grow_are_refused_before_they_do(text: str, encoding: str) -> None:
    with pytest.raises(DrawingError, match="entities of the file expand"):
        parse_xml(text.encode(encoding), LIMITS)


def test_entities_of_the_document_itself_are_read() -> None:
    text = (
        "<!DOCTYPE svg [<!ENTITY ns 'http://www.w3.org/2000/svg'><!ENTITY len '9'>"
        "<!ENTITY el \"<path d='M0 0H&len;'/>\">]>"
        "<svg xmlns='&ns;' width='60mm' height='60mm' stroke='black'><g id='cut'>&el;&el;</g></svg>"
    )
    drawing = read_text(text)
    assert [line.layer for line in drawing.lines] == ["cut", "cut"]


def test_entities_beside_a_prefix_without_a_declaration() -> None:
    """Found by fuzzing: the name with the prefix can't be given to an element."""
    text = f"<!DOCTYPE svg [<!ENTITY el \"{LINE}\">]><svg {PAGE}><ink:g><g id='a'/></ink:g>&el;</svg>"
    assert len(read_text(text).lines) == 1


def test_lines_of_the_source() -> None:
    """Beyond 65,535 the parser goes by the text that follows, which may begin one line further on."""
    parsed = parse_xml(b"<svg>" + b"\n" * 70_000 + b"<g/>\n<g/>\n</svg>", LIMITS)
    assert [line_of(node) for node in parsed.root] == pytest.approx([70_001, 70_002], abs=1)
    assert [line_of(node) for node in parse_xml(b"<svg>\n<g/>\n<g/></svg>", LIMITS).root] == [2, 3]


class Recorder(BaseHTTPRequestHandler):
    """Notes every request."""

    seen: list[str] = []  # noqa: RUF012 - shared on purpose

    def do_GET(self) -> None:
        self.seen.append(self.path)
        self.send_error(404)

    def log_message(self, *_: object) -> None:  # type: ignore[override]
        """Keep quiet."""


def test_no_address_and_no_other_file_is_ever_opened(tmp_path: Path) -> None:
    """A server that listens hears nothing; a file beside the drawing shows nowhere."""
    secret = tmp_path / "secret.svg"
    secret.write_text(f"<svg {PAGE}><path id='s' d='M1 2H33'/></svg>")
    server = HTTPServer(("127.0.0.1", 0), Recorder)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        for base in (f"http://127.0.0.1:{server.server_port}", tmp_path.as_uri()):
            for text in outside_references(f"{base}/secret.svg"):
                try:
                    drawing = read_text(text)
                except DrawingError as fault:
                    assert "another file, which is never opened" in str(fault)  # noqa: PT017
                    continue
                assert len(drawing.lines) == 1
                assert drawing.lines.bounds[2] == 9
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
    assert Recorder.seen == []


def outside_references(address: str) -> list[str]:
    """Every way in which a drawing can ask for something outside."""
    return [
        f"<!DOCTYPE svg [<!ENTITY x SYSTEM '{address}'>]><svg {PAGE}>{LINE}&x;</svg>",
        f"<!DOCTYPE svg [<!ENTITY x SYSTEM '{address}'>]><svg {PAGE} id='&x;'>{LINE}</svg>",
        f"<!DOCTYPE svg [<!ENTITY x SYSTEM '{address}'><!ENTITY y '&x;'>]><svg {PAGE}>{LINE}&y;</svg>",
        f"<!DOCTYPE svg [<!ENTITY x PUBLIC 'p' '{address}'>]><svg {PAGE}>{LINE}&x;</svg>",
        f"<!DOCTYPE svg [<!ENTITY % x SYSTEM '{address}'> %x;]><svg {PAGE}>{LINE}</svg>",
        f"<!DOCTYPE svg SYSTEM '{address}'><svg {PAGE}>{LINE}</svg>",
        f"<!DOCTYPE svg PUBLIC 'p' '{address}'><svg {PAGE}>{LINE}</svg>",
        f"<?xml-stylesheet href='{address}' type='text/css'?><svg {PAGE}>{LINE}</svg>",
        f"<?xml-stylesheet href='{address}' type='text/xsl'?><svg {PAGE}>{LINE}</svg>",
        f"<svg {PAGE}><style>@import url({address});</style>{LINE}</svg>",
        f"<svg {PAGE}>{LINE}<use href='{address}#s'/></svg>",
        f"<svg {PAGE} xmlns:xlink='http://www.w3.org/1999/xlink'>{LINE}<use xlink:href='{address}#s'/></svg>",
        f"<svg {PAGE}>{LINE}<image href='{address}' width='9' height='9'/></svg>",
        f"<svg {PAGE}><path d='M0 0L9 9' clip-path='url({address}#s)'/></svg>",
        f"<svg {PAGE} xmlns:xi='http://www.w3.org/2001/XInclude'>{LINE}<xi:include href='{address}'/></svg>",
        f"<svg {PAGE} xml:base='{address}'>{LINE}<script href='{address}'/></svg>",
    ]
