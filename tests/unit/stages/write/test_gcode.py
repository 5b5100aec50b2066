"""G-code as a text: what stands where, for each way of lifting and changing."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cutprep.errors import OutOfReach, PlanError, ProfileError
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.stages.write.machine_file import write
from tests.gcode_grammar import faults_of_file
from tests.plans import MACHINE, TOOLS, circle, plan

LINE = [(1, [(10, 20), (30.5, 20)])]
TWO = [(2, [(10, 20), (30, 20)]), (1, [(5, 5), (6, 7), (8, 7)])]


def styled(**changes: object) -> Machine:
    return replace(MACHINE, gcode=replace(GcodeStyle(dwell=0.0), **changes))


def rows(machine: Machine, strokes: list = LINE, **wishes: object) -> list[str]:
    text = write(plan(strokes, **wishes), machine, "gcode")
    assert not faults_of_file(text, own_words=True)
    return text.splitlines()


def test_a_servo_file_word_for_word() -> None:
    """The whole of a small file: frame, tool up, message, travel, lower, feed, lift, home, end."""
    machine = replace(styled(dwell=0.15), tools=TOOLS)
    assert rows(machine) == [
        "G21 G90 G17 G94",
        "M3 S30",
        "G4 P0.15",
        "(MSG,tool 1: drag knife)",
        "G0 X10 Y20",
        "M3 S90",
        "G4 P0.15",
        "G1 X30.5 Y20 F3000",
        "M3 S30",
        "G4 P0.15",
        "G0 X0 Y0",
        "M2",
    ]


def test_an_axis_goes_below_the_surface_by_the_depth() -> None:
    """A tool's force is its depth then; the plunge has its own feed, and the work says its own again."""
    got = rows(styled(lift="z", up_z=4, down_z=0.2, plunge=5), force=0.5)
    at = got.index("G1 Z-0.3 F300")
    assert got[at + 1] == "G1 X30.5 Y20 F3000"
    assert got[1] == got[at + 2] == "G0 Z4"


def test_own_words_may_carry_the_force() -> None:
    got = rows(styled(lift="words", up_words=("m280 p0 s10",), down_words=("M280 P0 S{force}",)), force=75)
    assert got[1] == "M280 P0 S10"
    assert "M280 P0 S75" in got


def test_milliseconds_where_the_firmware_counts_them() -> None:
    assert "G4 P250" in rows(styled(dwell=0.25, dwell_unit="ms"))


def test_the_maker_is_asked_and_the_program_pauses_between_tools() -> None:
    """Not before the first tool, which she has put in before the start."""
    got = rows(MACHINE, TWO)
    assert [row for row in got if row == "M0" or "MSG" in row] == [
        "(MSG,tool 2: scoring stylus)",
        "(MSG,tool 1: drag knife)",
        "M0",
    ]
    # The tool is up before she reaches in.
    assert got.index("M0") > max(k for k, row in enumerate(got[: got.index("M0")]) if row == "M3 S30")


def test_a_machine_that_changes_by_itself_gets_tool_words() -> None:
    automatic = replace(MACHINE, change_how="automatic")
    assert [row for row in rows(automatic, TWO) if "T" in row and "M6" in row] == ["T2 M6", "T1 M6"]
    by_word = styled(change_by="tool-word")
    assert "T1 M6" in rows(by_word, TWO)
    assert "M0" not in rows(replace(MACHINE, change_how="none"), TWO)


def test_the_profiles_change_lines_name_the_tool() -> None:
    got = rows(styled(change=("G0 X0 Y0 (fetch {number}: {name})",)), TWO)
    assert "G0 X0 Y0 (fetch 1: drag knife)" in got
    assert sum("fetch" in row for row in got) == 1


def test_feed_is_said_once_a_tool_and_when_it_changes() -> None:
    got = rows(MACHINE, [*TWO, (1, [(50, 50), (60, 50)])])
    assert [row for row in got if "F" in row] == ["G1 X30 Y20 F3000", "G1 X6 Y7 F3000"]


def test_arcs_are_switched_by_the_profile() -> None:
    arcs, chords = (rows(styled(arcs=flag), [(1, circle(50, 50, 20))]) for flag in (True, False))
    assert sum(row.startswith("G3") for row in arcs) == 2
    assert not any(row.startswith(("G2 ", "G3 ")) for row in chords)
    assert len(chords) > len(arcs) + 50


def test_an_arc_is_mirrored_with_its_axes() -> None:
    """Counter-clockwise on the sheet is clockwise where one axis runs the other way."""
    mirrored = replace(MACHINE, origin="lower-right")
    assert any(row.startswith("G2 ") for row in rows(mirrored, [(1, circle(50, 50, 20))]))


def test_both_radii_of_an_arc_agree_within_a_micrometre() -> None:
    """NISTIR 6556, 3.5.3.2 allows 0.002 mm; three digits would not be safe, four are."""
    for k in range(60):
        machine = replace(MACHINE, origin="upper-left", width=300.01)
        text = write(plan([(1, circle(100 + k / 7, 90 - k / 9, 1 + k * 1.31))]), machine, "gcode")
        at = (0.0, 0.0)
        for row in text.splitlines():
            words = {a: float(b) for a, b in re.findall(r"([XYIJ])(-?[\d.]+)", row)}
            if "I" in words:
                centre = (at[0] + words["I"], at[1] + words["J"])
                one, other = (
                    (x - centre[0]) ** 2 + (y - centre[1]) ** 2 for x, y in (at, (words["X"], words["Y"]))
                )
                assert abs(one**0.5 - other**0.5) < 1e-3
            if "X" in words:
                at = (words["X"], words["Y"])


def test_a_lift_without_a_travel_is_still_said() -> None:
    """Two strokes that meet are two strokes."""
    got = rows(MACHINE, [(1, [(10, 20), (30, 20)]), (1, [(30, 20), (30, 40)])])
    assert got.count("M3 S90") == 2


def test_a_title_can_say_nothing_to_the_machine() -> None:
    """Brackets, line ends, realtime characters and letters beyond ASCII are dropped."""
    text = write(
        plan(LINE), MACHINE, "gcode", title="Wabe) G0 X999\nM3 S90 ! ~ ? % ; (MSG,tool 9) ü" + "x" * 200
    )
    assert not faults_of_file(text)
    assert text.isascii()
    assert len(text.splitlines()) == len(write(plan(LINE), MACHINE, "gcode").splitlines()) + 1
    title = text.splitlines()[1]
    assert title.startswith("(job: Wabe G0 X999 M3 S90 MSG,tool 9 ")
    assert len(title) <= 70


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"start": ("G91",)}, "G91"),
        ({"start": ("G20",)}, "G20"),
        ({"start": ("G020.0",)}, "G20"),
        ({"start": ("G5 X1 Y1",)}, "G5"),
        ({"start": ("( MSG , tool 2)",)}, "asked for"),
        ({"end": ("M30",)}, "M30"),
        ({"start": ("hello",)}, "no G-code"),
        ({"start": ("$H",)}, "no G-code"),
        ({"start": ("G0 X1 (a",)}, "no G-code"),
        ({"start": ("G0 X1 ; home",)}, "no G-code"),
        ({"start": ("G0 X1\nG91",)}, "ASCII"),
        ({"start": ("G0 X1 (é)",)}, "ASCII"),
        ({"start": ("G0 X1" + " " * 80,)}, "70"),
        ({"start": ("M3 S1 S2",)}, "twice"),
        ({"start": ("G92 X0 Y0",)}, "G92"),
        ({"start": ("(MSG,tool 2: stylus)",)}, "asked for"),
        ({"start": ("G0 G1 X1",)}, "modal group"),
        ({"lift": "words", "up_words": ("M5",)}, "down_words"),
        ({"lift": "words", "up_words": ("G0 X5",), "down_words": ("M3",)}, "sideways"),
        ({"lift": "words", "up_words": ("M5",), "down_words": ("M5",)}, "same"),
        ({"lift": "z", "up_z": 0.0, "down_z": 1.0}, "up_z"),
        ({"lift": "servo", "up_s": 90.0, "down_s": 90.0}, "raised"),
    ],
)
def test_a_profiles_text_is_checked(changes: dict[str, object], words: str) -> None:
    """It goes to a machine with a blade: nothing in it is trusted."""
    with pytest.raises(ProfileError, match=words):
        write(plan(LINE), styled(**changes), "gcode")


def test_grams_are_not_taken_for_a_depth() -> None:
    with pytest.raises(ProfileError, match="depth"):
        write(plan(LINE, force=120), styled(lift="z"), "gcode")


def test_a_tool_that_is_not_there_is_refused() -> None:
    with pytest.raises(PlanError, match="tool 7"):
        write(plan([(7, [(1, 1), (2, 2)])]), MACHINE, "gcode")


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_nothing_leaves_the_area(language: str) -> None:
    with pytest.raises(OutOfReach, match=r"0\.50 mm beyond"):
        write(plan([(1, [(10, 20), (300.5, 20)])]), MACHINE, language)
