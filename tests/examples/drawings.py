"""What `check` finds: a drawing of a few lines for each code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS, Pen, box, circle

CARD = box(0, 0, 100, 60)
FOLD = [(50, 0), (50, 60)]
NOTCH = [(0, 0), (100, 0), (100, 60), (52, 60), (50, 10), (48, 60), (0, 60), (0, 0)]


def _pen(*cuts: object) -> Pen:
    return Pen().cut(CARD, *cuts)


#: Code to a drawing that has this fault.
DRAWINGS: dict[str, Drawing] = {
    code: pen.drawing
    for code, pen in {
        "doubled-line": _pen([(0, 0), (40, 0)]),
        "doubled-across-operations": _pen([(50, 0), (50, 60)]).score(FOLD),
        "near-double": _pen(box(20, 10, 40, 40), box(20.3, 10.3, 39.4, 39.4)),
        "fold-conflict": _pen().score(FOLD, fold=1).score(FOLD, fold=-1),
        "gap": Pen().cut([(0, 0), (100, 0), (100, 60), (0, 60), (0, 0.5)]),
        "open-outline": Pen().cut([(0, 0), (100, 0), (100, 60), (0, 60), (0, 20)]),
        "cut-past-outline": Pen().cut([(-5, 0), (100, 0)], [(100, 0), (100, 60), (0, 60), (0, 0)]),
        "unfinished-chain": _pen([(120, 0), (160, 0)]),
        "stub": _pen([(20, 20), (22, 20)]),
        "dashes": _pen(*([(20 + 3.6 * k, 20), (23 + 3.6 * k, 20)] for k in range(12))),
        "self-crossing": Pen().cut([(0, 0), (100, 60), (100, 0), (0, 60), (0, 0)]),
        "crossing-cuts": _pen([(90, 30), (110, 30)], box(80, 40, 40, 10)),
        "cut-across-score": _pen([(40, 30), (60, 30)]).score(FOLD),
        "score-past-outline": _pen().score([(50, -2), (50, 60)]),
        "score-over-hole": _pen(circle((50, 30), 10)).score([(50, 0), (50, 22)]),
        "score-short-of-outline": _pen().score([(50, 2), (50, 60)]),
        "score-ends-in-panel": _pen().score([(50, 25), (50, 60)]),
        "score-near-cut": _pen([(51, 10), (51, 50)]).score(FOLD),
        "thin-strip": _pen([(20, 10), (20, 50)], [(21, 10), (21, 50)]),
        "crumb": _pen([(20, 20), (20.2, 20)]),
        "repeated-point": Pen().cut([(0, 0), (100, 0), (100, 0), (100, 60), (0, 60), (0, 0)]),
        "sharp-inner-corner": Pen().cut(NOTCH),
        "hole-too-small": _pen(circle((50, 30), 0.3)),
        "size": _pen(),
        "off-page": _pen(),
        "larger-than-sheet": _pen(),
        "larger-than-machine": _pen(),
        "all-cut": _pen(*([(x, 0), (x, 60)] for x in (20, 45, 70))),
        "small-part": _pen(circle((120, 30), 4)),
        "copies-in-drawing": Pen().cut(*(box(30 * k, 0, 20, 40) for k in range(3))),
    }.items()
}
DRAWINGS["off-page"] = replace(DRAWINGS["off-page"], page=(80.0, 60.0))

#: Code to what else has to be known to find it.
KNOWN: dict[str, dict[str, object]] = {
    "score-near-cut": {"strip": 1.5},
    "hole-too-small": {"blade_offset": 0.5},
    "size": {"expect": (130.0, 95.0)},
    "larger-than-sheet": {"sheet": (50.0, 50.0)},
    "larger-than-machine": {"area": (50.0, 50.0)},
}


def found(code: str) -> Findings:
    """What `check` says of the drawing of a code."""
    return check(DRAWINGS[code], LIMITS, **KNOWN.get(code, {}))  # type: ignore[arg-type]


EXAMPLES: dict[str, Callable[[], Findings]] = {code: partial(found, code) for code in DRAWINGS}
