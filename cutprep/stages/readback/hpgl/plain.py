"""What the HP-GL reader needs on the way: matrices as plain numbers, the area, figures of tools, strange signs."""

from __future__ import annotations

from cutprep.model.lines import Points
from cutprep.profile.machine import Machine

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


def for_tools(table: dict[int, float], value: float, numbers: tuple[float, ...]) -> None:
    """Write down what VS and FS say: for the tool that is their second number, else for all (as -1)."""
    if len(numbers) > 1:
        table[int(numbers[1])] = value
    else:
        table.clear()
        table[-1] = value
