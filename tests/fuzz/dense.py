"""Drawings that are soon read and long worked at: lines so many, so near or so alike that what is asked of pairs runs away.

`python -m tests.bench.bounds --stages` takes each through what comes after reading; `test_dense.py` runs small ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from tests.fuzz.largest import Case, drawn, how_many

#: Elements just within the limit.
_MOST = 117_000


def _rows(row: Callable[[int, int], str], most: int = _MOST) -> Callable[[float], Iterator[str]]:
    """So many rows, each from its number and the count of all."""

    def rows(share: float) -> Iterator[str]:
        count = how_many(most, share)
        return drawn(row(k, count) for k in range(count))

    return rows


def _path(row: Callable[[int, int], str], most: int, end: str = "Z") -> Callable[[float], Iterator[str]]:
    """One path of so many rows."""

    def rows(share: float) -> Iterator[str]:
        count = how_many(most, share)
        return drawn(["<path d='M5 5", *(row(k, count) for k in range(count)), f"{end}'/>"])

    return rows


def _doubled(k: int, _: int) -> str:
    return f"M{10 + k * 7919 % 20_000 / 100:.2f} 20H{10 + k * 104_729 % 28_000 / 100:.2f}"


def _nested(k: int, count: int) -> str:
    a = 145 * k / count
    return f"<path d='M{a:.4f} {a:.4f}H{300 - a:.4f}V{300 - a:.4f}H{a:.4f}Z'/>"


def _star(k: int, _: int) -> str:
    x, y = 140 * math.cos(k), 140 * math.sin(k)
    return f"<path d='M{150 + x:.4f} {150 + y:.4f}L{150 - x:.4f} {150 - y:.4f}'/>"


def _fan(k: int, _: int) -> str:
    return f"<path d='M150 150L{150 + 140 * math.cos(k):.4f} {150 + 140 * math.sin(k):.4f}'/>"


def _wavy(k: int, count: int) -> str:
    turn = 2 * math.pi * k / count
    out = 100 + 20 * math.sin(800 * turn)
    return f"L{150 + out * math.cos(turn):.4f} {150 + out * math.sin(turn):.4f}"


def _sliver(k: int, count: int) -> str:
    y = 5 + 290 * k / count
    return f"<path d='M5 {y:.4f}H295V{y + 0.001:.4f}H5Z'/>"


def _grid(k: int, count: int) -> str:
    at = 5 + 290 * k / count
    return f"<path d='M5 {at:.4f}H295'/>" if k % 2 else f"<path d='M{at:.4f} 5V295'/>"


def _square(k: int, count: int) -> str:
    side = math.ceil(math.sqrt(count))
    step = 290 / side
    x, y, a = 5 + k % side * step, 5 + k // side * step, step * 0.6
    return f"<path d='M{x:.4f} {y:.4f}h{a:.4f}v{a:.4f}h-{a:.4f}z'/>"


def _scored(share: float) -> Iterator[str]:
    count = how_many(_MOST, share)
    yield from drawn(["<rect x='5' y='5' width='290' height='290'/></g><g id='score' stroke='blue' fill='none'>",
                      *(f"<path d='M{5 + 290 * (k + 1) / (count + 1):.4f} 5V295'/>" for k in range(count))])  # fmt: skip


DENSE = tuple(
    Case(f"dense, {what}", "drawing.svg", rows)
    for what, rows in (
        ("a million doubled collinear lines", _path(_doubled, 980_000, "")),
        ("doubled collinear lines of their own", _rows(lambda k, n: f"<path d='{_doubled(k, n)}'/>")),
        ("a hundred thousand nested outlines", _rows(_nested)),
        ("all lines through one point", _rows(_star)),
        ("two thousand lines through one point", _rows(_star, 2000)),
        ("all lines from one point", _rows(_fan)),
        ("one outline of half a million points", _path(_wavy, 490_000)),
        ("identical outlines", _rows(lambda *_: "<rect x='10' y='10' width='50' height='50'/>")),
        ("five thousand identical outlines", _rows(lambda *_: "<rect x='10' y='10' width='50' height='50'/>", 5000)),
        ("thin slivers", _rows(_sliver)),
        ("two thousand thin slivers", _rows(_sliver, 2000)),
        ("a fine grid", _rows(_grid)),
        ("a grid of four thousand lines", _rows(_grid, 4000)),
        ("small squares", _rows(_square)),
        ("five thousand small squares", _rows(_square, 5000)),
        ("one panel of many scores", _scored),
        ("a comb", _path(lambda k, n: f"V295h{145 / n:.5f}V5h{145 / n:.5f}", 58_000, "V300H5Z")),
        ("specks", _rows(lambda k, _: f"<path d='M{k * 7919 % 29_000 / 100:.2f} {k * 104_729 % 28_900 / 100:.2f}h.01'/>")),
    )
)  # fmt: skip
