"""Places as polyline encoded (PE) of HP-GL/2, for machines whose profile says that they take it.

HP PCL 5 Technical Reference Manual Part II, pp. 20-34 to 20-41. In base 32, whose characters go over any line: seven
bits, no control character, no semicolon. Each instruction begins with a place and goes on in steps, so that a byte
that is lost on a line shifts no more than the rest of its own instruction.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

_BASE, _DIGIT, _LAST_DIGIT = 32, 63, 95


def through(spots: Iterable[tuple[int, int]], most: int) -> Iterator[str]:
    """Say that the tool is lowered and goes through places, in as few characters as may be.

    Parameters
    ----------
    spots
        Plotter units.
    most
        Characters that an instruction may have, with its semicolon.

    Yields
    ------
    str
        PE, or PD where that is no longer, without semicolon.
    """
    begun: list[tuple[int, int]] = []
    word = ""
    for x, y in spots:
        step = number(x - begun[-1][0]) + number(y - begun[-1][1]) if begun else ""
        if begun and len(word) + len(step) < most:
            word += step
        else:
            if begun:
                yield _shorter(word, begun)
            begun, word = [], f"PE7={number(x)}{number(y)}"
        begun.append((x, y))
    if begun:
        yield _shorter(word, begun)


def number(value: int) -> str:
    """A whole number in base 32: its sign in the lowest bit, lowest digit first, the last in a range of its own."""
    rest = 2 * value if value >= 0 else 1 - 2 * value
    text = ""
    while rest >= _BASE:
        text += chr(_DIGIT + rest % _BASE)
        rest //= _BASE
    return text + chr(_LAST_DIGIT + rest)


def _shorter(word: str, spots: list[tuple[int, int]]) -> str:
    """PD for a place or two that it says as shortly."""
    plain = "PD" + ",".join(f"{x},{y}" for x, y in spots) if len(spots) < 3 else ""
    return plain if plain and len(plain) <= len(word) else word
