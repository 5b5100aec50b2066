"""Start ratio and main-job ratio: `python -m tests.bench.start`.

Start ratio: `cutprep --help` / `python -c "import typer, rich"`. Main job: the README's command on the sample, at quick and
at normal effort / importing shapely, numpy, ezdxf, svgelements and networkx. Each figure is the median of several runs in
fresh processes, in seconds of the processor: a clock tells what else the machine has to do. As on a maker's machine, Python
keeps what it has compiled of modules: one run that is not counted goes before.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

SAMPLE = Path(__file__).parents[2] / "samples" / "jar-carton.svg"
RUNS = 7


def as_installed() -> dict[str, str]:
    """The environment of a maker: Python keeps what it has compiled of modules."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def spent(*command: str, runs: int = RUNS) -> float:
    """Median of the processor's seconds that a command takes, those of its children included."""
    around = as_installed()
    times = []
    for _ in range(1 + runs):
        begin = sum(os.times()[2:4])
        subprocess.run(command, check=True, capture_output=True, env=around)
        times.append(sum(os.times()[2:4]) - begin)
    return median(times[1:])


def main() -> None:
    """Print both ratios."""
    python = sys.executable
    imports = spent(python, "-c", "import typer, rich")
    show_help = spent(python, "-m", "cutprep", "--help")
    libraries = spent(python, "-c", "import shapely, numpy, ezdxf, svgelements, networkx")
    print(
        f"start ratio     {show_help / imports:5.2f}   (--help {show_help:.3f} s, typer and rich {imports:.3f} s)"
    )
    for language, machine in (("hpgl", "mat-cutter-300"), ("gcode", "belt-servo-400")):
        for effort in ("quick", "normal"):
            with tempfile.TemporaryDirectory() as folder:
                words = [
                    "prepare",
                    str(SAMPLE),
                    "--copies",
                    "12",
                    "--machine",
                    machine,
                    "--stock",
                    "card-220",
                ]
                words += ["--language", language, "--effort", effort, "--out", f"{folder}/out", "--replace"]
                job = spent(python, "-m", "cutprep", *words, runs=3)
            print(
                f"main job {language:6s} {effort:6s} {job / libraries:5.2f}   "
                f"(job {job:.3f} s, importing libraries {libraries:.3f} s)"
            )


if __name__ == "__main__":
    main()
