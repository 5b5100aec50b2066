"""What is refused comes with values that can be drawn."""

from __future__ import annotations

import re

import pytest

from cutprep.errors import JobError
from cutprep.template.kinds import KINDS
from cutprep.template.remedy import draw_or_advise

_VALUE = re.compile(r"([a-z-]+)=(\d+(?:\.\d+)?)")


@pytest.mark.parametrize(
    ("name", "given", "told"),
    [
        ("tray", {"height": 7.0}, ["height", "tab"]),
        ("hinged-box", {"tuck": 60.0}, ["tuck"]),
        ("prism-carton", {"sides": 12.0}, ["sides", "width"]),
        ("pillow-box", {"bow": 40.0}, ["bow"]),
        ("swing-tag", {"hole": 40.0}, ["hole", "width"]),
        ("tray", {"window": "round", "window-width": 120.0}, ["window-width"]),
    ],
)
def test_the_values_that_are_named_can_be_drawn(
    name: str, given: dict[str, float | str], told: list[str]
) -> None:
    with pytest.raises(JobError) as refused:
        draw_or_advise(KINDS[name], given)
    named = dict(_VALUE.findall(refused.value.fix.split("For example")[1]))
    assert set(named) & set(told)
    for key, value in named.items():
        draw_or_advise(KINDS[name], {**given, key: float(value)})


def test_a_dimension_beyond_its_limits_is_told_with_its_limits_only() -> None:
    with pytest.raises(JobError, match="length is 9999 mm; it must be from 10 mm to 1500 mm") as refused:
        draw_or_advise(KINDS["tray"], {"length": 9999.0})
    assert "For example" not in refused.value.fix


def test_what_is_no_length_is_told_with_its_dimension() -> None:
    with pytest.raises(JobError, match="width: 'wide' is not a length"):
        KINDS["tray"].read({"width": "wide"})


def test_who_works_in_inches_is_told_eighths() -> None:
    with pytest.raises(JobError) as refused:
        draw_or_advise(KINDS["tray"], KINDS["tray"].read({"height": "3/8in"}), "in")
    assert refused.value.fix.endswith("For example height=0.625in or tab=0.25in.")
