"""Same inputs, options and seed, same bytes: `python -m tests.faults.same [EFFORT...]` (default: all three).

Each job is prepared in processes of its own, with other orders of sets (PYTHONHASHSEED), on two processors
and on one that has none of the newer instructions (NPY_DISABLE_CPU_FEATURES of numpy, OPENBLAS_CORETYPE of OpenBLAS:
sums and products end in other last digits there), and twice on two: every sample by itself, two mixed in both languages, and the honey fair as a
job file. `thorough` takes its time.
"""

from __future__ import annotations

import hashlib
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np

SAMPLES = Path(__file__).parents[2] / "samples"
MIXED = ("jar-carton.svg", "swing-tag.svg")
#: A kernel of OpenBLAS for processors of 2004, the oldest that it knows for 64 bits.
_OLD_KERNEL = "Prescott"
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
    _start(command, hashes, one_processor=one_processor)
    return prints_of(out)


def _start(command: Sequence[str], hashes: int, *, one_processor: bool) -> None:
    bind = None
    if one_processor and hasattr(os, "sched_setaffinity"):
        bind = partial(os.sched_setaffinity, 0, {min(os.sched_getaffinity(0))})
    calm = {**_CALM, "PYTHONHASHSEED": str(hashes), **(_old() if one_processor else {})}
    subprocess.run(command, check=True, capture_output=True, env=calm, preexec_fn=bind)


def _old() -> dict[str, str]:
    """What makes numpy and its linear algebra count as on an old processor."""
    found = np.show_config(mode="dicts").get("SIMD Extensions", {}).get("found", [])
    kernel = {"OPENBLAS_CORETYPE": _OLD_KERNEL} if platform.machine() in {"x86_64", "AMD64"} else {}
    return {"NPY_DISABLE_CPU_FEATURES": " ".join(found), **kernel}


def jobs(effort: str) -> Iterator[tuple[str, Sequence[str], Path]]:
    """Name, words and drawing of every job; both kinds of files at quick effort, since the rest is alike."""
    kinds = {".svg", ".dxf"} if effort == "quick" else {".svg"}
    every = sorted(path for path in SAMPLES.iterdir() if path.suffix in kinds)
    for path in every:
        yield path.name, ("--copies", "5"), path
    yield "the honey fair", (), SAMPLES / "honey-fair.toml"


def run_of(words: Sequence[str], source: Path, out: Path, effort: str, hashes: int) -> dict[str, str]:
    """Prepare a job with its files beside; every odd run has one processor, an old one."""
    command = [
        sys.executable, "-m", "cutprep", "prepare", str(source), "--out", str(out), "--effort", effort,
        "--seed", "3", "--despite-findings", *words,
    ]  # fmt: skip
    _start(command, hashes, one_processor=hashes % 2 == 1)
    return prints_of(out)


def differing(runs: Sequence[dict[str, str]]) -> list[str]:
    """Files that are not the same in all runs, or not there in one."""
    names = {name for run in runs for name in run}
    return sorted(name for name in names if len({run.get(name) for run in runs}) > 1)


def main() -> None:
    """Compare runs of every job, effort by effort."""
    for effort in sys.argv[1:] or ("quick", "normal", "thorough"):
        for language in ("hpgl", "gcode"):
            with tempfile.TemporaryDirectory() as folder:
                runs = [
                    prepared(
                        Path(folder) / f"{k}", effort, hashes=k, one_processor=k % 2 == 1, language=language
                    )
                    for k in range(3)
                ]
            _say(f"{effort}, two mixed, {language}", runs)
        for name, words, source in jobs(effort):
            with tempfile.TemporaryDirectory() as folder:
                runs = [run_of(words, source, Path(folder) / f"{k}", effort, k) for k in range(3)]
            _say(f"{effort}, {name}", runs)


def _say(what: str, runs: Sequence[dict[str, str]]) -> None:
    found = differing(runs)
    print(
        f"{what}: {len(runs[0])} files, differing in {len(runs)} runs: {', '.join(found) or 'none'}",
        flush=True,
    )


if __name__ == "__main__":
    main()
