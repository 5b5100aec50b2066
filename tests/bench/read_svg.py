"""Reading SVG: time as a ratio to `svgelements.SVG.parse` of the same file, in one process.

`python -m tests.bench.read_svg`. The files hold lines, cubics, quadratics and arcs in equal shares, 4 or 50
segments a path, styled by attributes and a style sheet; figures are processor time, the least of three runs.
"""

from __future__ import annotations

import io
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import svgelements

from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance

STYLE = "<style>.c{stroke:#d02020;fill:none}.s{stroke:#2020d0;fill:none;stroke-dasharray:3 1}</style>"


def drawing(segments: int, each: int, seed: int = 0) -> str:
    """An SVG with so many path segments."""
    rng = np.random.default_rng(seed)
    paths = []
    for i in range(segments // each):
        x, y = rng.uniform(0, 280, 2)
        words = [f"M{x:.3f} {y:.3f}"]
        for k in range(each):
            n = [f"{v:.3f}" for v in rng.uniform(-6, 6, 6)]
            words.append(
                (
                    f"l{n[0]} {n[1]}",
                    f"c{' '.join(n)}",
                    f"q{' '.join(n[:4])}",
                    f"a{abs(float(n[2])) + 4:.3f} {abs(float(n[3])) + 4:.3f} 20 0 1 {n[0]} {n[1]}",
                )[k % 4]
            )
        paths.append(f'<path class="{"cs"[i % 2]}" d="{"".join(words)}"/>')
    half = len(paths) // 2
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
        f'{STYLE}<g id="cut">{"".join(paths[:half])}</g><g id="score">{"".join(paths[half:])}</g></svg>'
    )


def least(work: Callable[[], object], runs: int = 3) -> float:
    """Least processor time of some runs, s."""
    times = []
    for _ in range(runs):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times)


def main() -> None:
    """Print the table."""
    print(
        "| segments | a path | cutprep.read s | SVG.parse s | ratio (limit 0.6) |\n|---:|---:|---:|---:|---:|"
    )
    with tempfile.TemporaryDirectory() as folder:
        for each in (4, 50):
            for segments in (1_000, 10_000, 100_000):
                text = drawing(segments, each)
                path = Path(folder) / f"{segments}-{each}.svg"
                path.write_text(text)
                ours = least(lambda path=path: read(path, tolerance=Tolerance()))
                theirs = least(lambda text=text: svgelements.SVG.parse(io.StringIO(text), reify=True), 1)
                print(
                    f"| {segments} | {each} | {ours:.3f} | {theirs:.3f} | {ours / theirs:.2f} |", flush=True
                )


if __name__ == "__main__":
    main()
