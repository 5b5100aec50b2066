"""DXF files written by hand, tag by tag, so that tests hold what no writer would let through."""

from __future__ import annotations

from collections.abc import Iterable

from cutprep.limits import Limits
from cutprep.model.drawing import Drawing
from cutprep.stages.read.dxf.drawing import read_dxf
from cutprep.tolerance import Tolerance

Pair = tuple[int, object]
Entity = list[Pair]


def entity(kind: str, *pairs: Pair) -> Entity:
    """One record."""
    return [(0, kind), *pairs]


def line(x1: float, y1: float, x2: float, y2: float, *more: Pair, layer: str = "cut") -> Entity:
    """A LINE."""
    return entity("LINE", (8, layer), (10, x1), (20, y1), (11, x2), (21, y2), *more)


def insert(block: str, x: float = 0, y: float = 0, *more: Pair, layer: str = "0") -> Entity:
    """An INSERT."""
    return entity("INSERT", (8, layer), (2, block), (10, x), (20, y), *more)


def block(name: str, *entities: Entity, base: tuple[float, float] = (0, 0), flags: int = 0) -> Entity:
    """A block definition."""
    head = entity("BLOCK", (8, "0"), (2, name), (70, flags), (10, base[0]), (20, base[1]), (30, 0))
    return [*head, *(pair for e in entities for pair in e), (0, "ENDBLK")]


def layer(name: str, colour: int = 7, *more: Pair, flags: int = 0, linetype: str = "CONTINUOUS") -> Entity:
    """A row of the layer table."""
    return entity("LAYER", (2, name), (70, flags), (62, colour), (6, linetype), *more)


def linetype(name: str, *lengths: float) -> Entity:
    """A row of the linetype table."""
    return entity("LTYPE", (2, name), (70, 0), *((49, length) for length in lengths))


def section(name: str, *records: Entity) -> Entity:
    """A section."""
    return [(0, "SECTION"), (2, name), *(pair for r in records for pair in r), (0, "ENDSEC")]


def header(**variables: Pair) -> Entity:
    """A header section; names without their $."""
    rows: Entity = []
    for name, pair in variables.items():
        rows += [(9, f"${name}"), pair]
    return section("HEADER", rows)


MM = header(INSUNITS=(70, 4))


def text(sections: Iterable[Entity], *, end: bool = True) -> str:
    """The file's text."""
    pairs = [pair for s in sections for pair in s] + ([(0, "EOF")] if end else [])
    return "".join(f"{code:>3}\n{value}\n" for code, value in pairs)


def drawing(
    *entities: Entity, head: Entity | None = MM, tables: Iterable[Entity] = (), blocks: Iterable[Entity] = ()
) -> str:
    """A whole file in millimetres."""
    sections = [] if head is None else [head]
    rows = list(tables)
    if rows:
        sections.append(section("TABLES", entity("TABLE", (2, "ANY")), *rows, entity("ENDTAB")))
    definitions = list(blocks)
    if definitions:
        sections.append(section("BLOCKS", *definitions))
    sections.append(section("ENTITIES", *entities))
    return text(sections)


def read_text(
    source: str | bytes, *, units: str | None = None, limits: Limits | None = None, sagitta: float = 0.02
) -> Drawing:
    """Read it as `tray.dxf`."""
    data = source if isinstance(source, bytes) else source.encode()
    return read_dxf(
        data, file="tray.dxf", tolerance=Tolerance(sagitta=sagitta), units=units, limits=limits or Limits()
    )
