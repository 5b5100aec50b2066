"""What each step of a job comes to, as one sentence: the same words on the page, the screen and the job sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.folded import FoldReport, Verdict
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine
from cutprep.profile.stock import Stock
from cutprep.report.hands.pieces import called
from cutprep.report.outcome import Outcome
from cutprep.report.page import listed
from cutprep.units import plural, say_sides, say_time, say_volume

_TO_DO = {
    Operation.CUT: "to cut",
    Operation.SCORE: "to score",
    Operation.PERFORATE: "to perforate",
    Operation.PARTIAL_CUT: "to cut part deep",
    Operation.DRAW: "to draw",
}
_PLAIN_VERDICTS = {
    Verdict.CLOSED: "a closed shape",
    Verdict.OPEN_BOX: "an open box",
    Verdict.UNEVEN: "an open box, its rim uneven",
    Verdict.LEAF: "folds, with nothing to close",
    Verdict.FLAT: "flat, nothing to fold",
    Verdict.FOLDED_OVER: "folds flat, layer on layer",
}
_MOST_NAMED = 4


def make_answer(made: Sequence[tuple[str, int]]) -> str:
    """What is made: `12 of jar-carton.svg, 24 of swing-tag.svg`."""
    shown = [f"{count:,} of {name}" for name, count in made[:_MOST_NAMED]]
    more = len(made) - len(shown)
    return ", ".join(shown) + (f" and {plural(more, 'more drawing')}" if more else "")


def lines_answer(drawings: Iterable[Drawing]) -> str:
    """What is done with the lines: `26 to cut, 13 to score; "notes" is left out`."""
    counts: Counter[int] = Counter()
    left: dict[str, None] = {}
    for drawing in drawings:
        counts.update(drawing.lines.operation.tolist())
        for source, operation in zip(
            drawing.lines.source.tolist(), drawing.lines.operation.tolist(), strict=True
        ):
            if operation == Operation.GUIDE:
                left[drawing.lines.elements[source].layer or "unnamed"] = None
    todo = [f"{counts[kind]:,} {word}" for kind, word in _TO_DO.items() if counts[kind]]
    names = [f"“{name}”" for name in list(left)[:_MOST_NAMED]]
    out = f"; {listed(names)} {'is' if len(names) == 1 else 'are'} left out" if names else ""
    return (", ".join(todo) or "nothing to cut, score or draw") + out


def unplaced_answer(drawings: Iterable[Drawing]) -> str:
    """Which layers nothing is said about; empty when there are none."""
    names: dict[str, None] = {}
    for drawing in drawings:
        lines = drawing.lines
        for source in lines.source[lines.operation == Operation.UNPLACED].tolist():
            names[lines.elements[source].layer or "unnamed"] = None
    if not names:
        return ""
    shown = listed([f"“{name}”" for name in list(names)[:_MOST_NAMED]])
    return f"What {'is' if len(names) == 1 else 'are'} {shown} for?"


def wrong_answer(findings: Sequence[Finding]) -> str:
    """How much is wrong: the one thing in its own words, or how many."""
    told = [f for f in findings if f.severity is not Severity.NOTE]
    if not told:
        return "Nothing"
    bad = [f for f in told if f.severity is Severity.ERROR]
    if len(told) == 1:
        return told[0].problem
    counts = [plural(len(bad), "error")] if bad else []
    if len(told) > len(bad):
        counts.append(plural(len(told) - len(bad), "warning"))
    return listed(counts)


def fold_answer(reports: Sequence[FoldReport], unit: str = "mm") -> str:
    """What becomes of the drawings: `an open box, 120 x 80 x 30 mm inside, 288 cm3`; of several pieces with their names."""
    if not reports:
        return "Nothing to fold"
    shown = list(dict.fromkeys(_named(report, len(reports)) + _folded(report, unit) for report in reports))
    more = len(shown) - _MOST_NAMED
    return "; ".join(shown[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")


def _named(report: FoldReport, count: int) -> str:
    """`the lid: `, where the drawing calls the piece so and there are others."""
    return f"{called(report.piece)}: " if count > 1 and report.piece else ""


def _folded(report: FoldReport, unit: str) -> str:
    words = [_PLAIN_VERDICTS.get(report.verdict, report.verdict.value)]
    if report.inside_mm is not None:
        words.append(f"{say_sides(report.inside_mm, unit)} inside")
    if report.volume_mm3:
        words.append(say_volume(report.volume_mm3, unit))
    return ", ".join(words)


def card_answer(stocks: Iterable[Stock], machine: Machine) -> str:
    """On what and with what: `Card 220 g/m2; mat cutter`."""
    return f"{listed([stock.title for stock in stocks])}; {machine.title}"


def sheets_answer(outcome: Outcome) -> str:
    """How many sheets: `3 sheets`."""
    return plural(outcome.runs, "sheet")


def cutting_answer(outcome: Outcome) -> str:
    """How many files, and how long they run: `2 files, read back and proved; 11 min`."""
    count = sum(len(done.files) for done in outcome.sheets)
    return f"{plural(count, 'file')}, read back and proved; {say_time(outcome.seconds)}"
