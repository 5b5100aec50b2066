"""What the catalogue says of mending is so: check, mend, check again."""

from __future__ import annotations

import pytest

from cutprep.model.findings.catalogue import CATALOGUE
from cutprep.model.findings.entry import Mend
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from tests.drawn import LIMITS
from tests.examples.drawings import DRAWINGS, found

SAFE = [code for code in DRAWINGS if CATALOGUE[code].mends[0] is Mend.SAFE]
#: Code to what the maker says to have it mended.
ASKED: dict[str, dict[str, object]] = {
    "doubled-across-operations": {"keep": "cut"},
    "stub": {"ask": frozenset({"stubs"})},
}


def left(code: str, **said: object) -> set[str]:
    """Codes that `check` tells of the mended drawing of a code."""
    mended, _ = mend(DRAWINGS[code], LIMITS, Mending(**said))  # type: ignore[arg-type]
    return {finding.code for finding in check(mended, LIMITS)}


@pytest.mark.parametrize("code", SAFE)
def test_what_mends_safely_is_mended(code: str) -> None:
    (told,) = {f.mend for f in found(code) if f.code == code}
    assert told is Mend.SAFE
    assert code not in left(code)


@pytest.mark.parametrize("code", ASKED)
def test_what_mends_when_asked_is_left_until_then(code: str) -> None:
    (told,) = {f.mend for f in found(code) if f.code == code}
    assert told is Mend.ASK
    assert code in left(code)
    assert code not in left(code, **ASKED[code])


def test_every_code_that_can_be_mended_is_tried() -> None:
    can = {code for code, entry in CATALOGUE.items() if set(entry.mends) - {Mend.NONE}}
    assert can == {*SAFE, *ASKED}


@pytest.mark.parametrize("code", [code for code in DRAWINGS if CATALOGUE[code].mends == (Mend.NONE,)])
def test_what_only_the_maker_can_mend_promises_nothing(code: str) -> None:
    told = [f for f in found(code) if f.code == code]
    assert all(f.mend is Mend.NONE and "mending" not in f.fix for f in told)
