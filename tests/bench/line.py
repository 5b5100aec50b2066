"""Bytes, time over a line of 9,600 baud and blade error of files, with what makes them shorter and without:
`python -m tests.bench.line [points of the coast]`.

Each drawing on the knife cutter of the shipped profiles in HP-GL, effort quick: every place in PD; without the places
that the blade's error budget does not need; and those as PE of HP-GL/2. The blade error is integrated from the file
as it was read back. Time over the line: 8N1, a buffer of 1,024 bytes, changes of tool left out.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import cutprep.job.sheets.worked as room
from cutprep.job.api import make_job
from cutprep.job.file import load_job
from cutprep.job.job import Job
from cutprep.job.pipeline import run
from cutprep.link.script import script_of
from cutprep.profile import shelf
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import Machine
from cutprep.stages.motion.line import time_over_line
from tests.bench.stage_growth import coast

SAMPLES = Path(__file__).parents[2] / "samples"


def jobs(points: int, folder: Path, machine: Machine) -> Iterator[tuple[str, Job]]:
    """Name and job of each drawing."""
    yield (
        "honey fair, 7 different sheets",
        replace(load_job(SAMPLES / "honey-fair.toml"), machine=machine, language="hpgl"),
    )
    path = folder / "coast.svg"
    path.write_text(coast(points))
    for name, source in (
        ("jar carton", SAMPLES / "jar-carton.svg"),
        ("honeycomb lace", SAMPLES / "honeycomb-lace.svg"),
        (f"coast of {points:,} points", path),
    ):
        yield name, make_job(source, machine=machine, language="hpgl", effort="quick", despite_findings=True)


def main() -> None:
    """Run, and print a row for each drawing and way."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("points", type=int, nargs="?", default=60_000)
    points = parser.parse_args().points
    line = LineStyle(speed=9600, handshake="xon-xoff", buffer=1024)
    plain = replace(shelf.machine("mat-cutter-300"), line=line)
    plain = replace(plain, hpgl=replace(plain.hpgl, counts="hpgl2"))
    packed = replace(plain, hpgl=replace(plain.hpgl, encoded=True))
    near = room._NEAR
    print("| drawing | written as | bytes | motion, s | over the line, s | blade error, mm |")
    print("| --- | --- | ---: | ---: | ---: | ---: |")
    with tempfile.TemporaryDirectory() as folder:
        for words, machine, share in (
            ("all places, PD", plain, 0.0),
            ("needed ones, PD", plain, near),
            ("needed ones, PE", packed, near),
        ):
            room._NEAR = share
            for name, job in jobs(points, Path(folder), machine):
                sheets = run(job).sheets
                files = [file for sheet in sheets for file in sheet.files]
                scripts = [script_of(file.text, "hpgl", machine) for file in files]
                over = sum(
                    time_over_line([len(p) for p in s.pieces], s.seconds.tolist(), line.rate, line.buffer)
                    for s in scripts
                )
                print(
                    f"| {name} | {words} | {sum(len(file.text) for file in files):,} | {sum(float(s.seconds.sum()) for s in scripts):.0f}"
                    f" | {over:.0f} | {max(sheet.blade_error for sheet in sheets):.3f} |",
                    flush=True,
                )


if __name__ == "__main__":
    main()
