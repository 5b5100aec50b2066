"""Machine profiles: every value checked where it stands, and the axes exact."""

from __future__ import annotations

import math
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from cutprep.errors import ProfileError
from cutprep.geometry.affine import apply
from cutprep.model.operation import Operation
from cutprep.profile import shelf
from cutprep.profile.machine import CORNERS, GcodeStyle, HpglStyle, Machine, Tool
from cutprep.profile.machine_table import load_machine

LEAST = 'area = "300x400mm"\n[[tool]]\nname = "knife"\nnumber = 1\ndoes = ["cut"]\n'


def load(tmp_path: Path, text: str) -> Machine:
    path = tmp_path / "bench.toml"
    path.write_text(text)
    return load_machine(path)


def test_the_least_profile_has_the_defaults_of_the_classes(tmp_path: Path) -> None:
    """Same names and same defaults in file and code."""
    found = load(tmp_path, LEAST)
    expected = Machine(
        "bench", "bench", 300.0, 400.0, ("hpgl", "gcode"), (Tool("knife", 1, (Operation.CUT,)),)
    )
    for entry in fields(Machine):
        if entry.name != "tools":
            assert getattr(found, entry.name) == getattr(expected, entry.name), entry.name
    (tool,) = found.tools
    for entry in fields(Tool):
        here, there = getattr(tool, entry.name), getattr(expected.tools[0], entry.name)
        assert here == there or (math.isnan(here) and math.isnan(there)), entry.name
    assert found.hpgl == HpglStyle()
    assert found.gcode == GcodeStyle()


def test_lengths_may_be_in_inches(tmp_path: Path) -> None:
    found = load(
        tmp_path, LEAST.replace("300x400mm", "12x24in").replace("number = 1", 'number = 1\noffset = "0.01in"')
    )
    assert (found.width, found.height) == pytest.approx((304.8, 609.6))
    assert found.tools[0].offset == pytest.approx(0.254)


def test_both_axes_at_once_or_each(tmp_path: Path) -> None:
    found = load(tmp_path, LEAST + "[motion]\nacceleration = 900\ntop_speed_x = 100\ntop_speed_y = 50\n")
    assert found.acceleration == (900.0, 900.0)
    assert found.top_speed == (100.0, 50.0)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ('area = "0x400mm"', "area"),
        ('area = "300x400"', "area"),
        ("area = 300", "area"),
        ('languages = ["postscript"]', "languages"),
        ('origin = "middle"', "origin"),
        ('home = ["301mm", "0mm"]', "home"),
        ('home = ["1mm"]', "home"),
        ("[motion]\ntravel_speed = 0", "travel_speed"),
        ("[motion]\nacceleration = nan", "acceleration"),
        ("[motion]\nblocks = 1.5", "blocks"),
        ("[motion]\nlift = -1", "lift"),
        ("[hpgl]\npairs = 0", "pairs"),
        ("[hpgl]\nencoded = true", "encoded"),
        ('[hpgl]\nunit = "5mm"', "unit"),
        ('[gcode]\nlift = "magnet"', "lift"),
        ("[gcode]\ndwell = 61", "dwell"),
        ("[gcode]\nstart = [1]", "start"),
        ('[gcode]\nplunge = "fast"', "plunge"),
        ("[gcode]\nup_s = true", "up_s"),
        ("[gcode]\nspindle = 3", "spindle"),
    ],
)
def test_what_makes_no_sense_is_refused_with_its_line(tmp_path: Path, change: str, key: str) -> None:
    key_line = change.splitlines()[-1]
    head, _, tail = LEAST.partition("[[tool]]")
    body = f"{change}\n[[tool]]{tail}" if change.startswith("area") else f"{head}{change}\n[[tool]]{tail}"
    with pytest.raises(ProfileError, match=key) as caught:
        load(tmp_path, body)
    assert caught.value.place.line == body.splitlines().index(key_line) + 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("number = 0", "number"),
        ("number = 100", "number"),
        ("number = 1.5", "whole"),
        ('number = 1\nkind = "laser"', "laser"),
        ("number = 1\nspeed = 0", "speed"),
        ('number = 1\noffset = "6mm"', "offset"),
        ("number = 1\npart_force = 0", "part_force"),
        ("number = 1\npart_force = 1.1", "part_force"),
        ("number = 1\nforce = inf", "force"),
        ("number = 1\ncolour = 1", "colour"),
    ],
)
def test_tools_that_make_no_sense_are_refused(tmp_path: Path, change: str, words: str) -> None:
    with pytest.raises(ProfileError, match=words):
        load(tmp_path, LEAST.replace("number = 1", change))


def test_an_operation_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match="'weld' is not an operation"):
        load(tmp_path, LEAST.replace('"cut"', '"weld"'))


def test_no_tool_and_two_of_a_number(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match="no tool is listed"):
        load(tmp_path, 'area = "300x400mm"\n')
    with pytest.raises(ProfileError, match="same number"):
        load(tmp_path, LEAST + '[[tool]]\nname = "pen"\nnumber = 1\ndoes = ["draw"]\n')


@pytest.mark.parametrize("origin", CORNERS)
@pytest.mark.parametrize("swapped", [False, True])
def test_axes_are_exact_and_the_zero_lies_in_its_corner(origin: str, swapped: bool) -> None:
    machine = Machine("m", "m", 304.8, 609.6, ("hpgl",), (), origin=origin, swapped=swapped)
    matrix = machine.to_machine
    assert set(np.abs(matrix[:, :2]).ravel()) == {0.0, 1.0}
    assert abs(round(float(np.linalg.det(matrix[:, :2])))) == 1
    up, right = origin.startswith("upper"), origin.endswith("right")
    zero = np.array([304.8 if right else 0.0, 609.6 if up else 0.0])
    assert apply(matrix, zero).tolist() == [0.0, 0.0]
    corners = np.array([(0, 0), (304.8, 0), (0, 609.6), (304.8, 609.6)])
    moved = apply(matrix, corners)
    assert moved.min() == 0.0
    assert moved.max(axis=0).tolist() == ([609.6, 304.8] if swapped else [304.8, 609.6])


def test_tools_are_found_by_what_they_do_and_by_number() -> None:
    pen, knife = Tool("pen", 3, (Operation.DRAW,)), Tool("knife", 1, (Operation.CUT, Operation.PERFORATE))
    machine = Machine("m", "m", 9.0, 9.0, ("hpgl",), (pen, knife))
    assert machine.tool_for(Operation.PERFORATE) is knife
    assert machine.tool_for(Operation.SCORE) is None
    assert machine.tool_numbered(3) is pen
    assert machine.tool_numbered(2) is None


@pytest.mark.parametrize("name", sorted(shelf.machines()))
def test_shipped_machines_say_that_they_are_examples_and_can_cut(name: str) -> None:
    machine = shelf.machine(name)
    assert machine.name == name
    assert machine.title
    assert machine.tool_for(Operation.CUT) is not None
