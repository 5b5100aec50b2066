"""Matrices of SVG as six plain numbers, and the text that makes them.

Plain tuples (a, b, c, d, e, f) as in `matrix()`, because the walk composes one or two for every
element and a call into an array library costs more than the twelve products.

Rules: SVG 2, 8.5 "The transform property"; CSS Transforms 1, sections 8 "The SVG transform attribute"
and 13 "The transform functions". A list with an error in it is ignored as a whole.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import lru_cache
from typing import TypeAlias

from cutprep.stages.read.svg.values import LengthContext, parse_length

Matrix: TypeAlias = tuple[float, float, float, float, float, float]

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_FUNCTION = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)\s*")
_GAP = re.compile(r"\s*,\s*|\s+")
# "translate(10-5)" is two numbers in the attribute's grammar.
_PACKED = re.compile(r"(?<=[\d.])(?=[-+])")
_IN_ATTRIBUTES = frozenset({"matrix", "translate", "scale", "rotate", "skewX", "skewY"})
_UNITS = re.compile(r"[^-+\d.eE,\s]")
_ANGLE = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z]*)")
_DEGREES = {"": 1.0, "deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}
_EXACT = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
_WORDS = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
#: Characters of a list of transforms.
_LONGEST = 1_000_000


def compose(m: Matrix, n: Matrix) -> Matrix:
    """Matrix that applies n first and then m."""
    a, b, c, d, e, f = m
    p, q, r, s, t, u = n
    return (
        a * p + c * q, b * p + d * q,
        a * r + c * s, b * r + d * s,
        a * t + c * u + e, b * t + d * u + f,
    )  # fmt: skip


def shift(x: float, y: float) -> Matrix:
    """Move by (x, y)."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def about(m: Matrix, x: float, y: float) -> Matrix:
    """Apply m about the point (x, y) instead of the origin."""
    return compose(compose(shift(x, y), m), shift(-x, -y))


def is_flat(m: Matrix) -> bool:
    """Whether a matrix lays the plane onto a line or a point, or is not finite."""
    return not all(map(math.isfinite, m)) or m[0] * m[3] == m[1] * m[2]


def size_factor(m: Matrix) -> float:
    """By how much a matrix enlarges lengths, on average over directions."""
    return math.sqrt(abs(m[0] * m[3] - m[1] * m[2]))


@lru_cache(maxsize=65536)
def parse_transform(text: str, box: LengthContext | None) -> Matrix | None:
    """Read a list of transform functions.

    Parameters
    ----------
    text
        For instance `translate(10 20) rotate(45)`; `none` and nothing change nothing.
    box
        What lengths refer to when the text is a CSS property. None for the attribute, whose older
        grammar has six functions, plain numbers, and case that matters (CSS Transforms 1, 8.1).

    Returns
    -------
    Matrix or None
        None when the list has an error, or is longer than any that a program writes.
    """
    if len(text) > _LONGEST:
        return None
    if text.strip().lower() in {"", "none"}:
        return IDENTITY
    matrix, at = IDENTITY, 0
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if found is None or (box is None and (found[1] not in _IN_ATTRIBUTES or _UNITS.search(found[2]))):
            return None
        one = _function(found[1], found[2], box or LengthContext(0.0, 0.0))
        if one is None:
            return None
        matrix, at = compose(matrix, one), found.end()
    return matrix


def _function(name: str, text: str, box: LengthContext) -> Matrix | None:
    words = _GAP.split(_PACKED.sub(" ", text.strip()))
    maker = _MAKERS.get(name.lower())
    try:
        return maker(words, box) if maker else None
    except ValueError:
        return None


def _numbers(words: list[str], *counts: int) -> list[float]:
    if len(words) not in counts:
        raise ValueError(words)
    numbers = [float(word) for word in words]
    if not all(map(math.isfinite, numbers)):
        raise ValueError(words)
    return numbers


def _distance(word: str, box: LengthContext, axis: str) -> float:
    length = parse_length(word)
    if length is None:
        raise ValueError(word)
    return box.px(length, "x" if axis == "x" else "y")


def _degrees(word: str) -> float:
    found = _ANGLE.fullmatch(word)
    if found is None or found[2].lower() not in _DEGREES:
        raise ValueError(word)
    return float(found[1]) * _DEGREES[found[2].lower()]


def _matrix(words: list[str], _: LengthContext) -> Matrix:
    a, b, c, d, e, f = _numbers(words, 6)
    return (a, b, c, d, e, f)


def _translate(words: list[str], box: LengthContext) -> Matrix:
    if len(words) > 2:
        raise ValueError(words)
    return shift(_distance(words[0], box, "x"), _distance(words[1], box, "y") if len(words) == 2 else 0.0)


def _scale(words: list[str], _: LengthContext) -> Matrix:
    n = _numbers(words, 1, 2)
    return (n[0], 0.0, 0.0, n[-1], 0.0, 0.0)


def turn(degrees: float) -> Matrix:
    """Turn about the origin; quarter turns are exact."""
    rest = degrees % 360.0
    angle = math.radians(degrees)
    c, s = _EXACT[rest] if rest in _EXACT else (math.cos(angle), math.sin(angle))
    return (c, s, -s, c, 0.0, 0.0)


def _rotate(words: list[str], box: LengthContext) -> Matrix:
    matrix = turn(_degrees(words[0]))
    if len(words) == 1:
        return matrix
    if len(words) != 3:
        raise ValueError(words)
    return about(matrix, _distance(words[1], box, "x"), _distance(words[2], box, "y"))


def _only(words: list[str]) -> str:
    if len(words) != 1:
        raise ValueError(words)
    return words[0]


_MAKERS: dict[str, Callable[[list[str], LengthContext], Matrix]] = {
    "matrix": _matrix,
    "translate": _translate,
    "translatex": lambda words, box: shift(_distance(_only(words), box, "x"), 0.0),
    "translatey": lambda words, box: shift(0.0, _distance(_only(words), box, "y")),
    "scale": _scale,
    "scalex": lambda words, _: (_numbers(words, 1)[0], 0.0, 0.0, 1.0, 0.0, 0.0),
    "scaley": lambda words, _: (1.0, 0.0, 0.0, _numbers(words, 1)[0], 0.0, 0.0),
    "rotate": _rotate,
    "skewx": lambda words, _: (1.0, 0.0, math.tan(math.radians(_degrees(_only(words)))), 1.0, 0.0, 0.0),
    "skewy": lambda words, _: (1.0, math.tan(math.radians(_degrees(_only(words)))), 0.0, 1.0, 0.0, 0.0),
}


def parse_origin(text: str, box: LengthContext) -> tuple[float, float] | None:
    """Read a `transform-origin`, in units of the box; None when it has an error.

    References
    ----------
    CSS Transforms 1, section 6 "The transform-origin property". A third value, the depth, changes
    nothing in the plane.
    """
    words = text.lower().split()
    if not 1 <= len(words) <= 3:
        return None
    if len(words) == 1:
        words = ["center", *words] if words[0] in {"top", "bottom"} else [*words, "center"]
    elif words[0] in {"top", "bottom"} or words[1] in {"left", "right"}:
        words[0], words[1] = words[1], words[0]
    lengths = [parse_length(_WORDS.get(word, word)) for word in words[:2]]
    if (
        lengths[0] is None
        or lengths[1] is None
        or words[0] in {"top", "bottom"}
        or words[1] in {"left", "right"}
    ):
        return None
    return box.px(lengths[0], "x"), box.px(lengths[1], "y")
