"""Sound random jobs, none of which may be named: `python -m tests.bench.sound [count] [--first SEED]`.

Each is a template of some kind, prepared for a shipped machine in one of its languages, on some sheet, with some options;
then verified. What stands in the last line is how many of them something was said against.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.errors import CutprepError
from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.verify import verify
from cutprep.profile import shelf

SAMPLES = Path(__file__).parents[2] / "samples"
DRAWINGS = (
    "jar-carton.svg",
    "display-tray.svg",
    "divider.dxf",
    "swing-tag.svg",
    "swing-tag.dxf",
    "jar-carton.dxf",
)
MACHINES = ("mat-cutter-300", "belt-servo-400", "mat-cutter-600")
#: Options, each taken or not: name in Python, and the values to choose from.
OPTIONS: dict[str, tuple[Any, ...]] = {
    "sheet": ("letter", "12in", "200x280mm"), "gap": (1.0, 4.0), "margin": (3.0, 8.0), "turns": ("never", "half"),
    "mirror": (True,), "face_down": (True,), "bridges_count": (2, 4), "passes_count": (2,), "finish": ("copy",),
    "travel_by": ("time",), "unit": ("in",), "blade_offset": (0.0, 0.25), "seed": (7,), "spare": (0.2,),
    "card_passes": (2,), "speed_factor": (0.5,), "title": ("honey & fair (1)",),
}  # fmt: skip


def settings(seed: int) -> dict[str, Any]:
    """What a job is asked for, by its seed."""
    rng = np.random.default_rng(seed)
    machine = MACHINES[int(rng.integers(len(MACHINES)))]
    languages = shelf.machine(machine).languages
    said: dict[str, Any] = {
        "sources": SAMPLES / DRAWINGS[int(rng.integers(len(DRAWINGS)))],
        "machine": machine,
        "language": languages[int(rng.integers(len(languages)))],
        "copies": int(rng.integers(1, 7)),
        "effort": "quick",
    }
    for name, values in OPTIONS.items():
        if rng.random() < 0.25:
            said[name] = values[int(rng.integers(len(values)))]
    return said


def told_of(seed: int) -> tuple[str, list[str]]:
    """What came of one job: "sound", "named" or "not made", and what was said."""
    said = settings(seed)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "job"
        try:
            prepare_job(make_job(said.pop("sources"), despite_findings=True, **said), out)
        except CutprepError as fault:
            return "not made", [fault.problem]
        found = [finding.problem for finding in verify(out).everything]
    return ("named" if found else "sound"), found


def main() -> None:
    """Print a line for each job that is not sound, and one for all."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", nargs="?", type=int, default=200)
    parser.add_argument("--first", type=int, default=1, help="seed of the first job")
    given = parser.parse_args()
    count = {"sound": 0, "named": 0, "not made": 0}
    begin = time.process_time()
    seed = given.first
    while count["sound"] + count["named"] < given.count:
        came, told = told_of(seed)
        count[came] += 1
        if came != "sound":
            print(f"{seed}: {came}: {'; '.join(told)[:160]}", flush=True)
        seed += 1
        if seed % 20 == 0:
            print(f"  {count}, {time.process_time() - begin:.0f} s", flush=True)
    print(f"{count['named']} of {given.count} sound jobs named; {count['not made']} could not be made")


if __name__ == "__main__":
    main()
