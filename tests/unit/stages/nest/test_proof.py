"""The proof of a layout: every rule broken once, and found."""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.proof import verify_layout
from tests.unit.stages.nest.specimens import box, frame, ring, sheet

_BOX = box(20, 10)


def _codes(placements: list[Placement], **kwargs: object) -> list[str]:
    margin, gap = float(kwargs.pop("margin", 0.0)), float(kwargs.pop("gap", 0.0))  # type: ignore[arg-type]
    s = sheet([_BOX], placements, width=100, height=50, margin=margin, gap=gap)
    findings = verify_layout([s], **kwargs)  # type: ignore[arg-type]
    assert all(f.severity is Severity.ERROR and f.fix for f in findings)
    return [f.code for f in findings]


def test_touching_copies_are_right_at_gap_0() -> None:
    """Edge on edge, corner on corner."""
    grid = [Placement(0, 20.0 * i, 10.0 * j) for i in range(5) for j in range(5)]
    assert _codes(grid) == []


@pytest.mark.parametrize(
    ("x", "gap", "codes"),
    [
        (20.0, 0.1, ["gap-too-small"]),
        (20.09, 0.1, ["gap-too-small"]),
        (20.1, 0.1, []),
        (19.9, 0.0, ["overlap"]),
        (19.9, 1.0, ["overlap"]),
        (0.0, 0.0, ["overlap"]),
        (5.0, 0.0, ["overlap"]),
    ],
)
def test_gap_and_overlap(x: float, gap: float, codes: list[str]) -> None:
    """Two boxes at various distances; one within another counts as overlap."""
    assert _codes([Placement(0, 0, 0), Placement(0, x, 0, copy=2)], gap=gap) == codes


def test_the_gap_counts_round_corners() -> None:
    """Corner to corner 3 along each axis is 4.24 apart: fine at gap 4, not at 4.3."""
    corner = [Placement(0, 0, 0), Placement(0, 23, 13, copy=2)]
    assert _codes(corner, gap=4.0) == []
    assert _codes(corner, gap=4.3) == ["gap-too-small"]


@pytest.mark.parametrize(
    ("placement", "side"),
    [
        (Placement(0, 4.9, 5), "left"),
        (Placement(0, 5, 4.9), "lower"),
        (Placement(0, 75.1, 5), "right"),
        (Placement(0, 5, 35.1), "upper"),
        (Placement(0, 5, 5, 90), "left"),
    ],
)
def test_margins(placement: Placement, side: str) -> None:
    """Each side, and a turn that swings the copy out."""
    s = sheet([_BOX], [placement], width=100, height=50, margin=5)
    (finding,) = verify_layout([s])
    assert finding.code == "outside-margin"
    assert side in finding.problem
    assert finding.places[0].element == "divider, copy 1"


def test_kept_out_areas() -> None:
    """Touching is fine, a hair on it is not."""
    assert _codes([Placement(0, 0, 0)], keep_out=[(20, 0, 40, 50)]) == []
    assert _codes([Placement(0, 0.001, 0)], keep_out=[(20, 0, 40, 50)]) == ["on-keep-out"]


def test_turns_mirror_grain_and_counts() -> None:
    """What was asked for is held against what is there."""
    turned = [Placement(0, 30, 0, 45)]
    assert _codes(turned, demands=[Demand(_BOX, 1, "free")]) == []
    assert _codes(turned, demands=[Demand(_BOX, 1)]) == ["turn-not-allowed"]
    assert _codes([Placement(0, 30, 0, mirror=True)], demands=[Demand(_BOX, 1)]) == ["turn-not-allowed"]
    assert _codes([Placement(0, 0, 0)], demands=[Demand(_BOX, 2)]) == ["copies-wrong"]
    assert _codes([Placement(0, 0, 0)], demands=[]) == ["copies-wrong"]
    folded = box(20, 10, grain=0.0)
    s = sheet([folded], [Placement(0, 30, 0, 90)], width=100, height=50)
    assert [f.code for f in verify_layout([s], demands=[Demand(folded, 1)], grain=0.0)] == [
        "turn-not-allowed"
    ]


def test_copies_in_windows() -> None:
    """A copy in the waste of another is an overlap unless windows may be used."""
    s = sheet([frame(40, 30), box(10, 10)], [Placement(0, 0, 0), Placement(1, 10, 10, copy=2)])
    assert [f.code for f in verify_layout([s])] == ["overlap"]
    assert verify_layout([s], windows=True) == ()


def test_single_parts_are_checked_as_such() -> None:
    """A placement of one part takes up that part only."""
    two = Template(
        "pair",
        Lines.of(
            [ring([(0, 0), (10, 0), (10, 10), (0, 10)]), ring([(20, 0), (30, 0), (30, 10), (20, 10)])],
            operation=Operation.CUT,
        ),
        (Part(0), Part(1)),
    )
    whole = sheet([two], [Placement(0, 0, 0), Placement(0, 10, 0, copy=2)])
    assert verify_layout([whole]) == ()
    parts = sheet([two], [Placement(0, 0, 0, part=0), Placement(0, -15, 0, copy=2, part=1)], margin=0)
    assert [f.code for f in verify_layout([parts])] == ["overlap"]


def test_equal_sheets_are_checked_once() -> None:
    """Findings of a repeated pattern are told once."""
    s = sheet([_BOX], [Placement(0, 0, 0), Placement(0, 10, 0, copy=2)])
    assert len(verify_layout([s, s, s])) == 1


def test_an_empty_sheet_is_right() -> None:
    """Nothing placed, nothing wrong."""
    assert verify_layout([sheet([_BOX], [])]) == ()
