"""Start ratio and main-job ratio: `python -m tests.bench.start`.

Start ratio: wall time of `cutprep --help` / wall time of `python -c "import typer, rich"`.
Main job: wall time of the README's command on the sample / wall time of importing shapely, numpy, ezdxf,
svgelements and networkx. Each figure is the median of several runs in fresh processes.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

SAMPLE = Path(__file__).parents[2] / "samples" / "jar-carton.svg"
RUNS = 7


def wall(*command: str, runs: int = RUNS) -> float:
    """Median wall time of a command, s."""
    times = []
    for _ in range(runs):
        begin = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - begin)
    return median(times)


def main() -> None:
    """Print both ratios."""
    python = sys.executable
    imports = wall(python, "-c", "import typer, rich")
    show_help = wall(python, "-m", "cutprep", "--help")
    libraries = wall(python, "-c", "import shapely, numpy, ezdxf, svgelements, networkx")
    print(
        f"start ratio     {show_help / imports:5.2f}   (--help {show_help:.3f} s, typer and rich {imports:.3f} s)"
    )
    for language, machine in (("hpgl", "mat-cutter-300"), ("gcode", "belt-servo-400")):
        with tempfile.TemporaryDirectory() as folder:
            words = ["prepare", str(SAMPLE), "--copies", "12", "--machine", machine, "--stock", "card-220"]
            words += ["--language", language, "--out", f"{folder}/out", "--replace"]
            job = wall(python, "-m", "cutprep", *words)
        print(
            f"main job {language:6s} {job / libraries:5.2f}   (job {job:.3f} s, importing libraries {libraries:.3f} s)"
        )


if __name__ == "__main__":
    main()
