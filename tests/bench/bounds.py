"""The worst that the limits let in, read, checked and prepared: `python -m tests.bench.bounds [words of a case]`.

Each input is made by a grammar of its own (`tests/fuzz/largest.py`), as long and as large as the limits of docs/SAFETY.md
allow, and goes through a process of its own. Seconds are the processor's, for reading and for what follows it; memory is the
peak of the whole process. `--stages` also runs what comes after reading; `--over` shows the rows beyond the bars only.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.fuzz.dense import DENSE
from tests.fuzz.largest import CASES, Case

#: The bars for reading: seconds of a processor, and MiB.
SECONDS, MEMORY = 10.0, 1024.0
#: Seconds of a processor after which a case is ended.
PATIENCE = 120
_CHILD = """
import json, resource, sys, time
from pathlib import Path
resource.setrlimit(resource.RLIMIT_CPU, (int(sys.argv[3]), int(sys.argv[3])))
resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
from cutprep.errors import CutprepError
path, stage = Path(sys.argv[1]), sys.argv[2]
seconds, said = [], ""

def timed(work):
    begin = time.process_time()
    try:
        return work(), ""
    except CutprepError as fault:
        return None, "refused: " + " ".join(str(fault).split())
    finally:
        seconds.append(time.process_time() - begin)

if path.name == "job.json":
    from cutprep.job.folder.store import written
    got, said = timed(lambda: written(path.parent))
    said = said or f"read: {len(got):,} files"
elif path.name == "job.toml":
    from cutprep.job.file import load_job
    got, said = timed(lambda: load_job(path))
    said = said or "read: a job"
elif path.name == "machine.toml":
    from cutprep.profile.machine_table import load_machine
    got, said = timed(lambda: load_machine(path))
    said = said or "read: a machine"
elif path.suffix in {".hpgl", ".gcode"}:
    from cutprep.cli.files import read_text
    from cutprep.stages.readback.machine_file import parse
    got, said = timed(lambda: parse(read_text(path), None, None)[0])
    said = said or f"read: {len(got):,} moves"
else:
    from cutprep.stages.read.reader import read
    from cutprep.tolerance import Tolerance
    got, said = timed(lambda: read(path, tolerance=Tolerance()))
    said = said or f"read: {len(got.lines):,} lines, {len(got.lines.xy):,} points, {len(got.notes):,} notes"
    if got is not None and stage == "stages":
        del got
        import io, contextlib
        from cutprep.cli.app import main
        for words in (["check", str(path)], ["prepare", str(path), "--stock", "card-220", "--effort", "quick",
                      "--out", str(path.parent / "out"), "--despite-findings"]):
            out = io.StringIO()
            def run():
                sys.argv = ["cutprep", *words]
                with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
                    try:
                        main()
                    except SystemExit as end:
                        return end.code
            code, _ = timed(run)
            last = [row for row in out.getvalue().splitlines() if row.strip()]
            said += f" | {words[0]} {code}: {last[-1][:150] if last else ''}"
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(json.dumps([seconds, peak, said]))
"""


def measure(case: Case, *, stages: bool = False, share: float = 1.0) -> tuple[float, list[float], float, str]:
    """Size in MB, seconds of each step, peak MiB, and what came of it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / case.file
        with path.open("wb") as stream:
            case.write(stream, share)
        size = path.stat().st_size / 1e6
        command = [sys.executable, "-c", _CHILD, str(path), "stages" if stages else "read", str(PATIENCE)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        why = f"not done after {PATIENCE} s" if done.returncode in {-24, -9} else done.stderr[-200:]
        return size, [], 0.0, "BROKE: " + " ".join(why.split())
    seconds, peak, said = json.loads(done.stdout.splitlines()[-1])
    return size, seconds, peak, said


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("words", nargs="*", help="run the cases whose name holds all of them")
    parser.add_argument("--stages", action="store_true", help="check and prepare what was read, too")
    parser.add_argument("--over", action="store_true", help="show the rows beyond the bars only")
    parser.add_argument("--share", type=float, default=1.0, help="inputs of this share of the full size")
    given = parser.parse_args()
    print("| input | MB | what comes of it | seconds | peak MiB |\n| --- | ---: | --- | ---: | ---: |")
    beyond = 0
    for case in (*CASES, *DENSE):
        if not all(word.lower() in case.what.lower() for word in given.words):
            continue
        size, seconds, peak, said = measure(case, stages=given.stages, share=given.share)
        over = not seconds or seconds[0] > SECONDS or peak > MEMORY or said.startswith("BROKE")
        beyond += over
        if over or not given.over:
            told = " + ".join(f"{s:.1f}" for s in seconds)
            print(f"| {case.what} | {size:.1f} | {said} | {told}{' OVER' * over} | {peak:.0f} |", flush=True)
    print(f"\n{beyond} beyond {SECONDS:g} s or {MEMORY:g} MiB")


if __name__ == "__main__":
    main()
