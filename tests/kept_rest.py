"""What else the maker types: every page of help, a screen, limits, a job kept, a stick, and slips of each command.

Read and kept as pages are (`tests.readings`).
"""

from __future__ import annotations

import re
from collections.abc import Callable

from typer.testing import CliRunner

from tests.kept_commands import story

COMMANDS = (
    "prepare", "check", "verify", "time", "look", "send", "ports", "desk", "machines", "stocks", "mend", "fold", "settings",
    "trial", "card", "again", "template", "new", "offcuts",
)  # fmt: skip
#: On a terminal: tables, and colours for what is wrong.
SCREEN = """
machines
check faults.svg --all
check card.svg
fold seed-tray.svg
settings fair.toml
template tray --inches
check nothing.svg
offcuts
prepare faults.svg --out faulty --despite-findings --effort quick --layer notes=guide
prepare faults.svg --out faults
stocks
"""
#: On a narrow one.
NARROW = """
check faults.svg
check card.svg
prepare faults.svg --out faults
"""
#: Slips, limits, what is kept, sent and counted.
REST = """
verify a --limit machine-bytes=99
verify a --accept sheet-01.hpgl --limit machine-bytes=99
time a/sheet-01.hpgl --limit machine-bytes=99
look a/sheet-01.hpgl --picture l.svg --limit machine-bytes=99
send a --to stick --limit machine-bytes=99
check card.svg --limit file-bytes=99
check card.svg --limit bytes=99
check card.svg --limit points=few
mend card.svg --out m.svg --limit file-bytes=99
fold seed-tray.svg --limit fold-work=1
fold seed-tray.svg --fold-work 1
prepare card.svg --out b --limit copies=2 --copies 3
prepare card.svg --out b --keep-job kept --effort quick --gap 4mm --layer score=guide --layer perforate=guide --keep-out 250mm,250mm,280mm,290mm
prepare card.svg --out c --keep-job kept --effort quick
prepare card.svg --out c --keep-job kept --effort quick --replace
settings kept/job.toml --json
settings kept/job.toml
settings a --json
settings b
settings a --gap 3mm
settings card.svg
card meadow --used a --price 3
card meadow --stock card-220 --shade red
card meadow
send a --to stick --sheet 1
send a --to stick --sheet 1
send a --to stick --sheet 9
send a/sheet-01.hpgl --to stick --replace
send a --to COM99 --yes
send gone.hpgl --to stick
send card.svg --to stick --sheet 0
trial force --out t --steps 40
trial force --out t --steps 1
trial force --out t --corner middle
trial sound --best 3
trial force --best much
trial force --json
trial times --out t5 --machine mat-cutter-600
trial times --seconds 45,39,35,39,42
trial times --seconds 45,39,35,39,42
trial times --seconds 45,x
trial times --seconds 45,39,35,39,42 --profile mine.toml
fold bookmark.svg
fold seed-tray.svg --holds bookmark.svg
fold seed-tray.svg --holds 20
fold seed-tray.svg --fits 'tray'
fold strips.svg --fits '2 in 1' --fits '1 over 2'
fold strips.svg --fits '3 in 1'
new more.toml bare.svg card.svg --replace
new more.toml bare.svg
mend bare.svg --out bare.svg
mend text.dxf --out text.svg
mend faults.svg --out f.svg --gap 9
offcuts --keep a --sheet 1
offcuts --keep full
offcuts --keep a --sheet 9
offcuts --forget none
template tray length=5.1in --out t.svg
template tray length=5.1in --out t.svg
template tray length --out t2.svg
template box-in-box --out box.dxf
template box-in-box inner.length=50mm
template box-in-box inner.length
template box-in-box --out box.toml
template --gallery stick/gallery
check text.dxf --units in
check bare.svg --dashed cut --layer notes=draw --json --expect 40x30mm
prepare bare.svg --out d --colour '#ff0000=cut' --mirror --turns half --grain 90 --effort quick
prepare card.svg card.svg --out e --effort quick --explain --lengths-in cm
prepare fair.toml card.svg --out f
again a --spoilt A1 --out g --effort quick
again a --spoilt , --out g
again out-of-reach --spoilt A1 --out g
look card.svg --picture l.svg
look a/sheet-01.hpgl --picture l.txt
stocks --json
time a
time nothing.hpgl
time a/sheet-01.hpgl --machine slow.toml
time a/sheet-01.hpgl --machine slow.toml --json
verify a --json
verify nowhere
"""
_FIRST = """prepare card.svg --out a --effort quick --copies 2
prepare card.svg --out full --effort quick --sheet 80x60mm"""
_COLOURS = {"TERM": "xterm-256color", "FORCE_COLOR": "1", "COLORTERM": None, "NO_COLOR": None}


def _on_screen(commands: str, columns: int) -> list[str]:
    """What colours a terminal, made visible; of bars, whose rows hang on time, nothing."""
    told = story(commands, runner=CliRunner(env={**_COLOURS, "COLUMNS": str(columns)}))
    rows = (
        re.sub(r"(\^\[1A|\^\[2K)+", "", row.replace("\x1b", "^")) for row in told if "\x1b[2K" not in row[:6]
    )
    return [row for row in rows if not re.search(r"^\| \^\[\?25|━+\^\[0m \^\[35m *\d+%", row)]


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "commands-help": lambda: story("\n".join(f"{name} --help" for name in COMMANDS)),
    "commands-on-screen": lambda: [
        *_on_screen(SCREEN, 100),
        *_on_screen(NARROW, 80),
        *_on_screen("machines", 40),
    ],
    "commands-rest": lambda: story(REST, _FIRST),
}
