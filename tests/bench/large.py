"""What becomes of files of about 100 MB, refused or read: `python -m tests.bench.large [words of a case]`.

Each file is made, and read in a process of its own; seconds and peak memory (`ru_maxrss`) are those of the whole
process, its start included. The last cases raise the limits, or follow machine files.
"""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import BinaryIO, NamedTuple

_CHILD = """
import json, resource, sys, time
begin = time.monotonic()
from pathlib import Path
from cutprep.errors import CutprepError
path, limits = Path(sys.argv[1]), sys.argv[2:]
try:
    if path.suffix in {".hpgl", ".gcode"}:
        from cutprep.cli.files import read_text
        from cutprep.stages.readback.machine_file import parse
        said = f"{len(parse(read_text(path), None, None)[0]):,} moves"
    else:
        from cutprep.limits import raise_limits
        from cutprep.stages.read.reader import read
        from cutprep.tolerance import Tolerance
        lines = read(path, tolerance=Tolerance(), limits=raise_limits(limits)).lines
        said = f"read: {len(lines):,} lines, {len(lines.xy):,} points"
except CutprepError as fault:
    said = "refused: " + str(fault).split(". ")[0].split(": ", 1)[-1]
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
own = time.process_time()
print(json.dumps([time.monotonic() - begin, own, peak, said]))
"""
_HEAD = b"<svg xmlns='http://www.w3.org/2000/svg' width='300mm' height='300mm' viewBox='0 0 300 300'><g id='cut' stroke='black'>"
_TAIL = b"</g></svg>"
_ROW = b"<path d='M%03d %03dL%03d %03d'/>\n"


class Case(NamedTuple):
    """What the file is, its ending, how it is written, and limits that are raised."""

    what: str
    ending: str
    write: Callable[[BinaryIO], object]
    limits: tuple[str, ...] = ()


def _repeat(stream: BinaryIO, rows: Iterable[bytes], head: bytes = b"", tail: bytes = b"") -> None:
    stream.write(head)
    stream.writelines(rows)
    stream.write(tail)


def paths(count: int) -> Callable[[BinaryIO], None]:
    """So many paths of one segment, about 30 bytes each."""
    block = b"".join(_ROW % (k % 290, k % 283, k % 271, k % 299) for k in range(10_000))
    return lambda stream: _repeat(stream, (block for _ in range(count // 10_000)), _HEAD, _TAIL)


def empty_groups(count: int) -> Callable[[BinaryIO], None]:
    """So many elements that draw nothing, and one that does."""
    return lambda stream: _repeat(
        stream,
        (b"<g id='aaaaaaaaa'/>\n" * 1000 for _ in range(count // 1000)),
        _HEAD,
        _ROW % (1, 1, 9, 9) + _TAIL,
    )


def one_path(points: int) -> Callable[[BinaryIO], None]:
    """One path of so many points, four bytes each."""
    block = b"".join(b"%d %d " % (1 - k % 3, k % 7 - 3) for k in range(10_000))
    return lambda stream: _repeat(
        stream, (block for _ in range(points // 10_000)), _HEAD + b"<path d='M0 0l", b"'/>" + _TAIL
    )


def bomb(stream: BinaryIO) -> None:
    """400 MB of blanks in a gzip of less than half a MB."""
    with gzip.GzipFile(fileobj=stream, mode="wb", mtime=0) as packed:
        packed.write(_HEAD)
        for _ in range(400):
            packed.write(b" " * 1_000_000)
        packed.write(_TAIL)


def dxf_lines(count: int) -> Callable[[BinaryIO], None]:
    """So many LINE entities of about 44 bytes each."""
    row = b"0\nLINE\n8\n0\n10\n%d.5\n20\n%d.5\n11\n%d.5\n21\n%d.5\n"
    block = b"".join(row % (k % 290, k % 283, k % 271, k % 299) for k in range(10_000))
    return lambda stream: _repeat(
        stream,
        (block for _ in range(count // 10_000)),
        b"0\nSECTION\n2\nENTITIES\n",
        b"0\nENDSEC\n0\nEOF\n",
    )


def hpgl(size: int) -> Callable[[BinaryIO], None]:
    """So many bytes of HP-GL, a stroke of two points each row."""
    block = b"".join(
        b"PU%d,%d;\nPD%d,%d;\n" % (k % 9000, k % 8000, k % 7000, k % 9999) for k in range(10_000)
    )
    return lambda stream: _repeat(
        stream, (block for _ in range(size // len(block))), b"IN;\nSP1;\n", b"PU;\nSP0;\n"
    )


def gcode(size: int) -> Callable[[BinaryIO], None]:
    """So many bytes of G-code, a stroke of two points each three rows."""
    row = b"G0 Z5\nG0 X%d.25 Y%d.5\nG1 Z-0.2 F60\nG1 X%d.75 Y%d F1200\n"
    block = b"".join(row % (k % 290, k % 283, k % 271, k % 299) for k in range(10_000))
    return lambda stream: _repeat(
        stream, (block for _ in range(size // len(block))), b"G21 G90\n", b"G0 Z5\nM2\n"
    )


RAISED = ("file-bytes=200000000", "elements=6000000", "points=20000000")
CASES = (
    Case("SVG, paths of one segment", ".svg", paths(3_350_000)),
    Case("SVG in gzip that holds 400 MB", ".svgz", bomb),
    Case("SVG, elements that draw nothing", ".svg", empty_groups(3_900_000)),
    Case("SVG, as many paths as are read", ".svg", paths(1_490_000)),
    Case("SVG, one path of 9,900,000 points", ".svg", one_path(9_900_000)),
    Case("DXF, lines", ".dxf", dxf_lines(2_300_000)),
    Case("DXF, as many lines as are read", ".dxf", dxf_lines(1_490_000)),
    Case("SVG, paths, limits raised", ".svg", paths(3_350_000), RAISED),
    Case("DXF, lines, limits raised", ".dxf", dxf_lines(2_300_000), RAISED),
    Case("HP-GL", ".hpgl", hpgl(100_000_000)),
    Case("HP-GL, as much as is read", ".hpgl", hpgl(59_500_000)),
    Case("G-code, as much as is read", ".gcode", gcode(59_500_000)),
)  # fmt: skip


def measured(case: Case) -> str:
    """One row of the table."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"file{case.ending}"
        with path.open("wb") as stream:
            case.write(stream)
        size = path.stat().st_size / 1e6
        command = [sys.executable, "-c", _CHILD, str(path), *case.limits]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        return f"| {size:.1f} MB of {case.what} | BROKE: {done.stderr[-300:]} | | | |"
    wall, own, peak, said = json.loads(done.stdout.splitlines()[-1])
    return f"| {size:.1f} MB of {case.what} | {said} | {wall:.1f} | {own:.1f} | {peak:.0f} |"


def main() -> None:
    """Print the table."""
    print(
        "| file | what comes of it | seconds | of them processor | peak MB |\n| --- | --- | ---: | ---: | ---: |"
    )
    for case in CASES:
        if all(word.lower() in case.what.lower() for word in sys.argv[1:]):
            print(measured(case), flush=True)


if __name__ == "__main__":
    main()
