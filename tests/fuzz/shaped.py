"""Changes that keep the shape of a format: nearly every input still parses, so deep code is met.

Bytes changed at random break the nesting of XML, or the pairs of lines of DXF, in most inputs, and the
reader stops at its door. Here whole elements and values, pairs and records, instructions, lines of words or
keys are changed instead, doubled, dropped, moved, or made up by the grammar of the language (grammar.py).
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from lxml import etree

from tests.fuzz import grammar
from tests.fuzz.grammar import pick as _pick

_LARGEST = 6_000
_NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?", re.IGNORECASE)
_UNWRITTEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd]")  # characters that XML can't hold
_NUMBERS = tuple(text.encode() for text in grammar.ODD)
Shaper = Callable[[bytes, Sequence[bytes], np.random.Generator], bytes]


def _renumber(text: bytes, rng: np.random.Generator) -> bytes:
    """Put another number in the place of one, or double or drop one."""
    found = list(_NUMBER.finditer(text))
    if not found:
        return text + b" " + _pick(_NUMBERS, rng)
    at = _pick(found, rng)
    other = (_pick(_NUMBERS, rng), at[0] + b" " + at[0], _pick(found, rng)[0], b"-" + at[0])
    return text[: at.start()] + _pick(other, rng) + text[at.end() :]


def _parse(data: bytes) -> etree._Element | None:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=False)
    try:
        return etree.fromstring(data, parser) if len(data) < _LARGEST else None
    except (etree.XMLSyntaxError, ValueError):
        return None


def svg(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change values, move, double, drop or bring in elements of an SVG; as it is, if it can't be parsed."""
    root = _parse(data)
    if root is None:
        return data
    for _ in range(int(rng.geometric(0.4))):
        _change_tree(root, seeds, rng)
    return etree.tostring(root.getroottree(), encoding="utf-8")


def _elements(root: etree._Element) -> list[etree._Element]:
    return [node for node in root.iter() if isinstance(node.tag, str)]


def _change_tree(root: etree._Element, seeds: Sequence[bytes], rng: np.random.Generator) -> None:
    nodes = _elements(root)
    node = _pick(nodes, rng)
    kind = int(rng.integers(9))
    parent = node.getparent()
    if kind <= 2 and node.attrib:
        name = _pick(sorted(node.attrib), rng)
        value = _renumber(node.attrib[name].encode(), rng) if kind else _borrowed(name, nodes, rng)
        node.set(name, _UNWRITTEN.sub("", value.decode("utf-8", "replace")))
    elif kind == 3 and node.attrib:
        del node.attrib[_pick(sorted(node.attrib), rng)]
    elif kind == 4 and parent is not None and len(nodes) > 2:
        parent.remove(node)
    elif kind == 5:
        tag, more = grammar.svg_element(rng)
        if len(nodes) < 200:
            etree.SubElement(node, _named(root, tag), more)
    elif kind == 6:
        name, value = _pick(list(grammar.svg_element(rng)[1].items()) or [("d", grammar.path_data(rng))], rng)
        node.set(name, value)
    else:
        other = _parse(_pick(seeds, rng)) if kind == 7 else root
        source = _pick(_elements(root if other is None else other), rng)
        if len(nodes) < 200 and source is not root:
            node.append(copy.deepcopy(source))


def _named(root: etree._Element, tag: str) -> str:
    """The tag in the name space of the root."""
    return f"{{{etree.QName(root).namespace}}}{tag}" if etree.QName(root).namespace else tag


def _borrowed(name: str, nodes: Sequence[etree._Element], rng: np.random.Generator) -> bytes:
    """The value of the same attribute elsewhere, or of any."""
    values = [node.get(name) or "" for node in nodes if node.get(name) is not None]
    if rng.random() < 0.3:
        values = [value for node in nodes for value in node.attrib.values()]
    return _pick(values, rng).encode()


def dxf(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change values and codes, move, double, drop or bring in pairs and records of a text DXF."""
    pairs = _pairs(data)
    if len(pairs) < 2 or len(data) > _LARGEST:
        return data
    for _ in range(int(rng.geometric(0.4))):
        kind, at = int(rng.integers(7)), int(rng.integers(len(pairs)))
        if kind <= 1:
            pairs[at] = (pairs[at][0], _renumber(pairs[at][1], rng) if kind else _pick(pairs, rng)[1])
        elif kind == 2:
            pairs[at] = (_pick(pairs, rng)[0], pairs[at][1])
        elif kind == 3 and len(pairs) > 4:
            del pairs[at : at + int(rng.geometric(0.3))]
        elif kind == 6:
            heads = [i for i, (code, _) in enumerate(pairs) if code.strip() == b"0"] or [0]
            at = _pick(heads, rng)
            pairs[at:at] = grammar.dxf_record(rng)
        else:
            there = pairs if kind == 4 else _pairs(_pick(seeds, rng))
            heads = [i for i, (code, _) in enumerate(there) if code.strip() == b"0"] or [0]
            begin = _pick(heads, rng)
            end = next((i for i in heads if i > begin), len(there))
            pairs[at:at] = there[begin:end][:200]
        pairs = pairs or [(b"0", b"EOF")]
    return b"".join(code + b"\n" + value + b"\n" for code, value in pairs)


def _pairs(data: bytes) -> list[tuple[bytes, bytes]]:
    lines = data.split(b"\n")
    return list(zip(lines[::2], lines[1::2], strict=False))


def index(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change, drop, double or exchange values of a `job.json`; as it is, if it can't be parsed."""
    try:
        root = json.loads(data)
    except ValueError:
        return data
    for _ in range(int(rng.geometric(0.4))):
        spots = list(_spots(root))
        if not spots:
            break
        holder, key = _pick(spots, rng)
        kind = int(rng.integers(5))
        if kind == 0:
            holder[key] = _pick(_VALUES, rng)
        elif kind == 1:
            other, its = _pick(spots, rng)
            holder[key] = copy.deepcopy(other[its])
        elif kind == 2:
            del holder[key]
        elif kind == 3 and isinstance(holder, list):
            holder.insert(int(key), copy.deepcopy(holder[key]))
        elif isinstance(holder[key], int | float):
            holder[key] = _pick((-holder[key], holder[key] * 1e9, holder[key] + 1, str(holder[key])), rng)
    return json.dumps(root).encode()


def _spots(root: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in nested lists and tables that holds a value."""
    rooms = [root]
    while rooms:
        room = rooms.pop()
        keys = room if isinstance(room, dict) else range(len(room)) if isinstance(room, list) else ()
        for key in keys:
            yield room, key
            rooms.append(room[key])


#: What may stand anywhere.
_VALUES: tuple[Any, ...] = (
    None, True, 0, -1, 1e308, 2**70, 0.5, "", "x", "../x", "job.json", [], {}, [[]], [0], {"a": 1}, float("nan"),
)  # fmt: skip


def _worded(
    words: list[bytes],
    fresh: Callable[[np.random.Generator], bytes],
    seeds: list[list[bytes]],
    rng: np.random.Generator,
) -> bytes:
    """Change, drop, double, move or bring in words of a file, or make some up."""
    for _ in range(int(rng.geometric(0.3))):
        at, kind = int(rng.integers(len(words) + 1)), int(rng.integers(6))
        run = slice(at, at + int(rng.geometric(0.3)))
        if kind == 0 and at < len(words):
            words[at] = _renumber(words[at], rng)
        elif kind == 1:
            del words[run]
        elif kind == 2:
            words[at:at] = words[run] * int(rng.integers(1, 6))
        elif kind == 3:
            other = _pick(seeds, rng)
            begin = int(rng.integers(len(other) + 1))
            words[at:at] = other[begin : begin + int(rng.geometric(0.2))]
        else:
            words[at:at] = [fresh(rng) for _ in range(int(rng.geometric(0.4)))]
    return b"".join(words)


def _instructions(data: bytes) -> list[bytes]:
    return re.findall(rb"[A-Za-z]{2}[^A-Za-z;]*;?|[^A-Za-z;]+;?|.", data, re.DOTALL)


def hpgl(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change an HP-GL file instruction by instruction."""
    return _worded(_instructions(data), grammar.hpgl_instruction, [_instructions(s) for s in seeds], rng)


def gcode(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change a G-code file line by line."""
    return _worded(
        data.splitlines(keepends=True), grammar.gcode_line, [s.splitlines(keepends=True) for s in seeds], rng
    )


def toml(data: bytes, seeds: Sequence[bytes], rng: np.random.Generator) -> bytes:
    """Change a job file or a profile line by line, with the keys that seeds hold."""
    keys = grammar.toml_keys(seeds)

    def fresh(rng: np.random.Generator) -> bytes:
        return grammar.toml_line(keys, rng).encode() + b"\n"

    return _worded(data.splitlines(keepends=True), fresh, [s.splitlines(keepends=True) for s in seeds], rng)


SHAPERS: dict[str, Shaper] = {
    "svg": svg, "dxf": dxf, "index": index, "hpgl": hpgl, "gcode": gcode, "job": toml, "profile": toml,
}  # fmt: skip
