"""The same lines give the same DXF, whatever order a process keeps its sets in."""

from __future__ import annotations

import os
import subprocess
import sys

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
