"""How a job is laid out as it is asked for, sets of pieces that fit, and their pictures: read and kept as pages are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial

from cutprep.job.api import make_job
from cutprep.job.gallery import drawn_picture, set_picture
from cutprep.job.pieces.sets import prove_set, set_job
from cutprep.job.pipeline import run
from cutprep.report.outcome import Outcome
from cutprep.template.family.fitting import fit_set
from cutprep.template.family.ready import READY, ready_set
from cutprep.template.kinds import KINDS
from tests import kept_readings as jobs
from tests.kept_after import told
from tests.kept_jobs import plain
from tests.readings import picture_rows

#: Findings of every layout of the card.
_USUAL = ("left-over", "nest-method", "score-ends-in-panel", "score-short-of-outline")


def _laid(outcome: Outcome) -> str:
    rows = [
        (s.sheet.runs, len(s.sheet.placements), f"{s.sheet.width:g}x{s.sheet.height:g}", s.sheet.method)
        for s in outcome.sheets
    ]
    notes = [f"{f.code}: {f.problem}" for f in outcome.findings if f.code not in _USUAL]
    return f"{outcome.copies} copies on {outcome.runs} sheets {rows} {notes}"


#: What is asked of the layout, of a card of 70 by 50 mm.
LAYOUTS: tuple[dict[str, object], ...] = (
    {"copies": 2, "amount": "sheet"}, {"amount": "stock", "sheet": "160x120mm", "at_hand": 3}, {"amount": "stock", "sheet": "160x120mm"},
    {"amount": "stock", "sheet": "75x55mm", "at_hand": 1}, {"copies": 9, "sheet": "160x120mm", "at_hand": 1}, {"copies": 3, "sheet": "60x40mm"},
    {"copies": 4, "spare": 50, "sheet": "160x120mm"}, {"copies": 8, "spare": 25, "sheet": "90x80mm"},
    {"copies": 2, "from_back": "valleys", "turn_by": "marks", "sheet": "A4"}, {"copies": 2, "passes_count": 2, "bridges_count": 2, "effort": "normal"},
    {"copies": 2, "keep_out": ["0mm,0mm,200mm,200mm"]}, {"copies": 2, "places": "nowhere.json"}, {"copies": 2, "face_down": True, "language": "gcode"},
    {"copies": 2, "layers": {"cut": "guide"}}, {"layers": {"cut": "score"}}, {"layers": dict.fromkeys(("cut", "valley", "mountain", "score", "perforate", "partial-cut"), "guide")},
    {"copies": 5, "finish": "copy", "travel_by": "time", "also": ["svg"]}, {"units": "in"}, {"expect": "70x55mm"},
)  # fmt: skip


#: The same of a drawing of two strips.
PIECES: tuple[dict[str, object], ...] = (
    {"copies": 5, "sheet": "105x120mm"}, {"copies": 2, "pieces_apart": True}, {"copies": 3, "pieces": ["2=kraft-280,2"]},
    {"pieces": ["1=", "2="]}, {"pieces": "lid="},
)  # fmt: skip


def _run(drawing: str, given: Mapping[str, object]) -> Outcome:
    return run(make_job(jobs.folder() / drawing, **{"effort": "quick", **given}))  # type: ignore[arg-type]


def _layouts() -> Iterator[str]:
    for drawing, every in (("card.svg", LAYOUTS), ("strips.svg", PIECES)):
        for given in every:
            yield f"{given}: {told(partial(_run, drawing, given), _laid)}"


def _sets() -> Iterator[str]:
    """Every set that is ready: proved by folding it, and the job file that it makes."""
    for name in sorted(READY):
        fitted_ = fit_set(ready_set(name))
        yield f"{name}:"
        yield from (f"  {f.code} {f.severity.value}: {f.problem}" for f in prove_set(fitted_))
        yield from (f"| {row}" for row in set_job(ready_set(name), fitted_).splitlines())


def _pictured() -> Iterator[str]:
    """A kind as it comes, drawn anew: what stands only on the folded piece is found by folding a larger one; a drawing with its findings;
    and a set.
    """
    yield from picture_rows(drawn_picture(KINDS["cup"]))
    yield from picture_rows(jobs.drawn().templates[0].marked)
    one = ready_set("card-in-envelope")
    yield from picture_rows(set_picture(one, fit_set(one)))


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "laid-out": lambda: list(plain(_layouts())),
    "laid-sets": lambda: list(plain(_sets())),
    "laid-pictured": lambda: list(plain(_pictured())),
}
