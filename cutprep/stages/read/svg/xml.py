"""Bytes to an XML tree, without ever opening another file or address, and within limits.

An SVG is a document from anywhere. Three things in XML itself reach beyond the file or grow
beyond it: external entities, external document types, and entities that expand to others
("billion laughs"). The first two are never followed; the third is added up from the declarations
before the parser sees the text.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from lxml import etree

from cutprep.errors import DrawingError, Place
from cutprep.limits import Limits, more
from cutprep.stages.read.sniff import encoding_of, inflate

SVG = "{http://www.w3.org/2000/svg}"
_DECLARED = re.compile(r"encoding\s*=\s*[\"']([\w.:-]+)[\"']")
_ENTITY = re.compile(
    r"<!ENTITY\s+(?P<name>[^\s%\"'>]+)\s+(?:(?P<outside>SYSTEM|PUBLIC)\b[^>]*|\"(?P<a>[^\"]*)\"|'(?P<b>[^']*)')[^>]*>"
)
_PARAMETER = re.compile(r"<!ENTITY\s+%[^>]*>|%[\w.:-]+;")
_REFERENCE = re.compile(r"&([^\s#&;<>\"']+);")
_DOCTYPE = re.compile(r"<!DOCTYPE[^\[>]*\[")
_SUBSET = re.compile(r"\"[^\"]*\"|'[^']*'|<!--.*?-->|\]", re.DOTALL)
#: What stands in a text and is none of its elements.
_SILENT = re.compile(rb"<!--.*?(?:-->|\Z)|<!\[CDATA\[.*?(?:\]\]>|\Z)|<\?.*?(?:\?>|\Z)", re.DOTALL)
#: Encodings in which ASCII stands for itself, so that declarations can be found by their bytes.
_PLAIN = re.compile(r"utf-?8|us-ascii|ascii|iso[-_]?8859.*|latin.*|windows-125\d|cp125\d")
#: Entities of XML itself: XML 1.0, section 4.6 "Predefined Entities".
_OWN = dict.fromkeys(("amp", "lt", "gt", "quot", "apos"), 1)
#: The parser counts in 16 bits where no text follows an element.
_LOST_COUNT = 65535
_RESAVE = "Open it in the program that drew it and save it again."


class Parsed(NamedTuple):
    """A parsed document.

    Attributes
    ----------
    root
        The root element.
    repaired
        What had to be overlooked to read the file, or nothing.
    has_sheet
        It asks for a style sheet in another file.
    """

    root: etree._Element
    repaired: str
    has_sheet: bool


def parse_xml(data: bytes, limits: Limits) -> Parsed:
    """Parse an SVG document.

    Parameters
    ----------
    data
        The file; may be gzip.

    Raises
    ------
    DrawingError
        When the text is no well-formed XML, is empty, reaches outside, or grows too large.
    """
    data = inflate(data, limits.inflated_bytes)
    if len(data) > limits.inflated_bytes:
        raise DrawingError(
            f"the file is larger than {limits.inflated_bytes / 1e6:.0f} MB",
            fix=more("Simplify the drawing.", "inflated_bytes"),
        )
    if data[:1].isspace():
        data = data.lstrip()  # blanks before the XML declaration are a slip that browsers forgive too
    if not data:
        raise DrawingError("the file is empty", fix="Save the drawing again.")
    _refuse_many(_ends(data, limits.elements), limits)
    data, has_entities = _check_entities(data, limits)
    root, repaired = _parse(data, has_entities)
    if has_entities and root.nsmap.get(None) == SVG[1:-1]:
        # Elements inside an entity lose the default namespace of the place where it stands.
        for node in root.iter("{}*"):
            if ":" not in str(node.tag):  # a prefix without a declaration stays what it is: unknown
                node.tag = f"{SVG}{node.tag}"
    _check_size(root, limits)
    return Parsed(root, repaired, b"<?xml-stylesheet" in data)


def line_of(node: etree._Element) -> int | None:
    """Source line of an element; None where the parser lost count."""
    line: object = node.sourceline
    return line if isinstance(line, int) and line != _LOST_COUNT else None


def _parse(data: bytes, has_entities: bool) -> tuple[etree._Element, str]:
    # The parser's own limits on text length would refuse large embedded pictures; they stay on
    # where entities could make text grow.
    options = {
        "no_network": True, "load_dtd": False, "remove_comments": True, "remove_pis": True,
        "huge_tree": not has_entities,
    }  # fmt: skip
    parser = etree.XMLParser(**options)  # type: ignore[arg-type]  # the stubs want each by name
    try:
        return etree.fromstring(data, parser), ""
    except etree.XMLSyntaxError as fault:
        wrong = [entry for entry in parser.error_log if entry.domain_name != "NAMESPACE"]
        if wrong or not len(parser.error_log):
            raise _refusal(fault) from None
        prefix = str(parser.error_log[0].message)
    # Only prefixes without a declaration are wrong; the drawing itself is sound.
    lenient = etree.XMLParser(recover=True, **options)  # type: ignore[arg-type]
    return etree.fromstring(data, lenient), prefix


def _refusal(fault: etree.XMLSyntaxError) -> DrawingError:
    message = str(fault.msg).split(", line ")[0]
    place = Place(line=fault.lineno if fault.lineno and fault.lineno > 0 else None)
    if "depth" in message:
        return DrawingError(
            "the elements are nested too deeply", fix="Ungroup the drawing and save it again.", place=place
        )
    if "amplification" in message:
        return DrawingError("the entities of the file expand without end", fix=_RESAVE, place=place)
    if "encoding" in message.lower() or "utf-8" in message.lower():
        problem = f"the text is not in the encoding that the file names ({message})"
        return DrawingError(problem, fix="Save it again as UTF-8.", place=place)
    return DrawingError(f"the file is damaged or cut off ({message})", fix=_RESAVE, place=place)


def _ends(data: bytes, most: int) -> int:
    """How many elements end in a text, counted without parsing it; exact only where there are more than `most`.

    A tree takes some twenty times the memory of its text, so one that is refused is better never built.
    """
    if b"\0" in data[:8]:  # two or four bytes a character
        data = data.replace(b"\0", b"")
    count = data.count(b"</") + data.count(b"/>")
    if count <= most or not _SILENT.search(data):
        return count
    silent = sum(found[0].count(b"</") + found[0].count(b"/>") for found in _SILENT.finditer(data))
    return count - silent


def _refuse_many(count: float, limits: Limits) -> None:
    if count > limits.elements:
        raise DrawingError(
            f"the drawing has {count:.0f} elements; at most {limits.elements} are read",
            fix=more("Split the drawing.", "elements"),
        )


def _check_size(root: etree._Element, limits: Limits) -> None:
    count = root.xpath("count(//*)")
    _refuse_many(count if isinstance(count, float) else 0.0, limits)
    deep = root.xpath("/*" * (limits.depth + 1) + "[1]")
    if isinstance(deep, list) and deep:
        raise DrawingError(
            f"the elements are nested more than {limits.depth} deep",
            fix=more("Ungroup the drawing and save it again.", "depth"),
            place=Place(line=line_of(deep[0]) if isinstance(deep[0], etree._Element) else None),  # noqa: SLF001
        )


def _check_entities(data: bytes, limits: Limits) -> tuple[bytes, bool]:
    """Refuse entities that reach outside or grow too large; drop parameter entities.

    Returns
    -------
    data
        The text to parse.
    has_entities
        Whether it may hold entities of its own.
    """
    wide = encoding_of(data)
    declared = _DECLARED.search(data[:200].decode("latin-1"))
    is_plain = data.startswith((b"<", b"\xef\xbb\xbf")) and (
        not declared or _PLAIN.fullmatch(declared[1].lower())
    )
    if is_plain and b"<!ENTITY" not in data:
        return data, False
    try:
        text = data.decode(wide or (declared[1] if declared else "utf-8"), errors="replace")
    except LookupError:
        return data, True
    head, body = _split_head(text)
    if "<!ENTITY" not in head:
        return data, True
    if _PARAMETER.search(head):
        # Never read (they exist to pull in other files); blanks keep the line numbers.
        head = _PARAMETER.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), head)
        text = head + body
        data = re.sub(r"^\s*<\?xml[^>]*\?>", lambda f: "\n" * f[0].count("\n"), text.lstrip("\ufeff")).encode(
            "utf-8"
        )
    _add_up(head, body, limits.entity_bytes)
    return data, True


def _split_head(text: str) -> tuple[str, str]:
    """Part a document where its own declarations end."""
    begin = _DOCTYPE.search(text)
    if begin is None:
        return "", text
    for found in _SUBSET.finditer(text, begin.end()):
        if found[0] == "]":
            return text[: found.end()], text[found.end() :]
    return text, ""


def _add_up(head: str, body: str, limit: int) -> None:
    values: dict[str, str] = {}
    for found in _ENTITY.finditer(head):
        if found["outside"]:
            if f"&{found['name']};" in body or f"&{found['name']};" in head:
                raise DrawingError(
                    f"the entity '&{found['name']};' stands for another file, which is never opened",
                    fix=_RESAVE,
                    place=Place(line=head.count("\n", 0, found.start()) + 1),
                )
            continue
        values.setdefault(found["name"], found["a"] if found["a"] is not None else found["b"])
    sizes = _sizes(values, limit)
    total = sum(sizes.get(name, 0) for name in _REFERENCE.findall(body))
    if total > limit or max(sizes.values(), default=0) > limit:
        raise DrawingError(
            f"the entities of the file expand to more than {limit} characters",
            fix=more(_RESAVE, "entity_bytes"),
            place=Place(line=1),
        )


def _sizes(values: dict[str, str], limit: int) -> dict[str, int]:
    """Size of each entity fully expanded; one that contains itself counts as beyond the limit."""
    sizes: dict[str, int] = dict(_OWN)
    waiting: list[str] = []
    stack = list(values)
    while stack:
        name = stack[-1]
        inner = _REFERENCE.findall(values[name]) if name not in sizes else []
        todo = [other for other in inner if other in values and other not in sizes]
        if name in sizes:
            stack.pop()
        elif name in waiting and any(other in waiting for other in todo):
            sizes[name] = limit + 1
        elif todo:
            waiting.append(name)
            stack.extend(set(todo))
        else:
            sizes[name] = min(len(values[name]) + sum(sizes.get(other, 0) for other in inner), limit + 1)
            stack.pop()
    return sizes
