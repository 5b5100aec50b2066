"""Blocks: every line of the drawing, and of each block as often as it is inserted.

An INSERT places a block under its own matrix; blocks hold inserts of other blocks. The walk goes
level by level, all inserts of a level at once, and multiplies 3 x 4 matrices: nothing is
decomposed into angles and scales on the way, which is where unequal scales under rotation go
wrong. How much a walk would draw is counted before anything is drawn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, fields, replace

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.limits import Limits, more
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.dxf.looks import Looks
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.entities import flags_of, frames, points
from cutprep.stages.read.dxf.structure import BlockDefinition, Structure


@dataclass(frozen=True, slots=True, eq=False)
class Instances:
    """Where the blocks appear, the drawing itself first.

    Attributes
    ----------
    block
        (k,) ndarray of int: number of the block; 0 is the drawing.
    matrix
        (k, 3, 4) ndarray of float: from the block's units to mm.
    around
        (k,) ndarray of int: number of the resolved look that "by block" and layer 0 refer to.
    top, record
        (k,) ndarray of int: record of the outermost insert, and of its own; -1 for the drawing.
    clip, outer
        (k,) ndarray of int: the instance whose clip lies nearest over it, which may be itself, and over
        the instance that holds it; -1 for none.
    """

    block: Index
    matrix: Points
    around: Index
    top: Index
    record: Index
    clip: Index
    outer: Index


@dataclass(slots=True)
class BlockGraph:
    """The blocks of a file and the inserts in them.

    Attributes
    ----------
    names
        Block numbers to names; number 0 is the drawing.
    owner
        (r,) ndarray of int: number of the block that a record lies in; -1 for none.
    missing, foreign
        INSERT records whose block is not there, or stands for another file.
    """

    names: list[str]
    owner: Index
    base: Points
    inserts: Index
    target: Index
    cells: Index
    missing: list[int] = field(default_factory=list)
    foreign: list[int] = field(default_factory=list)


def find_inserts(structure: Structure, drawn: Flags) -> BlockGraph:
    """Number the blocks and find what each INSERT inserts.

    Parameters
    ----------
    drawn
        (r,) ndarray of bool: the records of the drawing itself.
    """
    records = structure.records
    blocks: list[BlockDefinition] = list(structure.blocks.values())
    numbers = {name: i + 1 for i, name in enumerate(structure.blocks)}
    owner = np.where(drawn, 0, -1).astype(np.int64)
    for i, block in enumerate(blocks):
        owner[block.first : block.last] = i + 1
    inserts = np.array([i for i, kind in enumerate(records.kind) if kind == "INSERT"], np.int64)
    inserts = inserts[owner[inserts] >= 0]
    walk = BlockGraph(
        names=["", *(b.name for b in blocks)],
        owner=owner,
        base=np.array([(0.0, 0.0, 0.0), *(b.base for b in blocks)]),
        inserts=inserts,
        target=np.zeros(0, np.int64),
        cells=np.zeros(0, np.int64),
    )
    names = records.texts(2, flags_of(records, inserts))
    target = np.array([numbers.get(names[i].lower(), 0) for i in inserts.tolist()], np.int64)
    foreign = np.array([t > 0 and blocks[t - 1].foreign for t in target.tolist()], bool)
    walk.missing = inserts[target == 0].tolist()
    walk.foreign = inserts[foreign].tolist()
    usable = (target > 0) & ~foreign
    walk.inserts, walk.target = inserts[usable], target[usable]
    columns, rows, _, _ = _array(records, walk.inserts)
    walk.cells = columns * rows
    return walk


def _array(records: Records, inserts: Index) -> tuple[Index, Index, Points, Points]:
    """Columns, rows and spacings of each INSERT; repeats in one place count once."""
    flags = flags_of(records, inserts)
    wide, high, dx, dy = (
        records.column(code, flags, d)[inserts] for code, d in ((70, 1), (71, 1), (44, 0), (45, 0))
    )
    columns = np.where(dx != 0, np.maximum(wide, 1), 1).astype(np.int64)
    rows = np.where(dy != 0, np.maximum(high, 1), 1).astype(np.int64)
    return columns, rows, dx, dy


def refuse_cycles(walk: BlockGraph, records: Records) -> None:
    """Stop when a block that is drawn holds itself, straight or through others.

    Raises
    ------
    DrawingError
        Naming the blocks and the insert that closes the circle.
    """
    held: dict[int, list[tuple[int, int]]] = {}
    for record, target in zip(walk.inserts.tolist(), walk.target.tolist(), strict=True):
        held.setdefault(int(walk.owner[record]), []).append((target, record))
    done: set[int] = set()
    path: list[int] = [0]
    on_path = {0}
    stack: list[Iterator[tuple[int, int]]] = [iter(held.get(0, ()))]
    while stack:
        step = next(stack[-1], None)
        if step is None:
            stack.pop()
            left = path.pop()
            done.add(left)
            on_path.discard(left)
            continue
        target, record = step
        if target in on_path:
            ring = " > ".join(walk.names[b] for b in [*path[path.index(target) :], target])
            raise DrawingError(
                f"a block holds itself: {ring}",
                fix="Take the inner insert out, or explode the blocks.",
                place=Place(line=records.line(record), element=records.name(record)),
            )
        if target not in done:
            path.append(target)
            on_path.add(target)
            stack.append(iter(held.get(target, ())))


def expand_blocks(
    walk: BlockGraph,
    records: Records,
    looks: Looks,
    lines: Index,
    mm_per_unit: float,
    limits: Limits,
    clipped: Collection[int] = (),
) -> Instances:
    """Walk the inserts from the drawing down.

    Parameters
    ----------
    lines
        (b,) ndarray of int: how many lines each block draws itself.
    clipped
        Records of inserts with a clip.

    Raises
    ------
    DrawingError
        When inserts are nested too deeply or draw more than the limits allow.
    """
    refuse_cycles(walk, records)
    own = _matrices(walk, records)
    order = np.argsort(walk.owner[walk.inserts], kind="stable")
    holder = walk.owner[walk.inserts][order]
    root = np.zeros((1, 3, 4))
    root[0, :, :3] = np.eye(3) * mm_per_unit
    none = np.full(1, -1)
    level = Instances(np.zeros(1, np.int64), root, np.zeros(1, np.int64), none, none, none, none)
    levels = [level]
    placed, depth, before = 0, 0, 0
    clips = np.isin(walk.inserts, np.array(sorted(clipped), np.int64))
    while len(level.block):
        low = np.searchsorted(holder, level.block)
        held = np.searchsorted(holder, level.block, side="right") - low
        cells = _sums(walk.cells[order], low, held)
        placed += int(cells.sum())
        depth += 1
        _refuse_bombs(placed, depth, limits)
        before += len(level.block)
        level = _descend(walk, looks, own, level, order, low, held)
        own_clip = clips[np.searchsorted(walk.inserts, level.record)]
        level = replace(level, clip=np.where(own_clip, before + np.arange(len(own_clip)), level.outer))
        placed_lines = int(lines[level.block].sum()) if len(level.block) else 0
        _refuse_bombs(placed + placed_lines, depth, limits)
        placed += placed_lines
        levels.append(level)
    return Instances(*(np.concatenate([getattr(v, f.name) for v in levels]) for f in fields(Instances)))


def _sums(values: Index, low: Index, held: Index) -> Index:
    total = np.concatenate(([0], np.cumsum(values)))
    return np.asarray(total[low + held] - total[low])


def _refuse_bombs(placed: int, depth: int, limits: Limits) -> None:
    if placed > limits.expanded:
        raise DrawingError(
            f"inserted blocks draw {placed:,} or more elements; the limit is {limits.expanded:,}",
            fix=more("Explode what is needed and delete the other inserts.", "expanded"),
        )
    if depth > limits.depth:
        raise DrawingError(
            f"blocks are nested more than {limits.depth} deep", fix=more("Explode the inner ones.", "depth")
        )


def _descend(
    walk: BlockGraph,
    looks: Looks,
    own: tuple[Points, Points, Points, Index],
    level: Instances,
    order: Index,
    low: Index,
    held: Index,
) -> Instances:
    """All inserts inside the instances of one level."""
    parent = np.repeat(np.arange(len(level.block)), held)
    rank = np.arange(len(parent)) - np.repeat(np.cumsum(held) - held, held)
    insert = order[np.repeat(low, held) + rank]
    cells = walk.cells[insert]
    parent, insert = np.repeat(parent, cells), np.repeat(insert, cells)
    cell = np.arange(len(insert)) - np.repeat(np.cumsum(cells) - cells, cells)
    matrices, step_x, step_y, columns = own
    across = columns[insert]
    matrix = matrices[insert].copy()
    matrix[:, :, 3] += step_x[insert] * (cell % across)[:, None] + step_y[insert] * (cell // across)[:, None]
    record = walk.inserts[insert]
    around = looks.see(record, level.around[parent])
    top = np.where(level.top[parent] < 0, record, level.top[parent])
    placed = multiply(level.matrix[parent], matrix)
    outer = level.clip[parent]
    return Instances(walk.target[insert], placed, around, top, record, outer, outer)


def multiply(a: Points, b: Points) -> Points:
    """Multiply (k, 3, 4) affine matrices; b is applied first."""
    product = np.einsum("kij,kjl->kil", a[:, :, :3], b)
    product[:, :, 3] += a[:, :, 3]
    return np.asarray(product)


def _matrices(walk: BlockGraph, records: Records) -> tuple[Points, Points, Points, Index]:
    """Matrix of each INSERT, the steps in space from cell to cell of its array, and the columns of that.

    The block's base point goes to the insertion point; scale first, then rotation, then the
    plane of the insert. The array's spacing is turned with the insert but not scaled.
    """
    inserts = walk.inserts
    flags = flags_of(records, inserts)
    plane = frames(records, inserts)
    sx, sy, sz = (_not_zero(records.column(code, flags, 1.0)[inserts]) for code in (41, 42, 43))
    angle = np.radians(records.column(50, flags, 0.0)[inserts])
    cos, sin = _exact(np.cos(angle)), _exact(np.sin(angle))
    x = plane.x * cos[:, None] + plane.y * sin[:, None]
    y = plane.y * cos[:, None] - plane.x * sin[:, None]
    matrix = np.empty((len(inserts), 3, 4))
    matrix[:, :, 0] = x * sx[:, None]
    matrix[:, :, 1] = y * sy[:, None]
    matrix[:, :, 2] = plane.z * sz[:, None]
    base = walk.base[walk.target]
    shift = np.einsum("kij,kj->ki", matrix[:, :, :3], base)
    matrix[:, :, 3] = plane.lift(points(records, inserts, 10)) - shift
    columns, _, dx, dy = _array(records, inserts)
    return matrix, x * dx[:, None], y * dy[:, None], columns


def _not_zero(scale: Points) -> Points:
    """A scale of 0 would leave nothing to draw; writers put it where they mean 1."""
    return np.asarray(np.where(scale == 0, 1.0, scale))


def _exact(values: Points) -> Points:
    """Quarter turns without the 6e-17 that radians leave."""
    return np.asarray(np.where(np.abs(values) < np.finfo(float).eps, 0.0, values))


def find_odd_units(structure: Structure, walk: BlockGraph) -> list[int]:
    """Find the blocks whose record names a unit, and another one than the drawing."""
    drawing = structure.variable("$INSUNITS", 70) or 0.0
    records = structure.records
    units = {
        records.text(i, 2).lower(): records.number(i, 70, 0.0)
        for i in structure.tables.get("BLOCK_RECORD", [])
    }
    return [
        number
        for number, name in enumerate(walk.names)
        if number and drawing and units.get(name.lower(), 0.0) not in {0.0, drawing}
    ]
