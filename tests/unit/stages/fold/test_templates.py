"""Every kind of template that can be drawn from dimensions folds up as it is meant to."""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Severity
from cutprep.model.folded import Verdict
from tests.folding import folded_kind

#: Kind to the verdict of its parts, and how many there are. What is drawn with its angles has nothing to close.
WANTED = {
    "tray": (Verdict.OPEN_BOX, 1),
    "tray-with-lid": (Verdict.OPEN_BOX, 2),
    "hinged-box": (Verdict.CLOSED, 1),
    "shoulder-box": (Verdict.OPEN_BOX, 3),
    "drawer-and-sleeve": (Verdict.OPEN_BOX, 2),
    "polygon-box": (Verdict.OPEN_BOX, 2),
    "cake-slice": (Verdict.CLOSED, 1),
    "tuck-carton": (Verdict.CLOSED, 1),
    "sleeve": (Verdict.OPEN_BOX, 1),
    "prism-carton": (Verdict.CLOSED, 1),
    "gathered-box": (Verdict.CLOSED, 1),
    "milk-carton": (Verdict.CLOSED, 1),
    "gable-box": (Verdict.CLOSED, 1),
    "pyramid": (Verdict.CLOSED, 1),
    "pillow-box": (Verdict.CURVED, 1),
    "envelope": (Verdict.LEAF, 1),
    "divider": (Verdict.FLAT, 3),
    "swing-tag": (Verdict.FLAT, 1),
    "band": (Verdict.OPEN_BOX, 1),
    "locked-band": (Verdict.OPEN_BOX, 1),
    "folded-card": (Verdict.LEAF, 1),
    "place-card": (Verdict.LEAF, 1),
    "envelope-liner": (Verdict.LEAF, 1),
    "pop-up-stair": (Verdict.LEAF, 1),
    "lace": (Verdict.FLAT, 1),
    "cup": (Verdict.OPEN_BOX, 1),
    "gusseted-bag": (Verdict.OPEN_BOX, 1),
    "cone": (Verdict.LEAF, 1),
    "star-box": (Verdict.OPEN_BOX, 2),
    "exploding-box": (Verdict.OPEN_BOX, 3),
    "treat-box": (Verdict.CLOSED, 1),
}


@pytest.mark.parametrize("kind", WANTED)
def test_a_template_folds(kind: str) -> None:
    verdict, parts = WANTED[kind]
    reports = folded_kind(kind)
    assert [report.verdict for report in reports] == [verdict] * parts
    for report in reports:
        assert all(m.severity is Severity.NOTE for m in report.messages), report.messages
        assert report.closes in (None, True)
        assert report.closes is None or report.gap <= 0.5


def test_a_tent_card_is_seen_from_its_outside() -> None:
    """Its fold is a mountain: the making sheet says which side of the card one sees, and the picture shows a tent, not a tray."""
    (tent,), (card,) = folded_kind("place-card"), folded_kind("folded-card")
    assert (tent.inside_up, card.inside_up) == (False, True)
