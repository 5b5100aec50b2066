"""The desk's server starts without the engine: its processes load that when a job is there."""

from __future__ import annotations

import subprocess
import sys


def test_the_server_loads_no_engine() -> None:
    asked = "import sys, cutprep.desk.app; print([m for m in ('cutprep.job.api', 'cutprep.stages.nest.plan', 'networkx') if m in sys.modules])"
    told = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"
