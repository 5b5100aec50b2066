"""What `mend` did: a drawing of a few lines for each code."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from cutprep.model.findings.finding import Findings
from cutprep.model.rules import Rules
from cutprep.stages.classify import classify
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Left, Mending
from tests.drawn import LIMITS, Pen
from tests.examples.drawings import CARD, DRAWINGS, FOLD
from tests.svg_text import read_body

_ARC = "<g id='cut'><path d='M10 20A10 10 0 0 1 20 10'/><path d='M20 10A10 10 0 0 1 30 20'/></g>"
_BENT = [(0, 0), (50, 0.01), (100, 0), (100, 60), (0, 60), (0, 0)]
_BY_HALF = Pen().cut(CARD, [(100, 0), (180, 0), (180, 40), (100, 40), (100, 0)])


def _mended(pen: Pen, **how: object) -> Findings:
    return mend(pen.drawing, LIMITS, Mending(**how))[1]  # type: ignore[arg-type]


def _cured(code: str) -> Findings:
    return mend(DRAWINGS[code], LIMITS)[1]


EXAMPLES: dict[str, Callable[[], Findings]] = {
    "removed-double": partial(_cured, "doubled-line"),
    "removed-under": partial(_mended, Pen().cut(CARD, FOLD).score(FOLD), keep="cut"),
    "split-outline": partial(_mended, _BY_HALF),
    "removed-crumb": partial(_cured, "crumb"),
    "removed-stub": partial(_mended, Pen().cut(CARD, [(20, 20), (22, 20)]), ask=frozenset({"stubs"})),
    "removed-points": partial(_cured, "repeated-point"),
    "joined-lines": partial(_mended, Pen().cut(CARD[:3], CARD[2:])),
    "closed-gap": partial(_cured, "gap"),
    "trimmed-cut": partial(_cured, "cut-past-outline"),
    "trimmed-score": partial(_cured, "score-past-outline"),
    "extended-score": partial(_cured, "score-short-of-outline"),
    "straightened": partial(_mended, Pen().cut(_BENT), ask=frozenset({"straighten"})),
    "rejoined-arc": lambda: mend(
        classify(read_body(_ARC), Rules()), LIMITS, Mending(ask=frozenset({"arcs"}))
    )[1],
    "left-as-wished": partial(_mended, Pen().cut(CARD[:3], CARD[2:]), leave=(Left("joined-lines", (0, 0)),)),
    "nothing-to-leave": partial(_mended, Pen().cut(CARD), leave=(Left("closed-gap", (30, 12.5)),)),
    "left-as-drawn": partial(_mended, Pen().cut(CARD, FOLD).score(FOLD)),
}
