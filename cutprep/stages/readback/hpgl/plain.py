"""What the HP-GL reader needs on the way: matrices and parameters as plain numbers, the area, strange signs."""

from __future__ import annotations

from cutprep.model.lines import Points
from cutprep.profile.machine import Machine
from cutprep.stages.readback.hpgl.words import Instruction
from cutprep.stages.readback.track import Track

#: Range of any number in HP-GL/2 (PCL 5 TRM II pp. 17-10, 17-11).
_LARGEST = 2**30
_Plain = tuple[float, float, float, float, float, float]


def plain_matrix(matrix: Points) -> _Plain:
    """A (2, 3) matrix as plain numbers: files have hundreds of thousands of coordinates."""
    (a, b, c), (d, e, f) = matrix.tolist()
    return (a, b, c, d, e, f)


def moved(m: _Plain, x: float, y: float) -> tuple[float, float]:
    """A point by a matrix of plain numbers."""
    return (x * m[0] + y * m[1] + m[2], x * m[3] + y * m[4] + m[5])


def named(text: str) -> str:
    """Signs that can't be printed, in words."""
    if text.startswith("\x1b"):
        return f"the escape sequence ESC {shown(text[1:])}"
    return "a null byte" if text[:1] in "\x00\x04" else f"'{shown(text)}'"


def shown(text: str) -> str:
    """Text of a file, fit for a message."""
    return text.encode("ascii", "replace").decode().replace("\n", " ")


def size_of(machine: Machine | None) -> tuple[float, float] | None:
    """The machine's area on its own axes, mm; None without a machine."""
    if machine is None:
        return None
    return (machine.height, machine.width) if machine.swapped else (machine.width, machine.height)


def numbers_of(instruction: Instruction, track: Track) -> tuple[float, ...] | None:
    """Parameters as numbers; None when the device would refuse them, which is noted."""
    track.allow_moves(len(instruction.numbers) // 2)
    if not instruction.whole and any("e" in text or "E" in text for text in instruction.numbers):
        held = ", ".join(instruction.numbers)[:40]
        track.note("exponent", f"{instruction.name} holds {held}; HP-GL has no exponents")
        return None
    numbers = tuple(map(float, instruction.numbers))
    if numbers and not -_LARGEST < min(numbers) <= max(numbers) < _LARGEST:
        track.note("out-of-range", f"{instruction.name} holds a number beyond 2^30")
        return None
    return numbers
