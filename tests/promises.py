"""Drawings for what mending promises: of each code that it can mend, any number, spoilt at random."""

from __future__ import annotations

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Lines
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from tests.drawn import LIMITS, Pen, box, circle
from tests.handmade import handmade
from tests.planted import drawing

#: Code to what plants it in `tests.planted`, and what the maker says to have it mended.
PLANTED: dict[str, tuple[tuple[str, ...], dict[str, object]]] = {
    "doubled-line": (("double_whole", "double_part", "triple"), {}),
    "doubled-across-operations": (("across",), {"keep": "cut"}),
    "gap": (("gap",), {}),
    "score-past-outline": (("past",), {}),
    "score-short-of-outline": (("short",), {}),
    "crumb": (("crumb",), {}),
    "stub": (("stub",), {"ask": frozenset({"stubs"})}),
}
#: Codes that are made from clean drawings here.
MADE = ("cut-past-outline", "repeated-point", "score-over-hole")
CODES = (*PLANTED, *MADE)


def spoilt(code: str, seed: int) -> Drawing:
    """A random drawing that has a fault of this code."""
    if code in PLANTED:
        names = PLANTED[code][0]
        return drawing(31_000 + seed, plant=(names[seed % len(names)],) * 2, cells=3)[0]
    if code == "repeated-point":
        clean = handmade(seed, spoil=False)[0]
        points = [
            np.repeat(line.points, 2, axis=0) if k % 7 == 0 else line.points
            for k, line in enumerate(clean.lines)
        ]
        lines = clean.lines
        return clean.with_lines(
            Lines.of(
                points,
                operation=lines.operation,
                fold=lines.fold,
                source=lines.source,
                elements=lines.elements,
            )
        )
    if code == "score-over-hole":
        rng = np.random.default_rng(seed)
        x, r, over = rng.uniform(30, 70), rng.uniform(4, 12), rng.uniform(0.5, 5)
        pen = Pen().cut(box(0, 0, 100, 60), circle((x, 30), r)).score([(x, 0), (x, 30 - r + over)])
        return pen.score([(x, 30 + r), (x, 60)]).drawing
    while code not in {f.code for f in check(handmade(seed)[0], LIMITS)}:
        seed += 1_000
    return handmade(seed)[0]


def mendable(findings: tuple[Finding, ...], code: str) -> list[Finding]:
    """Findings of a code of which the finding itself says that mending cures them."""
    return [f for f in findings if f.code == code and f.mend.value != "none"]


def unkept(code: str, seed: int) -> list[Finding]:
    """What `check` still tells of a code after mending, although it said that mending cures it."""
    said = PLANTED[code][1] if code in PLANTED else {}
    mended, _ = mend(spoilt(code, seed), LIMITS, Mending(**said))  # type: ignore[arg-type]
    return mendable(check(mended, LIMITS), code)
