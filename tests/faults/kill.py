"""Kill `prepare --replace` at random moments: `python -m tests.faults.kill 200`.

Each run is to replace one complete job by another (other copies, so other files). After every kill the
folder must hold the complete old job or the complete new one, and the maker's own file in it.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import numpy as np

SAMPLE = Path(__file__).parents[2] / "samples" / "swing-tag.svg"
OWN = "my notes.txt"
#: What a run may do: write one of two jobs into a folder, without the work before it, many times over.
_WRITER = """
import json, sys
from pathlib import Path
from cutprep.job.folder.store import publish
folder, files = Path(sys.argv[1]), json.loads(Path(sys.argv[2]).read_text())
print("ready", flush=True)
while True:
    for job in files:
        publish(folder, job, replace=True)
"""


def prepare(folder: Path, copies: int) -> list[str]:
    """The command line of one of the two jobs."""
    return [
        sys.executable, "-m", "cutprep", "prepare", str(SAMPLE), "--out", str(folder), "--replace",
        "--copies", str(copies), "--effort", "quick", "--also", "svg",
    ]  # fmt: skip


def print_of(folder: Path) -> str:
    """A fingerprint of everything that cutprep wrote into a folder."""
    names = sorted(json.loads((folder / "job.json").read_text(encoding="utf-8"))["files"])
    here = sorted(path.name for path in folder.iterdir() if path.name != OWN)
    if names != here:
        return f"mixed: job.json names {names}, and there are {here}"
    return hashlib.sha256(b"".join((folder / name).read_bytes() for name in names)).hexdigest()


def kill_commands(home: Path, times: int, seed: int) -> Counter[str]:
    """Kill the whole command; count what stood afterwards: "old", "new", or what was wrong."""
    rng = np.random.default_rng(seed)
    out, known = home / "out", {}
    took = 0.0
    for copies in (9, 1):
        begin = time.monotonic()
        subprocess.run(prepare(out, copies), check=True, capture_output=True)
        took = time.monotonic() - begin
        known[print_of(out)] = copies
    (out / OWN).write_text("mine")
    count: Counter[str] = Counter()
    for _ in range(times):
        before = known[print_of(out)]
        run = subprocess.Popen(
            prepare(out, 10 - before), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        # Most moments fall into the last third, where files are written.
        late = rng.random() < 0.7
        time.sleep(took * float(rng.uniform(0.7, 1.1) if late else rng.uniform(0.0, 1.0)))
        run.kill()
        run.wait()
        count[_verdict(out, known, before)] += 1
    return count


def kill_writers(home: Path, times: int, seed: int) -> Counter[str]:
    """Kill a process that does nothing but replace one job by another: nearly every kill meets a write."""
    rng = np.random.default_rng(seed)
    out, script = home / "written", home / "jobs.json"
    jobs = []
    for mark in ("old", "new"):
        names = [f"sheet-{k:02d}.hpgl" for k in range(1, 4 if mark == "old" else 8)]
        every = [*names, "job.json"]
        jobs.append({**dict.fromkeys(names, mark * 2000), "job.json": json.dumps({"files": every})})
    script.write_text(json.dumps(jobs))
    from cutprep.job.folder.store import publish

    known = {}
    for copies, job in enumerate(jobs):
        publish(out, job, replace=True)
        known[print_of(out)] = copies
    (out / OWN).write_text("mine")
    count: Counter[str] = Counter()
    for _ in range(times):
        before = known[print_of(out)]
        run = subprocess.Popen([sys.executable, "-c", _WRITER, str(out), str(script)], stdout=subprocess.PIPE)
        assert run.stdout is not None
        run.stdout.readline()
        time.sleep(float(rng.uniform(0.0, 0.15)))
        run.kill()
        run.wait()
        run.stdout.close()
        count[_verdict(out, known, before)] += 1
    return count


def _verdict(out: Path, known: dict[str, int], before: int) -> str:
    if not out.is_dir():
        return "the folder is gone"
    if not (out / OWN).is_file():
        return "the maker's own file is gone"
    stands = print_of(out)
    if stands not in known:
        return stands
    return "old" if known[stands] == before else "new"


def left_over(home: Path) -> list[str]:
    """Hidden folders that killed runs left."""
    return sorted(path.name for path in home.iterdir() if path.name.startswith("."))


def main() -> None:
    """Kill commands and writers, and print what stood."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        print("commands killed:", dict(kill_commands(home, times, 1)), "left beside:", len(left_over(home)))
        print("writers killed: ", dict(kill_writers(home, times, 2)), "left beside:", len(left_over(home)))
        subprocess.run(prepare(home / "out", 1), check=True, capture_output=True)
        print("left after one more run for the first target:", left_over(home))


if __name__ == "__main__":
    main()
