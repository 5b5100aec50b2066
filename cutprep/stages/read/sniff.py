"""What a file is, told by its content; its name is only a hint.

Makers rename files, mail programs compress them, and a browser saves a web page under the
name of the picture it showed. So the first bytes decide, and a name that says otherwise is
worth a note.
"""

from __future__ import annotations

import codecs
import re
import zlib
from enum import Enum

from cutprep.errors import DrawingError
from cutprep.limits import more

BINARY_DXF = b"AutoCAD Binary DXF\r\n\x1a\x00"  # sentinel of the DXF reference, "Binary DXF files"
_GZIP = b"\x1f\x8b"
_LOOK = 1_000_000
_STEP = 1 << 20
#: Bytes of a compressed file that are handed over first, and at most, at a time: what lies behind the end of a
#: member is copied, and a file may hold a million members.
_FIRST_BITE, _LARGEST_BITE = 1 << 9, 1 << 20


class FileFormat(Enum):
    """The two formats that are read."""

    SVG = "SVG"
    DXF = "DXF"


#: First bytes of files that makers mistake for drawings: (start, what it is, what to do).
_OTHERS = (
    (b"%PDF", "a PDF", "Save it as SVG or DXF from the program that drew it."),
    (b"%!PS", "a PostScript file", "Save it as SVG or DXF from the program that drew it."),
    (b"\x89PNG", "a PNG picture", "Trace it into lines first, then save as SVG or DXF."),
    (b"\xff\xd8\xff", "a JPEG picture", "Trace it into lines first, then save as SVG or DXF."),
    (b"GIF8", "a GIF picture", "Trace it into lines first, then save as SVG or DXF."),
    (b"BM", "a bitmap picture", "Trace it into lines first, then save as SVG or DXF."),
    (b"RIFF", "a picture or sound", "Trace it into lines first, then save as SVG or DXF."),
    (b"PK\x03\x04", "a ZIP archive", "Unpack it and give the drawing inside."),
    (b"AC10", "a DWG drawing", "Save it as DXF from the program that drew it."),
)
_BOMS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
#: UTF-16 and UTF-32 without a byte order mark, told by the zeros beside the first sign.
_WIDE = (
    (re.compile(rb"[\x09-\x7e]\0\0\0"), "utf-32-le"),
    (re.compile(rb"\0\0\0[\x09-\x7e]"), "utf-32-be"),
    (re.compile(rb"[\x09-\x7e]\0[\x09-\x7e]\0"), "utf-16-le"),
    (re.compile(rb"\0[\x09-\x7e]\0[\x09-\x7e]"), "utf-16-be"),
)
_SVG_ROOT = re.compile(r"<(?:[\w.-]+:)?svg[\s>/]")
_ROOT = re.compile(r"<([A-Za-z_][\w:.-]*)")
#: Comments, processing instructions and entities, in whose text a `<` is no root element.
_BEFORE_ROOT = re.compile(
    r"<!--.*?(?:-->|$)|<\?.*?(?:\?>|$)|<!ENTITY\s[^\"'>]*(?:\"[^\"]*\"|'[^']*')[^>]*>", re.DOTALL
)
_TAG_PAIR = re.compile(r"\s*-?\d{1,4}[ \t]*(?:\r\n|\r|\n)")
_DXF_TYPE = re.compile(r"(?:^|[\r\n])[ \t]*0[ \t]*(?:\r\n|\r|\n)[ \t]*[A-Z0-9_]{2,}[ \t]*(?:[\r\n]|$)")


def inflate(data: bytes, limit: int) -> bytes:
    """Undo gzip when the bytes are gzip, without ever holding more than the limit.

    Raises
    ------
    DrawingError
        When the stream is damaged, or larger than the limit once inflated.
    """
    if not data.startswith(_GZIP):
        return data
    text = bytearray()
    at = 0
    while data.startswith(_GZIP, at):  # a gzip file may hold several members (RFC 1952, 2.2)
        at = _inflate_member(data, at, text, limit)
    return bytes(text)


def _inflate_member(data: bytes, at: int, text: bytearray, limit: int) -> int:
    """Add one member to the text; where it ends."""
    stream = zlib.decompressobj(wbits=31)
    bite = _FIRST_BITE
    while not stream.eof:
        rest = data[at : at + bite]
        if not rest:
            raise DrawingError("the compressed file breaks off", fix="Save or download it again.")
        at += len(rest)
        bite = min(2 * bite, _LARGEST_BITE)
        while rest and not stream.eof:
            try:
                text += stream.decompress(rest, _STEP)
            except zlib.error as fault:
                raise DrawingError(
                    f"the compressed file is damaged ({fault})", fix="Save or download it again."
                ) from None
            if len(text) > limit:
                raise DrawingError(
                    f"the file inflates to more than {limit / 1e6:.0f} MB",
                    fix=more("Simplify the drawing.", "inflated_bytes"),
                )
            rest = stream.unconsumed_tail
    return at - len(stream.unused_data)


def encoding_of(data: bytes) -> str | None:
    """Name the encoding that the first bytes prove, or None when they prove none."""
    for mark, name in _BOMS:
        if data.startswith(mark):
            return name
    for pattern, name in _WIDE:
        if pattern.match(data):
            return name
    return None


def kind_of(data: bytes) -> FileFormat:
    """Tell SVG from DXF by content.

    Raises
    ------
    DrawingError
        When the bytes are neither.
    """
    if data.startswith(BINARY_DXF):
        return FileFormat.DXF
    if not data.strip(b"\0 \t\r\n"):
        raise DrawingError("the file is empty", fix="Save the drawing again.")
    for start, what, fix in _OTHERS:
        if data.startswith(start):
            raise DrawingError(f"the file is {what}, not an SVG or DXF drawing", fix=fix)
    head = data[:_LOOK].decode(encoding_of(data) or "latin-1", errors="replace").lstrip("\ufeff\0 \t\r\n")
    if head.startswith("<"):
        return _kind_of_xml(head)
    if _TAG_PAIR.match(head) and _DXF_TYPE.search(head):
        return FileFormat.DXF
    raise DrawingError(
        "the file is neither an SVG nor a DXF drawing",
        fix="Save it as SVG or DXF from the program that drew it.",
    )


def _kind_of_xml(head: str) -> FileFormat:
    bare = _BEFORE_ROOT.sub("", head)
    root = _ROOT.search(bare)
    name = root[1] if root else ""
    if name.rpartition(":")[2] == "svg" or (not name and _SVG_ROOT.search(head)):
        return FileFormat.SVG
    if name.lower() == "html":
        raise DrawingError("the file is a web page, not a drawing", fix="Download the drawing itself.")
    what = f"its root is <{name}>" if name else "it has no root element"
    raise DrawingError(
        f"the file is XML but not SVG: {what}", fix="Save it as SVG or DXF from the program that drew it."
    )
