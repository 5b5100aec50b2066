"""In what two legs differ beside their places: each difference in words, by what it does."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.legs import GO, Leg
from cutprep.stages.readback.held import Held, Said
from cutprep.units import plural

#: The plan's figures are rounded as the language rounds them, so what differs is more than rounding.
_NEAR = 1e-6  # not a tolerance: rounding of sums
_DIGITS = 6
#: Longest list of words that is laid beside another one by one.
_MOST_SAID = 400

Difference = tuple[str, str]
"""A finding's code and what differs."""


def unlike(wanted: Leg, got: Leg, machine: Machine, language: str) -> Iterator[tuple[bool, Difference]]:
    """Tell in what a leg of a file differs from what was planned.

    Parameters
    ----------
    wanted, got
        Legs of strokes that belong together.
    machine, language
        In whose words it is told.

    Yields
    ------
    inside, difference
        Whether it is in the stroke itself, or in the gap before it.
    """
    inside = list(within(wanted, got, machine, language))
    pressed = any(code == "force-differs" for code, _ in inside)
    for difference in _said(wanted.said, got.said, machine, language, pressed=pressed):
        yield False, difference
    if language == "gcode":
        yield from ((False, one) for one in _going(wanted.gone, got.gone, machine))
    yield from ((True, one) for one in inside)


def within(wanted: Leg, got: Leg, machine: Machine, language: str) -> Iterator[Difference]:
    """Tell in what two strokes differ, gaps left aside.

    Parameters
    ----------
    wanted, got
        A stroke as planned, and as the file says it.
    machine, language
        For whose machine, and in which language.
    """
    ours, theirs = [held for _, held in wanted.held], [held for _, held in got.held]
    told: set[Difference] = set()
    for one, other in zip(ours, theirs, strict=False):
        told.update(_held(one, other, machine, language))
    yield from sorted(told)
    if len(ours) != len(theirs) and not told:
        yield (
            "speed-differs",
            f"speed or force changes {plural(len(theirs) - 1, 'time')} on the way instead of {len(ours) - 1}",
        )
    elif not told and _elsewhere(wanted, got):
        yield "speed-differs", "speed or force changes at another place than planned"
    yield from _said([s for _, s in wanted.inner], [s for _, s in got.inner], machine, language)


def _elsewhere(wanted: Leg, got: Leg) -> bool:
    """Whether what holds changes at another place; strokes of as many vertices are looked at, arcs are not."""
    if wanted.stroke is None or got.stroke is None or len(wanted.stroke.points) != len(got.stroke.points):
        return False
    return [at for at, _ in wanted.held] != [at for at, _ in got.held]


def _held(wanted: Held, got: Held, machine: Machine, language: str) -> Iterator[Difference]:
    """What differs in what lasts while the tool is down."""
    if not _alike(wanted.speed, got.speed):
        yield "speed-differs", f"speed: {_speed(got.speed)} instead of {_speed(wanted.speed)}"
    if not _alike(wanted.force, got.force):
        yield "force-differs", f"{_figure('force', got.force)} instead of {_figure('', wanted.force)}"
    if not _alike(wanted.height, got.height):
        touch = machine.gcode.down_z
        yield "force-differs", f"depth {_depth(got.height, touch)} instead of {_depth(wanted.height, touch)}"
    if not _same_mode(wanted.mode, got.mode):
        yield "force-differs", f"the tool is pressed by {_mode(got.mode)} instead of {_mode(wanted.mode)}"
    if wanted.line != got.line:
        yield "line-type", f"lines are broken (LT{got.line}) instead of whole"
    if language == "gcode" and wanted.frame != got.frame:
        yield "units-unsaid", _frame(wanted.frame, got.frame)


def _going(wanted: Sequence[Held], got: Sequence[Held], machine: Machine) -> Iterator[Difference]:
    """What differs while the tool is up: how high, by what word, how fast."""
    if not wanted or not got:
        return
    told: set[Difference] = set()
    for one in got:
        planned = wanted[min(len(wanted) - 1, got.index(one))]
        if not _alike(planned.height, one.height):
            told.add(
                ("lift-differs", f"the tool is at {_height(one.height)} instead of {_height(planned.height)}")
            )
        if not _same_mode(planned.mode, one.mode):
            told.add(
                ("lift-differs", f"the tool is held up by {_mode(one.mode)} instead of {_mode(planned.mode)}")
            )
        if machine.gcode.lift == "words" and not _alike(planned.force, one.force):
            told.add(("lift-differs", "the tool is not raised by the profile's own words"))
        if not _alike(planned.speed, one.speed):
            told.add(
                ("way-differs", f"the tool travels at {_speed(one.speed)} instead of {_speed(planned.speed)}")
            )
        if planned.frame != one.frame:
            told.add(("units-unsaid", _frame(planned.frame, one.frame)))
    yield from sorted(told)


def _said(
    wanted: Sequence[Said], got: Sequence[Said], machine: Machine, language: str, *, pressed: bool = False
) -> Iterator[Difference]:
    """What is said in one and not in the other; a travel too short to see is no word."""
    if len(wanted) == len(got) and all(map(_same_said, wanted, got)):
        return
    if wanted.count(GO) != got.count(GO):  # told by the way itself
        wanted, got = [s for s in wanted if s is not GO], [s for s in got if s is not GO]
    ours, theirs = list(map(_key, wanted)), list(map(_key, got))
    if ours == theirs:
        return
    if len(ours) > _MOST_SAID or len(theirs) > _MOST_SAID:
        yield (
            "instruction-differs",
            f"{plural(len(theirs), 'instruction')} {'stands' if len(theirs) == 1 else 'stand'} where {len(ours)} {'is' if len(ours) == 1 else 'are'} planned",
        )
        return
    for tag, a, b, c, d in SequenceMatcher(None, ours, theirs, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        lost, more = [s for s in wanted[a:b] if s is not GO], [s for s in got[c:d] if s is not GO]
        while lost and more and lost[0].kind == more[0].kind:
            if pressed and lost[0].kind == "mode":  # told by the stroke that is pressed otherwise
                lost, more = lost[1:], more[1:]
                continue
            yield _code(lost[0]), _otherwise(lost.pop(0), more.pop(0), machine, language)
        for one in lost:
            yield _code(one), f"{_does(one, machine, language)} is missing"
        for one in more:
            yield _code(one), f"{_does(one, machine, language)} is not planned"


def _same_said(one: Said, other: Said) -> bool:
    return one.kind == other.kind and _key(one) == _key(other)


def _key(said: Said) -> tuple[object, ...]:
    """Figures so that rounding alone makes no difference."""
    return (said.kind, *(round(v, _DIGITS) if isinstance(v, float) else v for v in said.values))


def _code(said: Said) -> str:
    codes = {"wait": "wait-differs", "height": "lift-differs", "mode": "lift-differs", "tool": "tool-differs"}
    return codes.get(said.kind, "instruction-differs")


def _otherwise(wanted: Said, got: Said, machine: Machine, language: str) -> str:
    now, planned = (_does(said, machine, language) for said in (got, wanted))
    return f"{now} is otherwise than planned" if now == planned else f"{now} instead of {planned}"


def _does(said: Said, machine: Machine, language: str) -> str:
    """What is said, by what it does."""
    value = said.values[0] if said.values else 0.0
    if said.kind == "wait":
        return f"a wait of {float(value):g} s"
    if said.kind == "height":
        at, speed = float(value), float(said.values[1])
        verb = "lowering" if at <= machine.gcode.down_z else "raising"
        how = f" at {speed:g} mm/s" if speed else " as fast as it goes"
        return f"{verb} to {at:g} mm{how}"
    if said.kind == "mode":
        return f"{_mode((str(value), float(said.values[1])))} ({_lowers(said, machine)} the tool)"
    if said.kind == "tool":
        word = f"SP{value}" if language == "hpgl" else f"T{value} M6"
        return f"putting the tool away ({word})" if not value else f"taking tool {value} ({word})"
    if said.kind == "page":
        return f"a page of {float(value):g} x {float(said.values[1]):g} mm"
    if said.kind == "layer":
        return f"the layer '{value}' in {said.values[1] or 'no colour'}"
    words = {
        "frame": "the frame of the sheet's size",
        "start": "IN (forgets speed and force)",
        "ask": f"asking for tool {value}",
        "pause": "the pause for a change of tool (M0)",
        "end": "the end of the file",
    }
    return words.get(said.kind, str(value))


def _lowers(said: Said, machine: Machine) -> str:
    word, number = said.values
    return "lifts" if word == "M5" or number in (0.0, machine.gcode.up_s) else "lowers"


def _alike(wanted: float | None, got: float | None) -> bool:
    if wanted is None or got is None:
        return wanted is got
    return math.isclose(wanted, got, rel_tol=_NEAR, abs_tol=_NEAR)


def _same_mode(wanted: tuple[str, float] | None, got: tuple[str, float] | None) -> bool:
    if wanted is None or got is None:
        return wanted is got
    return wanted[0] == got[0] and _alike(wanted[1], got[1])


def _speed(speed: float | None) -> str:
    if speed is None:
        return "no speed"
    return f"{speed:.4g} mm/s" if speed else "as fast as it travels"


def _figure(what: str, value: float | None) -> str:
    return f"no {what}".strip() if value is None else f"{what} {value:g}".strip()


def _height(height: float | None) -> str:
    return "an unknown height" if height is None else f"{height:g} mm"


def _depth(height: float | None, touch: float) -> str:
    return "unknown" if height is None else f"{touch - height:g} mm"


def _mode(mode: tuple[str, float] | None) -> str:
    if mode is None or not mode[0]:
        return "nothing"
    return mode[0] if mode[0] == "M5" else f"{mode[0]} S{mode[1]:g}"


def _frame(wanted: tuple[str, ...], got: tuple[str, ...]) -> str:
    names = {
        "G21": "mm (G21)",
        "G90": "places, not steps (G90)",
        "G17": "the plane (G17)",
        "G94": "feed a minute (G94)",
    }
    given = got or ("",) * len(wanted)
    lost = [
        names.get(planned, planned) + (f" but {have}" if have else "")
        for planned, have in zip(wanted, given, strict=True)
        if planned != have
    ]
    return f"the file does not say {', '.join(lost)}"
