"""The longest and largest inputs of every format, made by rules: each asks for as much as its format lets it.

`python -m tests.bench.bounds` measures them at full size; `test_largest.py` runs each with limits a thousandth as
high. A case writes about as much as `share` of the full size.
"""

from __future__ import annotations

import gzip
from collections.abc import Callable, Iterable, Iterator
from typing import BinaryIO, NamedTuple

from cutprep.limits import Limits

LIMITS = Limits()
Write = Callable[[BinaryIO], object]

_HEAD = "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='300mm' height='300mm' viewBox='0 0 300 300'>"
_CUT = "<g id='cut' stroke='black' fill='none'>"
_DXF, _END = "0\nSECTION\n2\nENTITIES\n", "0\nENDSEC\n0\nEOF\n"


class Case(NamedTuple):
    """What an input is, the name of its file, and who writes it at a share of its full size."""

    what: str
    file: str
    rows: Callable[[float], Iterable[str | bytes]]

    def write(self, stream: BinaryIO, share: float = 1.0) -> None:
        """Write the input."""
        stream.writelines(row.encode() if isinstance(row, str) else row for row in self.rows(share))


def _blocks(row: Callable[[int], str], count: int, block: int = 10_000) -> Iterator[str]:
    """So many rows; after the first block they repeat."""
    first = [row(k) for k in range(min(count, block))]
    whole = "".join(first)
    for _ in range(count // block):
        yield whole
    yield "".join(first[: count % block]) if count >= block else (whole if count < block else "")


def drawn(body: Iterable[str], defs: Iterable[str] = ()) -> Iterator[str]:
    """An SVG of rows of cuts."""
    yield _HEAD
    yield from defs
    yield _CUT
    yield from body
    yield "</g></svg>"


def _dxf(body: Iterable[str], before: Iterable[str] = (), after: Iterable[str] = ()) -> Iterator[str]:
    yield from before
    yield _DXF
    yield from body
    yield from after or (_END,)


def how_many(limit: float, share: float) -> int:
    """Just within a limit."""
    return max(int(limit * 0.98 * share), 2)


def _zigzag(k: int) -> str:
    return f"{k % 290}.5,{k * 37 % 283}.25 "


# SVG ---------------------------------------------------------------------------------------------


def _members(content: bytes, count: int) -> Callable[[float], Iterator[bytes]]:
    one = gzip.compress(content, mtime=0)
    drawing = gzip.compress("".join(drawn(["<path d='M1 1L9 9'/>"])).encode(), mtime=0)

    def rows(share: float) -> Iterator[bytes]:
        yield drawing
        for _ in range(max(int(count * share) // 1000, 1)):
            yield one * 1000

    return rows


def _comment(share: float) -> Iterator[str]:
    yield _HEAD + "<!-- one -->"
    yield from _blocks(lambda _: "<a/>", how_many(LIMITS.inflated_bytes / 4, share))
    yield "</svg>"


def _rows_of(row: Callable[[int], str], limit: str, each: float = 1.0) -> Callable[[float], Iterator[str]]:
    """A row repeated up to a limit, of which each takes so much."""
    return lambda share: drawn(_blocks(row, how_many(getattr(LIMITS, limit) / each, share)))


def _path(
    head: str, row: Callable[[int], str], each: float, tail: str = ""
) -> Callable[[float], Iterator[str]]:
    """One path of rows, each of so many points."""

    def rows(share: float) -> Iterator[str]:
        yield from drawn(
            [f"<path d='{head}", *_blocks(row, how_many(LIMITS.points / each, share)), f"{tail}'/>"]
        )

    return rows


def _polyline(share: float) -> Iterator[str]:
    return drawn(["<polyline points='", *_blocks(_zigzag, how_many(LIMITS.points, share)), "'/>"])


def _nested_use(
    depth: int, wide: int, inner: str = "<rect width='9' height='9'/>"
) -> Callable[[float], Iterator[str]]:
    """Groups of references to groups of references: a few hundred bytes that ask for wide ** depth elements."""

    def rows(share: float) -> Iterator[str]:
        deep = range(1, max(round(depth * share**0.3), 2))
        rows = (f"<g id='n{k}'>" + f"<use xlink:href='#n{k - 1}' x='1'/>" * wide + "</g>" for k in deep)
        levels = [f"<g id='n0'>{inner}</g>", *rows]
        return drawn([f"<use href='#n{len(levels) - 1}'/>"], ["<defs>", *levels, "</defs>"])

    return rows


def _use_each(
    content: Callable[[float], Iterable[str]], uses: float, attributes: str = ""
) -> Callable[[float], Iterator[str]]:
    """References to one group of much content, each drawn or looked through again."""

    def rows(share: float) -> Iterator[str]:
        yield from drawn(
            _blocks(lambda k: f"<use href='#much' x='{k % 100}'/>", how_many(uses, share)),
            ["<defs><g id='much' ", attributes, ">", *content(share), "</g></defs>"],
        )

    return rows


def _deep_use(share: float) -> Iterator[str]:
    deep = how_many(LIMITS.depth - 10, 1.0)
    inner = (
        "<g>" * deep
        + "".join(f"<use href='#r' x='{k % 9}'/>" for k in range(how_many(LIMITS.expanded / 2, share)))
        + "</g>" * deep
    )
    return drawn([inner], ["<defs><rect id='r' width='9' height='9'/></defs>"])


def _names(share: float) -> Iterator[str]:
    """Groups within groups, each with a name as long as the file allows: the layer is all of them together."""
    deep, long = int(LIMITS.depth * 0.9), max(int(LIMITS.inflated_bytes / 250 * share), 10)
    yield from drawn(
        [
            *(f"<g id='{chr(97 + k % 26) * long}{k}'>" for k in range(deep)),
            "<path d='M1 1L9 9'/>" * 1000,
            "</g>" * deep,
        ]
    )


def _styles(
    rules: Callable[[int], str], count: int, row: Callable[[int], str], elements: int
) -> Callable[[float], Iterator[str]]:
    def rows(share: float) -> Iterator[str]:
        root = share**0.5
        sheet = ["<style>", *_blocks(rules, how_many(count, root), block=10**9), "</style>"]
        return drawn(_blocks(row, how_many(elements, root), block=10**9), sheet)

    return rows


def _clips(share: float) -> Iterator[str]:
    """Each line within a clip of its own, of many corners."""
    corners = " ".join(f"{k % 100 * 3},{(k * k) % 300}" for k in range(1000))
    count = how_many(5_000, share)
    return drawn(
        (f"<path clip-path='url(#c{k})' d='M0 {k % 300}L300 {k % 299}'/>" for k in range(count)),
        [
            "<defs>",
            *(f"<clipPath id='c{k}'><polygon points='{corners}'/></clipPath>" for k in range(count)),
            "</defs>",
        ],
    )


def _nested_clips(share: float) -> Iterator[str]:
    deep = int(LIMITS.depth * 0.9)
    ring = "".join(
        f"{150 + 140 * ((k * 7919) % 100 - 50) / 50:.2f},{150 + 140 * ((k * 104729) % 97 - 48) / 48:.2f} "
        for k in range(how_many(2000, share**0.5))
    )
    groups = "".join(f"<g clip-path='url(#c{k % 40})'>" for k in range(deep))
    return drawn(
        [
            groups,
            *_blocks(lambda k: f"<path d='M0 {k % 300}L300 {k % 299}'/>", how_many(20_000, share**0.5)),
            "</g>" * deep,
        ],
        [
            "<defs>",
            *(
                f"<clipPath id='c{k}'><polygon clip-rule='evenodd' transform='rotate({k} 150 150)' points='{ring}'/></clipPath>"
                for k in range(40)
            ),
            "</defs>",
        ],
    )


def _one_clip(share: float) -> Iterator[str]:
    """A clip of very many corners over very many points."""
    many = how_many(LIMITS.points / 8, share)
    return drawn(
        ["<g clip-path='url(#c)'><path d='M0 0L", *_blocks(_zigzag, many), "'/></g>"],
        ["<defs><clipPath id='c'><polygon points='", *_blocks(_zigzag, many), "'/></clipPath></defs>"],
    )


def _text(limit: float, before: str, unit: str, after: str) -> Callable[[float], Iterator[str]]:
    """One long text somewhere."""
    return lambda share: [
        _HEAD + _CUT + before,
        *_blocks(lambda _: unit, how_many(limit / len(unit), share)),
        after + "<path d='M1 1L9 9'/></g></svg>",
    ]  # type: ignore[return-value]


def _entities(share: float) -> Iterator[str]:
    """Entities that expand to as much as they may, in path data."""
    yield "<!DOCTYPE svg [<!ENTITY a '" + "L1 2L3 4 " * 100 + "'>]>" + _HEAD + _CUT + "<path d='M0 0"
    yield "&a;" * how_many(LIMITS.entity_bytes / 900, share)
    yield "'/></g></svg>"


def _switches(share: float) -> Iterator[str]:
    many = how_many(2000, share**0.5)
    one = "<switch>" + "<g systemLanguage='de,fr'/>" * many + "<path d='M1 1L9 9'/></switch>"
    return drawn(
        _blocks(lambda k: f"<use href='#s' x='{k % 9}'/>", many), ["<defs><g id='s'>", one, "</g></defs>"]
    )


def _gradients(share: float) -> Iterator[str]:
    many = how_many(LIMITS.elements, share)
    return drawn(
        ["<path stroke='url(#g9)' d='M1 1L9 9'/>"],
        _blocks(lambda k: f"<linearGradient id='g{k}' href='#g{k + 1}'/>", many, block=10**9),
    )


def _own_styles(most: float) -> Callable[[float], Iterator[str]]:
    """Elements that share nothing: two declarations each, an id, a class and a transform."""

    def row(k: int) -> str:
        looks = f"style='stroke:#{k * 7919 % 16**6:06x};stroke-width:{k}px' transform='rotate({k})'"
        return f"<path id='i{k}' class='c{k}' {looks} d='M{k % 290} 1L1 2'/>"

    return lambda share: drawn(_blocks(row, how_many(most, share), block=10**9))


_BIG = 0.95 * LIMITS.inflated_bytes
SVG = (
    Case("SVG in gzip of a million empty members", "drawing.svgz", _members(b"", 1_000_000)),
    Case("SVG in gzip of a million members of one byte", "drawing.svgz", _members(b" ", 1_000_000)),
    Case("SVG of as many elements as the file holds and one comment", "drawing.svg", _comment),
    Case("SVG, as many paths as are read", "drawing.svg", _rows_of(lambda k: f"<path d='M{k % 290} {k % 283}L{k % 271} {k % 299}'/>\n", "elements")),
    Case("SVG, as many rectangles", "drawing.svg", _rows_of(lambda k: f"<rect x='{k % 271}' y='{k % 299}' width='5' height='9' rx='1'/>", "elements")),
    Case("SVG, as many circles", "drawing.svg", _rows_of(lambda k: f"<circle cx='{k % 271}' cy='{k % 299}' r='{k % 9 + 1}'/>", "elements")),
    Case("SVG, each element with a style, id, class and transform of its own", "drawing.svg", _own_styles(LIMITS.elements)),
    Case("SVG, as many declarations of their own as are read", "drawing.svg", _own_styles(LIMITS.declarations / 2)),
    Case("SVG, elements hidden", "drawing.svg", _rows_of(lambda k: f"<path display='none' d='M{k % 290} 1L1 2'/>", "elements")),
    Case("SVG, texts left out", "drawing.svg", _rows_of(lambda k: f"<text x='{k % 290}'>a</text>", "elements")),
    Case("SVG, paths in error", "drawing.svg", _rows_of(lambda k: f"<path id='i{k}' d='M{k % 290} 1L1 2L'/>", "elements")),
    Case("SVG, transforms in error", "drawing.svg", _rows_of(lambda k: f"<path transform='nothing({k})' d='M{k % 290} 1L1 2'/>", "elements")),
    Case("SVG, styles in error", "drawing.svg", lambda share: drawn(_blocks(lambda k: f"<path style='stroke-width:{k}zz' d='M1 1L1 2'/>", how_many(LIMITS.elements, share), block=10**9))),
    Case("SVG, path of zigzag points", "drawing.svg", _path("M0 0L", _zigzag, 1)),
    Case("SVG, path of relative points", "drawing.svg", _path("M0 0l", lambda k: f"{1 - k % 3} {k % 7 - 3} ", 1)),
    Case("SVG, path of a letter for each point", "drawing.svg", _path("M0 0", lambda k: f"L{k % 290} {k % 283}", 1)),
    Case("SVG, path of horizontal and vertical lines", "drawing.svg", _path("M0 0", lambda k: f"H{k % 290}V{k % 283}", 2)),
    Case("SVG, path of zigzag points in error at its end", "drawing.svg", _path("M0 0L", _zigzag, 1, "L5")),
    Case("SVG, path of arcs with packed flags", "drawing.svg", _path("M0 0", lambda k: f"a1 1 0 01{k % 3 - 1}.5 2", 12)),
    Case("SVG, path of cubics", "drawing.svg", _path("M0 0", lambda k: f"C{k % 290} 1 9 {k % 200} {k % 271} {k % 283}", 60)),
    Case("SVG, path of smooth curves that stand still", "drawing.svg", _path("M0 0", lambda _: "t0 0", 1)),
    Case("SVG, path of closes", "drawing.svg", _path("M0 0", lambda k: f"l{k % 9} 1z", 3)),
    Case("SVG, path of moves", "drawing.svg", _path("M0 0", lambda k: f"M{k % 99} 1", 1)),
    Case("SVG, polyline of zigzag points", "drawing.svg", _polyline),
    Case("SVG, one huge circle of as many points as are read", "drawing.svg", lambda share: drawn([f"<circle r='{9.9e4 * share}' stroke='black'/>"] * 40)),
    Case("SVG, nested use, ten by ten", "drawing.svg", _nested_use(12, 10)),
    Case("SVG, nested use, two by two", "drawing.svg", _nested_use(60, 2)),
    Case("SVG, nested use of nothing", "drawing.svg", _nested_use(60, 2, "")),
    Case("SVG, nested use of texts", "drawing.svg", _nested_use(12, 10, "<text>a</text>")),
    Case("SVG, use deep inside", "drawing.svg", _deep_use),
    Case("SVG, use of a group that is hidden", "drawing.svg", _use_each(lambda s: _blocks(lambda _: "<path d='M1 1L9 9'/>", how_many(LIMITS.elements / 2, s)), LIMITS.elements / 3, "display='none'")),
    Case("SVG, use of a group of things that are not drawn", "drawing.svg", _use_each(lambda s: ["<defs>", *_blocks(lambda _: "<path d='M1 1L9 9'/>", how_many(LIMITS.elements / 2, s)), "</defs>"], LIMITS.elements / 3)),
    Case("SVG, use of a long text", "drawing.svg", _use_each(lambda s: ["<text>", "long " * how_many(1e6, s), "</text>"], LIMITS.elements / 3)),
    Case("SVG, use of a path in error", "drawing.svg", _use_each(lambda s: ["<path d='M0 0L", *_blocks(_zigzag, how_many(1e5, s**0.5)), "L5'/>"], 1e5)),
    Case("SVG, use of a wrong transform list", "drawing.svg", _use_each(lambda s: ["<g transform='", "scale(1)" * how_many(1e5, s**0.5), "x'><path d='M0 0L1 1'/></g>"], 1e5)),
    Case("SVG, use of a long class and style", "drawing.svg", _use_each(lambda s: ["<g style='", "stroke:red;" * how_many(1e5, s**0.5), "'><path d='M0 0L1 1'/></g>"], 1e5)),
    Case("SVG, use of a switch of many", "drawing.svg", _switches),
    Case("SVG, groups with long names", "drawing.svg", _names),
    Case("SVG, attribute rules over elements", "drawing.svg", _styles(lambda k: f"[a*='{k}']{{stroke:red}}", 3000, lambda k: f"<path a='{k % 97}' d='M1 1L{k % 99} 9'/>", 100_000)),
    Case("SVG, sibling rules over elements", "drawing.svg", _styles(lambda k: f"path~path.c{k % 9}{{stroke:red}}", 100, lambda k: f"<path class='c{k % 9}' d='M1 1L{k % 99} 9'/>", 100_000)),
    Case("SVG, nth rules over elements", "drawing.svg", _styles(lambda k: f"path:nth-child({k}n+1){{stroke:red}}", 100, lambda k: f"<path d='M1 1L{k % 99} 9'/>", 100_000)),
    Case("SVG, class rules over elements", "drawing.svg", _styles(lambda k: f".c{k}{{stroke:#{k % 4096:03x}}}", 100_000, lambda k: f"<path class='c{k}' d='M1 1L{k % 99} 9'/>", 100_000)),
    Case("SVG, a style sheet of many rules", "drawing.svg", _styles(lambda k: f"#i{k} g>path{{stroke:red;fill:none}}", 300_000, lambda _: "<path d='M1 1L9 9'/>", 9)),
    Case("SVG, clips of many corners", "drawing.svg", _clips),
    Case("SVG, clips within clips", "drawing.svg", _nested_clips),
    Case("SVG, one clip of many corners over many points", "drawing.svg", _one_clip),
    Case("SVG, one long transform list", "drawing.svg", _text(_BIG, "<g transform='", "scale(1)", "'><path d='M0 0L1 1'/></g>")),
    Case("SVG, one long dash list", "drawing.svg", _text(_BIG, "<path stroke-dasharray='", "1 2 ", "' d='M0 0L1 1'/>")),
    Case("SVG, one long embedded picture", "drawing.svg", _text(_BIG, "<image href='data:image/png;base64,", "AAAA", "'/>")),
    Case("SVG, one long text", "drawing.svg", _text(_BIG, "<text>", "word ", "</text>")),
    Case("SVG, one long style", "drawing.svg", _text(_BIG, "<path style='", "stroke:red;", "' d='M0 0L1 1'/>")),
    Case("SVG, one long style sheet comment", "drawing.svg", _text(_BIG, "<style>/*", "word ", "*/</style>")),
    Case("SVG, one long colour", "drawing.svg", _text(_BIG, "<path stroke='", "(", "' d='M0 0L1 1'/>")),
    Case("SVG, one long selector", "drawing.svg", _text(1e6, "<style>", ":not(", "</style>")),
    Case("SVG, entities in path data", "drawing.svg", _entities),
    Case("SVG, gradients that borrow", "drawing.svg", _gradients),
)  # fmt: skip

# DXF ---------------------------------------------------------------------------------------------


def _entity(row: Callable[[int], str], limit: str, each: float = 1.0) -> Callable[[float], Iterator[str]]:
    return lambda share: _dxf(_blocks(row, how_many(getattr(LIMITS, limit) / each, share)))


def _line(k: int) -> str:
    return f"0\nLINE\n8\n0\n10\n{k % 290}.5\n20\n{k % 283}.5\n11\n{k % 271}.5\n21\n{k % 299}.5\n"


def _one(
    head: str, row: Callable[[int], str], each: float, limit: float = LIMITS.points, tail: str = ""
) -> Callable[[float], Iterator[str]]:
    """One entity of rows, each of so many points."""
    return lambda share: _dxf([head, *_blocks(row, how_many(min(limit, LIMITS.points) / each, share)), tail])


def _block(k: int, body: str) -> str:
    return f"0\nBLOCK\n2\nB{k}\n10\n0\n20\n0\n{body}0\nENDBLK\n"


def _insert(k: int, array: int = 1) -> str:
    return f"0\nINSERT\n2\nB{k}\n10\n1\n20\n1\n70\n{array}\n71\n{array}\n44\n1\n45\n1\n"


def _nested_inserts(
    depth: int, wide: int, array: int = 1, inner: str = ""
) -> Callable[[float], Iterator[str]]:
    def rows(share: float) -> Iterator[str]:
        deep = max(round(depth * share**0.3), 2)
        blocks = [_block(0, inner or _line(300))] + [
            _block(k, _insert(k - 1, array) * wide) for k in range(1, deep)
        ]
        return _dxf([_insert(deep - 1)], ["0\nSECTION\n2\nBLOCKS\n", *blocks, "0\nENDSEC\n"])

    return rows


def _blocks_and_inserts(share: float) -> Iterator[str]:
    many = how_many(LIMITS.elements / 3, share)
    return _dxf(
        _blocks(_insert, many, block=10**9),
        [
            "0\nSECTION\n2\nBLOCKS\n",
            *_blocks(lambda k: _block(k, _line(k)), many, block=10**9),
            "0\nENDSEC\n",
        ],
    )


def _tables(row: Callable[[int], str], count: int, name: str) -> Callable[[float], Iterator[str]]:
    def rows(share: float) -> Iterator[str]:
        return _dxf(
            [_line(300)],
            [
                f"0\nSECTION\n2\nTABLES\n0\nTABLE\n2\n{name}\n",
                *_blocks(row, how_many(count, share), block=10**9),
                "0\nENDTAB\n0\nENDSEC\n",
            ],
        )

    return rows


def _binary(share: float) -> Iterator[bytes]:
    import struct

    yield b"AutoCAD Binary DXF\r\n\x1a\x00"
    # The version says that group codes have two bytes.
    pair = struct.pack
    text = lambda code, word: pair("<H", code) + word + b"\0"  # noqa: E731
    yield (
        text(0, b"SECTION")
        + text(2, b"HEADER")
        + text(9, b"$ACADVER")
        + text(1, b"AC1015")
        + text(0, b"ENDSEC")
    )
    yield text(0, b"SECTION") + text(2, b"ENTITIES")
    row = (
        text(0, b"LINE")
        + text(8, b"0")
        + b"".join(pair("<Hd", code, k + 0.5) for k, code in enumerate((10, 20, 11, 21)))
    )
    for _ in range(how_many(LIMITS.elements / 1000, share)):
        yield row * 1000
    yield text(0, b"ENDSEC") + text(0, b"EOF")


def _layers(share: float) -> Iterator[str]:
    return _dxf(
        _blocks(
            lambda k: _line(k).replace("8\n0\n", f"8\nL{k}\n62\n{k % 255}\n48\n{k}\n"),
            how_many(LIMITS.elements, share),
            block=10**9,
        )
    )


def _hatch(k: int) -> str:
    return f"0\nHATCH\n8\n0\n2\nANSI31\n70\n0\n91\n1\n92\n2\n72\n0\n73\n1\n93\n3\n10\n{k % 90}\n20\n0\n10\n9\n20\n0\n10\n9\n20\n9\n97\n0\n75\n0\n76\n1\n52\n0\n41\n0.001\n77\n0\n78\n0\n98\n0\n"


def _mline(points: int) -> str:
    one = "".join(
        f"11\n{k % 99}\n21\n{k % 7}\n31\n0\n12\n1\n22\n0\n32\n0\n13\n0\n23\n1\n33\n0\n74\n1\n41\n0\n75\n0\n"
        for k in range(points)
    )
    return f"0\nMLINE\n8\n0\n2\nSTANDARD\n40\n1\n70\n0\n71\n1\n72\n{points}\n73\n1\n10\n0\n20\n0\n{one}"


DXF = (
    Case("DXF, as many lines as are read", "drawing.dxf", _entity(_line, "elements")),
    Case("DXF, lines, each on a layer of its own", "drawing.dxf", _layers),
    Case("DXF, as many circles", "drawing.dxf", _entity(lambda k: f"0\nCIRCLE\n10\n{k % 290}\n20\n{k % 283}\n40\n{k % 9 + 1}\n", "elements")),
    Case("DXF, as many arcs", "drawing.dxf", _entity(lambda k: f"0\nARC\n10\n{k % 290}\n20\n{k % 283}\n40\n{k % 9 + 1}\n50\n{k % 360}\n51\n{k % 99}\n", "elements")),
    Case("DXF, as many ellipses", "drawing.dxf", _entity(lambda k: f"0\nELLIPSE\n10\n{k % 290}\n20\n{k % 283}\n11\n{k % 9 + 1}\n21\n1\n40\n0.5\n41\n0\n42\n6\n", "elements")),
    Case("DXF, as many small splines", "drawing.dxf", _entity(lambda k: f"0\nSPLINE\n71\n3\n10\n{k % 99}\n20\n0\n10\n1\n20\n9\n10\n9\n20\n{k % 77}\n10\n9\n20\n0\n", "elements")),
    Case("DXF, as many splines through fit points", "drawing.dxf", _entity(lambda k: f"0\nSPLINE\n71\n3\n11\n{k % 99}\n21\n0\n11\n1\n21\n9\n11\n9\n21\n{k % 77}\n11\n9\n21\n0\n", "elements")),
    Case("DXF, as many points and texts", "drawing.dxf", _entity(lambda k: f"0\nTEXT\n10\n{k % 99}\n20\n0\n40\n1\n1\nword\n0\nPOINT\n10\n0\n20\n0\n", "elements", 2)),
    Case("DXF, as many dimensions", "drawing.dxf", lambda share: _dxf([_line(300), *_blocks(lambda k: f"0\nDIMENSION\n2\n*D{k}\n10\n{k % 99}\n20\n0\n", how_many(LIMITS.elements, share))])),
    Case("DXF, as many hatches", "drawing.dxf", lambda share: _dxf([_line(300), *_blocks(_hatch, how_many(LIMITS.elements, share))])),
    Case("DXF, as many faces", "drawing.dxf", _entity(lambda k: f"0\n3DFACE\n10\n{k % 99}\n20\n0\n11\n9\n21\n0\n12\n9\n22\n9\n13\n0\n23\n9\n", "elements")),
    Case("DXF, as many multilines", "drawing.dxf", _entity(lambda k: _mline(2 + k % 2), "elements")),
    Case("DXF, one multiline of many points", "drawing.dxf", lambda share: _dxf([_mline(how_many(LIMITS.points / 20, share))])),
    Case("DXF, one light polyline", "drawing.dxf", _one("0\nLWPOLYLINE\n8\n0\n70\n0\n", lambda k: f"10\n{k % 290}.5\n20\n{k * 37 % 283}.25\n", 1)),
    Case("DXF, one light polyline of bulges", "drawing.dxf", _one("0\nLWPOLYLINE\n8\n0\n70\n1\n", lambda k: f"10\n{k % 290}.5\n20\n{k * 37 % 283}.25\n42\n{k % 7}.5\n", 250)),
    Case("DXF, one old polyline", "drawing.dxf", _one("0\nPOLYLINE\n8\n0\n66\n1\n70\n0\n", lambda k: f"0\nVERTEX\n10\n{k % 290}.5\n20\n{k * 37 % 283}.25\n", 1, LIMITS.elements, "0\nSEQEND\n")),
    Case("DXF, one spline of control points", "drawing.dxf", _one("0\nSPLINE\n8\n0\n71\n3\n", lambda k: f"10\n{k % 290}.5\n20\n{k * 37 % 283}.25\n", 50)),
    Case("DXF, one spline through fit points", "drawing.dxf", _one("0\nSPLINE\n8\n0\n71\n3\n", lambda k: f"11\n{k % 290}.5\n21\n{k * 37 % 283}.25\n", 50)),
    Case("DXF, one spline of degree 11", "drawing.dxf", _one("0\nSPLINE\n8\n0\n71\n11\n", lambda k: f"10\n{k % 290}.5\n20\n{k * 37 % 283}.25\n", 50)),
    Case("DXF, nested inserts, ten by ten", "drawing.dxf", _nested_inserts(12, 10)),
    Case("DXF, nested inserts, two by two", "drawing.dxf", _nested_inserts(60, 2)),
    Case("DXF, nested inserts of nothing", "drawing.dxf", _nested_inserts(60, 2, 1, "0\nPOINT\n10\n0\n20\n0\n")),
    Case("DXF, nested arrays", "drawing.dxf", _nested_inserts(5, 1, 30000)),
    Case("DXF, inserts of an array", "drawing.dxf", _nested_inserts(2, 1, int((LIMITS.expanded / 2.1) ** 0.5))),
    Case("DXF, as many blocks and inserts", "drawing.dxf", _blocks_and_inserts),
    Case("DXF, a chain of blocks", "drawing.dxf", _nested_inserts(100_000, 1)),
    Case("DXF, many layers", "drawing.dxf", _tables(lambda k: f"0\nLAYER\n2\nL{k}\n70\n0\n62\n7\n", 10**6, "LAYER")),
    Case("DXF, many linetypes", "drawing.dxf", _tables(lambda k: f"0\nLTYPE\n2\nL{k}\n73\n2\n49\n1\n49\n-1\n", 10**6, "LTYPE")),
    Case("DXF, one linetype of many dashes", "drawing.dxf", _tables(lambda k: ("0\nLTYPE\n2\nL\n" if k == 0 else "") + "49\n1\n49\n-1\n", 5 * 10**6, "LTYPE")),
    Case("DXF, binary", "drawing.dxf", _binary),
    Case("DXF, a record of as many tags as the file holds", "drawing.dxf", lambda share: _dxf([_line(300), "0\nTEXT\n", *_blocks(lambda _: "1\na\n", int(19_000_000 * share))])),
    Case("DXF, as many sections as the file holds", "drawing.dxf", lambda share: _dxf([_line(300)], _blocks(lambda k: f"0\nSECTION\n2\nS{k}\n0\nENDSEC\n", int(2_500_000 * share)))),
    Case("DXF with a blank line before each record", "drawing.dxf", lambda share: _dxf(_blocks(lambda k: "\n" + _line(k), how_many(LIMITS.elements, share)))),
    Case("DXF of blank lines", "drawing.dxf", lambda share: _dxf([_line(300), "x\n", *_blocks(lambda _: "\n", int(_BIG * share))])),
    Case("DXF of junk between records", "drawing.dxf", lambda share: _dxf(_blocks(lambda k: "junk\n" + _line(k), how_many(LIMITS.elements, share)))),
)  # fmt: skip

# Settings and indexes ----------------------------------------------------------------------------

_TOML = 1_950_000
_JSON = 29_000_000


def _long(head: str, unit: str, tail: str, size: int) -> Callable[[float], Iterator[str]]:
    return lambda share: [head, *_blocks(lambda _: unit, how_many(size / len(unit), share)), tail]  # type: ignore[return-value]


def _counted(head: str, row: Callable[[int], str], size: int) -> Callable[[float], Iterator[str]]:
    return lambda share: [head, *_blocks(row, how_many(size / len(row(10**4)), share), block=10**9)]  # type: ignore[return-value]


def _settings(file: str, what: str, table: str) -> tuple[Case, ...]:
    return (
        Case(f"{what}, nested lists", file, _long("a = ", "[", "", _TOML)),
        Case(f"{what}, nested tables", file, _long("a = ", "{a=", "", _TOML)),
        Case(f"{what}, one dotted key", file, _long("a", ".a", " = 1", _TOML)),
        Case(
            f"{what}, dotted keys", file, _counted("", lambda k: ".".join("abcdefgh") + f".k{k} = 1\n", _TOML)
        ),
        Case(f"{what}, long dotted headers", file, _counted("", lambda k: f"[a{'.a' * 900}.k{k}]\n", _TOML)),
        Case(f"{what}, entries", file, _counted("", lambda k: f"[[{table}]]\nname = 'n{k}'\n", _TOML)),
        Case(f"{what}, unknown keys", file, _counted("", lambda k: f"key{k} = {k}\n", _TOML)),
        Case(f"{what}, one long number", file, _long("a = 1", "0", "", _TOML)),
        Case(f"{what}, one long decimal", file, _long("width = 1.", "0", "1", _TOML)),
        Case(f"{what}, one long text", file, _long("name = '", "word ", "'", _TOML)),
        Case(f"{what}, escapes", file, _long('name = "', "\\u00e9", '"', _TOML)),
        Case(f"{what}, one long key", file, _long("", "a", " = 1", _TOML)),
    )


JOB = (
    *_settings("job.toml", "job file", "drawing"),
    *_settings("machine.toml", "machine profile", "tool"),
    Case("job.json, nested lists", "job.json", _long('{"files": ', "[", "}", _JSON)),
    Case("job.json, empty lists", "job.json", _long('{"files": [', "[],", "[]]}", _JSON)),
    Case("job.json, empty tables", "job.json", _long('{"files": [', "{},", "{}]}", _JSON)),
    Case("job.json, small numbers", "job.json", _long('{"files": [', "1,", "1]}", _JSON)),
    Case("job.json, decimals", "job.json", _long('{"files": [], "x": [', "1.25,", "1]}", _JSON)),
    Case("job.json, one long number", "job.json", _long('{"files": [], "x": ', "1", "}", _JSON)),
    Case("job.json, names", "job.json", _counted('{"files": ["a"', lambda k: f',"n{k}"', _JSON // 10)),
)  # fmt: skip

# Machine files -----------------------------------------------------------------------------------

_MACHINE = 0.97 * LIMITS.machine_bytes


def _hpgl(unit: Callable[[int], str]) -> Callable[[float], Iterator[str]]:
    def rows(share: float) -> Iterator[str]:
        block = "".join(map(unit, range(1000)))
        yield "IN;SP1;"
        for _ in range(max(int(_MACHINE * share / len(block)), 1)):
            yield block
        yield "PU;SP0;"

    return rows


def _gcode(unit: Callable[[int], str]) -> Callable[[float], Iterator[str]]:
    def rows(share: float) -> Iterator[str]:
        block = "".join(map(unit, range(1000)))
        yield "G21 G90 G17 G94\n"
        for _ in range(max(int(_MACHINE * share / len(block)), 1)):
            yield block
        yield "G0 Z5\nM2\n"

    return rows


MACHINE = (
    Case("HP-GL, strokes", "sheet.hpgl", _hpgl(lambda k: f"PU{k % 9000},{k % 8000};\nPD{k % 7000},{k % 9999};\n")),
    Case("HP-GL, one long stroke", "sheet.hpgl", lambda share: ["IN;SP1;PD", *_blocks(lambda k: f"{k % 9},{k % 7},", int(_MACHINE * share / 4)), "1,1;PU;SP0;"]),
    Case("HP-GL, circles of the finest chord", "sheet.hpgl", _hpgl(lambda k: f"PD;CI{k + 100},0.5;")),
    Case("HP-GL, arcs", "sheet.hpgl", _hpgl(lambda k: f"PD;AA{k},{k + 9},360,0.5;")),
    Case("HP-GL, instructions without effect", "sheet.hpgl", _hpgl(lambda _: "VS9;")),
    Case("HP-GL, unknown instructions", "sheet.hpgl", _hpgl(lambda _: "XX;")),
    Case("HP-GL, pens", "sheet.hpgl", _hpgl(lambda k: f"SP{k % 8};")),
    Case("HP-GL, labels", "sheet.hpgl", _hpgl(lambda _: "LBaa\x03")),
    Case("G-code, strokes", "sheet.gcode", _gcode(lambda k: f"G0 Z5\nG0 X{k % 290}.25 Y{k % 283}.5\nG1 Z-0.2 F60\nG1 X{k % 271}.75 Y{k % 299} F1200\n")),
    Case("G-code, points", "sheet.gcode", _gcode(lambda k: f"X{k % 9}\n")),
    Case("G-code, arcs", "sheet.gcode", _gcode(lambda k: f"G2 X{k % 9} I{k + 50}\n")),
    Case("G-code, dwells", "sheet.gcode", _gcode(lambda _: "G4P1\n")),
    Case("G-code, comments", "sheet.gcode", _gcode(lambda _: "(a)\n")),
    Case("G-code, unknown words", "sheet.gcode", _gcode(lambda _: "G33\n")),
    Case("G-code, one long line", "sheet.gcode", lambda share: ["G21G90\n", *_blocks(lambda _: "G1", int(_MACHINE * share / 2)), "\nM2\n"]),
    Case("G-code, blank lines", "sheet.gcode", _gcode(lambda _: "\n")),
)  # fmt: skip

CASES = (*SVG, *DXF, *JOB, *MACHINE)
