"""Changing seeds at random, by a seed: for runs without an outside fuzzer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from tests.fuzz.shaped import Shaper

_LONGEST = 8192
_NUMBERS = (
    b"0", b"-1", b"1e308", b"-1e-320", b"9" * 40, b"NaN", b"inf", b"1e9", b"-0", b"2147483648", b"1.5",
    b"", b"65535", b"0x10",
)  # fmt: skip


def mutants(
    seeds: Sequence[bytes], words: Sequence[bytes], seed: int, shaper: Shaper | None = None
) -> Iterator[bytes]:
    """Endless inputs made of seeds by flips, cuts, repeats, splices, and words and numbers put in.

    With a shaper (shaped.py), half of them keep the shape of their format.
    """
    rng = np.random.default_rng(seed)
    while True:
        data = bytearray(seeds[int(rng.integers(len(seeds)))])
        if shaper is not None and rng.random() < 0.5:
            yield shaper(bytes(data), seeds, rng)
            continue
        for _ in range(int(rng.geometric(0.4))):
            data = _change(data, seeds, words, rng)
        yield bytes(data[:_LONGEST])


def _change(
    data: bytearray, seeds: Sequence[bytes], words: Sequence[bytes], rng: np.random.Generator
) -> bytearray:
    kind = int(rng.integers(8))
    a = int(rng.integers(len(data) + 1))
    b = min(len(data), a + int(rng.geometric(0.05)))
    if kind == 0 and data:
        data[min(a, len(data) - 1)] ^= 1 << int(rng.integers(8))
    elif kind == 1:
        del data[a:b]
    elif kind == 2:
        data[a:a] = data[a:b] * int(rng.integers(1, 20))
    elif kind == 3:
        data[a:a] = words[int(rng.integers(len(words)))]
    elif kind == 4:
        _replace_number(data, rng)
    elif kind == 5:
        other = seeds[int(rng.integers(len(seeds)))]
        c = int(rng.integers(len(other) + 1))
        data[a:b] = other[c : c + int(rng.geometric(0.01))]
    elif kind == 6:
        data[a:b] = bytes(rng.integers(0, 256, int(rng.integers(1, 6)), dtype=np.uint8))
    else:
        c = int(rng.integers(len(data) + 1))
        data[c:c] = data[a : a + int(rng.geometric(0.01))]
    return data


def _replace_number(data: bytearray, rng: np.random.Generator) -> None:
    digits = np.flatnonzero((np.frombuffer(bytes(data), np.uint8) - 48) < 10)
    if len(digits) == 0:
        return
    a = b = int(digits[int(rng.integers(len(digits)))])
    while b < len(data) and data[b : b + 1] in b"0123456789.":
        b += 1
    data[a:b] = _NUMBERS[int(rng.integers(len(_NUMBERS)))]


def words_of(seeds: Sequence[bytes]) -> list[bytes]:
    """Words of a corpus, to put in elsewhere."""
    found = {word for data in seeds for word in data.replace(b"=", b" ").replace(b",", b" ").split()}
    return sorted(word for word in found if 1 < len(word) < 40) or [b" "]
