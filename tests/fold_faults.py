"""Nets with one fault each, and what the check of the drawing or folding has to say about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutprep.model.drawing import Drawing
from cutprep.model.folded import Verdict
from cutprep.stages.fold.declared.file import DeclaredPoint, FoldDeclarations
from tests.nets import Sketch, arc, from_faces, ngon_tray, tray, tuck_end, webbed_tray

XY = tuple[float, float]


@dataclass(frozen=True)
class Planted:
    """A fault.

    `code` must be found within 1 mm of `xy` (any place when None) with figure `measure`;
    `verdict` and `gap` are of the whole part. An empty code means that nothing may be found.
    """

    name: str
    make: Callable[[], Drawing]
    code: str = ""
    xy: XY | None = None
    measure: float | None = None
    within: float = 0.01
    verdict: Verdict | None = None
    gap: float | None = None
    also: tuple[str, ...] = ()
    declared: FoldDeclarations | None = None


def _without(sketch: Sketch, start: XY, end: XY) -> Sketch:
    """Take one score away."""
    (k,) = [k for k, line in enumerate(sketch.scores) if {line[0], line[-1]} == {start, end}]
    sketch.take_score(k)
    return sketch


def _tray_score(start: XY, end: XY, *instead: XY) -> Drawing:
    s = _without(tray(), start, end)
    if instead:
        s.score(*instead)
    return s.drawing()


def _declared_angle(at: XY, degrees: float) -> FoldDeclarations:
    return FoldDeclarations(angles=((DeclaredPoint(at), degrees),))


def _open_outline() -> Drawing:
    s = tray()
    k = next(k for k, line in enumerate(s.cuts) if line == [(30.0, 0.0), (180.0, 0.0)])
    s.cuts[k] = [(30.0, 0.0), (100.0, 0.0)]
    s.cut((101, 0), (180, 0))
    return s.drawing()


def _cut_hinge() -> Drawing:
    """A wall whose score was drawn as a cut and nothing else."""
    s = ngon_tray(4, 60, 20)
    return s.cut(*s.take_score(0)).drawing()


def _squares(*cells: tuple[int, int], edge: float = 40.0) -> Drawing:
    faces = [
        [
            (x * edge, y * edge),
            ((x + 1) * edge, y * edge),
            ((x + 1) * edge, (y + 1) * edge),
            (x * edge, (y + 1) * edge),
        ]
        for x, y in cells
    ]
    return from_faces(faces, "squares").drawing()


def _gusset_tray(shift: float) -> Drawing:
    """A webbed tray with one gusset's middle score set off at the outline."""
    s = webbed_tray()
    corner = (50.0, 35.0)
    k = next(k for k, line in enumerate(s.scores) if line[0] == corner and abs(line[1][0] - 73.5) < 1e-9)
    # the outline's bend moves with the score
    old = s.scores[k][1]
    new = (old[0] + shift, old[1])
    s.scores[k] = [corner, new]
    s.cuts[0] = [new if p == old else p for p in s.cuts[0]]
    return s.drawing()


FAULTS: tuple[Planted, ...] = (
    Planted(
        "score 1.2 mm short of the cut",
        lambda: _tray_score((30, 0), (30, 30), (30, 1.2), (30, 30)),
        "score-short-of-outline", (30, 1.2), 1.2, verdict=Verdict.GAP,
    ),
    Planted(
        "score 2 mm beyond the outline",
        lambda: _tray_score((30, 0), (30, 30), (30, -2), (30, 30)),
        "score-past-outline", (30, -2), 2.0, verdict=Verdict.OPEN_BOX,
    ),
    Planted(
        "score also drawn as a cut, all of it",
        lambda: tray().cut((30, 30), (180, 30)).drawing(),
        "doubled-across-operations", (105, 30), 150.0, also=("drawing-first",),
    ),
    Planted(
        "score also drawn as a cut, half of it",
        lambda: tray().cut((30, 30), (110, 30)).drawing(),
        "doubled-across-operations", (70, 30), 80.0,
    ),
    Planted(
        "cut across a hinge",
        lambda: tray().cut((105, 25), (105, 35)).drawing(),
        "cut-across-score", (105, 30),
    ),
    Planted("slit that ends at a hinge", lambda: tray().cut((105, 30), (105, 45)).drawing(), verdict=Verdict.OPEN_BOX),
    Planted("slot across a hinge", lambda: tray().ring((100, 28), (110, 28), (110, 32), (100, 32)).drawing(), verdict=Verdict.OPEN_BOX),
    Planted("panel on nothing", _cut_hinge, "loose", None),
    Planted("window in the base", lambda: tray().ring((80, 60), (130, 60), (130, 90), (80, 90)).drawing(), verdict=Verdict.OPEN_BOX),
    Planted(
        "round window in the base",
        lambda: tray().cut(*arc((90, 75), (120, 75), 15), *arc((120, 75), (90, 75), 15)[1:]).drawing(),
        verdict=Verdict.OPEN_BOX,
    ),
    Planted("outline open by 1 mm", _open_outline, "open-outline", (100.5, 0), 1.0, verdict=Verdict.FAULTY),
    Planted("flap 4 mm deep", lambda: tray(reach=4, taper=2).drawing(), "flap-narrow", None, 4.0, verdict=Verdict.OPEN_BOX),
    Planted("flap of 100 mm on a wall of 90 mm", lambda: tray(reach=100).drawing(), "flap-wide", None, 10.0, also=("flap-overlap",)),
    Planted(
        "wall of 32 mm instead of 30",
        lambda: tray(far_wall=32).drawing(),
        "side-length", None, 2.0, verdict=Verdict.GAP, gap=2.0, also=("does-not-close",),
    ),
    Planted(
        "lid 3 mm short",
        lambda: tuck_end(lid=27).drawing(),
        "side-length", None, 3.0, verdict=Verdict.GAP, gap=3.0, also=("does-not-close",),
    ),
    Planted(
        "one wall of a carton 3 mm too wide",
        lambda: tuck_end(last=33).drawing(),
        "side-length", None, 3.0, verdict=Verdict.GAP, also=("does-not-close",),
    ),
    Planted(
        "wall declared to fold by 150 degrees",
        lambda: tray().drawing(),
        "does-not-close", None, 30.0, verdict=Verdict.GAP, gap=30.0, declared=_declared_angle((105, 30), 150.0),
    ),
    Planted(
        "lid declared to fold by 120 degrees",
        lambda: tuck_end().drawing(),
        "does-not-close", None, 15.53, 0.01, verdict=Verdict.GAP, gap=15.53, declared=_declared_angle((30, 90), 120.0),
    ),
    Planted("opposite flaps overlap", lambda: tray(reach=57).drawing(), "flap-overlap", None, 530.0, 60.0),
    Planted("dust flaps overlap", lambda: tuck_end(dust=35).drawing(), "flap-overlap", None, 240.0, 40.0),
    Planted(
        "bent score",
        lambda: _tray_score((30, 30), (180, 30), (30, 30), (105, 34), (180, 30)),
        "locked", (105, 30), verdict=Verdict.CANNOT_FOLD,
    ),
    Planted("lid with reliefs of 0.6 mm", lambda: tuck_end(relief=0.6).drawing(), "closes-with-play", verdict=Verdict.CLOSED),
    Planted(
        "walls declared to fold through one another",
        lambda: tray(270, 170, 60, bare=True).drawing(),
        "panels-cross", None, 149.2, 1.0,
        declared=FoldDeclarations(angles=((DeclaredPoint((135, 60)), 125.0), (DeclaredPoint((135, 110)), 125.0))),
    ),
)  # fmt: skip

#: Twelve nets that are wrong as a whole, and the finding that says so.
WRONG: tuple[Planted, ...] = (
    Planted("block of 2 by 2 squares", lambda: _squares((0, 0), (1, 0), (0, 1), (1, 1)), "", verdict=Verdict.LEAF),
    Planted("straight strip of six squares", lambda: _squares(*[(x, 0) for x in range(6)]), "movable", verdict=Verdict.MOVABLE),
    Planted("five squares in a row and one beside", lambda: _squares(*[(x, 0) for x in range(5)], (4, 1)), "extra-wall"),
    Planted("cross with one square missing", lambda: _squares((0, 0), (1, 0), (2, 0), (3, 0), (1, 1)), "", verdict=Verdict.OPEN_BOX),
    Planted("wall too high", lambda: tray(far_wall=36).drawing(), "does-not-close"),
    Planted("lid too short", lambda: tuck_end(lid=24).drawing(), "side-length"),
    Planted("score missing at a wall", lambda: _tray_score((30, 30), (180, 30)), "score-missing", (105, 30), 150.0),
    Planted("score missing at a flap", lambda: _tray_score((30, 0), (30, 30)), "score-missing"),
    Planted("gusset that does not gather", lambda: _gusset_tray(8.0), "does-not-close"),
    Planted("flap longer than the panel under it", lambda: tray(reach=100).drawing(), "flap-wide"),
    Planted("outline open", _open_outline, "open-outline"),
    Planted("score cut through", lambda: tray().cut((30, 30), (180, 30)).drawing(), "doubled-across-operations"),
    Planted("bent score", lambda: _tray_score((30, 30), (180, 30), (30, 30), (105, 34), (180, 30)), "locked"),
)  # fmt: skip
