"""Folding, kind by kind: `python -m tests.bench.fold_kinds [--seed N] [--each N] [--kind K] [tables]`.

Tables: kinds, noise, rotation, faults, lot (faults at scores by lot). Every kind is a net drawn from dimensions by lot, with
what must come of it worked out beside it by plane and solid geometry (`tests.kinds`). Order and direction of the lines, splits, curves in one or in chords, a turn and a
mirror image are by lot too.

A template is *right* when every part of it has its number of panels, its verdict, its volume
(within 0.1 %, 1 % with noise) and its inside (within 0.05 mm, 0.5 mm with noise), and no finding
calls it an error. *ok, wrong* is the worst sort: the part is `ok` with another verdict or size.
*honest* says that it isn't known: not solved, cannot infer, two ways; it doesn't count as right.
*false error* counts findings of severity error on good templates. A kind that has a doubt is
shown and left out of the sum.
"""

from __future__ import annotations

import argparse
import math
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.folded import Certainty, FoldReport, Role, Verdict
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.kinds.boxes import BOXES
from tests.kinds.cartons import CARTONS
from tests.kinds.crafts import CRAFTS
from tests.kinds.draw import Manner, Net, Rng, Want, drawn, placed
from tests.kinds.gifts import GIFTS
from tests.kinds.hands import HANDS
from tests.kinds.makers import MAKERS
from tests.kinds.models import MODELS
from tests.kinds.other import OTHERS
from tests.kinds.paper import PAPER
from tests.kinds.shapes import SHAPES
from tests.kinds.solids import SOLIDS
from tests.kinds.trade import TRADE
from tests.kinds.trays import TRAYS
from tests.kinds.tubes import TUBES

KINDS: dict[str, Callable[[Rng], Any]] = {
    **TRAYS,
    **CARTONS,
    **BOXES,
    **TUBES,
    **SOLIDS,
    **OTHERS,
    **PAPER,
    **TRADE,
    **GIFTS,
    **MAKERS,
    **CRAFTS,
    **HANDS,
    **MODELS,
    **SHAPES,
}
TOLERANCE = Tolerance()
#: Longest time of the processor for one template, s; what takes longer is stopped and counts as wrong.
STOP = 60
#: Nets of one kind that are drawn by lot until one does not overlap itself.
TRIES = 200
#: Roles that a wall must not have; "closure" and "gusset" may be either.
SPARE = frozenset({"glue", "tuck", "dust", "layer"})
HONEST = (Verdict.NOT_SOLVED, Verdict.CANNOT_INFER)


@dataclass(frozen=True)
class Case:
    """A template of one kind, drawn."""

    kind: str
    seed: int
    drawing: Drawing
    wants: tuple[Want, ...]
    manner: Manner

    @property
    def doubt(self) -> str:
        return self.wants[0].doubt


@dataclass
class Tally:
    """What came of the templates of one kind."""

    outcomes: Counter[str] = field(default_factory=Counter)
    false_errors: int = 0
    roles: int = 0
    spent: list[float] = field(default_factory=list)
    said: Counter[str] = field(default_factory=Counter)


def rng_of(kind: str, seed: int) -> Rng:
    """Own numbers for every kind and seed, the same on every machine."""
    return np.random.default_rng([seed, *kind.encode("utf-8")])


def make(kind: str, seed: int) -> tuple[Net, tuple[Want, ...]]:
    """A net of a kind; a solid whose nets overlap gives way to the next by lot."""
    rng = rng_of(kind, seed)
    for _ in range(TRIES):
        made = KINDS[kind](rng)
        if made is not None and not made[0].overlaps():
            net, want = made
            return net, want if isinstance(want, tuple) else (want,)
    raise RuntimeError(f"{kind}, seed {seed}: {TRIES} nets by lot all overlap themselves")


def case_of(kind: str, seed: int, manner: Manner | None = None) -> Case:
    """Draw a net; without a manner by lot, without noise."""
    net, wants = make(kind, seed)
    rng = np.random.default_rng([seed + 1, *kind.encode("utf-8")])
    by_lot = Manner(
        turn=float(rng.choice([0.0, 90.0, rng.uniform(0, 360)])),
        mirror=bool(rng.random() < 0.3),
        paths=bool(rng.random() < 0.3),
    )
    chosen = by_lot if manner is None else manner
    return Case(kind, seed, drawn(net.strokes(), chosen, rng, kind), wants, chosen)


def word_of(report: FoldReport) -> str:
    """The verdict in this bench's words."""
    value = report.verdict.value
    if report.certainty is Certainty.AMBIGUOUS or "two ways" in value:
        return "two ways"
    if report.verdict in HONEST:
        return value
    if value.startswith("movable"):
        return "movable"
    if report.verdict is Verdict.CLOSED:
        return "closed"
    if report.verdict in {Verdict.OPEN_BOX, Verdict.UNEVEN}:
        return "open"
    if report.verdict is Verdict.LEAF:
        turned = [abs(h.angle) for h in report.hinges]
        return "flat" if turned and min(turned) > 179.0 else "bends"
    if "flat" in value and "rim" not in value:
        return "flat"
    return value


def size_is_right(report: FoldReport, want: Want, *, rough: bool) -> bool:
    """Whether volume and inside are what they must be; what is not told is not wrong."""
    if word_of(report) == "movable":
        return True
    if want.volume is not None and math.isfinite(want.loose):
        share = max(want.loose, 1e-2 if rough else 0.0)
        if abs(report.volume_mm3 / want.volume - 1) > share:
            return False
    if want.inside is not None and report.drawn_mm is not None:
        slack = 0.5 if rough else 0.05
        pairs = zip(sorted(report.drawn_mm), sorted(want.inside), strict=True)
        return all(abs(a - b) <= slack + want.loose * b for a, b in pairs)
    return want.inside is None or want.doubt != ""


def paired(reports: Sequence[FoldReport], wants: Sequence[Want]) -> list[tuple[FoldReport, Want]]:
    """Put every part beside what must come of it: by its number of panels, then by its size."""
    got = sorted(reports, key=lambda r: (-len(r.panels), r.volume_mm3))
    return list(zip(got, sorted(wants, key=lambda w: (-w.panels, w.volume or 0.0)), strict=True))


def judge(reports: Sequence[FoldReport], wants: Sequence[Want], *, rough: bool) -> str:
    """Put a result in one word: right, ok-wrong, honest or wrong."""
    if len(reports) != len(wants):
        return "wrong"
    results = []
    for report, want in paired(reports, wants):
        word = word_of(report)
        fits = word in want.verdict.split("|") and size_is_right(report, want, rough=rough)
        if fits and len(report.panels) == want.panels and report.ok:
            results.append("right")
        elif word in {"two ways", *(v.value for v in HONEST)}:
            results.append("honest")
        elif report.ok:
            results.append("ok-wrong")
        else:
            results.append("wrong")
    return next((r for r in ("ok-wrong", "wrong", "honest") if r in results), "right")


def false_errors(reports: Sequence[FoldReport]) -> list[str]:
    """Codes of findings that call a good template an error."""
    return [m.code for r in reports for m in r.messages if m.severity is Severity.ERROR]


def roles_right(reports: Sequence[FoldReport], case: Case) -> bool:
    """Whether no glue, tuck or dust flap and no layer is taken for a wall."""
    for want in case.wants:
        for xy, role in want.spare:
            if role not in SPARE:
                continue
            at = shapely.Point(placed(xy, case.manner))
            for report in reports:
                for panel in report.panels:
                    if shapely.Polygon(panel.outline).contains(at) and panel.role is Role.BODY:
                        return False
    return True


class Stopped(BaseException):
    """A template took too long."""


def timed_fold(drawing: Drawing) -> tuple[tuple[FoldReport, ...], float, str]:
    """Fold, with the time it took and what went wrong, if anything."""

    def stop(*_: object) -> None:
        raise Stopped

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, STOP)
    start = time.process_time()
    try:
        return fold(drawing, tolerance=TOLERANCE), time.process_time() - start, ""
    except Stopped:
        return (), float(STOP), "stopped"
    except Exception as fault:  # noqa: BLE001  a crash is a result of the table, not the table's end
        return (), time.process_time() - start, f"{type(fault).__name__}: {fault}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def run(case: Case, tally: Tally, *, rough: bool = False) -> str:
    """Fold one template and count what came."""
    reports, spent, fault = timed_fold(case.drawing)
    outcome = "wrong" if fault else judge(reports, case.wants, rough=rough)
    tally.outcomes[outcome] += 1
    tally.spent.append(spent)
    tally.false_errors += len(false_errors(reports))
    tally.roles += bool(reports) and roles_right(reports, case)
    if outcome != "right":
        tally.said[fault or describe(reports, case.wants)] += 1
    return outcome


def describe(reports: Sequence[FoldReport], wants: Sequence[Want]) -> str:
    """What came instead, in a few words."""
    if len(reports) != len(wants):
        return f"{len(reports)} parts"
    words = []
    for report, want in paired(reports, wants):
        text = word_of(report)
        if len(report.panels) != want.panels:
            text += f", {len(report.panels)} panels for {want.panels}"
        if want.volume and report.volume_mm3:
            text += f", {100 * report.volume_mm3 / want.volume:.1f} % of the volume"
        codes = sorted({m.code for m in report.messages if m.severity is Severity.ERROR})
        words.append(text + (f" [{', '.join(codes)}]" if codes else ""))
    return "; ".join(words)


def chosen(word: str | None) -> list[str]:
    """Kinds whose name holds a word."""
    return [k for k in KINDS if word is None or word.lower() in k.lower()]


def kinds_table(names: Sequence[str], seed: int, each: int) -> Iterator[str]:
    """A row a kind, and their sum."""
    yield "| kind | right | ok, wrong | honest | wrong | false errors | flaps told | longest s | instead |"
    yield "|---|---|---|---|---|---|---|---|---|"
    total: Counter[str] = Counter()
    errors, spent = 0, []
    for kind in names:
        tally = Tally()
        cases = [case_of(kind, seed + k) for k in range(each)]
        for case in cases:
            run(case, tally)
        doubt = cases[0].doubt
        if not doubt:
            total += tally.outcomes
            errors += tally.false_errors
        spent += tally.spent
        o = tally.outcomes
        instead = "; ".join(f"{n}x {text}" for text, n in tally.said.most_common(2))
        yield (
            f"| {kind}{' (not counted)' if doubt else ''} | {o['right']}/{each} | {o['ok-wrong'] or ''} | {o['honest'] or ''} "
            f"| {o['wrong'] or ''} | {tally.false_errors or ''} | {tally.roles} | {max(tally.spent):.2f} | {instead} |"
        )
    count = total.total()
    if count:
        yield ""
        yield (
            f"{total['right']} of {count} right ({100 * total['right'] / count:.1f} %), {total['ok-wrong']} ok but wrong, "
            f"{total['honest']} honest, {total['wrong']} wrong; {errors} false errors; "
            f"{len(names)} kinds; median {np.median(spent):.3f} s, 99 % below {np.quantile(spent, 0.99):.2f} s, longest {max(spent):.2f} s"
        )


def noise_table(names: Sequence[str], seed: int, each: int) -> Iterator[str]:
    """The same templates clean and with every end off by up to 0.05 mm."""
    yield "| noise mm | right | ok, wrong | honest | wrong | false errors | right clean, lost |"
    yield "|---|---|---|---|---|---|---|"
    clean: set[tuple[str, int]] = set()
    for noise in (0.0, 0.02, 0.05):
        tally, lost = Tally(), Counter[str]()
        for kind in names:
            for k in range(each):
                case = case_of(kind, seed + k)
                if case.doubt:
                    continue
                rough = case_of(kind, seed + k, replace(case.manner, noise=noise))
                outcome = run(rough, tally, rough=noise > 0)
                if not noise and outcome == "right":
                    clean.add((kind, seed + k))
                elif noise and outcome != "right" and (kind, seed + k) in clean:
                    lost[kind] += 1
        o = tally.outcomes
        names_lost = ", ".join(f"{n}x {k}" for k, n in lost.most_common(8))
        yield (
            f"| {noise:g} | {o['right']}/{o.total()} | {o['ok-wrong']} | {o['honest']} | {o['wrong']} "
            f"| {tally.false_errors} | {lost.total() if noise else ''}{': ' if lost else ''}{names_lost} |"
        )


def rotation_table(names: Sequence[str], seed: int, each: int) -> Iterator[str]:
    """One template in 24 turns, each mirrored half of the time and shuffled: does anything change?"""
    yield "| kind | drawings | verdicts | largest change of volume |"
    yield "|---|---|---|---|"
    steady = 0
    for kind in names:
        said: Counter[str] = Counter()
        volumes: list[float] = []
        for k in range(24):
            manner = Manner(turn=15.0 * k + 0.3 * (k % 3), mirror=bool(k % 2))
            net, _ = make(kind, seed)
            drawing = drawn(net.strokes(), manner, np.random.default_rng([seed, k]), kind)
            reports, _, fault = timed_fold(drawing)
            said[fault or " + ".join(sorted(word_of(r) for r in reports))] += 1
            volumes.append(sum(r.volume_mm3 for r in reports))
        change = max(volumes) / max(min(volumes), 1e-9) - 1 if max(volumes) else 0.0
        good = len(said) == 1 and change < 1e-6
        steady += good
        if not good:
            yield f"| {kind} | 24 | {', '.join(f'{n}x {w}' for w, n in said.most_common())} | {change:.1e} |"
    yield ""
    yield f"{steady} of {len(names)} kinds: same verdict and volume in all 24 drawings"


def faults_table(names: Sequence[str], seed: int, each: int) -> Iterator[str]:
    """Planted faults: which is named at its place."""
    from tests.kinds.faults import table

    return table(seed)


def lot_table(names: Sequence[str], seed: int, each: int) -> Iterator[str]:
    """Faults at scores by lot, in ten kinds."""
    from tests.kinds.faults_by_lot import NAMES, table

    return table({name: make(name, seed)[0] for name in NAMES}, seed)


TABLES: dict[str, Callable[[Sequence[str], int, int], Iterator[str]]] = {
    "kinds": kinds_table,
    "noise": noise_table,
    "rotation": rotation_table,
    "faults": faults_table,
    "lot": lot_table,
}


def main() -> None:
    """Print the tables asked for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("tables", nargs="*", default=["kinds"], help=", ".join(TABLES))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--each", type=int, default=5)
    parser.add_argument("--kind", default=None, help="only kinds whose name holds this")
    asked = parser.parse_args()
    for name in asked.tables:
        print(f"\n### {name}, seed {asked.seed}, {asked.each} of a kind\n")
        for row in TABLES[name](chosen(asked.kind), asked.seed, asked.each):
            print(row, flush=True)


if __name__ == "__main__":
    main()
