"""A sheet to strokes: stages first, then short travel within each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from cutprep.geometry.placed import place
from cutprep.model.lines import Flags, Index, Lines
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport, Tally
from cutprep.order.stages import STAGE_NAMES, stage
from cutprep.progress import Progress, silent


def order(
    sheet: Sheet,
    *,
    home: tuple[float, float] = (0.0, 0.0),
    tools: Sequence[Iterable[Operation]] = (),
    seed: int = 0,
    effort: str = "normal",
    tear_weight: float = 5.0,
    finish: str = "sheet",
    metric: str = "length",
    explain: bool = False,
    progress: Progress = silent,
) -> Strokes:
    """Put the lines of a sheet into working order."""
    return plan(
        sheet,
        home=home,
        tools=tools,
        seed=seed,
        effort=effort,
        tear_weight=tear_weight,
        finish=finish,
        metric=metric,
        explain=explain,
        progress=progress,
    )[0]


def plan(
    sheet: Sheet,
    *,
    home: tuple[float, float] = (0.0, 0.0),
    tools: Sequence[Iterable[Operation]] = (),
    seed: int = 0,
    effort: str = "normal",
    tear_weight: float = 5.0,
    finish: str = "sheet",
    metric: str = "length",
    explain: bool = False,
    progress: Progress = silent,
) -> tuple[Strokes, OrderReport]:
    """Put the lines of a sheet into working order, and tell what that saves."""
    placed = place(sheet)
    staged = stage(placed)
    lines = placed.lines.take(staged.rows)
    turn, reverse, first = _nearest(lines, staged.rank, np.asarray(home, np.float64))
    picked = lines.take(turn, reverse)
    worked = _start_at(picked, first)
    strokes = Strokes(
        lines=worked,
        stage=staged.stage[turn],
        part=placed.part[staged.rows][turn],
        outline=placed.outline[staged.rows][turn],
        home=home,
        reasons=tuple(f"stage: {STAGE_NAMES[s]}" for s in staged.stage[turn]) if explain else (),
    )
    tally = Tally(len(strokes), len(strokes), strokes.travel)
    progress("order", 1, 1)
    return strokes, OrderReport(tally, tally, tally, tally, method="nearest end next")


def _nearest(lines: Lines, rank: Index, home: np.ndarray) -> tuple[Index, Flags, Index]:
    at = home
    turn, reverse, first = [], [], []
    closed = lines.closed
    heads, tails = lines.xy[lines.start[:-1]], lines.xy[lines.start[1:] - 1]
    for level in np.unique(rank):
        left = np.flatnonzero(rank == level)
        while len(left):
            head = np.hypot(*(heads[left] - at).T)
            tail = np.hypot(*(tails[left] - at).T)
            k = int(np.minimum(head, tail).argmin())
            i, back = int(left[k]), bool(tail[k] < head[k])
            start = 0
            if closed[i]:
                start = int(np.hypot(*(lines.points(i)[:-1] - at).T).argmin())
                at = lines.points(i)[start]
            else:
                at = heads[i] if back else tails[i]
            turn.append(i)
            reverse.append(back)
            first.append(start)
            left = np.delete(left, k)
    return np.array(turn, np.int64), np.array(reverse, bool), np.array(first, np.int64)


def _start_at(lines: Lines, first: Index) -> Lines:
    rows = np.arange(len(lines.xy))
    for i in np.flatnonzero(first):
        a, b, k = int(lines.start[i]), int(lines.start[i + 1]), int(first[i])
        ring = rows[a : b - 1]
        rows[a : b - 1] = np.roll(ring, -k)
        rows[b - 1] = rows[a]
    return Lines(
        xy=lines.xy[rows],
        start=lines.start,
        operation=lines.operation,
        fold=lines.fold,
        source=lines.source,
        curved=lines.curved[rows],
        elements=lines.elements,
    )
