"""What the maker types, and what is answered: read and kept as pages are (`tests.readings`)."""

from __future__ import annotations

import json
import re
import shlex
import tempfile
from collections.abc import Callable, Iterator
from contextlib import chdir
from importlib.resources import files
from pathlib import Path

from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.stages.write.svg_file import write_svg
from tests import dxf_text
from tests import kept_readings as jobs
from tests.kept_jobs import files_of, hers
from tests.nets import tray
from tests.readings import data_rows, picture_rows
from tests.svg_text import SPACE

#: A drawing with a fault of several kinds, some of them more than once.
FAULTS = jobs.FAULTY.replace('<path d="M20', '<path d="M45 20H50M45 22H50M45 20H50"/><path d="M20').replace(
    "</g>",
    '</g><g id="score"><path d="M12 6V34"/><path d="M16 4V37"/></g><g id="notes"><path d="M1 1H3"/></g>',
)
ANGLES = '[[angle]]\nat = ["76.2mm", "38.1mm"]\ndeg = 45\n'
#: Two lines on no layer, one red.
BARE = f"""<svg {SPACE} width="40mm" height="30mm" viewBox="0 0 40 30" fill="none"><path d="M5 5H35V25H5Z" stroke="#f00"/>
<path d="M20 5V25" stroke="#000"/></svg>"""
#: A machine that is sent to over a slow line.
SLOW = (
    (files("cutprep.profile") / "shipped" / "machines" / "mat-cutter-300.toml")
    .read_text(encoding="utf-8")
    .replace("[hpgl]", "[line]\nspeed = 300\nbuffer = 256\n[hpgl]", 1)
)
#: A card beside the drawing's corner, with a place for a name.
TEXT_DXF = dxf_text.drawing(
    *(
        dxf_text.line(*ends)
        for ends in ((50, 40, 90, 40), (90, 40, 90, 70), (90, 70, 50, 70), (50, 70, 50, 40))
    ),
    dxf_text.entity("TEXT", (8, "draw"), (10, 60), (20, 55), (40, 5), (1, "{name}")),
)
_RUNNER = CliRunner(env={"COLUMNS": "120", "TERM": "dumb"})
#: Reading drawings, mending and folding them.
LOOKING = """
check card.svg
check faults.svg
check faults.svg --all --inches
check faults.svg --json
check faults.svg seed-tray.svg --expect 3x2in
check fair.toml
check seed-tray.svg --picture marked.svg --stock card-300
check nothing.svg
check --help
check card.svg --layer lid=cut
check bare.svg --layer notes=guide
check bare.svg --colour '#ff0000=cut' --inches
check seed-tray.svg card.svg --sheet 50x50mm --machine belt-servo-400
mend faults.svg --out mended.svg
mend faults.svg --out mended.svg
mend faults.svg --out mended.svg --replace --keep cut --picture before-and-after.svg --inches
mend faults.svg --out mended.dxf --all --gap 4mm --stubs --straighten --trim 1mm
check mended.svg
mend card.svg --out mended.txt
mend card.svg
fold seed-tray.svg
fold seed-tray.svg --angles angles.toml
fold seed-tray.svg --holds 1x1x1in --inches --stock kraft-280
fold seed-tray.svg --holds 20x20mm
fold seed-tray.svg --fits '2x1x0.5in in 1' --inches
fold seed-tray.svg --fits '1 in 3'
fold seed-tray.svg --export tray.doc
fold seed-tray.svg --export tray.fold --thickness 0.4mm --holds strips.svg
fold seed-tray.svg --export tray.fold
fold open-tray.svg --picture folded.svg
fold faults.svg
"""
#: A job from the drawing to its last sheet, twice: a card scored from its back, and names.
MAKING = """
new job.toml card.svg strips.svg
new job.toml card.svg
prepare fair.toml --out out
prepare fair.toml --out out
prepare fair.toml --out out --replace --inches --effort quick
prepare seed-tray.svg --out trays --copies 3 --sheet letter --inches --price 0.5 --also svg --also pdf --effort quick
prepare seed-tray.svg --out few --copies 3 --sheet letter --at-hand 1 --effort quick
prepare fair.toml --copies 3 --layer lid=cut --out beside
prepare fair.toml card.svg --out two
prepare faults.svg --out faulty
prepare faults.svg --out faulty --despite-findings --effort quick --layer notes=guide
prepare bookmark.svg --names helpers.txt --out names --language gcode --effort quick
verify out
verify trays --json
time trays/sheet-01.hpgl
time trays/sheet-01.hpgl --machine mat-cutter-600
time trays/sheet-01.hpgl --json
time names/sheet-01.gcode
time card.svg
prepare seed-tray.svg
prepare seed-tray.svg --out odd --gapp 3mm
prepere seed-tray.svg
look trays/sheet-01.hpgl --picture look.svg
look trays/sheet-01.hpgl --picture look.svg
look names/sheet-01.gcode --picture look2.svg --language hpgl
again out --spoilt A2,B1 fair.toml --out remade
verify odd
settings fair.toml
settings trays
send trays --to stick
send trays --to stick
verify out --accept making-sheet.txt
again out --spoilt Z9 fair.toml --out remade-2
"""
#: What is hers: settings, cards, trials, what is left of sheets, templates.
OWN = """
settings --gap 4mm --sheet letter --layer lid=cut
settings
settings --forget gap
settings --forget nothing
settings --json
card meadow --stock card-160 --caliper 0.3mm --sheet 8x10in --title Meadow
card meadow --price 0.4
card 'a/b' --stock card-160
stocks
machines
trial force --out trial-1 --steps 3 --machine mat-cutter-300
trial all --out trial-2 --steps 2 --machine mat-cutter-300
trial offset --out trial-3 --from 0.1mm --to 0.4mm --steps 4 --inches --machine mat-cutter-300
trial
trial times --out trial-5
trial times --out trial-5 --seconds 1,2
trial sound --out trial-4
trial force --best 95 --stock card-160 --machine mat-cutter-300
trial offset --best 0.3mm --stock card-160 --machine mat-cutter-300
trial offset --best none --stock card-160 --machine mat-cutter-300
offcuts
offcuts --keep out
offcuts
offcuts --json
card plain --used out
card meadow --at-hand 4
card meadow --used out
prepare card.svg --offcut plain-1 --out on-offcut --effort quick
prepare card.svg --offcut plain-1 --sheet A4 --out on-offcut
offcuts --inches
offcuts --forget meadow-1
offcuts --forget meadow-1
offcuts --keep nowhere
template
template tray
template cup --inches
template tray length=5 --out other.svg
template tray length=1mm --out other.svg
template tray length=5in width=3in height=1in --out drawn.svg --inches
template tray length=5in width=3in height=1in --out drawn.svg
template tray length=5in depth=3in --out other.svg
template tray length=five --out other.svg
template cube
template swing-tag text=Ida --out tag.dxf
template swing-tag --out tag.txt
template band-round-carton --out set
send trays --to nowhere
"""


def _typed(words: str, runner: CliRunner) -> Iterator[str]:
    result = runner.invoke(app, shlex.split(words), prog_name="cutprep")
    yield f"$ cutprep {words} -> {result.exit_code}"
    if result.stdout.startswith(("{", "[")):
        yield from data_rows(json.loads(result.stdout))
    else:
        yield from (f"| {row.rstrip()}" for row in result.output.splitlines())


def _plain(row: str, here: Path, own: Path) -> str:
    """A row without the names of folders of this run."""
    for place in (here, own, jobs.folder()):
        row = row.replace(str(place), "HERE")
    row = re.sub(r"HERE/(\S*/)?(?=\S)", "HERE/", row)
    row = re.sub(
        r"\d+\.\d{9,}", lambda found: f"{float(found[0]):.6g}", row
    )  # the last digits differ between machines
    return re.sub(r"\b[0-9a-f]{16,64}\b", "DIGEST", row)


def story(commands: str, first: str = "", *, runner: CliRunner = _RUNNER) -> list[str]:
    """Commands one after the other in a folder of drawings; then the names of all files that are there."""
    with hers() as own, tempfile.TemporaryDirectory(prefix="cutprep-story-") as name, chdir(name):
        here = Path(name)
        for file, text in {
            **jobs.FILES,
            "faults.svg": FAULTS,
            "fair.toml": jobs.FAIR,
            "helpers.txt": "Ida\nBo\nÅse\n",
            "bare.svg": BARE,
        }.items():
            (here / file).write_text(text, encoding="utf-8")
        (here / "nothing.hpgl").write_bytes(b"IN;\x00SP1;")
        (here / "slow.toml").write_text(SLOW, encoding="utf-8")
        (here / "text.dxf").write_text(TEXT_DXF, encoding="ascii")
        (here / "open-tray.svg").write_text(write_svg(tray(far_wall=34).drawing().lines), encoding="utf-8")
        (here / "angles.toml").write_text(ANGLES, encoding="utf-8")
        rows: list[str] = []
        for words in filter(None, first.splitlines()):
            list(_typed(words, runner))
        (here / "stick").mkdir()
        before = set(here.rglob("*"))
        for words in filter(None, commands.splitlines()):
            rows += _typed(words, runner)
        made = sorted(str(path.relative_to(here)) for path in here.rglob("*") if path not in before)
        rows += [*made, *files_of(own)]
        for picture in ("marked.svg", "folded.svg", "look.svg", "text.svg"):
            if (here / picture).exists():
                svg = (here / picture).read_text(encoding="utf-8")
                rows += [f"{picture}:", *picture_rows(svg[svg.index("<svg") :])]
        return [_plain(row, here, own) for row in rows]


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "commands-looking": lambda: story(LOOKING),
    "commands-making": lambda: story(MAKING),
    "commands-own": lambda: story(
        OWN, "prepare fair.toml --out out\nprepare seed-tray.svg --out trays --sheet letter --effort quick"
    ),
}
