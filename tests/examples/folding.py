"""What `fold` finds in the folded part: a net for each code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from cutprep.errors import Place
from cutprep.job.loading import fold_up
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.model.folded import Verdict
from cutprep.model.operation import Fold, Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.fold.declared.file import DeclaredPoint, Expect, FoldDeclarations
from cutprep.stages.fold.findings.shape import shape_findings, two_ways_finding
from cutprep.stages.fold.fit.tell import Wanted, told
from cutprep.stages.fold.plan import fold
from tests.drawn import LIMITS, Pen, box
from tests.folding import folded
from tests.kinds import sound
from tests.kinds.draw import Manner, Net, drawn
from tests.kinds.faults import instead, split
from tests.nets import (
    Sketch,
    beside,
    double_walled_tray,
    from_faces,
    ngon_tray,
    pillow,
    sleeve,
    tray,
    tube,
    tuck_end,
    webbed_tray,
)


def _squares(*cells: tuple[int, int]) -> Sketch:
    corners = ((0, 0), (1, 0), (1, 1), (0, 1))
    return from_faces([[(40.0 * (x + i), 40.0 * (y + j)) for i, j in corners] for x, y in cells], "squares")


ROW_AND_ONE = (*((x, 0) for x in range(5)), (4, 1))
ANGLE = ((0, 0), (-1, 0), (-2, 0), (0, -1), (0, -2))


def _open_at(x: float, y: float) -> FoldDeclarations:
    """The side there is meant to meet nothing."""
    return FoldDeclarations(opens=(DeclaredPoint((x, y)),))


def _other_way() -> Sketch:
    s = tray()
    s.folds = [int(Fold.VALLEY)] * len(s.folds)
    s.folds[2] = int(Fold.MOUNTAIN)
    return s


def _cut_off() -> Sketch:
    s = ngon_tray(4, 60, 20)
    return s.cut(*s.take_score(0))


def _short_score() -> Findings:
    """A wall whose score stops short of the outline, so that it hangs together with the flap beside it."""
    s = tray()
    s.scores[s.scores.index([(30.0, 0.0), (30.0, 30.0)])] = [(30.0, 1.2), (30.0, 30.0)]
    drawing = s.drawing()
    return fold_up(drawing, 0.3, LIMITS, check(drawing, LIMITS))[1]


def _bent() -> Sketch:
    s = tray()
    s.take_score(next(k for k, line in enumerate(s.scores) if {*line} == {(30, 30), (180, 30)}))
    return s.score((30, 30), (105, 34), (180, 30))


def _tongue() -> Sketch:
    """A tray with a flap on the rim of one wall."""
    s = tray(bare=True)
    del s.cuts[s.cuts.index([(30, 0), (180, 0)])]
    s.score((60, 0), (150, 0)).cut((30, 0), (60, 0)).cut((150, 0), (180, 0))
    return s.cut((60, 0), (63, -40), (147, -40), (150, 0))


def _skewed() -> Sketch:
    """A webbed tray with the middle score of one corner 8 mm off."""
    s = webbed_tray()
    k = next(k for k, line in enumerate(s.scores) if line[0] == (50.0, 35.0) and abs(line[1][0] - 73.5) < 0.1)
    old = s.scores[k][1]
    s.scores[k][1] = (old[0] + 8.0, old[1])
    s.cuts[0] = [s.scores[k][1] if p == old else p for p in s.cuts[0]]
    return s


def _star() -> Sketch:
    s = Sketch("star").ring((40, 0), (-20, 34.6), (-20, -34.6))
    return s.score((0, 0), (40, 0)).score((0, 0), (-20, 34.6)).score((0, 0), (-20, -34.6))


def _strip() -> Sketch:
    s = Sketch("strip").ring((0, 0), (1040, 0), (1040, 20), (0, 20))
    for k in range(1, 520):
        s.score((2 * k, 0), (2 * k, 20))
    return s


def _pattern() -> Drawing:
    return Pen().cut(box(0, 0, 310, 60)).score(*([(x / 2, 5), (x / 2, 55)] for x in range(2, 618))).drawing


def _dented() -> Findings:
    report = replace(folded(tray()), verdict=Verdict.NOT_CONVEX, concavity=3.0)
    return tuple(shape_findings(report, lambda xy: Place(xy=(float(xy[0]), float(xy[1])))))


def _two_ways() -> Findings:
    return (
        two_ways_finding(
            (folded(tray()), folded(sleeve())), lambda xy: Place(xy=(float(xy[0]), float(xy[1])))
        ),
    )


def _folded(make: Callable[[], Sketch], **options: object) -> Findings:
    return folded(make(), **options).messages


def _expecting(**wanted: object) -> FoldDeclarations:
    return FoldDeclarations(expect=Expect(**wanted))  # type: ignore[arg-type]


def _sound(make: Callable[[], Net]) -> Findings:
    return folded(drawn(make().strokes(), Manner(), np.random.default_rng(0))).messages


def _half_a_score() -> Findings:
    """A tray; half of the score between its base and a wall is a cut."""
    s = tray(bare=True)
    s.take_score(next(k for k, line in enumerate(s.scores) if {*line} == {(30, 30), (180, 30)}))
    return folded(s.score((30, 30), (105, 30)).cut((105, 30), (180, 30))).messages


def _scoreless() -> Sketch:
    s = tray()
    s.take_score(next(k for k, line in enumerate(s.scores) if {*line} == {(30, 30), (180, 30)}))
    return s


def _lid(more: float) -> Sketch:
    """A lid for the tray, larger by some mm both ways."""
    return tray(150 + more + 24, 90 + more + 24, 12, 2)


def _beside(more: float) -> Findings:
    reports = fold(beside(tray(), _lid(more)), thickness=0.3, tolerance=LIMITS)
    return tuple(m for report in reports for m in report.messages)


def _wanted(outer: Sketch, least: float = 0.0) -> Findings:
    return (told(Wanted("lid", "base", least), folded(outer), folded(tray())),)


def _parted() -> Findings:
    ends = ((90.0, 0.0), (90.0, 90.0))
    strokes = instead(split(sound.carton()), *ends, (Operation.CUT, ends))
    return folded(drawn(strokes, Manner(), np.random.default_rng(0))).messages


EXAMPLES: dict[str, Callable[[], Findings]] = {
    "loose": partial(_folded, _cut_off),
    "does-not-close": partial(_folded, partial(tray, far_wall=32)),
    "closes-with-play": partial(_folded, partial(tuck_end, relief=0.6)),
    "side-length": partial(_folded, partial(tray, far_wall=32)),
    "fold-direction": partial(_folded, _other_way),
    "not-held": partial(_folded, partial(_squares, *ANGLE), declared=_open_at(-60, 0)),
    "movable": partial(_folded, sleeve),
    "extra-wall": partial(_folded, partial(_squares, *ROW_AND_ONE)),
    "walls-uneven": partial(_folded, partial(tube, 60, 30, 57.5, 30)),
    "two-ways": _two_ways,
    "dented": _dented,
    "open-edges": partial(_folded, partial(tray, bare=True), declared=_open_at(30, 15)),
    "cannot-infer": partial(_folded, _skewed),
    "panels-cross": partial(
        _folded,
        partial(tray, 270, 170, 60, bare=True),
        declared=FoldDeclarations(
            angles=((DeclaredPoint((135, 60)), 125.0), (DeclaredPoint((135, 110)), 125.0))
        ),
    ),
    "not-flat-foldable": partial(_folded, webbed_tray, declared=_expecting(folds_flat=True)),
    "flap-meets-nothing": partial(_folded, _tongue),
    "flap-turned-in": partial(_folded, double_walled_tray),
    "flap-narrow": partial(_folded, partial(tray, reach=4, taper=2)),
    "flap-wide": partial(_folded, partial(tray, reach=100)),
    "flap-overlap": partial(_folded, partial(tray, reach=48)),
    "tuck-tight": partial(_folded, partial(tuck_end, taper=0), thickness=0.4),
    "layers-bulge": partial(_folded, double_walled_tray, thickness=1.0),
    "no-allowance": partial(_folded, tray, thickness=0.5),
    "size-unknown": partial(_folded, _skewed, declared=_expecting(inside=(10, 10, 10))),
    "size-wrong": partial(_folded, tray, declared=_expecting(inside=(150, 90, 31))),
    "gusset-askew": partial(_sound, partial(sound.webbed, 8.0)),
    "flap-forgotten": partial(_sound, lambda: sound.tray(skip=(0,))),
    "flap-twice": partial(_sound, lambda: sound.carton().flap((180, 90), (180, 0), 10.0, 3.0)),
    "panel-narrow": partial(_folded, lambda: tray().score((30, 31), (180, 31))),
    "score-part-cut": _half_a_score,
    "score-missing": partial(_folded, _scoreless),
    "cut-for-score": _parted,
    "wall-missing": partial(_sound, sound.no_wall),
    "fit": partial(_beside, 2.0),
    "fit-tight": partial(_wanted, _lid(1.0), 1.0),
    "fit-too-small": partial(_beside, 0.5),
    "fit-unknown": partial(_wanted, pillow()),
    "grain-across": partial(_folded, partial(tray, bare=True), declared=FoldDeclarations(grain=90.0)),
    "locked": partial(_folded, _bent),
    "curved-score": partial(_folded, pillow),
    "rigid-vertex": partial(_folded, _star),
    "not-solved": partial(_folded, _strip),
    "drawing-first": _short_score,
    "not-folded": lambda: fold_up(_pattern(), 0.3, LIMITS)[1],
}
