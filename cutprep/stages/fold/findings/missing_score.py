"""Where a score is missing: a part that does not close is folded again with one more.

The ends of a score that was forgotten still show: other lines end there. So only chords between
such corners of one panel are tried, along or square to a score at one of their ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import CLOSING, FoldReport, Verdict
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation

#: Verdicts of parts that may lack a score.
_MAY_LACK = frozenset({Verdict.GAP, Verdict.OPEN_EDGES, Verdict.NOT_CONVEX, Verdict.OPEN_BOX})
#: Verdicts of parts that lack none.
_CLOSES = CLOSING - {Verdict.MOVABLE}
#: Chords that are tried at most, and panels that are folded for them at most: counted, so that the
#: same is found on every machine.
_MOST, _MOST_PANELS = 4, 30
#: The shortest score that is looked for, mm, and how near its ends are to those of other lines.
_SHORTEST, _NEAR = 8.0, 0.5
#: Directions this near are along or square, sine of half a degree.
_STRAIGHT = 0.0087  # not a tolerance: a direction

At = Callable[[Sequence[float]], Place]
Again = Callable[[Drawing], tuple[FoldReport, ...]]


def with_missing_score(
    drawing: Drawing, reports: tuple[FoldReport, ...], again: Again, at: At
) -> tuple[FoldReport, ...]:
    """Say of a part that does not close which score would make it close.

    Parameters
    ----------
    again
        Folds a drawing.

    Returns
    -------
    tuple of FoldReport
        The reports; one that lacks a score says so instead of all that follows from it.
    """
    told = list(reports)
    for k, report in enumerate(reports):
        tries = min(_MOST, _MOST_PANELS // max(len(report.panels), 1))
        if not tries or not (report.verdict in _MAY_LACK or report.found("wall-missing")):
            continue
        for chord in _likely(report)[:tries]:
            better = again(_with_score(drawing, chord))
            if len(better) == len(reports) and _mended(report, better):
                told[k] = replace(report, messages=(*_kept(report), _told(chord, at)))
                break
    return tuple(told)


def _likely(report: FoldReport) -> list[Points]:
    """Chords to try; in a box that is open as drawn only where other scores end at both ends."""
    found = chords(report)
    if report.verdict is not Verdict.OPEN_BOX or report.found("wall-missing"):
        return found
    tips = np.array([h.ends for h in report.hinges]).reshape(-1, 2)
    return [c for c in found if _ends_on(c, tips) == 2]


def _mended(report: FoldReport, better: tuple[FoldReport, ...]) -> bool:
    """Whether the part with one panel more closes; one that is an open box as drawn has to close all round."""
    count = len(report.panels) + 1
    wanted = {Verdict.CLOSED} if report.verdict is Verdict.OPEN_BOX and report.ok else _CLOSES
    return any(len(r.panels) == count and r.ok and r.verdict in wanted for r in better)


def _kept(report: FoldReport) -> Findings:
    """What is no consequence of a missing score."""
    return tuple(
        m
        for m in report.messages
        if m.code in {"grain-across", "no-allowance", "layers-bulge", "drawing-first"}
    )


def _told(chord: Points, at: At) -> Finding:
    length = float(np.hypot(*(chord[1] - chord[0])))
    (x0, y0), (x1, y1) = chord.round(1).tolist()
    return Finding.of(
        "score-missing",
        f"a score of {length:.1f} mm seems to be missing, from {x0:g}, {y0:g} to {x1:g}, {y1:g} mm: with it the part closes",
        places=(at(chord.mean(axis=0)), at(chord[0]), at(chord[1])),
        measure=length,
    )


def _with_score(drawing: Drawing, chord: Points) -> Drawing:
    lines = drawing.lines
    extra = Lines.of([chord], operation=[Operation.SCORE], source=[0], elements=lines.elements)
    return drawing.with_lines(Lines.concat([lines, extra]))


def chords(report: FoldReport) -> list[Points]:
    """Places where a score may be missing, (2, 2) each, mm, the likeliest first: between ends of scores, the longest."""
    tips = np.array([h.ends for h in report.hinges]).reshape(-1, 2)
    runs = np.array([h.ends[1] - h.ends[0] for h in report.hinges]).reshape(-1, 2)
    if not len(tips):
        return []
    runs = runs / np.hypot(*runs.T)[:, None]
    corners = np.concatenate([p.outline[:-1] for p in report.panels])
    found = []
    for panel in report.panels:
        shape = shapely.Polygon(panel.outline, panel.holes)
        spots = [p for p in panel.outline[:-1] if _is_busy(p, tips, corners)]
        found += [c for c in _between(spots, shape) if _is_likely(c, runs)]
    rank = [(-_ends_on(c, tips), -round(float(np.hypot(*(c[1] - c[0]))), 3)) for c in found]
    return [found[i] for i in sorted(range(len(found)), key=lambda i: (rank[i], found[i].round(3).tolist()))]


def _is_busy(point: Points, tips: Points, corners: Points) -> bool:
    """Whether a score ends at a corner, or two panels have one there."""
    near = np.hypot(*(tips - point).T) < _NEAR
    return bool(near.any() or (np.hypot(*(corners - point).T) < _NEAR).sum() > 1)


def _between(spots: Sequence[Points], shape: shapely.Polygon) -> Iterator[Points]:
    """Chords inside a panel, not along its outline."""
    inner = shape.buffer(-_NEAR)
    for i, p in enumerate(spots):
        for q in spots[i + 1 :]:
            line = shapely.LineString([p, q])
            if line.length >= _SHORTEST and line.intersection(inner).length > 0.9 * line.length - 4 * _NEAR:
                yield np.array([p, q])


def _is_likely(chord: Points, runs: Points) -> bool:
    """Whether a chord runs along or square to one of the scores."""
    unit = (chord[1] - chord[0]) / np.hypot(*(chord[1] - chord[0]))
    along, across = np.abs(runs @ unit), np.abs(runs @ np.array([-unit[1], unit[0]]))
    return bool((np.minimum(along, across) < _STRAIGHT).any())


def _ends_on(chord: Points, tips: Points) -> int:
    """How many of a chord's ends are ends of scores."""
    return sum(bool((np.hypot(*(tips - end).T) < _NEAR).any()) for end in chord)
