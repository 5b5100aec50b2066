"""What reading a machine file back tells: a row of HP-GL or G-code, or a plan beside a file, for each code."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.accept import accept
from cutprep.job.folder.verify import verify
from cutprep.model.findings.finding import Findings
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from tests.beside import compare
from tests.plans import MACHINE, plan

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="260mm" height="240mm" viewBox="0 0 260 240">
<g id="cut" fill="none" stroke="#000"><path d="M5 5H255V235H5Z"/></g></svg>"""

#: Code to the third row of a program that is right but for it.
_HPGL = {
    "instruction-not-followed": "BZ1,2;",
    "not-hpgl": "#?;",
    "unknown-instruction": "ZZ;",
    "exponent": "PA1e3,0;",
    "speed-range": "VS128;",
    "wrong-count": "CI;",
    "unknown-area": "RO90;",
    "wrong-angle": "RO45;",
    "line-type": "LT2;",
    "odd-coordinates": "PA1,2,3;",
    "fraction": "PA1.5,1;",
    "tool-number": "SP100;",
    "out-of-range": "PA32768,0;",
    "tool-down-at-change": "PD;SP2;",
    "more-of-the-same": "ZZ;" * 30,
}
_GCODE = {
    "not-followed": "G93",
    "negative-feed": "F-1",
    "no-axis-word": "G0",
    "dwell": "G4",
    "arc": "G2 X1 Y1",
    "arc-radii": "G2 X5 Y0 I1 J0",
    "long-line": f"G0 X1 ({'a' * 250})",
    "long-line-firmware": f"G0 X0.{'0' * 80}",
    "line-number": "N123456 G0 X1",
    "semicolon-comment": "G0 X1 ; a remark",
    "open-comment": "G0 X1 (a",
    "nested-comment": "G0 X1 (a (b)",
    "not-gcode": "G0 X",
    "number-range": "G0 X2000000",
    "unknown-letter": "G0 E1",
    "repeated-word": "G0 X1 X2",
    "many-m-words": "M0 M3 M6 M7 M48",
    "unknown-code": "G7 X1",
    "modal-clash": "M3 M5",
    "no-motion-mode": "G80\nX2",
}
_WHOLE = {
    "empty-file": ("hpgl", ""),
    "missing-terminator": ("hpgl", "IN;SP1;PA0,0"),
    "no-tool": ("hpgl", "IN;PD100,0;PU;"),
    "no-program-end": ("gcode", "G21 G90\n"),
    "tool-left-down": ("gcode", "G21 G90\nM3 S9\nG1 X1 F60\nM2\n"),
    "no-feed": ("gcode", "G21 G90 G1 X1\nM2\n"),
}

Row = tuple[int, list[tuple[float, float]]]
FIRST: Row = (1, [(10, 10), (20, 10)])
SECOND: Row = (1, [(10, 20), (20, 20)])
THIRD: Row = (2, [(10, 30), (20, 30)])


def _parsed(language: str, program: str) -> Findings:
    return parse(program, language)[1]


def _beside(*file: Row) -> Findings:
    return compare(plan([FIRST, SECOND, THIRD]), plan(file), within=0.025, machine=MACHINE)


def _outside() -> Findings:
    small = replace(MACHINE, width=15.0)
    planned = plan([FIRST])
    return compare(planned, planned, within=0.025, machine=small)


#: Code to what is changed in a right file: language, what stands there, and what is put there.
_SPOILT = {
    "speed-differs": ("hpgl", "VS5;", "VS1;"),
    "force-differs": ("gcode", "M3 S90", "M3 S120"),
    "lift-differs": ("gcode", "M3 S30", "M3 S20"),
    "wait-differs": ("gcode", "G4 P0.15", "G4 P150"),
    "way-differs": ("hpgl", "PU400,400;", "PU4000,4000;PU400,400;"),
    "units-unsaid": ("gcode", "G21 G90 G17 G94", "G90 G17 G94"),
    "instruction-differs": ("hpgl", "SP2;", "PG;SP2;"),
}


def _spoilt(language: str, old: str, new: str) -> Findings:
    planned = plan([FIRST, SECOND, THIRD])
    text = write(planned, MACHINE, language)
    assert old in text
    within = 0.025 if language == "hpgl" else 0.005
    return prove(planned, text.replace(old, new, 1), language, MACHINE, within=within).findings


def _gone() -> Findings:
    with TemporaryDirectory() as folder:
        source, out = Path(folder) / "lid.svg", Path(folder) / "out"
        source.write_text(DRAWING, encoding="utf-8")
        prepare_job(make_job(source, effort="quick"), out)
        (out / "sheet-01.hpgl").unlink()
        (out / "making-sheet.txt").unlink()
        (out / "making-sheet.html").write_text("glue here", encoding="utf-8")
        (out / "my notes.txt").write_text("mine", encoding="utf-8")
        index = out / "job.json"
        index.write_text(index.read_text(encoding="utf-8").replace('"seed":0', '"seed":1'), encoding="utf-8")
        return verify(out).everything


def _touched() -> Findings:
    with TemporaryDirectory() as folder:
        source, out = Path(folder) / "lid.svg", Path(folder) / "out"
        source.write_text(DRAWING, encoding="utf-8")
        prepare_job(make_job(source, effort="quick"), out)
        file = out / "sheet-01.hpgl"
        file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
        ends = verify(out).everything
        file.write_bytes(file.read_bytes().replace(b"VS6", b"VS5"))
        return (*ends, *accept(out, [file.name]).everything)


def _programs(rows: dict[str, str], head: str, tail: str, language: str) -> dict[str, Callable[[], Findings]]:
    return {code: partial(_parsed, language, f"{head}\n{row}\n{tail}\n") for code, row in rows.items()}


_PLANS: dict[str, Sequence[Row]] = {
    "stroke-missing": [FIRST, THIRD],
    "stroke-extra": [FIRST, (1, [(50, 50), (60, 60)]), SECOND, THIRD],
    "stroke-moved": [SECOND, FIRST, THIRD],
    "stroke-differs": [FIRST, (1, [(10, 20), (20, 21)]), THIRD],
    "tool-differs": [FIRST, SECOND, (1, THIRD[1])],
}

EXAMPLES: dict[str, Callable[[], Findings]] = {
    **_programs(_HPGL, "IN;\nSP1;", "PU;SP0;", "hpgl"),
    **_programs(_GCODE, "G21 G90 G17 G94\nF600", "M2", "gcode"),
    **{code: partial(_parsed, *whole) for code, whole in _WHOLE.items()},
    **{code: partial(_beside, *file) for code, file in _PLANS.items()},
    "not-of-the-drawing": partial(_spoilt, "svg", "</svg>", "<text>honey</text></svg>"),
    **{code: partial(_spoilt, *change) for code, change in _SPOILT.items()},
    "outside-area": _outside,
    **dict.fromkeys(
        ["machine-file-unreadable", "file-missing", "file-changed", "job-changed", "not-of-the-job"], _gone
    ),
    **dict.fromkeys(["line-ends-differ", "change-accepted"], _touched),
}
