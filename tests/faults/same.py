"""Same inputs, options and seed, same bytes: `python -m tests.faults.same` tries every effort.

Each job is prepared in processes of its own, with other orders of sets (PYTHONHASHSEED) and on one
processor or two.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from functools import partial
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "samples"
MIXED = ("jar-carton.svg", "swing-tag.svg")
_CALM = {"HOME": os.environ.get("HOME", "/"), "PATH": os.environ.get("PATH", "")}


def prints_of(out: Path) -> dict[str, str]:
    """Fingerprint of each file of a job."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(out.iterdir())}


def prepared(
    out: Path,
    effort: str,
    *,
    hashes: int,
    one_processor: bool,
    language: str = "hpgl",
    drawings: Sequence[str] = MIXED,
) -> dict[str, str]:
    """Prepare a mixed job, and give the fingerprints of its files."""
    machine = "mat-cutter-300" if language == "hpgl" else "belt-servo-400"
    command = [
        sys.executable, "-m", "cutprep", "prepare", *(str(SAMPLES / name) for name in drawings),
        "--out", str(out), "--copies", "5", "--effort", effort, "--seed", "3", "--machine", machine,
        "--language", language, "--despite-findings", "--explain",
        *(word for kind in ("svg", "dxf", "pdf", "pictures") for word in ("--also", kind)),
    ]  # fmt: skip
    bind = None
    if one_processor and hasattr(os, "sched_setaffinity"):
        bind = partial(os.sched_setaffinity, 0, {min(os.sched_getaffinity(0))})
    subprocess.run(
        command,
        check=True,
        capture_output=True,
        env={**_CALM, "PYTHONHASHSEED": str(hashes)},
        preexec_fn=bind,
    )
    return prints_of(out)


def main() -> None:
    """Compare four runs of each effort and language."""
    for effort in ("quick", "normal", "thorough"):
        for language in ("hpgl", "gcode"):
            with tempfile.TemporaryDirectory() as folder:
                runs = [
                    prepared(
                        Path(folder) / f"{k}", effort, hashes=k, one_processor=k % 2 == 1, language=language
                    )
                    for k in range(4)
                ]
            differing = sorted({name for run in runs for name in run if run[name] != runs[0].get(name)})
            print(f"{effort} {language}: {len(runs[0])} files, differing in four runs: {differing or 'none'}")


if __name__ == "__main__":
    main()
