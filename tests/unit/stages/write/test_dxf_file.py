"""The same lines give the same DXF, and lines look in it as they were drawn.

Outside source: ezdxf, which reads the file back.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys

import ezdxf

from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.stages.write.dxf_file import write_dxf

SCRIPT = """
import hashlib
from cutprep.model.lines import Lines
from cutprep.stages.write.dxf_file import write_dxf
print(hashlib.sha256(write_dxf(Lines.of([[[0, 0], [10, 0]]], operation=5)).encode()).hexdigest())
"""


def test_the_same_text_under_every_hash_seed() -> None:
    prints = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in (3, 4)  # under these two the library would keep another order
    }
    assert len(prints) == 1


def test_lines_of_one_layer_keep_their_own_colours_and_dashes() -> None:
    """A maker who tells passes apart by colour finds them again; read by ezdxf."""
    rows = [("#00aa00", ()), ("#00aa00", ()), ("#cc0000", ()), ("#00aa00", (3.0, 1.0))]
    lines = Lines.of(
        [[[0, k], [10, k]] for k in range(4)],
        operation=Operation.CUT,
        source=range(4),
        elements=tuple(Element(layer="tags", colour=colour, dash=dash) for colour, dash in rows),
    )
    document = ezdxf.read(io.StringIO(write_dxf(lines, keep=True)))
    layer = document.layers.get("tags")
    found = [
        (e.dxf.get("true_color", layer.dxf.true_color), e.dxf.get("linetype", layer.dxf.linetype))
        for e in document.modelspace()
    ]
    green, red = 0x00AA00, 0xCC0000
    assert found == [
        (green, "Continuous"),
        (green, "Continuous"),
        (red, "Continuous"),
        (green, "dash 3 1"),
    ]
