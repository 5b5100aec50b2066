"""The picture of a piece lying flat: nothing that is written on it is cut off."""

from __future__ import annotations

import re

import pytest

from cutprep.report.pictures.flat import flat_map, room_on_card
from cutprep.report.pictures.lettering import SMALL, box_of
from cutprep.template.kinds import KINDS
from tests.making import made

_TURNED = re.compile(r'translate\(([-\d.]+) ([-\d.]+)\) rotate\(-90\)" font-size="[\d.]+">([^<]+)<')
_VIEW = re.compile(r'viewBox="([-\d. ]+)"')


@pytest.mark.parametrize(
    ("name", "values"), [("locked-band", {"length": 250.0, "width": 22.0}), ("tray", {}), ("divider", {})]
)
def test_the_height_of_a_strip_is_not_cut_off(name: str, values: dict[str, float]) -> None:
    """It is written upwards along the left edge, and may be longer than the strip is high."""
    for work in made(KINDS[name].from_values(**values))[0]:
        picture = flat_map(work, limit=room_on_card(work))
        _, top, _, high = map(float, _VIEW.search(picture)[1].split())
        ((_, y, text),) = _TURNED.findall(picture)
        half = box_of(0, 0, text, SMALL)[2]
        assert top <= float(y) - half
        assert float(y) + half <= top + high
