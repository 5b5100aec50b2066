"""Steps of boxes as makers draw them, which no template draws: kinds of `tests.kinds`, by their promises."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from cutprep.model.duties import Fastening
from cutprep.model.folded import FoldReport
from cutprep.report.hands.assembly.order import Assembly, assembly
from cutprep.stages.fold.plan import fold
from tests.bench.fold_kinds import make
from tests.folding import TOLERANCE
from tests.kinds.draw import Manner, drawn

#: Words that must stand in the steps of a kind, in this order, and words that must not.
KINDS: dict[str, tuple[list[str], list[str]]] = {
    "slipcase": (["glue flaps F and G"], ["lid", "opens again", "Put in"]),
    "carton, sealed, full flaps": (
        ["Bring walls", "and glue it down", "Put in", "with a sticker"],
        ["Stand up"],
    ),
    "mailer, rolled sides, lid with ears": (
        ["Stand up walls", "Put in", "in first", "Fold lid"],
        ["Bring walls"],
    ),
    "drawer, rolled over a rim of 2 mm": (["Stand up walls", "Fold rim"], ["lid", "Put in"]),
    "tray, hollow long walls": (["Stand up walls", "its foot strip"], ["Bring walls"]),
    "frame box, hollow walls all round": (["Stand up walls", "its foot strip"], ["Bring walls", "sticker"]),
    "carton, slanted score on a wall": (
        ["Bring walls", "Close the lower end", "Put in", "Close the lid"],
        [],
    ),
    "bag, square, hem in strips": (["Fold hems", "Bring walls", "glue it down"], ["Put in", "sticker"]),
    "band with tabs, and its base": (["Bring walls", "Fold tabs"], ["sticker", "Put in"]),
    "magazine file": (["Bring walls", "glue it down"], ["sticker"]),
    "pyramid, fan with tuck base": (["Bring walls", "Put in", "Close the base"], ["Make up the lid"]),
    "cone cup, many-sided": (["Bring walls", "open at its wide end"], ["lid", "Stand up"]),
    "house": (["Work outwards", "Put in", "Close the last side"], ["opens again"]),
    "ballotin": (["Stand up walls", "Put in", "push the free edge of the last"], ["tape"]),
    "two trays on a spine": (["Stand up walls", "Make up the lid", "Put in", "Fold lid"], ["Bring walls"]),
    "carton with a partition": (["Fold partition", "Bring walls", "Put in"], []),
    "pattern of squares and diagonals": (["Fold it along all its scores"], ["halves"]),
    "gate card": (["glue only those"], ["no flap"]),
}


@cache
def _folded(kind: str) -> FoldReport:
    net, _ = make(kind, 77)
    drawing = drawn(net.strokes(), Manner(split=0.0), np.random.default_rng(5), kind)
    return max(fold(drawing, tolerance=TOLERANCE, thickness=0.28), key=lambda r: len(r.hinges))


def _steps(kind: str) -> Assembly:
    return assembly(_folded(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_put_together_in_its_own_order(kind: str) -> None:
    told = " ".join(step.text for step in _steps(kind).steps)
    wanted, unwanted = KINDS[kind]
    at = -1
    for words in wanted:
        at = told.find(words, at + 1)
        assert at >= 0, (words, told)
    assert not [words for words in unwanted if words in told], told


@pytest.mark.parametrize("kind", KINDS)
def test_every_flap_is_told_every_fold_is_made_and_nothing_is_told_twice(kind: str) -> None:
    report, steps = _folded(kind), _steps(kind).steps
    letters = set(re.findall(r"\b[A-Z]{1,2}\b", " ".join(step.text for step in steps)))
    lying = [f for f in report.flaps if f.target is not None and f.fastening is not Fastening.NOTHING]
    names = {report.panels[f.panel].name for f in lying}
    assert names - letters == ({"E"} if kind == "two trays on a spine" else set())  # "its rim"
    last = steps[-1].folded
    assert [h for h, share in zip(report.hinges, last, strict=True) if share < 1 and abs(h.angle) > 1] == []
    assert len({step.text for step in steps}) == len(steps)
