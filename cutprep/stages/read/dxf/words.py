"""Code pages, escapes and colour numbers of DXF: tables that reading a name or a colour needs.

Compared with the DXF library, value by value, in tests/outside/test_dxf_tables_ezdxf.py: the library itself takes nearly
half a second to load, for tables of a few lines.

Source: Autodesk DXF Reference, HEADER section ($DWGCODEPAGE) and group code 62; the escapes and the palette
are described in the documentation of ezdxf 1.4 ("DXF File Encoding", "AutoCAD Color Index (ACI)").
"""

from __future__ import annotations

import re

#: Windows code pages that a header may name, such as ANSI_1252; the last of their numbers counts.
_PAGE = re.compile(r"(874|932|936|949|950|125[0-8])$")
_WESTERN = "cp1252"
_UNICODE = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
_MULTIBYTE = re.compile(r"\\M\+([1-5])([0-9A-Fa-f]{4})")
#: The digit of a multibyte escape: Japanese, traditional Chinese, Korean, Korean (Johab), simplified Chinese.
_PAGES = {"1": "cp932", "2": "cp950", "3": "cp949", "4": "johab", "5": "cp936"}


def encoding_named(page: str) -> str:
    """Name the encoding of a code page in a header; the western one when it is not known."""
    found = _PAGE.search(page)
    return f"cp{found[1]}" if found else _WESTERN


def clean_name(name: str) -> str:
    """Decode the escapes that older files use for letters outside their code page."""
    if "\\" not in name:
        return name
    return _UNICODE.sub(lambda found: chr(int(found[1], 16)), _MULTIBYTE.sub(_from_page, name))


def _from_page(found: re.Match[str]) -> str:
    try:
        return bytes.fromhex(found[2]).decode(_PAGES[found[1]])
    except UnicodeDecodeError:
        return found[0]


#: Colours in which programs differ from the rule below.
_ODD = {
    109: 0x135817, 119: 0x13581C, 129: 0x135858, 139: 0x135858, 147: 0x26427E, 149: 0x135858, 157: 0x26397E,
    159: 0x131C58, 167: 0x262F7E, 169: 0x131758, 177: 0x26267E, 179: 0x131358, 187: 0x2F267E, 189: 0x171358,
    197: 0x39267E, 199: 0x1C1358, 209: 0x581358, 219: 0x581358, 229: 0x581358, 239: 0x58131C, 249: 0x581317,
}  # fmt: skip


def _wheel() -> list[int]:
    """Colours 10 to 249: 24 hues, each in five brightnesses, full and half saturated."""
    colours = []
    for hue in range(24):
        sector, step = divmod(hue, 4)  # six sectors of four steps
        for bright in (1.0, 0.65, 0.5, 0.3, 0.15):
            for pale in (0.0, 0.5):
                high, low = 255 * bright, 255 * bright * pale
                rising, falling = low + (high - low) * step / 4, low + (high - low) * (4 - step) / 4
                red, green, blue = (
                    (high, rising, low), (falling, high, low), (low, high, rising),
                    (low, falling, high), (rising, low, high), (high, low, falling),
                )[sector]  # fmt: skip
                colours.append(int(red) << 16 | int(green) << 8 | int(blue))
    return [_ODD.get(10 + i, colour) for i, colour in enumerate(colours)]


#: Colour number to RGB as 0xRRGGBB; number 0 stands for none.
PALETTE = (
    0x000000, 0xFF0000, 0xFFFF00, 0x00FF00, 0x00FFFF, 0x0000FF, 0xFF00FF, 0xFFFFFF, 0x808080, 0xC0C0C0,
    *_wheel(),
    0x000000, 0x656565, 0x666666, 0x999999, 0xCCCCCC, 0xFFFFFF,
)  # fmt: skip
