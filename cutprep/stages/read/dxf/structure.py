"""The records of a DXF file in their sections: header, tables, blocks, entities.

Nothing is interpreted yet but the frame: which record lies in which section, table or block.
What the frame lacks is repaired only where no line work can be lost by it, and said; a file
that breaks off within its line work is refused, since half a template looks whole on the mat.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.model.lines import Flags
from cutprep.stages.read.dxf.records import AGAIN, Records, as_number
from cutprep.stages.read.dxf.tags import Tags

#: Sections that hold line work or decide how it looks.
_DRAWN = ("TABLES", "BLOCKS", "ENTITIES")
_MARKS = frozenset(("SECTION", "ENDSEC", "EOF"))
_OUTSIDE = ""
#: Blocks that stand for the drawing itself; nearly all writers leave them empty.
_MODEL_SPACE = ("*model_space", "$model_space")


@dataclass(frozen=True, slots=True)
class Section:
    """Records `first` up to, but without, `last`, the marks themselves left out."""

    name: str
    first: int
    last: int
    closed: bool = True


@dataclass(frozen=True, slots=True)
class BlockDefinition:
    """A block definition: a name, a base point, and records to be inserted elsewhere.

    Attributes
    ----------
    name
        As written; blocks are found by its lower-case form.
    record
        Its BLOCK record.
    first, last
        Records inside, `last` excluded.
    base
        Base point, drawing units.
    foreign
        It stands for another file, which is not read.
    """

    name: str
    record: int
    first: int
    last: int
    base: tuple[float, float, float]
    foreign: bool


@dataclass(frozen=True, slots=True, eq=False)
class Structure:
    """The frame of a file.

    Attributes
    ----------
    records
        All records.
    header
        Variable name, such as $INSUNITS, to its tags; None when the file has no header section.
    tables
        Record kind (LAYER, LTYPE, BLOCK_RECORD ...) to record numbers.
    blocks
        Lower-case name to block.
    entities
        (r,) ndarray of bool: the record lies in an entities section.
    objects
        (r,) ndarray of bool: the record lies in the objects section.
    repairs
        What was mended in the frame, as (sentence, place).
    """

    records: Records
    header: dict[str, dict[int, str]] | None
    tables: dict[str, list[int]]
    blocks: dict[str, BlockDefinition]
    entities: Flags
    objects: Flags
    repairs: tuple[tuple[str, Place], ...] = ()

    def variable(self, name: str, code: int) -> float | None:
        """A number of the header, or None when it isn't there."""
        text = (self.header or {}).get(name, {}).get(code)
        number = None if text is None else as_number(text, float("nan"))
        return number if number is not None and number == number else None  # noqa: PLR0124 - NaN


@dataclass(slots=True)
class _Repairs:
    found: list[tuple[str, Place]] = field(default_factory=list)

    def note(self, sentence: str, line: int | None = None) -> None:
        self.found.append((sentence, Place(line=line)))


def read_structure(tags: Tags) -> Structure:
    """Find sections, header variables, tables and blocks.

    Raises
    ------
    DrawingError
        When there are no records, the file breaks off within its line work, or is damaged there.
    """
    records = Records(tags)
    repairs = _Repairs()
    sections = _find_sections(records, repairs)
    _refuse_truncated(records, sections, repairs)
    _judge_damage(records, sections, repairs)
    inside = _member(records, sections)
    entities = inside("ENTITIES")
    if not entities.any() and not inside("BLOCKS").any():
        outside = inside(_OUTSIDE)
        if outside.any():
            entities = outside
            repairs.note("the entities stand outside any section; they were read as the drawing")
    blocks = _read_blocks(records, sections)
    for name in _MODEL_SPACE:
        space = blocks.pop(name, None)
        if space is not None:
            entities[space.first : space.last] = True
    return Structure(
        records=records,
        header=_read_header(records, sections),
        tables=_read_tables(records, inside("TABLES")),
        blocks=blocks,
        entities=entities,
        objects=inside("OBJECTS"),
        repairs=tuple(repairs.found),
    )


def _find_sections(records: Records, repairs: _Repairs) -> list[Section]:
    marks = [i for i, kind in enumerate(records.kind) if kind in _MARKS]
    sections: list[Section] = []
    name, first = _OUTSIDE, 0
    for mark in marks:
        kind = records.kind[mark]
        if mark > first or name:
            closed = kind == "ENDSEC"
            if name and not closed:
                repairs.note(f"the {name} section has no end; one was put in", records.line(mark))
            sections.append(Section(name, first, mark, closed=closed or not name))
        name, first = _OUTSIDE, mark + 1
        if kind == "SECTION":
            name = records.text(mark, 2).upper()
    if name or first < len(records):
        sections.append(Section(name, first, len(records), closed=False))
    return sections


def _refuse_truncated(records: Records, sections: list[Section], repairs: _Repairs) -> None:
    """A missing end mark is harmless only behind the line work."""
    if records.tags.ended:
        return
    last = sections[-1] if sections else None
    drawn = any(s.name == "ENTITIES" and s.closed for s in sections)
    if last is not None and (last.closed or last.name not in _DRAWN) and drawn:
        behind = "" if last.closed else f" within the {last.name} section, behind all line work"
        repairs.note(f"the file breaks off{behind}: its end mark is missing")
        return
    where = f"within the {last.name} section" if last is not None and last.name else "before its end mark"
    final = len(records) - 1
    place = Place(line=records.line(final), element=records.name(final)) if final >= 0 else Place()
    raise DrawingError(f"the file breaks off {where}; lines may be missing", fix=AGAIN, place=place)


def _judge_damage(records: Records, sections: list[Section], repairs: _Repairs) -> None:
    """Junk among the line work is refused; elsewhere, and blank lines, are stepped over."""
    for damage in records.tags.damage:
        if not damage.text:
            repairs.note("a blank line stands between two tags; it was stepped over", damage.line)
            continue
        # The record that the junk cut short is the one before it.
        record = int(records.owner[damage.tag - 1]) if damage.tag else -1
        name = next((s.name for s in sections if s.first <= record < s.last), _OUTSIDE)
        if name in _DRAWN:
            raise DrawingError(
                f"'{damage.text}' stands where a group code must be: the {name} section is damaged",
                fix=AGAIN,
                place=Place(line=damage.line, element=records.name(record)),
            )
        repairs.note(f"'{damage.text}' is no group code; it was stepped over", damage.line)


def _member(records: Records, sections: list[Section]) -> Callable[[str], Flags]:
    def inside(name: str) -> Flags:
        flags = np.zeros(len(records), bool)
        for section in sections:
            if section.name == name:
                flags[section.first : section.last] = True
        return flags

    return inside


def _read_header(records: Records, sections: list[Section]) -> dict[str, dict[int, str]] | None:
    """The variables stand in the record of the SECTION mark itself."""
    found = [s for s in sections if s.name == "HEADER"]
    if not found:
        return None
    header: dict[str, dict[int, str]] = {}
    for section in found:
        variable: dict[int, str] = {}
        for code, value in records.pairs(section.first - 1):
            if code == 9:
                variable = header.setdefault(str(value).strip().upper(), {})
            else:
                variable.setdefault(code, str(value).strip())
    return header


def _read_tables(records: Records, inside: Flags) -> dict[str, list[int]]:
    tables: dict[str, list[int]] = {}
    for record in np.flatnonzero(inside).tolist():
        tables.setdefault(records.kind[record].upper(), []).append(record)
    return tables


def _read_blocks(records: Records, sections: list[Section]) -> dict[str, BlockDefinition]:
    blocks: dict[str, BlockDefinition] = {}
    for section in sections:
        if section.name != "BLOCKS":
            continue
        inside = range(section.first, section.last)
        heads = [i for i in inside if records.kind[i] == "BLOCK"]
        for head, following in zip(heads, [*heads[1:], section.last], strict=False):
            ends = (i for i in range(head, following) if records.kind[i] == "ENDBLK")
            block = _read_block(records, head, next(ends, following))
            blocks[block.name.lower()] = block
    return blocks


def _read_block(records: Records, head: int, end: int) -> BlockDefinition:
    x, y, z = (records.number(head, code, 0.0) for code in (10, 20, 30))
    flags = int(records.number(head, 70, 0))
    return BlockDefinition(
        name=records.text(head, 2) or records.text(head, 3),
        record=head,
        first=head + 1,
        last=end,
        base=(x, y, z),
        foreign=bool(flags & (4 | 8)),
    )
