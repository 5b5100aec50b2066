"""The large rooms have wings that lean on few others: arrows between what lies side by side in a room's folder.

An arrow goes from one wing or file of the folder to another that it imports from, however often.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import cutprep

STAGES = Path(cutprep.__file__).parent / "stages"
#: Arrows between the files of a room when all of them lay in one folder; a third of it is allowed.
FLAT = {"fold": 75, "read": 110, "nest": 90}


def arrows(room: str) -> set[tuple[str, str]]:
    """From which wing or file of a room to which other one there are imports."""
    base, found = STAGES / room, set()
    for path in base.rglob("*.py"):
        wing = path.relative_to(base).with_suffix("").parts[0]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.ImportFrom) and node.module):
                continue
            packages = node.module.split(".")
            if packages[:3] == ["cutprep", "stages", room]:
                found |= {(wing, (packages[3:] or [one.name])[0]) for one in node.names}
    return {(one, other) for one, other in found if one not in {other, "__init__"}}


@pytest.mark.parametrize("room", FLAT)
def test_wings_of_a_room_lean_on_few_others(room: str) -> None:
    assert len(arrows(room)) <= FLAT[room] / 3


def test_the_page_says_how_many_there_are() -> None:
    page = (STAGES.parents[1] / "docs" / "HOUSE.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| `(\w+)/` \| (\d+) \| (\d+) \|$", page, re.MULTILINE)
    assert {room: (int(flat), int(now)) for room, flat, now in told} == {
        room: (flat, len(arrows(room))) for room, flat in FLAT.items()
    }
