"""Each option takes off what plane geometry says, is silent in the check, and leaves the fold as it was."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pytest
import shapely

from cutprep.errors import JobError
from cutprep.model.findings.finding import Severity
from cutprep.model.folded import Verdict
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.folding import folded_kind

SLOT = 6 * (14 - 6) + math.pi * 9


def card(name: str, **words: float | str) -> float:
    """Area of all parts, mm2."""
    template = divide(KINDS[name].from_values(**words), Tolerance())
    return sum(
        shapely.Polygon(template.lines.points(p.outline), [template.lines.points(h) for h in p.holes]).area
        for p in template.parts
    )


def rounded(angle: float, radius: float) -> float:
    """What rounding a corner takes off: two tangents less the sector between them."""
    return radius * radius * (1 / math.tan(angle / 2) - (math.pi - angle) / 2)


def notched(radius: float, bow: float = math.inf) -> float:
    """What a notch takes off an edge: half a circle, or what it has in common with a circle that it lies on: two segments."""
    if math.isinf(bow):
        return math.pi * radius * radius / 2
    mine, theirs = 2 * math.acos(radius / (2 * bow)), 2 * math.acos(1 - radius * radius / (2 * bow * bow))
    return (radius**2 * (mine - math.sin(mine)) + bow**2 * (theirs - math.sin(theirs))) / 2


def bow_radius(d: Mapping[str, float]) -> float:
    """Radius of the bowed edges of a pillow box: a circle through both ends of a chord and its crest."""
    return (d["width"] ** 2 / 4 + d["bow"] ** 2) / (2 * d["bow"])


#: A flap that is drawn in by its depth times tan 15 degrees (0.268 as drawn) has two corners of this angle.
TIP = math.pi / 2 + math.atan(0.268)


@pytest.mark.parametrize(
    ("name", "words", "off"),
    [
        ("tray", {"round": 3.0}, 8 * rounded(TIP, 3)),
        ("sleeve", {"round": 3.0}, 2 * rounded(TIP, 3)),
        ("folded-card", {"round": 6.0}, 4 * rounded(math.pi / 2, 6)),
        ("pop-up-stair", {"round": 6.0}, 4 * rounded(math.pi / 2, 6)),
        # At each of four corners a base, two walls and a tab whose end slants: all round but that slant.
        ("tray", {"relief": 0.8}, 4 * (math.pi - math.atan(0.268) / 2) * 0.64),
        ("tray-with-lid", {"notch": 8.0, "notch-in": "lid rim"}, 32 * math.pi),
        ("sleeve", {"notch": 8.0}, 32 * math.pi),
        ("cup", {"notch": 8.0}, 32 * math.pi),
        ("prism-carton", {"notch": 5.0}, notched(5)),
        ("cake-slice", {"notch": 8.0}, notched(8)),
        ("pillow-box", {"notch": 8.0, "notch-in": "upper flap"}, notched(8, (60**2 / 4 + 12**2) / 24)),
        ("tuck-carton", {"slit": 6.0}, 0.0),
        ("tuck-carton", {"slit": 12.0}, 0.0),
        ("tuck-carton", {"tear": 20.0, "tear-in": "back"}, 0.0),
        ("prism-carton", {"tear": 12.0}, 0.0),
        ("gathered-box", {"tear": 12.7}, 0.0),
        ("tuck-carton", {"hang": 14.0}, SLOT),
        ("polygon-box", {"hang": 14.0, "face": "base"}, SLOT),
        # Two calipers more of the last wall, on the whole height of the sleeve.
        ("sleeve", {"seam-side": "outside"}, -2 * 0.3 * 60),
        # Its flap lies a caliper beyond a wall that is met at 60 degrees.
        ("prism-carton", {"seam-side": "outside"}, -(1 + 1 / math.sin(math.radians(60))) * 0.3 * 45.3),
    ],
)
def test_an_option(name: str, words: dict[str, float | str], off: float) -> None:
    # Chords of an arc leave out 0.02 mm of it at most along its length, which is at most 40 mm here.
    assert card(name) - card(name, **words) == pytest.approx(off, abs=0.8)
    drawing = KINDS[name].from_values(**words)
    assert [f for f in check(drawing, Tolerance()) if f.severity is not Severity.NOTE] == []
    reports = fold(drawing, thickness=0.3, tolerance=Tolerance())
    assert [r.verdict for r in reports] == [r.verdict for r in folded_kind(name)]
    assert [m for r in reports for m in r.messages if m.severity is not Severity.NOTE] == []
    for now, before in zip(reports, folded_kind(name), strict=True):
        assert sorted(now.inside_mm or ()) == pytest.approx(sorted(before.inside_mm or ()), abs=0.05)


def test_a_star_of_many_points_with_relieved_corners_folds_to_its_box() -> None:
    """Its row of walls is long, and its base has more corners than there are walls: the folds that are drawn tell its section."""
    drawing = KINDS["star-box"].from_values(
        points=6.0, radius=92.0, waist=75.0, flap=9.5, caliper=1.0, relief=0.5
    )
    reports = fold(drawing, thickness=1.0, tolerance=Tolerance())
    assert [r.verdict for r in reports] == [Verdict.OPEN_BOX] * 2
    assert [m for r in reports for m in r.messages if m.severity is not Severity.NOTE] == []


def test_slits_are_cut_from_both_ends_of_the_fold() -> None:
    plain, locked = (KINDS["tuck-carton"].from_values(slit=slit).lines for slit in (0.0, 7.0))
    cuts = [
        locked.points(i)
        for i in range(len(locked))
        if locked.operation[i] == Operation.CUT and len(locked.points(i)) == 2
    ]
    assert [math.dist(*c) for c in cuts] == pytest.approx([7.0] * 4)
    scored = [float(lines.lengths[lines.operation == Operation.SCORE].sum()) for lines in (plain, locked)]
    assert scored[0] - scored[1] == pytest.approx(4 * 7)


def test_a_tear_line_runs_level_from_fold_to_fold() -> None:
    lines = KINDS["tuck-carton"].from_values(tear=20.0).lines
    (run,) = (lines.points(i) for i in np.flatnonzero(lines.operation == Operation.PERFORATE))
    assert run[0][1] == run[1][1]
    assert abs(run[1][0] - run[0][0]) == pytest.approx(60.3)  # the front between its folds


@pytest.mark.parametrize(
    ("name", "words", "told"),
    [
        (
            "sleeve",
            {"notch": 30.0},
            "notch of 30 mm is too large for the front edge of 80.3 mm. Use at most 20 mm",
        ),
        (
            "prism-carton",
            {"notch": 8.0, "width": 60.0, "flap": 6.0},
            "too large for the rim of 34.5 mm, where a flap behind it would show or leave a gap. Use at most 6 mm",
        ),
        (
            "tuck-carton",
            {"notch": 12.7, "tuck": 8.5},
            "where a flap behind it would show or leave a gap. Use at most 8.5 mm",
        ),
        ("hinged-box", {"notch": 13.0, "tuck": 9.0}, "would show or leave a gap. Use at most 9 mm"),
        # the tabs glued inside that wall reach to 7 mm from its middle
        (
            "tray",
            {"length": 50.0, "tab": 18.0, "notch": 9.0},
            "would show or leave a gap. Use at most 7.1 mm",
        ),
        ("pillow-box", {"notch": 14.0, "bow": 8.0}, "16.0 mm from the next fold. Use at most 12.9 mm"),
        ("tuck-carton", {"slit": 1.0}, "slits of 1 mm hold nothing"),
        ("tuck-carton", {"slit": 20.0}, "leave too little of a fold of 58.7 mm. Use at most 14.6 mm"),
        ("tuck-carton", {"tear": 88.0}, "leaves no strip to tear. Use from 5 to 85.3 mm"),
        ("tuck-carton", {"hang": 50.0}, "leaves less than 8 mm of card in the front"),
        ("tray", {"relief": 0.1}, "a relief of 0.1 mm is no hole"),
    ],
)
def test_what_has_no_room_is_refused_with_what_would_do(
    name: str, words: dict[str, float], told: str
) -> None:
    with pytest.raises(JobError, match=told.replace(".", r"\.")):
        KINDS[name].from_values(**words)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("gusseted-bag", {"window": "lace", "face": "back", "margin": 4.0}),
        ("swing-tag", {"window": "lace", "corner": 20.0, "margin": 3.0}),
        ("folded-card", {"window": "lace", "round": 18.0, "margin": 3.0, "face": "front"}),
    ],
)
def test_windows_keep_off_holes_and_rounded_corners(name: str, words: dict[str, float | str]) -> None:
    drawing = KINDS[name].from_values(**words)
    template = divide(drawing, Tolerance())
    for part in template.parts:
        outline = shapely.LinearRing(template.lines.points(part.outline))
        holes = [shapely.Polygon(template.lines.points(h)) for h in part.holes]
        assert min(hole.distance(outline) for hole in holes) > 2.98
        assert min(one.distance(two) for one in holes for two in holes if one is not two) > 1.79


def test_nothing_is_cut_into_what_is_there_already() -> None:
    with pytest.raises(JobError, match="window"):
        KINDS["tuck-carton"].from_values(window="round", hang=30.0, **{"window-height": 80.0})
    KINDS["tuck-carton"].from_values(window="round", tear=10.0, **{"tear-in": "front"})
