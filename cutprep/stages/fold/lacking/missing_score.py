"""Where a score is missing: a part is folded again with one more, where the marks of one show."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.model.drawing import Drawing
from cutprep.model.duties import Duty
from cutprep.model.findings.entry import Severity
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import GOOD, Certainty, FoldReport, Verdict
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.fold.lacking.chords import Chord, chords
from cutprep.stages.fold.lacking.outlines import with_breaks

#: What a part with its score does, by how much that says; with another verdict nothing was mended.
CLOSES = {Verdict.CLOSED: 3, Verdict.FOLDED_OVER: 2, Verdict.OPEN_BOX: 2, Verdict.MOVABLE: 1}
#: Chords that are tried at most, and panels that are folded for them at most: counted, so that the
#: same is found on every machine.
_MOST, _MOST_PANELS = 6, 120
#: Chords without strong marks that are tried at most, and panels folded for them; and chords of a part that folds well.
_MOST_WEAK, _MOST_WEAK_PANELS, _MOST_FAIR = 4, 60, 2
#: Of a part that is told as a mere card no more panels than this are looked at for the score of a flap.
_FEW_PANELS = 12
#: Units of work for a chord with strong marks, and for another: what is to close does so soon.
_WORK, _WORK_WEAK = 1500.0, 400.0
#: Parts with more panels are not looked at.
_MOST_OF_ALL = 200
#: Findings that a missing score does not bring about.
_OWN = frozenset({"grain-across", "no-allowance", "layers-bulge", "drawing-first"})
#: Findings of a part that folds well all the same, but perhaps not as it is meant to.
_TELLING = ("wall-missing", "flap-meets-nothing")
#: Lines no further from a part than this are its own, mm.
_ITS_OWN = 1.0

At = Callable[[Sequence[float]], Place]
Again = Callable[[Drawing, float], tuple[FoldReport, ...]]


def with_missing_score(
    drawing: Drawing, reports: tuple[FoldReport, ...], again: Again, at: At
) -> tuple[FoldReport, ...]:
    """Say of a part which score would make it close, or close better.

    Parameters
    ----------
    again
        Folds a drawing with no more than so many units of work.

    Returns
    -------
    tuple of FoldReport
        The reports; one that lacks a score says so instead of all that follows from it.
    """
    told = list(reports)
    for k, report in enumerate(reports):
        if len(report.panels) > _MOST_OF_ALL or not _may_lack(report):
            continue
        alone = drawing if len(reports) == 1 else lines_of(drawing, report)
        for chord in _tries(report, _drawn(alone)):
            most = _WORK if chord.strong and not is_fair(report) else _WORK_WEAK
            better = again(_with_score(alone, chord.ends), most)
            if is_mended(report, better, len(report.panels) + 1, strong=chord.strong):
                told[k] = replace(report, messages=(*kept(report), _told(report, better, chord, at)))
                break
    return tuple(told)


def _may_lack(report: FoldReport) -> bool:
    """Whether a score more may help: not where nothing was folded or solved, nor where another cause or two ways are known."""
    known = report.found("drawing-first") or report.found("cut-for-score")
    return (
        not known
        and report.certainty is not Certainty.AMBIGUOUS
        and report.verdict
        not in {
            Verdict.FLAT,
            Verdict.FAULTY,
            Verdict.CURVED,
            Verdict.NOT_SOLVED,
        }
    )


def is_fair(report: FoldReport) -> bool:
    """Whether a part folds well as it is drawn."""
    return report.ok and report.verdict in GOOD


def _drawn(drawing: Drawing) -> Points:
    """Vertices of the lines that bound panels, (n, 2), mm."""
    lines = drawing.lines
    bounds = np.isin(lines.operation, (Operation.CUT, Operation.SCORE, Operation.PERFORATE))
    return np.asarray(lines.xy[np.repeat(bounds, lines.counts)])


def _tries(report: FoldReport, drawn: Points) -> Iterator[Chord]:
    """Chords to try; of a part that folds well only those with strong marks.

    Parameters
    ----------
    drawn
        Where lines are drawn in pieces, a score may have ended.
    """
    fair, size = is_fair(report), len(report.panels)
    report = with_breaks(report, drawn)
    if fair and report.verdict is Verdict.LEAF and size <= _FEW_PANELS:
        yield from islice((c for c in chords(report) if c.strong or c.hangs), _MOST_FAIR)
        return
    doubtful = not fair or any(report.found(code) for code in _TELLING)
    most = min(_MOST_FAIR if fair else _MOST, max(_MOST_PANELS // size, 1))
    most_weak = min(_MOST_WEAK, _MOST_WEAK_PANELS // size) if doubtful else 0
    count = weak = 0
    for chord in chords(report, every=doubtful):
        if not chord.strong and weak == most_weak:
            continue
        weak += not chord.strong
        count += 1
        if count > most:
            return
        yield chord


def is_mended(report: FoldReport, better: tuple[FoldReport, ...], count: int, *, strong: bool) -> bool:
    """Whether a part folds better with a change to its drawing.

    Parameters
    ----------
    better
        The part folded with it.
    count
        How many panels it then has.
    strong
        The drawing itself speaks for the change: of a part that folds well it need not make more.
    """
    (found,) = [r for r in better if len(r.panels) == count][:1] or (None,)
    if found is None or not found.ok or found.verdict not in CLOSES or found.approximate:
        return False
    if is_fair(report):
        before = CLOSES.get(report.verdict, 0)
        glued = any(f.duty is Duty.GLUE_FLAP for f in found.flaps)
        if report.verdict is Verdict.LEAF and not glued:
            return False
        worse = complaints(found) - complaints(report)
        if not before:  # of what closes nothing, no flap lies over another
            worse -= len(found.found("flap-overlap"))
        more = (CLOSES[found.verdict] - before, -worse)
        return min(more) >= 0 and (strong or max(more) > 0)
    return True


def complaints(report: FoldReport) -> int:
    """How many findings speak against a part."""
    return sum(m.severity is not Severity.NOTE for m in report.messages if m.code not in _OWN)


def kept(report: FoldReport) -> Findings:
    """What is no consequence of a missing score."""
    return tuple(m for m in report.messages if m.code in _OWN)


def _told(report: FoldReport, better: tuple[FoldReport, ...], missing: Chord, at: At) -> Finding:
    """Say where a score is missing; of a part that folds well without it only warn, where its marks are not strong."""
    chord, length = missing.ends, missing.length
    (x0, y0), (x1, y1) = np.array([at(end).xy for end in chord]).round(1).tolist()
    closed = max(CLOSES.get(r.verdict, 0) for r in better)
    fair = is_fair(report) and closed == CLOSES.get(report.verdict, 0)
    what = (
        "lines end or go on there, and the part folds up with it as well"
        if fair
        else "with it the part closes"
    )
    return Finding.of(
        "score-missing",
        f"a score of {length:.1f} mm seems to be missing, from {x0:g}, {y0:g} to {x1:g}, {y1:g} mm: {what}",
        places=(at(chord.mean(axis=0)), at(chord[0]), at(chord[1])),
        measure=length,
        severity=Severity.WARNING if fair or (is_fair(report) and not missing.strong) else Severity.ERROR,
    )


def _with_score(drawing: Drawing, chord: Points) -> Drawing:
    lines = drawing.lines
    extra = Lines.of([chord], operation=[Operation.SCORE], source=[0], elements=lines.elements)
    return drawing.with_lines(Lines.concat([lines, extra]))


def lines_of(drawing: Drawing, report: FoldReport) -> Drawing:
    """The lines of a drawing that touch a part."""
    shape = shapely.union_all([shapely.Polygon(p.outline).buffer(_ITS_OWN) for p in report.panels])
    lines = drawing.lines
    near = [shape.intersects(shapely.MultiPoint(lines.points(k))) for k in range(len(lines))]
    return drawing.with_lines(lines.take(np.flatnonzero(near)))
