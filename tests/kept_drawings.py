"""What is found in drawings and what mending makes of them: read and kept as pages are (`tests.readings`).

The drawings are the smallest of each code, and random ones in which each kind of fault was planted, turned anyhow.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from tests.drawn import LIMITS, Pen, box
from tests.examples.drawings import DRAWINGS, KNOWN
from tests.handmade import handmade
from tests.planted import PLANT, drawing

#: Ways of mending that she may ask for.
WAYS: dict[str, Mending] = {
    "usual": Mending(),
    "all": Mending(keep="cut", ask=frozenset({"straighten", "arcs", "stubs"})),
    "score": Mending(keep="score", gap=0.3, trim=1.0),
    "outline": Mending(keep="outline", ask=frozenset({"straighten"}), trim=0.0),
}
#: A fringe that is trimmed at both its ends, almost straight runs that begin and end a line, lines one on another in a row.
HARD: dict[str, Drawing] = {
    "fringe": Pen()
    .cut([(0, 0), (100, 0), (100, 60), (0, 60), (0, 0)], [(-3, 20), (40, 20), (60, 40), (103, 40)])
    .score([(30, -2), (30, 30), (70, 30), (70, 62)])
    .drawing,
    "bent": Pen()
    .cut(box(0, 0, 100, 60))
    .score(
        [(10, 10), (12, 10.02), (90, 10)], [(0, 20), (30, 20.01), (60, 20), (80, 30), (90, 29.99), (100, 30)]
    )
    .drawing,
    # A line between two that do not touch each other: it goes, and takes nothing of either with it.
    "side by side": Pen()
    .cut([(0, 0), (100, 0)], [(20, 0.08), (60, 0.08)], [(30, 0.16), (55, 0.16)], [(10, 0.16), (25, 0.16)])
    .drawing,
    "stacked": Pen()
    .cut(box(0, 0, 100, 60), [(0, 0), (60, 0)], [(40, 0), (100, 0), (100, 30)], [(20, 0), (50, 0)])
    .score([(50, 0), (50, 60)], [(50, 10), (50, 40)], [(50, 30), (50, 60)])
    .cut([(50, 35), (50, 45)])
    .drawing,
}


def _told(found: Finding) -> str:
    figures = " ".join("none" if one is None else f"{one:.3f}" for one in (found.measure, found.limit))
    where = "; ".join(
        f"{p.layer or ''} {p.element or ''} " + ("-" if p.xy is None else f"{p.xy[0]:.2f} {p.xy[1]:.2f}")
        for p in found.places[:2]
    )
    count = len(found.places)
    return (
        f"  {found.code} {found.severity.value} {found.mend.value} {figures} {found.unit} {count} [{where}] {found.problem} "
        f"{found.fix}"
    )


def _lines(lines: Lines) -> Iterator[str]:
    """Lines of each operation: how many, of how many points, how long, and where on average, by their length."""
    for operation in Operation:
        own = lines.take(lines.operation == operation)
        if len(own):
            first, last = own.xy[own.start[:-1]].mean(axis=0), own.xy[own.start[1:] - 1].mean(axis=0)
            spots = np.concatenate((first, last, own.xy.mean(axis=0), own.xy.std(axis=0)))
            told = " ".join(f"{v:.3f}" for v in (own.lengths.sum(), *spots))
            yield f"  {operation.word}: {len(own)} lines, {int(own.closed.sum())} closed, {len(own.xy)} points, {told}"


def _random() -> Iterator[tuple[str, Drawing]]:
    for k, name in enumerate(PLANT):
        yield name, drawing(500 + k, plant=(name,), cells=2)[0]
    for seed in range(5):
        yield f"by hand {seed}", handmade(seed)[0]


def _checked() -> Iterator[str]:
    for code, one in {**DRAWINGS, **HARD}.items():
        yield code
        yield from map(_told, check(one, LIMITS, **KNOWN.get(code, {})))  # type: ignore[arg-type]
    for name, one in _random():
        yield name
        yield from map(_told, check(one, LIMITS, strip=1.5, blade_offset=0.25))


def _mended() -> Iterator[str]:
    for name, one in (*DRAWINGS.items(), *HARD.items(), *_random()):
        for way, how in WAYS.items():
            if way == "usual" or name in HARD or "by hand" in name:
                yield f"{name}, {way}"
                better, changes = mend(one, LIMITS, how)
                joined = Counter(change.problem for change in changes if change.code == "joined-lines")
                yield from (_told(change) for change in changes if change.code != "joined-lines")
                yield from (f"  {times} times: {problem}" for problem, times in joined.items())
                yield from _lines(better.lines) if changes else ()


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "drawings-checked": lambda: list(_checked()),
    "drawings-mended": lambda: list(_mended()),
}
