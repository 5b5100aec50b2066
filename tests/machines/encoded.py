"""Polyline encoded, decoded by a machine: HP PCL 5 Technical Reference Manual Part II, pp. 20-34 to 20-41.

Byte by byte, as a firmware would: nothing of cutprep's own reader is used.
"""

from __future__ import annotations

from collections.abc import Iterator

Move = tuple[bool, int, int]


def moves_of(body: bytes, at: tuple[int, int]) -> Iterator[Move]:
    """(tool down, x, y) in plotter units for what stands between PE and its semicolon; `at`: where the pen is."""
    seven = False
    up = whole = False
    value, weight = 0, 1
    numbers: list[int] = []
    for byte in body:
        if byte <= 32 or 127 <= byte <= 160 or byte == 255:
            continue  # p. 20-35: ignored
        sign = chr(byte & 0x7F)
        if sign in ":<>=7":
            assert sign not in ":>", "this plotter's files take no tool and have no fractions in PE"
            assert weight == 1, "a flag within a number"
            assert not numbers, "a flag between x and y"
            seven, up, whole = seven or sign == "7", up or sign == "<", whole or sign == "="
            continue
        base, plain = (32, byte & 0x7F) if seven else (64, byte)
        last = plain >= (95 if seven else 191)
        digit = plain - ((95 if seven else 191) if last else 63)
        assert 0 <= digit < base, f"no digit of base {base}: {byte}"
        value += digit * weight
        weight *= base
        if not last:
            continue
        numbers.append(-(value // 2) if value % 2 else value // 2)
        value, weight = 0, 1
        if len(numbers) == 2:
            x, y = numbers
            at = (x, y) if whole else (at[0] + x, at[1] + y)
            yield not up, *at
            numbers.clear()
            up = whole = False
    assert weight == 1, "the last number does not end"
    assert not numbers, "a place has no y"
