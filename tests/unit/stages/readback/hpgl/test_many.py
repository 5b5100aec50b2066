"""Stretches of PU and PD that are read in columns say what they say one by one."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import ReadbackError
from cutprep.limits import Limits
from cutprep.stages.readback.hpgl import follow
from cutprep.stages.readback.hpgl.many import Many, stretches
from cutprep.stages.readback.track import Track
from tests.plans import MACHINE


def text_of(strokes: int, seed: int = 1, most: int = 9000) -> str:
    chance = np.random.default_rng(seed)
    rows = []
    for _ in range(strokes):
        points = chance.integers(-3, most, (int(chance.integers(2, 9)), 2)).tolist()
        words = [f"{x},{y}" for x, y in points]
        rows += [f"PU{words[0]};\n" * int(chance.integers(1, 3)), f"PD{','.join(words[1:])};\n"]
    return "".join(rows)


def followed(
    text: str, monkeypatch: pytest.MonkeyPatch, *, slowly: bool, limits: Limits | None = None
) -> Track:
    with monkeypatch.context() as patch:
        if slowly:
            patch.setattr(follow, "stretches", lambda text: iter([text]))
        return follow.follow_hpgl(text, MACHINE, limits)[0]


HEAD = "IN;\nSP1;\nPU10,10;\nVS6;\nFS120;\n"
FILES = {
    "plain": HEAD + text_of(90) + "PU0,0;\nSP0;\n",
    "begins down": HEAD + "PD" + text_of(60).split("PD", 1)[1] + "SP0;",
    "speed in between": HEAD + text_of(60) + "VS3;\n" + text_of(60, 2) + "SP0;\n",
    "lifted before": HEAD + "PD5,5;\nPU;\n" + text_of(60)[4:] + "SP0;\n",
    "no tool": "IN;\nVS6;\n" + text_of(60),
    "steps": HEAD + "PR;\n" + text_of(60, most=4) + "SP0;\n",
    "user units": HEAD + "IP0,0,4000,4000;\nSC0,9000,0,9000;\n" + text_of(60),
    "out of range": HEAD + text_of(60) + "PD40000,7;\n" + text_of(60, 2) + "SP0;\n",
    "odd": HEAD + text_of(60) + "PD4;\n" + text_of(60, 2) + "SP0;\n",
    "bare": HEAD + text_of(60) + "PD;\nPU;\n" + text_of(60, 2) + "SP0;\n",
    "label": HEAD + "LB" + text_of(60) + "\x03;\nPU9,9;\nSP0;\n",
}


@pytest.mark.parametrize("name", FILES)
def test_a_stretch_says_what_its_instructions_say(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    quick, slow = (followed(FILES[name], monkeypatch, slowly=slowly) for slowly in (False, True))
    a, b = quick.moves(MACHINE), slow.moves(MACHINE)
    for column in ("xy", "down", "tool", "speed", "force", "stroke", "curved"):
        assert np.array_equal(getattr(a, column), getattr(b, column), equal_nan=column == "force"), column
    assert (quick.said, quick.helds, quick.findings) == (slow.said, slow.helds, slow.findings)
    assert quick.lines.tolist() == slow.lines.tolist()


def test_plain_files_are_read_in_columns() -> None:
    found = [type(part) for part in stretches(FILES["plain"])]
    assert Many in found
    assert "".join(map(str, stretches(FILES["odd"]))) == FILES["odd"]


@pytest.mark.parametrize("limits", [Limits(moves=200), Limits(instructions=100)])
def test_no_more_is_followed_than_is_allowed(limits: Limits, monkeypatch: pytest.MonkeyPatch) -> None:
    said = []
    for slowly in (False, True):
        with pytest.raises(ReadbackError) as told:
            followed(FILES["plain"], monkeypatch, slowly=slowly, limits=limits)
        said.append(str(told.value))
    assert said[0] == said[1]
