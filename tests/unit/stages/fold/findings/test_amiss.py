"""What is forgotten or too much."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from cutprep.model.findings.entry import Severity
from cutprep.model.findings.finding import Finding
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.folding import codes_of, folded
from tests.kinds.draw import Manner, Net, drawn
from tests.kinds.faults import SCORE, instead, plus, split
from tests.kinds.sound import SIDE, TALL, H, L, T, W, X, carton, hexagon, no_wall, slip, slip_bare, tray
from tests.kinds.sound import square_tray as square
from tests.nets import double_walled_tray, net_of, ngon_tray, tuck_end
from tests.nets import tray as plain_tray

CODES = {"flap-forgotten", "flap-twice", "score-part-cut", "score-missing", "wall-missing"}


def found(net: Net | list, code: str) -> list[Finding]:
    strokes = split(net) if isinstance(net, Net) else net
    reports = fold(drawn(strokes, Manner(), np.random.default_rng(3)), tolerance=Tolerance())
    return [m for r in reports for m in r.messages if m.code == code]


def at(finding: Finding) -> list[tuple[float, float]]:
    return [p.xy for p in finding.places if p.xy is not None]


@pytest.mark.parametrize(
    "make",
    [
        tray,
        square,
        carton,
        hexagon,
        slip,
        lambda: net_of("cube", 40),
        lambda: ngon_tray(5),
        double_walled_tray,
        tuck_end,
        plain_tray,
    ],
)
def test_a_sound_part_has_nothing_amiss(make: Callable[[], object]) -> None:
    got = make()
    if isinstance(got, Net):
        assert not any(found(got, code) for code in CODES)
    else:
        assert not CODES & set(codes_of(folded(got)))  # type: ignore[arg-type]


def test_a_forgotten_flap_is_named_at_both_sides_of_its_seam() -> None:
    (finding,) = found(tray(skip=(0,)), "flap-forgotten")
    assert finding.severity is Severity.WARNING
    assert finding.measure == pytest.approx(H)
    assert sorted(at(finding)) == [pytest.approx((-H / 2, 0)), pytest.approx((0, -H / 2))]
    (finding,) = found(carton(glue=0.0), "flap-forgotten")
    assert sorted(at(finding)) == [pytest.approx((0, T / 2)), pytest.approx((X[4], T / 2))]
    assert len(found(hexagon(glue=0.0), "flap-forgotten")) == 1
    assert found(slip_bare(), "flap-forgotten")


def test_two_flaps_at_one_seam() -> None:
    (finding,) = found(carton().flap((X[4], T), (X[4], 0), 10.0, 3.0), "flap-twice")
    assert sorted(x for x, _ in at(finding)) == pytest.approx([-5, X[4] + 5], abs=0.6)


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7])
def test_a_score_that_goes_on_as_a_cut(share: float) -> None:
    strokes = instead(
        split(tray()), (0, 0), (L, 0), (5, ((0, 0), (share * L, 0))), (SCORE, ((share * L, 0), (L, 0)))
    )
    (finding,) = found(strokes, "score-part-cut")
    assert finding.measure == pytest.approx(share * L, abs=0.2)
    assert at(finding)[0] == pytest.approx((share * L / 2, 0), abs=0.2)


def test_short_slits_at_a_scores_ends_are_locks() -> None:
    slit = instead(split(tray()), (0, 0), (L, 0), (5, ((0, 0), (8, 0))), (SCORE, ((8, 0), (L, 0))))
    assert not found(slit, "score-part-cut")


def test_a_wall_that_is_not_there() -> None:
    (finding,) = found(no_wall(), "wall-missing")
    assert at(finding)[0] == pytest.approx((0, W / 2), abs=0.1)
    (finding,) = found(hexagon(5), "wall-missing")
    assert at(finding)[0] == pytest.approx((5 * SIDE + 4.5, TALL / 2), abs=1)


def test_two_scores_with_hardly_any_card_between() -> None:
    (finding,) = found(plus(split(tray()), SCORE, (0, 1), (L, 1)), "panel-narrow")
    assert finding.measure == pytest.approx(1.0, abs=0.05)
    assert 0 <= at(finding)[0][1] <= 1
