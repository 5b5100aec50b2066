"""A machine file taken apart into what can be sent alone, and put together again so that each part stays short."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cutprep.errors import ReadbackError
from cutprep.model.lines import Points
from cutprep.profile.machine import Machine
from cutprep.stages.readback.hpgl.encoded import encoded_runs
from cutprep.stages.write.polyline import through

#: An instruction of several places is short enough to stop behind it, s.
_SHORT = 0.5
_PLACES = re.compile(r"(P[UD])(-?\d+(?:,-?\d+)*)")
_PLACE = re.compile(r"PD(-?\d+),(-?\d+)")
#: Leave the tool where it is.
_STILL = ("IN", "SP", "VS", "FS", "LT")


def instructions_of(text: str) -> Iterator[str]:
    """Instructions of HP-GL without what ends them, those through several places one by one.

    Parameters
    ----------
    text
        A file.

    Raises
    ------
    ReadbackError
        At what is no plain instruction.
    """
    at: tuple[int, int] | None = None  # where the tool is, as far as whole places have said
    steps = False
    for raw in text.split(";"):
        word = raw.strip()
        match = _PLACES.fullmatch(word)
        if word.startswith("PE"):
            if steps:
                raise ReadbackError("PE behind PR is not sent", fix="Say PA before it.")
            for name, x, y in _decoded(word, at):
                yield f"{name}{x},{y}"
                at = (x, y)
        elif match is not None:
            numbers = match[2].split(",")
            if len(numbers) % 2:
                raise ReadbackError(
                    f"{word[:20]} holds an odd number of coordinates", fix="Write the file anew."
                )
            for x, y in zip(numbers[::2], numbers[1::2], strict=True):
                yield f"{match[1]}{x},{y}"
            at = None if steps else (int(numbers[-2]), int(numbers[-1]))
        elif word:
            if not re.fullmatch(r"[A-Z]{2}[-+0-9., ]*", word):
                raise ReadbackError(
                    f"'{word[:20]}' is no plain instruction of HP-GL, and is not sent",
                    fix="Send a file that cutprep wrote, or one of PU, PD, PE, PA, PR, SP, VS, FS and their like.",
                )
            yield word
            steps = word[:2] == "PR" or (steps and word[:2] not in ("PA", "IN"))
            at = at if word[:2] in _STILL else None


def _decoded(word: str, at: tuple[int, int] | None) -> Iterator[tuple[str, int, int]]:
    """The places of a PE one by one, each with PD or PU.

    Raises
    ------
    ReadbackError
        Where they are more than places that are known.
    """
    runs, fault = encoded_runs(word[2:])
    for run in runs:
        for u, v in zip(run.numbers[::2], run.numbers[1::2], strict=True):
            if run.tool is not None or (at is None and not run.absolute) or u % 1 or v % 1:
                raise _not_sent(word, "it takes a tool, begins nowhere, or goes by parts of a unit")
            x, y = (0, 0) if run.absolute or at is None else at
            at = (x + int(u), y + int(v))
            yield ("PD" if run.down else "PU"), *at
    if fault:
        raise _not_sent(word, fault)


def _not_sent(word: str, why: str) -> ReadbackError:
    return ReadbackError(
        f"{word[:20]} is not sent: {why}", fix="Send a file that cutprep wrote, or one with PD in its place."
    )


def lines_of(text: str) -> list[str]:
    """Lines of G-code that are not blank."""
    return [row.strip() for row in text.splitlines() if row.strip()]


def together(rows: Sequence[str], seconds: Points, machine: Machine) -> Iterator[str]:
    """Put places with the tool down together again, encoded where the machine takes that, as long as they stay short.

    Parameters
    ----------
    rows
        Of `instructions_of`.
    seconds
        (n,) ndarray of float: how long each runs.
    machine
        Whose block and encoding apply.
    """
    most, encoded = machine.line.block, machine.hpgl.encoded
    begun: list[tuple[int, int]] = []
    took, size = 0.0, 0
    for row, lasts in zip(rows, seconds.tolist(), strict=True):
        place = _PLACE.fullmatch(row)
        full = took + lasts > _SHORT or (not encoded and size + len(row) >= most)
        if begun and (place is None or full):
            yield from _said(begun, machine)
            begun, took, size = [], 0.0, 0
        if place is None:
            yield row
            continue
        begun.append((int(place[1]), int(place[2])))
        took, size = took + lasts, size + len(row) - 1
    yield from _said(begun, machine)


def _said(spots: list[tuple[int, int]], machine: Machine) -> Iterator[str]:
    """Places as PD, or as PE."""
    if machine.hpgl.encoded:
        yield from through(spots, machine.line.block)
    elif spots:
        yield "PD" + ",".join(f"{x},{y}" for x, y in spots)
