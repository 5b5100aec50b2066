"""Sheet sizes and plotter units against their standards.

Sources: ISO 216:2007 (A and B series, as given by several restatements); ANSI/ASME Y14.1 for US letter (from
memory; the conversion is exact); HP, PCL/PJL Reference, PCL 5 Technical Reference Manual Part II, table 17-7,
for the plotter unit of 0.025 mm.
"""

from __future__ import annotations

import math

import pytest

from cutprep.profile import shelf
from cutprep.units import size

ISO_216 = {"A3": (297, 420), "A4": (210, 297)}


@pytest.mark.parametrize("name", sorted(ISO_216))
def test_iso_216_sizes(name: str) -> None:
    for stock in shelf.stocks().values():
        sheet = stock.sheet_named(name)
        assert sheet is not None
        assert (sheet.width, sheet.height) == ISO_216[name]


def test_iso_216_ratio_and_halving() -> None:
    """The sides of an A sheet are as 1 to the root of 2, and halving one gives the next."""
    a3, a4 = (shelf.stock("card-220").sheet_named(n) for n in ("A3", "A4"))
    assert a3 is not None
    assert a4 is not None
    assert a3.height / a3.width == pytest.approx(math.sqrt(2), abs=0.005)
    assert (math.floor(a3.height / 2), a3.width) == (a4.width, a4.height)


def test_us_letter_and_twelve_inch_square() -> None:
    letter, square = (shelf.stock("card-220").sheet_named(n) for n in ("letter", "12in"))
    assert letter is not None
    assert square is not None
    assert (letter.width, letter.height) == pytest.approx((215.9, 279.4))
    assert (square.width, square.height) == pytest.approx(size("12x12in"))


def test_sizes_in_plotter_units() -> None:
    """40 units a mm: A4 is 8400 x 11880 units, twelve inches are 12192."""
    unit = shelf.machine("mat-cutter-300").hpgl.unit
    assert [round(v / unit) for v in (210, 297, 304.8)] == [8400, 11880, 12192]
