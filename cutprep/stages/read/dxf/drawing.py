"""Read a DXF drawing: the whole way from bytes to a `Drawing`.

`tags` -> sections, tables, blocks (`structure`) -> unit (`units`) -> shapes in their blocks
(`shapes/`: entities, splines, faces, multilines) -> where each block appears (`blocks`) and how each
entity looks (`looks`) -> lines on the plane, flattened under their last matrix (`shapes/flat`). What is
left out on the way is counted record by record and told (`notes`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import DrawingError, at
from cutprep.limits import Limits, more
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Element, Flags, Index, Lines, Sources
from cutprep.model.operation import Fold, Operation
from cutprep.stages.read.dxf.blocks import Instances, expand_blocks, find_inserts
from cutprep.stages.read.dxf.looks import Looks
from cutprep.stages.read.dxf.notes import DRAWN, Account, tell
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.clip import clip_inserts, find_clips
from cutprep.stages.read.dxf.shapes.entities import (
    Remarks,
    flags_of,
    shape_arcs,
    shape_ellipses,
    shape_light_polylines,
    shape_lines,
    shape_polylines,
)
from cutprep.stages.read.dxf.shapes.faces import shape_faces, shape_meshes
from cutprep.stages.read.dxf.shapes.flat import FlatLines, flatten
from cutprep.stages.read.dxf.shapes.multilines import shape_multilines
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, gather
from cutprep.stages.read.dxf.shapes.splines import shape_splines
from cutprep.stages.read.dxf.structure import Structure, read_structure
from cutprep.stages.read.dxf.tags import Tags, read_tags
from cutprep.stages.read.dxf.texts import text_places
from cutprep.stages.read.dxf.units import find_unit
from cutprep.stages.read.other_units import sizes_in
from cutprep.tolerance import Tolerance

_MESH_BITS = 16 | 64


def read_dxf(data: bytes, *, file: str, tolerance: Tolerance, units: str | None, limits: Limits) -> Drawing:
    """Read a DXF drawing, ASCII or binary, of any release.

    Parameters
    ----------
    data
        The file's bytes.
    file
        Its name, for messages.
    tolerance
        `sagitta` is the largest chord error of flattened curves.
    units
        Unit of a drawing that names none.
    limits
        Upper bounds on what the file may ask for.

    Returns
    -------
    Drawing
        Lines in mm in the order of the file, unplaced. There is no page in model space, and the
        drawing stays where it lies.

    Raises
    ------
    DrawingError
        When the file is damaged, breaks off, asks for too much, or holds no line work.
    JobError
        When `units` is no unit.
    """
    with at(file=file):
        structure = read_structure(_within(read_tags(data), limits))
        scale = find_unit(structure, units, file)
        with np.errstate(all="ignore"):  # what overflows is found, and refused with its place, at the end
            visible = _draw(structure, scale.mm, tolerance, limits)
        texts = text_places(structure, _split_paper(structure)[0], scale.mm, file)
        visible.account.taken.update(texts)
        lines = _collect(structure, visible, scale.mm, file)
        notes = tell(structure, visible.account, lines, file=file, tolerance=tolerance)
    return Drawing(
        name=file,
        lines=lines,
        scale_note=scale.note,
        notes=tuple(_with_sizes(finding, lines, scale.mm) for finding in scale.findings) + notes,
        unit_mm=scale.mm,
        unit_named=scale.stated,
        texts=tuple(texts.values()),
    )


def _within(tags: Tags, limits: Limits) -> Tags:
    """The same tags, when there are not too many records."""
    count = int((tags.code == 0).sum())
    if count > limits.elements:
        raise DrawingError(
            f"the drawing has {count:,} records; the limit is {limits.elements:,}",
            fix=more("Simplify the drawing or split it.", "elements"),
        )
    return tags


def _with_sizes(finding: Finding, lines: Lines, unit_mm: float) -> Finding:
    """Add to an assumed unit how large the drawing would be in another one."""
    if finding.code != "unit-assumed":
        return finding
    return replace(finding, fix=f"{finding.fix.rstrip('.')}: {sizes_in(lines, unit_mm, ('mm', 'in', 'cm'))}.")


@dataclass(frozen=True, slots=True, eq=False)
class _VisibleLines:
    """Flat lines with, for each, its record and the number of the look under which it is seen."""

    flat: FlatLines
    record: Index
    seen: Index
    looks: Looks
    account: Account


def _draw(structure: Structure, mm: float, tolerance: Tolerance, limits: Limits) -> _VisibleLines:
    records = structure.records
    drawn, on_paper = _split_paper(structure)
    walk = find_inserts(structure, drawn)
    remarks = Remarks()
    shapes = _shape(structure, walk.owner >= 0, remarks, limits)
    looks = Looks(structure, walk.owner >= 0)
    held = walk.owner[shapes.record]
    order = np.argsort(held, kind="stable")
    counts = np.bincount(held, minlength=len(walk.names))
    clips = find_clips(structure, walk)
    instances = expand_blocks(walk, records, looks, counts, mm, limits, clips.boundary)
    line, instance = _expand(instances, order, counts)
    seen = looks.see(shapes.record[line], instances.around[instance])
    shown = np.array([not s.hidden for s in looks.seen])[seen]
    account = Account(
        walk=walk,
        instances=instances,
        remarks=remarks,
        clips=clips,
        on_paper=np.flatnonzero(on_paper).tolist(),
        hidden=[
            (r, looks.seen[s])
            for r, s in zip(shapes.record[line[~shown]].tolist(), seen[~shown].tolist(), strict=True)
        ],
    )
    line, instance, seen = line[shown], instance[shown], seen[shown]
    record = shapes.record[line]
    flat = flatten(shapes.take(line), instances.matrix, instance, tolerance, limits)
    account.flat(flat, record, mm)
    flat = clip_inserts(flat, instance[flat.line], instances, clips, tolerance)
    _refuse_far(flat, records, record, limits)
    return _VisibleLines(flat, record[flat.line], seen[flat.line], looks, account)


def _split_paper(structure: Structure) -> tuple[Flags, Flags]:
    """Entities of the drawing, and those on its printed sheets (group 67)."""
    paper = structure.records.column(67, structure.entities, 0.0) != 0
    return structure.entities & ~paper, structure.entities & paper


def _shape(structure: Structure, chosen: Flags, remarks: Remarks, limits: Limits) -> SpatialLines:
    records = structure.records
    kinds: dict[str, list[int]] = {}
    for record in np.flatnonzero(chosen).tolist():
        kinds.setdefault(records.kind[record], []).append(record)

    def of(*names: str) -> Index:
        return np.array(sorted(i for name in names for i in kinds.get(name, ())), np.int64)

    drawn = flags_of(records, of(*DRAWN))
    at = records.find(39, drawn)
    remarks.thick += records.owner[at[records.floats(at) != 0]].tolist()
    polylines = of("POLYLINE")
    mesh = (records.column(70, flags_of(records, polylines), 0.0)[polylines].astype(int) & _MESH_BITS) > 0
    styles = {
        records.text(i, 5).upper(): i
        for i in np.flatnonzero(structure.objects).tolist()
        if records.kind[i] == "MLINESTYLE"
    }
    return gather(
        [
            shape_lines(records, of("LINE", "3DLINE"), remarks),
            shape_arcs(records, of("ARC", "CIRCLE"), remarks),
            shape_ellipses(records, of("ELLIPSE"), remarks),
            shape_light_polylines(records, of("LWPOLYLINE"), remarks),
            shape_polylines(records, polylines[~mesh], of("VERTEX"), remarks),
            shape_meshes(records, polylines[mesh], remarks),
            shape_splines(records, of("SPLINE", "HELIX"), remarks, limits),
            shape_faces(records, of("3DFACE"), remarks),
            shape_multilines(records, of("MLINE"), styles, remarks),
        ]
    )


def _expand(instances: Instances, order: Index, counts: Index) -> tuple[Index, Index]:
    """Lines of every instance, and the instance of each; in the order of the file."""
    first = np.cumsum(counts) - counts
    held = counts[instances.block]
    instance = np.repeat(np.arange(len(held)), held)
    rank = np.arange(len(instance)) - np.repeat(np.cumsum(held) - held, held)
    return order[first[instances.block[instance]] + rank], instance


def _refuse_far(flat: FlatLines, records: Records, record: Index, limits: Limits) -> None:
    far = np.flatnonzero(~(np.abs(flat.xy) <= limits.coordinate).all(axis=1))
    if not len(far):
        return
    line = int(np.searchsorted(flat.start, far[0], side="right")) - 1
    source = int(record[flat.line[line]])
    with at(line=records.line(source), element=records.name(source)):
        raise DrawingError(
            f"a coordinate is {np.abs(flat.xy[far[0]]).max():.3g} mm; the limit is {limits.coordinate:.0e} mm",
            fix=more("Check the drawing's unit, and delete what lies far off.", "coordinate"),
        )


def _collect(structure: Structure, visible: _VisibleLines, mm: float, file: str) -> Lines:
    """Lines with their elements; the same entity in the same look is one element."""
    records = structure.records
    pairs, source = _unique_pairs(visible.record, visible.seen)
    handles = records.texts(5, flags_of(records, visible.record))
    dashes = [visible.looks.dash(seen, mm) for seen in visible.looks.seen]
    looks = visible.looks.seen
    at_line = records.tags.line[records.first[pairs[:, 0]]].tolist()
    elements = tuple(
        Element(
            file=file,
            line=line or None,
            tag=records.kind[record],
            ident=handles[record],
            layer=looks[seen].layer,
            colour=looks[seen].colour,
            dash=dashes[seen],
            width=looks[seen].weight / 100 if looks[seen].weight > 0 else None,
        )
        for (record, seen), line in zip(pairs.tolist(), at_line, strict=True)
    )
    m = len(visible.record)
    return Lines(
        xy=visible.flat.xy,
        start=visible.flat.start,
        operation=np.full(m, Operation.UNPLACED, np.int8),
        fold=np.full(m, Fold.UNSAID, np.int8),
        source=source,
        curved=visible.flat.curved,
        elements=elements or (Element(file=file),),
    )


def _unique_pairs(a: Index, b: Index) -> tuple[Index, Sources]:
    """The different pairs, sorted, and the number of the pair in each row."""
    width = int(b.max(initial=0)) + 1
    unique, inverse = np.unique(a * width + b, return_inverse=True)
    return np.column_stack(divmod(unique, width)), inverse.astype(np.int32)
