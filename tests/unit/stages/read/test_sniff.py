"""What a file is, told by its first bytes."""

from __future__ import annotations

import gzip

import pytest

from cutprep.errors import DrawingError
from cutprep.stages.read.sniff import BINARY_DXF, FileFormat, encoding_of, inflate, kind_of

DXF = "  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n"
SVG = "<svg xmlns='http://www.w3.org/2000/svg'/>"


@pytest.mark.parametrize(
    "data",
    [
        SVG.encode(),
        b"\xef\xbb\xbf" + SVG.encode(),
        SVG.encode("utf-16"),
        SVG.encode("utf-16-le"),
        SVG.encode("utf-32"),
        b"\n  <?xml version='1.0'?><!-- <html> --><!DOCTYPE svg><s:svg xmlns:s='x'>",
        b"<!DOCTYPE svg [<!ENTITY a 'b'>]><svg>",
        b"<!DOCTYPE svg [<!ENTITY a '<path/>'><!ENTITY b \"<g id='x'/>\">]><svg>",
        b"<!--" + b"x" * 5000 + b"--><svg/>",
    ],
)
def test_svg(data: bytes) -> None:
    assert kind_of(data) is FileFormat.SVG


@pytest.mark.parametrize(
    "data",
    [
        DXF.encode(),
        DXF.replace("\n", "\r\n").encode(),
        DXF.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + DXF.encode(),
        b"\n\n" + DXF.encode(),
        DXF.encode("utf-16"),
        b"999\nwritten by hand\n" + DXF.encode(),
        b"0\nLINE\n8\n0\n10\n0\n",
        BINARY_DXF + b"\x00SECTION\x00",
    ],
)
def test_dxf(data: bytes) -> None:
    assert kind_of(data) is FileFormat.DXF


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "empty"),
        (b" \r\n\t", "empty"),
        (b"\0" * 40, "empty"),
        (b"%PDF-1.7", "PDF"),
        (b"%!PS-Adobe", "PostScript"),
        (b"\x89PNG\r\n\x1a\n", "PNG"),
        (b"\xff\xd8\xff\xe0", "JPEG"),
        (b"PK\x03\x04", "ZIP"),
        (b"AC1027\0\0", "DWG"),
        (b"<!DOCTYPE html><html><body><svg/></body></html>", "web page"),
        (b"<?xml version='1.0'?><note/>", "root is <note>"),
        (b"<!-- nothing else -->", "no root"),
        (b"IN;SP1;PU0,0;", "neither"),
        (b"12\nnumbers\n13\nonly\n", "neither"),
    ],
)
def test_anything_else_is_named(data: bytes, what: str) -> None:
    with pytest.raises(DrawingError, match=what):
        kind_of(data)


def test_encodings_are_proven_or_open() -> None:
    assert encoding_of(b"\xff\xfe0\0") == "utf-16"
    assert encoding_of(b"0\0\n\0") == "utf-16-le"
    assert encoding_of(b"\0<\0s") == "utf-16-be"
    assert encoding_of(b"<svg") is None


def test_gzip_is_undone_in_all_its_members() -> None:
    data = gzip.compress(b"<svg>", mtime=0) + gzip.compress(b"</svg>", mtime=0)
    assert inflate(data, 100) == b"<svg></svg>"
    assert inflate(b"plain", 2) == b"plain"


def test_a_gzip_bomb_stops_at_the_limit() -> None:
    bomb = gzip.compress(b"\0" * 50_000_000, mtime=0)
    with pytest.raises(DrawingError, match="inflates to more than 1 MB"):
        inflate(bomb, 1_000_000)


@pytest.mark.parametrize(
    "data", [gzip.compress(b"<svg/>" * 500, mtime=0)[:-20], b"\x1f\x8bnonsense", b"\x1f\x8b"]
)
def test_a_broken_gzip_is_told(data: bytes) -> None:
    with pytest.raises(DrawingError, match="compressed file"):
        inflate(data, 10_000)
