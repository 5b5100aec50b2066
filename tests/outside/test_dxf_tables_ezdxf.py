"""Tables of our own for reading DXF, against those of ezdxf (MIT), value by value."""

from __future__ import annotations

import pytest
from ezdxf.colors import DXF_DEFAULT_COLORS
from ezdxf.lldxf.encoding import decode_dxf_unicode, decode_mif_to_unicode
from ezdxf.tools.codepage import codepage_to_encoding, toencoding

from cutprep.stages.read.dxf.words import PALETTE, clean_name, encoding_named


def test_every_colour_is_theirs() -> None:
    assert list(PALETTE) == DXF_DEFAULT_COLORS


@pytest.mark.parametrize(
    "page", [*(f"ANSI_{page}" for page in codepage_to_encoding), "dos850", "ANSI_1361", "", "ANSI_12520"]
)
def test_every_code_page_means_the_same_letters(page: str) -> None:
    ours, theirs = encoding_named(page), toencoding(page)
    letters = bytes(range(256))
    assert letters.decode(ours, "replace") == letters.decode(theirs, "replace")


@pytest.mark.parametrize(
    "name",
    [
        "lid", r"Kl\U+00E4ppchen", r"\U+4E00\U+0031", r"a\b", r"\M+183bf\M+1834A", r"\M+2a440", r"\M+3b0a1",
        r"\M+5b0a1", r"\M+900ff", r"\M+1ffff", r"\M+", r"\M+1\U+0041", "",
    ],
)  # fmt: skip
def test_every_escape_means_the_same_letters(name: str) -> None:
    assert clean_name(name) == decode_dxf_unicode(decode_mif_to_unicode(name))


def test_half_an_escape_stays_as_it_is() -> None:
    assert clean_name(r"\U+12") == r"\U+12"  # ezdxf 1.4 makes a control character of it
