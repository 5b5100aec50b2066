"""Splitting a DXF file into tags, with the line of each."""

from __future__ import annotations

import io
import struct

import ezdxf
import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.stages.read.dxf.tags import read_tags, single_byte_text
from cutprep.stages.read.sniff import BINARY_DXF
from tests.dxf_text import drawing, line

PLAIN = drawing(line(0, 0, 10, 0))


def test_pairs_and_lines() -> None:
    tags = read_tags(b"0\nLINE\n 10\n1.5\n0\nEOF\nbehind the end\n")
    assert tags.code.tolist() == [0, 10, 0]
    assert tags.value[:] == ["LINE", "1.5", "EOF"]
    assert tags.line.tolist() == [1, 3, 5]
    assert tags.ended
    assert not tags.damage


@pytest.mark.parametrize("ending", ["\r\n", "\r", "\r\r\n"])
def test_line_endings(ending: str) -> None:
    tags = read_tags(PLAIN.replace("\n", ending).encode())
    want = read_tags(PLAIN.encode())
    assert np.array_equal(tags.code, want.code)
    assert tags.value[:] == want.value[:]


def test_signs_that_some_take_for_line_ends_stay_in_their_value() -> None:
    tags = read_tags("0\nTEXT\n1\na\x0bb\x1cc\u2028d\n0\nEOF\n".encode())
    assert tags.value[1] == "a\x0bb\x1cc\u2028d"


def test_blank_lines_are_stepped_over_and_told() -> None:
    tags = read_tags(b"\n\n0\nLINE\n\n10\n1\n0\nEOF\n")
    assert tags.code.tolist() == [0, 10, 0]
    assert tags.line.tolist() == [3, 6, 8]
    assert [(d.tag, d.line, d.text) for d in tags.damage] == [(1, 5, "")]


@pytest.mark.parametrize("code", ["10", " 10", "10 ", "\t10\t", "010", "           10", "10           "])
def test_group_codes_with_blanks(code: str) -> None:
    assert read_tags(f"0\nLINE\n{code}\n1\n0\nEOF\n".encode()).code.tolist() == [0, 10, 0]


@pytest.mark.parametrize("code", ["-5", " -5 ", "1071"])
def test_group_codes_at_the_ends_of_their_range(code: str) -> None:
    assert read_tags(f"0\nLINE\n{code}\n1\n0\nEOF\n".encode()).code[1] == int(code)


def test_an_empty_value_is_no_damage() -> None:
    tags = read_tags(b"0\nTEXT\n1\n\n0\nEOF\n")
    assert tags.value[1] == ""
    assert not tags.damage


@pytest.mark.parametrize(
    "junk", ["junk", "9999", "1.5", "-7", "1 0", "--1", "5-", "-", "1-2", "- 5", "1e1", "12345678901"]
)
def test_junk_is_left_for_the_next_record(junk: str) -> None:
    tags = read_tags(f"0\nLINE\n{junk}\n10\n1\n0\nCIRCLE\n0\nEOF\n".encode())
    assert [v for c, v in zip(tags.code, tags.value, strict=True) if c == 0] == ["LINE", "CIRCLE", "EOF"]
    assert [(d.line, d.text) for d in tags.damage] == [(3, junk)]


def test_no_end_mark() -> None:
    assert not read_tags(b"0\nLINE\n10\n1\n").ended


def decode(data: bytes) -> str:
    text, codec = single_byte_text(data)
    return text.decode(codec, "replace")


def _with_code_page(page: str, text: str, version: str = "AC1015") -> str:
    return f"0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\n{version}\n9\n$DWGCODEPAGE\n3\n{page}\n0\nENDSEC\n8\n{text}\n"


@pytest.mark.parametrize(
    ("page", "codec", "text"),
    [
        ("ANSI_1252", "cp1252", "Rillen für Größe"),
        ("ANSI_1250", "cp1250", "řezat"),
        ("ANSI_1251", "cp1251", "резать"),
        ("ANSI_932", "cp932", "切る"),
        ("ANSI_936", "gbk", "切割"),
        ("ANSI_1252", "utf-8", "Rillen für Größe"),
    ],
)
def test_code_pages(page: str, codec: str, text: str) -> None:
    assert text in decode(_with_code_page(page, text).encode(codec))


def test_utf8_since_r2007_whatever_the_code_page_says() -> None:
    assert "Größe" in decode(_with_code_page("ANSI_1251", "Größe", "AC1021").encode())


def test_wrong_bytes_become_a_sign_not_an_error() -> None:
    assert "\ufffd" in decode(_with_code_page("ANSI_1252", "x").encode() + b"\x81\xff")


@pytest.mark.parametrize("release", ["R12", "R2000", "R2010", "R2018"])
def test_binary(release: str) -> None:
    doc = ezdxf.new(release)
    doc.modelspace().add_line((0, 0), (10, 2.5))
    stream = io.BytesIO()
    doc.write(stream, fmt="bin")
    tags = read_tags(stream.getvalue())
    assert tags.ended
    assert "LINE" in tags.value
    assert 2.5 in tags.value
    assert not tags.line.any()


def _binary_r12() -> bytes:
    stream = io.BytesIO()
    ezdxf.new("R12").write(stream, fmt="bin")
    return stream.getvalue()


@pytest.mark.parametrize("keep", [23, 30, 500, -3])
def test_a_binary_file_that_breaks_off_within_a_tag(keep: int) -> None:
    with pytest.raises(DrawingError, match="breaks off"):
        read_tags(_binary_r12()[:keep])


def test_a_binary_file_that_breaks_off_between_two_tags() -> None:
    data = _binary_r12()
    assert not read_tags(data[: data.rindex(b"\0EOF")]).ended


def test_a_binary_file_with_an_impossible_group_code() -> None:
    data = BINARY_DXF + b"\x00SECTION\x00" + b"\xff" + struct.pack("<H", 5000) + b"x\x00"
    with pytest.raises(DrawingError, match="out of range"):
        read_tags(data)
