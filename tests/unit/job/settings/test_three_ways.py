"""Each setting, given as an option, in a job file, and from Python, makes the same job."""

from __future__ import annotations

import json
import typing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import cutprep
from cutprep.cli.jobs import job_of_command
from cutprep.job.file import load_job
from cutprep.job.folder.outputs import output_files
from cutprep.job.job import Job
from cutprep.job.own.offcuts import Offcut, write_offcuts
from cutprep.job.pipeline import run
from cutprep.job.settings.keywords import Settings
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS
from cutprep.model.operation import Operation
from cutprep.model.rules import LineKind

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="cut" fill="none" stroke="#d02020"><path d="M5 5H55V25H45V35H5Z"/><path d="M48 28H55V35H48Z"/></g>
<g id="lid" fill="none" stroke="#2020d0"><path d="M30 5V35" stroke-dasharray="2 2"/></g></svg>
"""
#: Name of a setting to: the words of its option, its lines in a job file, its value in Python.
WAYS: dict[str, tuple[Any, str, Any]] = {
    "layers": (["lid=score"], "layers = { lid = 'score' }", {"lid": "score"}),
    "colours": (["#2020d0=score"], "colours = { '#2020d0' = 'score' }", ["#2020D0=score"]),
    "dashed": ("perforate", "dashed = 'perforate'", "perforate"),
    "fill_as_outline": (True, "fill_as_outline = true", True),
    "units": ("in", "drawn_in = 'in'", "inch"),
    "expect": ("60x40mm", "expect = '6x4cm'", (60, 40)),
    "pieces": (
        ["part 1=kraft-280,2"],
        "piece = [{name = 'part 1', stock = 'kraft-280', count = 2}]",
        ["part 1=kraft-280,2"],
    ),
    "mend": (True, "mend = true", True),
    "keep": ("cut", "keep = 'cut'", "cut"),
    "leave": (
        ["closed-gap@30,12.5"],
        "leave = [{code = 'closed-gap', at = [30, 12.5]}]",
        [{"code": "closed-gap", "at": [30, 12.5]}],
    ),
    "fold_work": (500, "fold_work = 500", 500),
    "despite_findings": (True, "despite_findings = true", True),
    "stock": ("kraft-280", "stock = 'kraft-280'", "kraft-280"),
    "caliper": ("0.4mm", "caliper = '0.04cm'", 0.4),
    "card_grain": ("90", "card_grain = 90", 90),
    "card_passes": (2, "card_passes = 2", 2),
    "speed_factor": ("0.5", "speed_factor = 0.5", 0.5),
    "cut_force": ("140", "cut_force = 140", 140),
    "score_force": ("90", "score_force = 90.0", 90),
    "card_offset": ("0.3mm", "card_offset = '0.03cm'", 0.3),
    "card_overcut": ("0.8mm", "card_overcut = '0.8mm'", 0.8),
    "sheet": ("A4", "sheet = 'A4'", "a4"),
    "at_hand": (3, "at_hand = 3", 3),
    "offcut": ("card-160-1", "offcut = 'card-160-1'", "card-160-1"),
    "price": ("0.6", "price = 0.60", 0.6),
    "face_down": (True, "face_down = true", True),
    "names": ("NAMES", "names = 'names.txt'", "NAMES"),
    "least_height": ("2mm", "least_height = '2mm'", 2),
    "font": ("DejaVu Sans", "font = 'DejaVu Sans'", "DejaVu Sans"),
    "copies": (3, "copies = 3", 3),
    "sets": (2, "sets = 2", 2),
    "spare": ("50", "spare = 50", 50),
    "amount": ("sheet", "amount = 'sheet'", "sheet"),
    "gap": ("1/8in", "gap = '0.125 in'", 3.175),
    "margin": ("8mm", "margin = '8 mm'", 8),
    "printer_edge": ("6mm", "printer_edge = '6mm'", 6),
    "turns": ("half", "turns = 'half'", "half"),
    "mirror": (True, "mirror = true", True),
    "pieces_apart": (True, "pieces_apart = true", True),
    "grain": ("90", "grain = 90.0", 90),
    "windows": (True, "windows = true", True),
    "keep_out": (
        ["0mm,0mm,50mm,80mm", "USED:cut"],
        "keep_out = [{left='0mm', bottom='0mm', right='5cm', top='80mm'}, {drawing='used.svg', layer='cut'}]",
        ["0mm,0mm,50mm,80mm", "USED:cut"],
    ),
    "places": ("PLACES", "places = 'places.json'", "PLACES"),
    "lay_rest": (True, "lay_rest = true", True),
    "effort": ("quick", "effort = 'quick'", "quick"),
    "seed": (7, "seed = 7", 7),
    "finish": ("copy", "finish = 'copy'", "copy"),
    "travel_by": ("time", "travel_by = 'time'", "time"),
    "explain": (True, "explain = true", True),
    "machine": ("belt-servo-400", "machine = 'belt-servo-400'", "belt-servo-400"),
    "language": ("gcode", "language = 'gcode'", "gcode"),
    "blade_offset": ("0.3mm", "blade_offset = '0.3mm'", 0.3),
    "passes_count": (2, "passes.count = 2", 2),
    "passes_force": ("80,120", "passes.force = [80, 120]", [80, 120]),
    "passes_by": ("sheet", "passes.by = 'sheet'", "sheet"),
    "bridges_count": (4, "bridges.count = 4", 4),
    "bridges_spacing": ("40mm", "bridges.spacing = '4cm'", 40),
    "bridges_width": ("0.6mm", "bridges.width = '0.6mm'", 0.6),
    "bridges_clear": ("2mm", "bridges.clear = '2mm'", 2),
    "perforation_cut": ("4mm", "perforation.cut = '4mm'", 4),
    "perforation_gap": ("2mm", "perforation.gap = '2mm'", 2),
    "from_back": ("mountains", "from_back = 'mountains'", "mountains"),
    "turn_by": ("marks", "turn_by = 'marks'", "marks"),
    "align": (
        ["0mm,0mm=1mm,1mm", "50mm,0mm=51mm,1mm"],
        "[[align]]\nplan=['0mm','0mm']\nmat=['1mm','1mm']\n[[align]]\nplan=['5cm','0mm']\nmat=['51mm','1mm']",
        ["0mm,0mm=1mm,1mm", "50mm,0mm=51mm,1mm"],
    ),
    "align_off": ("1mm", "align_off = '1mm'", 1),
    "align_scale": ("1", "align_scale = 1", 1),
    "align_skew": ("0.3", "align_skew = 0.3", 0.3),
    "title": ("Honey fair", "title = 'Honey fair'", "Honey fair"),
    "unit": ("in", "lengths_in = 'in'", "in"),
    "also": (["svg", "pdf"], "also = ['svg', 'pdf']", ["svg", "pdf"]),
    "students": (10, "students = 10", 10),
}
#: What else a setting needs.
WITH = {"keep": ["mend"], "language": ["machine"], "at_hand": ["sheet"], "price": ["sheet"]}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))
    write_offcuts([Offcut("card-160-1", "card-160", "card-160", (210, 297), (0, 0, 200, 200), 40_000)])
    (tmp_path / "tag.svg").write_text(TAG)
    (tmp_path / "used.svg").write_text(TAG)
    (tmp_path / "names.txt").write_text("Ana\n")
    (tmp_path / "places.json").write_text(
        '{"schema": "cutprep-job/1", "sheets": [{"stock": "card-220", "width_mm": 304.8, "height_mm": 304.8, '
        '"placements": [{"template": "tag", "x_mm": 20, "y_mm": 30}]}]}'
    )
    return tmp_path


def three(folder: Path, *names: str) -> tuple[Job, Job, Job]:
    """The same job by options, by a job file, and from Python."""

    def here(value: Any) -> Any:
        if isinstance(value, list):
            return [here(one) for one in value]
        if not isinstance(value, str):
            return value
        for word, name in (("USED", "used.svg"), ("PLACES", "places.json"), ("NAMES", "names.txt")):
            value = value.replace(word, str(folder / name))
        return value

    source = folder / "tag.svg"
    option = job_of_command([source], {name: here(WAYS[name][0]) for name in names})
    rows = sorted((WAYS[name][1] for name in names), key=lambda row: row.startswith("[["))
    title = "" if "title" in names else "title = 'tag'\n"
    path = folder / "job.toml"
    text = "\n".join(rows)
    path.write_text(f"{title}{text}\n[[template]]\nfile = 'tag.svg'\n", encoding="utf-8")
    python = cutprep.make_job(source, **{name: here(WAYS[name][2]) for name in names})
    return option, load_job(path), python


def test_every_setting_has_its_three_ways() -> None:
    assert list(WAYS) == list(SETTINGS)


def test_the_keywords_of_python_are_the_settings() -> None:
    assert list(typing.get_type_hints(Settings)) == list(SETTINGS)


@pytest.mark.parametrize("name", SETTINGS)
def test_each_way_makes_the_same_job(name: str, folder: Path) -> None:
    usual = cutprep.make_job(folder / "tag.svg")
    option, by_file, python = map(
        repr, three(folder, *WITH.get(name, ()), name)
    )  # a force unsaid equals nothing
    assert option == by_file == python
    assert option != repr(usual), "the setting does something"


def test_what_each_way_makes_is_the_same_to_the_last_byte(folder: Path) -> None:
    """All that can stand together, at once."""
    left = {
        "places",
        "offcut",  # no sheet may stand beside it
        "names",
        "pieces",
        "sets",
        "amount",
        "despite_findings",
        "passes_by",
        "expect",
        "units",
        "caliper",
    }
    jobs = three(folder, *(name for name in SETTINGS if name not in left))
    option, by_file, python = (output_files(run(job), job.also) for job in jobs)
    told = [json.loads(files.pop("job.json")) for files in (option, by_file, python)]
    assert option == by_file == python
    said = [one["settings"]["gap"] for one in told]
    assert said == [{"value": "3.175mm", "from": word} for word in ("option", "job", "option")]
    for one in told:  # what differs is where values came from, and the digest of it
        one.update(digest="", settings={})
    assert told[0] == told[1] == told[2]
    assert {"sheet-01-front.gcode", "sheet-01.svg", "sheet-01.pdf", "job-sheet.html"} <= set(option)


def test_a_template_may_say_otherwise_than_the_job(folder: Path) -> None:
    path = folder / "job.toml"
    rows = "turns = 'half'\ncopies = 3\n[layers]\nlid = 'score'\ncut = 'cut'\n"
    more = "[[template]]\nfile = 'tag.svg'\n[[template]]\nfile = 'tag.svg'\nturns = 'free'\nlayers = { Lid = 'cut' }\n"
    path.write_text(rows + more)
    first, second = load_job(path).items
    assert (first.turns, first.copies) == ("half", 3)
    assert (second.turns, second.copies) == ("free", 3)
    cut, score = LineKind(Operation.CUT), LineKind(Operation.SCORE)
    assert dict(first.rules.layers) == {"lid": score, "cut": cut}
    assert dict(second.rules.layers) == {"Lid": cut, "cut": cut}


def test_the_stock_s_passes_and_speed_reach_the_blade(folder: Path) -> None:
    """Twice round at half the speed takes more than three times as long."""
    job = cutprep.make_job(folder / "tag.svg", layers={"lid": "guide"}, effort="quick")
    usual = cutprep.prepare_job(job).sheets[0].duration
    batch = replace(job.batches[0], stock=replace(job.batches[0].stock, passes=2, speed_factor=0.5))
    slow = cutprep.prepare_job(replace(job, batches=(batch,))).sheets[0].duration
    assert sum(s for _, s in slow.work) > 3 * sum(s for _, s in usual.work)


def test_a_setting_stands_in_one_table_of_a_job_file() -> None:
    for scope in Scope:
        keys = [s.key for s in SETTINGS.values() if s.scope is scope]
        assert len(keys) == len(set(keys))
