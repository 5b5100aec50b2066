"""What is fuzzed: each reader, fed with bytes. Only cutprep's own errors may come out.

The readers' door turns whatever a library throws into an error of ours; for a maker that is right, but
here it counts as a find: a foreign exception means that a case was not thought of.
"""

from __future__ import annotations

import atexit
import functools
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

import cutprep.stages.read.dxf.drawing
import cutprep.stages.read.svg.drawing  # noqa: F401 - loaded here, so that the fuzzer sees their branches
from cutprep.errors import CutprepError
from cutprep.job.file import load_job
from cutprep.job.folder.store import written
from cutprep.job.folder.verify import verify
from cutprep.profile.machine import Machine
from cutprep.profile.machine_table import load_machine
from cutprep.profile.stock import load_stock
from cutprep.stages.read.reader import read
from cutprep.stages.readback.machine_file import parse, sniff
from cutprep.tolerance import Tolerance
from tests.plans import MACHINE

CORPUS = Path(__file__).parent / "corpus"
#: Files in memory where the system has them: writing to a disk took most of the time of an input.
_SHM = Path("/dev/shm")
_HOME = (
    _SHM if os.access(_SHM, os.W_OK) else Path(tempfile.gettempdir())
) / f"cutprep-fuzz-{os.getuid()}-{os.getpid()}"


class Foreign(AssertionError):
    """An exception that is none of cutprep's came out of a reader, or lay behind one that did."""


@functools.cache
def scratch() -> Path:
    """A folder of this process for the file that a reader opens; taken away at its end."""
    _HOME.mkdir(mode=0o700, exist_ok=True)
    (_HOME / "tray.svg").touch()
    atexit.register(shutil.rmtree, _HOME, ignore_errors=True)
    return _HOME


def _try(work: Callable[[], object]) -> bool:
    """Whether it could be done; else it was refused, by an error of ours."""
    try:
        work()
    except CutprepError as fault:
        if fault.__cause__ is not None and not isinstance(fault.__cause__, CutprepError):
            raise Foreign(f"{fault}") from fault.__cause__
        return not str(fault)
    return True


def _drawing(data: bytes, name: str) -> bool:
    path = scratch() / name
    path.write_bytes(data)

    def work() -> None:
        drawing = read(path, tolerance=Tolerance())
        assert np.isfinite(drawing.lines.xy).all()

    return _try(work)


def svg(data: bytes) -> bool:
    """Read a drawing that is said to be SVG."""
    return _drawing(data, "drawing.svg")


def dxf(data: bytes) -> bool:
    """Read a drawing that is said to be DXF."""
    return _drawing(data, "drawing.dxf")


def job(data: bytes) -> bool:
    """Read a job file; the drawings that it may name lie beside it."""
    path = scratch() / "job.toml"
    path.write_bytes(data)
    return _try(lambda: load_job(path))


def profile(data: bytes) -> bool:
    """Read a machine's and a stock's profile."""
    path = scratch() / "profile.toml"
    path.write_bytes(data)
    found = [_try(lambda: load_machine(path)), _try(lambda: load_stock(path))]
    return any(found)


def _machine_file(data: bytes, language: str) -> bool:
    text = data.decode("latin-1")
    known = _try(lambda: sniff(text))
    followed = [_try(functools.partial(_follow, text, language, machine)) for machine in (None, MACHINE)]
    return known and all(followed)


def _follow(text: str, language: str, machine: Machine | None) -> None:
    moves, findings = parse(text, language, machine)
    assert np.isfinite(moves.xy).all()
    assert np.isfinite(moves.speed).all()
    assert all(f.problem for f in findings)


def hpgl(data: bytes) -> bool:
    """Follow an HP-GL file."""
    return _machine_file(data, "hpgl")


def gcode(data: bytes) -> bool:
    """Follow a G-code file."""
    return _machine_file(data, "gcode")


def index(data: bytes) -> bool:
    """Verify a job whose `job.json` these bytes are; its files are not there, or not what it says."""
    folder = scratch() / "job"
    folder.mkdir(exist_ok=True)
    (folder / "job.json").write_bytes(data)
    (folder / "sheet-01.hpgl").write_bytes(b"IN;SP1;PD400,400;PU;SP0;")
    known = _try(lambda: [str(finding.problem) for finding in verify(folder).everything])
    _try(lambda: written(folder))
    return known


#: Each tells whether it could make something of the bytes.
TARGETS: dict[str, Callable[[bytes], bool]] = {
    "svg": svg,
    "dxf": dxf,
    "job": job,
    "profile": profile,
    "hpgl": hpgl,
    "gcode": gcode,
    "index": index,
}


def seeds(name: str) -> list[bytes]:
    """The seed corpus of a target, by file name."""
    return [path.read_bytes() for path in sorted((CORPUS / name).iterdir())]
