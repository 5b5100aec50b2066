"""Every record is drawn or told: nothing goes missing in silence."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from tests.dxf_text import Entity, block, drawing, entity, insert, layer, line, read_text

KINDS = [
    "LINE",
    "CIRCLE",
    "ARC",
    "TEXT",
    "MTEXT",
    "HATCH",
    "SOLID",
    "DIMENSION",
    "LEADER",
    "POINT",
    "RAY",
    "XLINE",
    "IMAGE",
    "3DSOLID",
    "REGION",
    "ACAD_TABLE",
    "ACAD_PROXY_ENTITY",
    "TOLERANCE",
    "MPOLYGON",
    "OLE2FRAME",
    "MESH",
    "WHATEVER",
]


def accounted(found: Drawing) -> int:
    """Lines, and records that a note says are left out."""
    told = sum(int(n.measure or 0) for n in found.notes if n.code.endswith("-left-out"))
    return len(found.lines) + told


@pytest.mark.parametrize("seed", range(12))
def test_drawn_and_told_add_up(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows: list[Entity] = [line(0, 0, 1, 0)]
    for kind in rng.choice(KINDS, 40):
        name = rng.choice(["cut", "off", "0"])
        more = [(67, 1)] if rng.random() < 0.1 else [(60, 1)] if rng.random() < 0.1 else []
        size = [(40, int(rng.integers(0, 3)))] if rng.random() < 0.9 else []
        rows.append(
            entity(str(kind), (8, name), (10, 1), (20, 2), *size, (11, 5), (21, 5), (50, 0), (51, 90), *more)
        )
    found = read_text(drawing(*rows, tables=[layer("off", -3)]))
    assert accounted(found) == len(rows)


def test_a_block_adds_up_as_often_as_it_shows() -> None:
    inside = block(
        "tab", line(0, 0, 1, 0), entity("TEXT", (8, "0")), line(5, 5, 5, 5), line(0, 0, 3, 3, layer="off")
    )
    found = read_text(drawing(insert("tab"), insert("tab", 9), blocks=[inside], tables=[layer("off", -3)]))
    assert len(found.lines) == 2
    codes = {n.code: n.measure for n in found.notes}
    assert codes == {"text-left-out": 2, "hidden-left-out": 2, "no-length-left-out": 1}


def test_every_finding_can_be_acted_on_or_is_a_note() -> None:
    rows = [
        entity(kind, (8, "cut"), (10, 0), (20, 0)) for kind in KINDS if kind not in {"LINE", "CIRCLE", "ARC"}
    ]
    found = read_text(drawing(line(0, 0, 1, 0), *rows))
    assert found.notes
    for note in found.notes:
        assert note.places
        assert note.places[0].file == "tray.dxf"
        assert note.fix
        assert note.problem[0].isdigit() or note.problem[0].islower()
