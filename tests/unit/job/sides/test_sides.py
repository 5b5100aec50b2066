"""Scores from the back: the file of the back, what the front expects there, and what is refused."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import cutprep
from cutprep.errors import CutprepError, ReadbackError
from cutprep.job.api import make_job
from cutprep.job.pipeline import run
from cutprep.job.sides.folds import from_back, told_folds
from cutprep.job.sides.meeting import require_meeting
from cutprep.job.sides.turning import to_back
from cutprep.model.operation import Fold, Operation
from cutprep.profile.shelf import machine as shelf_machine
from cutprep.report.jobsheet import job_sheet
from cutprep.report.makingsheet import making_text
from cutprep.report.outcome import Outcome
from cutprep.stages.blade.tip import blade_error
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.printed import TAG

#: A card with a mountain in the middle of two valleys, none at a whole plotter unit; scores stop short of the edges.
CARD = """<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="50mm" viewBox="0 0 70 50">
<g id="mountain" fill="none" stroke="#00f"><path d="M31.237 5V45"/></g>
<g id="valley" fill="none" stroke="#00f"><path d="M12.11 5V45M52.013 6L55 44"/></g>
<g id="cut" fill="none" stroke="#000"><path d="M1 1H69V49H1Z"/></g></svg>"""
LIMITS = Tolerance()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "card.svg"
    path.write_text(CARD)
    return path


def _job(card: Path, **settings: object):  # type: ignore[no-untyped-def]
    given = {"effort": "quick", "from_back": "mountains", "sheet": "A4", "copies": 3, **settings}
    return make_job(card, **given)  # type: ignore[arg-type]


def _lines_of(hpgl: str) -> list[np.ndarray]:
    """What a plain HP-GL file draws, read here with nothing of cutprep: PU and PD, 40 units a millimetre."""
    at, found = None, []
    for word, numbers in re.findall(r"(P[UD])([\d,]+);", hpgl):
        points = np.array(numbers.split(","), float).reshape(-1, 2) / 40
        if word == "PD":
            found.append(np.vstack((at, points)))
        at = points[-1:]
    return found


def _wanted(outcome: Outcome, fold: Fold) -> np.ndarray:
    """Both ends of each score of a fold, laid out by the placements alone; (n, 4), in order."""
    sheet = outcome.sheets[0].sheet
    rows = []
    for spot in sheet.placements:
        lines = sheet.templates[spot.template].lines
        mine = np.flatnonzero((lines.operation == Operation.SCORE) & (lines.fold == fold)).tolist()
        rows += [_row(lines.points(i) @ spot.matrix[:, :2].T + spot.matrix[:, 2]) for i in mine]
    return np.array(sorted(rows))


def _row(points: np.ndarray) -> tuple[float, ...]:
    """Both ends, the lower left one first."""
    return tuple(np.round(np.vstack(sorted(points[[0, -1]].tolist())), 4).ravel().tolist())


@pytest.mark.parametrize(("edge", "way"), [("lower", "sideways"), ("left", "endways")])
def test_the_file_of_the_back_turned_over_has_the_scores_of_the_template(
    card: Path, edge: str, way: str
) -> None:
    """Mirrored by hand (width - x, or height - y), within half a plotter unit of 0.025 mm (PCL 5 TRM II, table 17-7)."""
    machine = replace(shelf_machine("mat-cutter-300"), first_edge=edge)
    outcome = run(_job(card, machine=machine))
    (done,) = outcome.sheets
    back, front = done.files
    assert (back.name, back.side) == ("sheet-01-back.hpgl", "back")
    assert (front.name, front.side) == ("sheet-01-front.hpgl", "front")
    assert done.back is not None
    assert done.back.way == way
    width, height = done.sheet.width, done.sheet.height
    over = [
        p * (-1, 1) + (width, 0) if way == "sideways" else p * (1, -1) + (0, height)
        for p in _lines_of(back.text)
    ]
    found = np.array(sorted(map(_row, over)))
    wanted = _wanted(outcome, Fold.MOUNTAIN)
    assert found.shape == wanted.shape == (3, 4)
    assert np.abs(found - wanted).max() <= 0.0126
    assert 0 < done.back.miss <= 0.018
    # The front has everything else, and nothing of these.
    drawn = {_row(line) for line in _lines_of(front.text)}
    for fold_, there in ((Fold.MOUNTAIN, False), (Fold.VALLEY, True)):
        for row in _wanted(outcome, fold_):
            near = any(np.abs(np.array(line) - row).max() <= 0.0126 for line in drawn)
            assert near is there


def test_turning_over_twice_changes_nothing() -> None:
    for way in ("sideways", "endways"):
        matrix = to_back(304.8, 210.0, way)
        there = np.array([[10.0, 20.0]]) @ matrix[:, :2].T + matrix[:, 2]
        assert there.tolist() == [[294.8, 20.0]] if way == "sideways" else [[10.0, 190.0]]
        assert (there @ matrix[:, :2].T + matrix[:, 2]).tolist() == pytest.approx(np.array([[10.0, 20.0]]))


@pytest.mark.parametrize(
    ("name", "language"),
    [("belt-servo-400", "gcode"), ("mat-cutter-300", "hpgl"), ("drawing", "svg"), ("drawing", "dxf")],
)
def test_every_language_is_written_proved_and_known_to_verify(
    card: Path, tmp_path: Path, name: str, language: str
) -> None:
    machine = shelf_machine("mat-cutter-300" if name == "drawing" else name)
    if name == "drawing":
        machine = replace(machine, languages=("svg", "dxf"))
    out = tmp_path / "out"
    outcome = cutprep.prepare(
        card, machine=machine, language=language, from_back="mountains", copies=2, effort="quick", out=out
    )
    assert [file.name for file in outcome.sheets[0].files] == [
        f"sheet-01-back.{language}",
        f"sheet-01-front.{language}",
    ]
    assert cutprep.verify(out).sound
    path = out / f"sheet-01-back.{language}"
    front = (out / f"sheet-01-front.{language}").read_bytes()
    path.write_bytes(front)
    told = cutprep.verify(out)
    assert not told.sound
    assert all(f.differences == () for f in told.files if f.file.startswith("sheet-01-front"))


def test_equal_sheets_are_turned_one_by_one_and_times_count_both_sides(card: Path) -> None:
    outcome = run(_job(card, copies=30, sheet="150x110mm"))
    done = outcome.sheets[0]
    assert done.runs > 1
    assert done.back is not None
    assert done.whole.total == pytest.approx(done.duration.total + done.back.duration.total)
    assert done.whole.total == pytest.approx(sum(file.duration.total for file in done.files))
    assert outcome.seconds > sum(sheet.duration.total * sheet.runs for sheet in outcome.sheets)
    page = job_sheet(outcome)
    assert "Do all of this with one card before you take the next." in page
    assert "turn it over, then" in page
    assert "the marked edge as the right one, 150.0 mm from where the plan begins" in page


def test_crosses_are_cut_through_corners_that_stay_free_and_a_found_sheet_is_cut_there(
    card: Path, tmp_path: Path
) -> None:
    given = {"copies": 3, "sheet": "A4", "effort": "quick", "from_back": "mountains", "turn_by": "marks"}
    first = cutprep.prepare(card, out=tmp_path / "a", **given)  # type: ignore[arg-type]
    (done,) = first.sheets
    assert done.back is not None
    marks = done.back.marks
    assert marks.tolist() == [[9, 9], [201, 9], [201, 288], [9, 288]]
    cuts = done.back.strokes.lines
    cuts = cuts.take(cuts.operation == Operation.CUT)
    assert sorted(
        {tuple(np.round(p.mean(axis=0), 6).tolist()) for p in map(cuts.points, range(len(cuts)))}
    ) == sorted(map(tuple, marks.tolist()))
    xy = done.placed.xy
    assert (np.abs(xy[:, None, :] - marks).max(axis=2) > 4).all()
    again = {**given, "places": tmp_path / "a" / "job.json"}
    moved = cutprep.prepare(
        card,
        out=tmp_path / "b",
        align=["9mm,9mm=9.4mm,8.8mm", "201mm,9mm=201.4mm,8.8mm"],
        **again,  # type: ignore[arg-type]
    )
    assert [file.name for file in moved.sheets[0].files] == ["sheet-01-front.hpgl"]
    assert np.allclose(moved.sheets[0].placed.xy - first.sheets[0].placed.xy, (0.4, -0.2))
    assert "was run before" in moved.findings[-1].problem or any(
        "was run before" in f.problem for f in moved.findings
    )
    assert cutprep.verify(tmp_path / "b").sound
    with pytest.raises(CutprepError, match="scale"):
        cutprep.prepare(
            card,
            out=tmp_path / "c",
            align=["9mm,9mm=9mm,9mm", "201mm,9mm=203mm,9mm"],
            **again,  # type: ignore[arg-type]
        )


def test_a_knife_that_scores_is_turned_clear_of_everything_on_the_card(card: Path) -> None:
    """Where the back has no cut of its own the blade must still be turned in waste, and not on a part."""
    machine = shelf_machine("mat-cutter-300")
    knife = next(tool for tool in machine.tools if Operation.CUT in tool.does)
    tools = (replace(knife, does=(Operation.CUT, Operation.PARTIAL_CUT)),)
    outcome = run(_job(card, machine=replace(machine, tools=tools, score_by="partial-cut"), margin="12mm"))
    back = outcome.sheets[0].back
    assert back is not None
    assert back.miss <= LIMITS.blade + LIMITS.readback_step
    turning = back.planned.xy[back.planned.down & (back.planned.stroke < 0)]
    assert len(turning)
    for spot in outcome.sheets[0].sheet.placements:
        box = (
            outcome.sheets[0].sheet.templates[spot.template].lines.xy @ spot.matrix[:, :2].T
            + spot.matrix[:, 2]
        )
        box = box * (-1, 1) + (outcome.sheets[0].sheet.width, 0)
        inside = (turning > box.min(axis=0)).all(axis=1) & (turning < box.max(axis=0)).all(axis=1)
        assert not inside.any()


def test_a_file_that_does_not_meet_the_front_is_refused(card: Path) -> None:
    job = _job(card)
    (done,) = run(job).sheets
    back = done.back
    assert back is not None
    width, height = done.sheet.width, done.sheet.height
    seen = replace(back.strokes, lines=back.strokes.lines.transform(to_back(width, height, "sideways")))
    known = {"size": (width, height), "way": "sideways", "within": 0.025, "tolerance": LIMITS}
    args = (seen, back.planned, back.read, job.machine, job.cutting)
    assert require_meeting(back.scores, *args, **known) == pytest.approx(back.miss)  # type: ignore[arg-type]
    for wrong in ({"size": (width + 1, height)}, {"way": "endways"}):
        with pytest.raises(ReadbackError, match="from where the cuts expect them"):
            require_meeting(back.scores, *args, **{**known, **wrong})  # type: ignore[arg-type]
    with pytest.raises(ReadbackError, match="from where the cuts expect them"):
        require_meeting(back.scores.transform([[1, 0, 0.2], [0, 1, 0]]), *args, **known)  # type: ignore[arg-type]
    assert blade_error(back.read, back.strokes, job.machine, job.cutting, planned=back.planned).max() <= 0.018


@pytest.mark.parametrize("kind", ["place-card", "pop-up-stair"])
def test_folding_tells_what_layers_leave_unsaid(kind: str) -> None:
    """Where the layers of a template say nothing, folding it finds the directions that it was drawn with."""
    drawing = KINDS[kind].from_values()
    said = divide(drawing, LIMITS).lines
    dumb = drawing.with_lines(drawing.lines.with_operations(drawing.lines.operation, 0))
    corner = dumb.lines.take(dumb.lines.operation != Operation.GUIDE).bounds[:2]
    told = told_folds(divide(dumb, LIMITS), fold(dumb, tolerance=LIMITS), corner).lines
    known = told.fold != 0
    assert from_back(told, Fold.MOUNTAIN).any()
    assert (told.fold[known] == said.fold[known]).all()


def test_valleys_may_be_the_ones_and_without_any_it_says_so(card: Path, tmp_path: Path) -> None:
    outcome = run(_job(card, from_back="valleys"))
    assert outcome.sheets[0].back is not None
    assert len(outcome.sheets[0].back.scores) == 6
    plain = tmp_path / "plain.svg"
    plain.write_text(CARD.replace("mountain", "valley2 fold"))
    outcome = run(_job(plain))
    assert outcome.sheets[0].back is None
    assert [f.code for f in outcome.findings if f.code == "nothing-from-back"]
    assert outcome.sheets[0].files[0].name == "sheet-01.hpgl"


def test_the_making_sheet_says_which_scores_come_from_the_back(card: Path) -> None:
    text = making_text(run(_job(card)))
    assert "Score 2 of a card from the machine is scored from the back." in text
    assert "scored from the back" not in making_text(run(_job(card, from_back="nothing")))


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({"face_down": True}, "face down for all of it"),
        ({"sheet": "500x700mm"}, "the edge by which it is turned can't be reached"),
        ({"machine": "perforating"}, "nothing is gained from the back"),
    ],
)
def test_what_can_not_be_turned_over_is_refused(card: Path, settings: dict[str, object], told: str) -> None:
    if settings.get("machine"):
        settings = {"machine": replace(shelf_machine("mat-cutter-300"), score_by="perforate")}
    with pytest.raises(CutprepError, match=told):
        run(_job(card, **settings))


def test_a_printed_card_is_not_scored_from_the_back(tmp_path: Path) -> None:
    path = tmp_path / "tag.svg"
    path.write_text(
        TAG.replace("</svg>", '<g id="mountain" fill="none" stroke="#00f"><path d="M10 20H20"/></g></svg>')
    )
    with pytest.raises(CutprepError, match="where the print can't be found"):
        run(_job(path, copies=1))
