"""How long a drawing unit is, and how the maker hears of it."""

from __future__ import annotations

import pytest

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from tests.dxf_text import Entity, drawing, header, line, read_text


def read(head: Entity | None, units: str | None = None) -> Drawing:
    return read_text(drawing(line(0, 0, 1, 0), head=head), units=units)


def length(found: Drawing) -> float:
    return float(found.lines.lengths[0])


# DXF reference, $INSUNITS; exact lengths: international foot of 1959; US survey foot 1200/3937 m
# (NIST Special Publication 811, 2008, B.6).
@pytest.mark.parametrize(
    ("number", "mm"),
    [
        (1, 25.4), (2, 304.8), (3, 1_609_344.0), (4, 1.0), (5, 10.0), (6, 1000.0), (7, 1e6), (8, 2.54e-5), (9, 0.0254),
        (10, 914.4), (11, 1e-7), (12, 1e-6), (13, 1e-3), (14, 100.0), (15, 1e4), (16, 1e5), (21, 304.8006096012192),
        (22, 25.4000508001016), (23, 914.4018288036576), (24, 1_609_347.218694437),
    ],
)  # fmt: skip
def test_stated_units(number: int, mm: float) -> None:
    found = read(header(INSUNITS=(70, number)))
    assert length(found) == pytest.approx(mm, rel=1e-14)
    assert f"$INSUNITS = {number}" in found.scale_note
    assert not [n for n in found.notes if n.code != "huge-drawing"]


def test_no_header_is_never_metres() -> None:
    found = read(None)
    assert length(found) == 1
    assert [(n.code, n.severity) for n in found.notes] == [("unit-assumed", Severity.WARNING)]
    assert "no header" in found.notes[0].problem
    assert "assumption" in found.scale_note
    assert "--units in makes it 25.4 x 0.0 mm, --units cm makes it 10.0 x 0.0 mm." in found.notes[0].fix


@pytest.mark.parametrize(
    "head", [header(), header(INSUNITS=(70, 0)), header(INSUNITS=(70, 99)), header(INSUNITS=(70, 18))]
)
def test_a_header_without_a_unit_is_taken_as_millimetres_with_a_warning(head: Entity) -> None:
    found = read(head)
    assert length(found) == 1
    assert [n.code for n in found.notes] == ["unit-assumed"]
    assert "--units" in found.notes[0].fix


@pytest.mark.parametrize(("measurement", "mm"), [(0, 25.4), (1, 1.0)])
def test_the_measurement_hint_is_taken_with_a_warning(measurement: int, mm: float) -> None:
    found = read(header(INSUNITS=(70, 0), MEASUREMENT=(70, measurement)))
    assert length(found) == mm
    assert [n.code for n in found.notes] == ["unit-assumed"]
    assert f"$MEASUREMENT is {measurement}" in found.scale_note


@pytest.mark.parametrize("head", [None, header(), header(INSUNITS=(70, 0), MEASUREMENT=(70, 0))])
def test_the_makers_word_settles_a_unitless_drawing(head: Entity | None) -> None:
    found = read(head, units="cm")
    assert length(found) == 10
    assert not found.notes
    assert "as asked for" in found.scale_note


def test_the_files_own_unit_wins_and_the_maker_hears_of_it() -> None:
    found = read(header(INSUNITS=(70, 1)), units="mm")
    assert length(found) == 25.4
    assert [n.code for n in found.notes] == ["unit-not-used"]
    assert not read(header(INSUNITS=(70, 1)), units="in").notes


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(JobError, match="furlong"):
        read(None, units="furlong")
