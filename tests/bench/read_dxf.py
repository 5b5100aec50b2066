"""Reading DXF: time as a ratio to the plain library load of the same file, and agreement by feature.

    python -m tests.bench.read_dxf [speed | features]

`speed` makes drawings of 1,000, 10,000 and 100,000 entities (lines, arcs, circles, polylines with
bulges, ellipses, splines and inserts, seven layers), reads each with `cutprep.read` and with
`ezdxf.readfile` by turns in this process, and prints medians (processor time), ratios and the
memory of one reading. `features` prints the table of tests/outside/dxf_features.py: drawings
tried and agreeing, by feature and reference.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np

from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.outside.dxf_features import FEATURES, WITHIN, Verdict, judge

SIZES = (1_000, 10_000, 100_000)
SEED = 3


def write_drawing(path: Path, entities: int) -> None:
    """A drawing of so many entities of the usual kinds, in millimetres."""
    rng = np.random.default_rng(SEED)
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    for colour in range(1, 8):
        doc.layers.add(f"layer {colour}", color=colour)
    tab = doc.blocks.new("tab")
    tab.add_lwpolyline([(0, 0), (4, 0, 0, 0, 0.4), (4, 6), (0, 6)])
    kinds = rng.choice(7, entities, p=(0.4, 0.12, 0.12, 0.2, 0.04, 0.04, 0.08))
    places = rng.uniform(0, 300, (entities, 2))
    for i, (kind, (x, y)) in enumerate(zip(kinds.tolist(), places.tolist(), strict=True)):
        look = {"layer": f"layer {i % 7 + 1}"}
        radius = 1 + i % 9
        if kind == 0:
            space.add_line((x, y), (x + radius, y + 3), dxfattribs=look)
        elif kind == 1:
            space.add_arc((x, y), radius, 10, 200, dxfattribs=look)
        elif kind == 2:
            space.add_circle((x, y), radius, dxfattribs=look)
        elif kind == 3:
            points = [(x, y), (x + 9, y, 0, 0, 0.5), (x + 9, y + 5), (x, y + 5)]
            space.add_lwpolyline(points, close=i % 2 == 0, dxfattribs=look)
        elif kind == 4:
            space.add_ellipse((x, y), (radius, 1), 0.5, dxfattribs=look)
        elif kind == 5:
            space.add_open_spline([(x, y), (x + 3, y + 4), (x + 6, y), (x + 9, y + 5)], dxfattribs=look)
        else:
            space.add_blockref("tab", (x, y), dxfattribs={**look, "rotation": i % 360})
    doc.saveas(path)


def _time(work: Callable[[], object]) -> float:
    """Processor seconds: both sides use one thread, and other work on the machine doesn't count."""
    begin = time.process_time()
    work()
    return time.process_time() - begin


def _peak(path: Path) -> float:
    """Most memory that a process of its own holds while reading, MB; 0 where the system doesn't tell."""
    code = (
        "import re, sys; from pathlib import Path; from cutprep.stages.read.reader import read; read(sys.argv[1]);"
        "status = Path('/proc/self/status');"
        "told = status.exists() and re.search(r'VmHWM:\\s+(\\d+)', status.read_text());"
        "print(int(told[1]) / 1e3 if told else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], check=True, capture_output=True, text=True)
    return float(done.stdout)


def speed() -> None:
    """Print medians and ratios."""
    print(f"ezdxf {ezdxf.__version__}, seed {SEED}; medians, processor seconds")
    print(
        f"{'entities':>9} {'cutprep.read':>13} {'ezdxf.readfile':>15} {'ratio':>6} {'us an entity':>13} {'file, MB':>9} {'peak, MB':>9}"
    )
    with tempfile.TemporaryDirectory() as folder:
        for size in SIZES:
            path = Path(folder) / f"{size}.dxf"
            write_drawing(path, size)
            ours, theirs = [], []
            for _ in range(3 if size > 50_000 else 5):
                ours.append(_time(lambda path=path: read(path, tolerance=Tolerance())))
                theirs.append(_time(lambda path=path: ezdxf.readfile(path)))
            a, b = statistics.median(ours), statistics.median(theirs)
            print(
                f"{size:>9,} {a:>13.3f} {b:>15.3f} {a / b:>6.2f} {a / size * 1e6:>13.1f} "
                f"{path.stat().st_size / 1e6:>9.1f} {_peak(path):>9.0f}"
            )


def features() -> None:
    """Print drawings tried and agreeing, by feature and reference."""
    rows: dict[tuple[str, str], list[Verdict]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for feature in FEATURES:
            for verdict in judge(feature, Path(folder)):
                rows.setdefault((verdict.feature, verdict.reference), []).append(verdict)
    print(f"agreeing: Hausdorff distance up to {WITHIN} mm")
    print(f"{'feature':<34} {'reference':<34} {'tried':>5} {'agree':>5} {'farthest, mm':>12}")
    for (feature, reference), found in rows.items():
        agreeing = sum(v.agrees for v in found)
        worst = max(v.off for v in found)
        print(f"{feature:<34} {reference:<34} {len(found):>5} {agreeing:>5} {worst:>12.4f}")
    every = [v for found in rows.values() for v in found]
    print(f"{'all':<69} {len(every):>5} {sum(v.agrees for v in every):>5}")


if __name__ == "__main__":
    wanted = sys.argv[1:] or ["speed", "features"]
    if "speed" in wanted:
        speed()
    if "features" in wanted:
        features()
