"""Columns by group code: the first of a record's own tags, and errors with their line."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.stages.read.dxf.records import Records, as_number
from cutprep.stages.read.dxf.tags import read_tags
from tests.dxf_text import drawing, entity, line


@pytest.fixture
def records() -> Records:
    source = drawing(
        entity("LINE", (5, "A1"), (8, "cut"), (10, "1,5"), (20, 2), (10, 9)),
        entity(
            "LINE",
            (102, "{OTHER"),
            (10, 77),
            (102, "}"),
            (8, "score"),
            (10, 3),
            (1010, 88),
            (102, "{open"),
            (20, 4),
        ),
    )
    return Records(read_tags(source.encode()))


def test_columns_take_the_first_of_the_records_own_tags(records: Records) -> None:
    chosen = np.array([kind == "LINE" for kind in records.kind])
    # A decimal comma is what writers put that follow the user's locale.
    assert records.column(10, chosen, 0.0)[chosen].tolist() == [1.5, 3.0]
    assert records.column(20, chosen, -1.0)[chosen].tolist() == [2.0, 4.0]
    assert [t for t, c in zip(records.texts(8, chosen), chosen, strict=True) if c] == ["cut", "score"]
    assert records.present(5, chosen)[chosen].tolist() == [True, False]


def test_names_and_lines(records: Records) -> None:
    first = records.kind.index("LINE")
    assert records.name(first) == "LINE 'A1'"
    assert records.name(first + 1) == "LINE"
    assert records.line(first) == 15


@pytest.mark.parametrize("value", ["five", "nan", "1e999", "-inf", "1e300", ""])
def test_a_number_that_is_none_names_its_line(value: str) -> None:
    source = drawing(line(0, 0, value, 0))  # type: ignore[arg-type]
    found = Records(read_tags(source.encode()))
    chosen = np.array([kind == "LINE" for kind in found.kind])
    with pytest.raises(DrawingError, match="where a number") as caught:
        found.column(11, chosen, 0.0)
    assert source.split("\n")[(caught.value.place.line or 0) - 1] == value
    assert caught.value.place.element == "LINE"


def test_as_number() -> None:
    assert [as_number(text, -1.0) for text in ("2.5", "2,5", "x", "nan", "1e999", "")] == [
        2.5,
        2.5,
        -1,
        -1,
        -1,
        -1,
    ]
