"""Pictures of steps: each letter stands on its own panel, where that is seen; nothing is cut off or out of its middle."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
import shapely

from cutprep.report.pictures.step import done_picture, step_picture
from cutprep.template.kinds import KINDS
from tests.making import made

SVG = "{http://www.w3.org/2000/svg}"
#: A letter that is 2.6 mm high has room in a circle of this radius, mm, wherever one is clear; one of its width at most.
ROOM = 2.2


def panels(root: ET.Element) -> list[shapely.Polygon]:
    """What is seen of each panel, in the order in which they are painted."""
    shapes = []
    for path in root.iter("path"):
        rings = [
            [tuple(map(float, pair.split(" "))) for pair in ring.split("L")]
            for ring in re.findall(r"M([^Z]+)Z", path.get("d", ""))
        ]
        outer, *holes = rings
        shapes.append(shapely.make_valid(shapely.Polygon(outer, holes)))  # one seen edge-on crosses itself
    for k, shape in enumerate(shapes):
        shapes[k] = shape.difference(shapely.union_all(shapes[k + 1 :]))
    return shapes


def pictures(name: str, **options: float | str) -> list[ET.Element]:
    """Each picture of folded panels on the way to a piece, and of the piece."""
    works, _ = made(KINDS[name].from_values(**options))
    found = []
    for work in works:
        found += [step_picture(step, work)[0] for step in work.built.steps if step.folded]
        found.append(done_picture(work))
    return [ET.fromstring(one) for one in found if one]


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("tray", {"window": "rectangle", "window-width": 60, "window-height": 50}),
        ("sleeve", {"window": "rectangle"}),
    ],
)
def test_letters_stand_on_what_is_seen_of_a_panel_wherever_there_is_room(
    name: str, options: dict[str, float | str]
) -> None:
    for root in pictures(name, **options):
        width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
        seen = panels(root)
        left, bottom, right, top = shapely.total_bounds(seen)
        assert min(left, bottom, width - right, height - top) >= 0.99  # a millimetre all round
        assert (left + right, bottom + top) == pytest.approx((width, height), abs=0.02)
        lettered = set()
        for text in root.iter("text"):
            spot = shapely.Point(float(text.get("x", "")), float(text.get("y", "")) - 2.6 * 0.36)
            (on,) = (k for k, shape in enumerate(seen) if shape.covers(spot))
            assert shapely.boundary(seen[on]).distance(spot) > 1.5
            lettered.add(on)
        assert len(lettered) == len(list(root.iter("text")))  # no two on one panel
        clear = {k for k, shape in enumerate(seen) if not shape.buffer(-ROOM).is_empty}
        assert clear <= lettered


def test_the_flat_card_lies_in_the_middle_of_its_picture() -> None:
    """Bare, or with the lines that the step works on."""
    (work,), _ = made(KINDS["tray"].from_values())
    shown = [ET.fromstring(step_picture(step, work)[0]) for step in work.prepared]
    assert len(shown) >= 4
    for root in shown:
        width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
        if (card := root.find("rect")) is not None:
            x, y, w, h = (float(card.get(key, "")) for key in ("x", "y", "width", "height"))
            middle = (x + w / 2, y + h / 2)
        else:
            points = re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", root[0].get("d", ""))
            box = shapely.MultiPoint([(float(x), float(y)) for x, y in points]).bounds
            middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        assert middle == pytest.approx((width / 2, height / 2), abs=0.02)
