"""Text as single strokes, for a pen or a scoring tool: the Hershey alphabet, with accents put over it.

The letters are those that A. V. Hershey drew at the U. S. National Bureau of Standards ("Calligraphy for computers", NWL
Report 2101, 1967), as a library carries them; it has no accented letters, so a letter is taken apart
(Unicode, normalisation form D) and its marks are drawn over or under it. A capital is 21 units high.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from importlib import import_module
from typing import Any

import numpy as np

from cutprep.errors import JobError
from cutprep.model.lines import Points

#: Height of a capital, and where letters stand, in units of the alphabet (y down).
_CAPITAL, _FOOT = 21.0, 9.0
#: Height of a small letter without an ascender, units.
_SMALL = 14.0
#: A dot as that of the alphabet's i: a stroke of a unit's length would only pick the card in a small text.
_DOT = ((-1.0, 3.5), (0.0, 4.5), (1.0, 3.5), (0.0, 2.5), (-1.0, 3.5))
#: Marks by their Unicode name, as strokes about their middle, y up, units; our own drawing.
_MARKS: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "COMBINING ACUTE ACCENT": (((-2, 2), (2, 6)),),
    "COMBINING GRAVE ACCENT": (((2, 2), (-2, 6)),),
    "COMBINING CIRCUMFLEX ACCENT": (((-3, 2), (0, 6), (3, 2)),),
    "COMBINING CARON": (((-3, 6), (0, 2), (3, 6)),),
    "COMBINING TILDE": (((-4, 3), (-2, 5), (2, 3), (4, 5)),),
    "COMBINING DIAERESIS": (tuple((x - 3, y) for x, y in _DOT), tuple((x + 3, y) for x, y in _DOT)),
    "COMBINING DOUBLE ACUTE ACCENT": (((-3, 2), (-1, 6)), ((1, 2), (3, 6))),
    "COMBINING RING ABOVE": (((0, 2), (2, 4), (0, 6), (-2, 4), (0, 2)),),
    "COMBINING MACRON": (((-3, 4), (3, 4)),),
    "COMBINING BREVE": (((-3, 6), (-1, 3), (1, 3), (3, 6)),),
    "COMBINING DOT ABOVE": (_DOT,),
    "COMBINING CEDILLA": (((0, 0), (0, -2), (2, -3), (1, -5), (-2, -5)),),
    "COMBINING OGONEK": (((1, 0), (-1, -3), (0, -5), (2, -5)),),
    "COMBINING COMMA BELOW": (((0, -2), (-1, -5)),),
}
_BELOW = frozenset({"COMBINING CEDILLA", "COMBINING OGONEK", "COMBINING COMMA BELOW"})
#: Letters that are no letter with a mark, and what is written for them.
_WRITTEN = {
    "ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-",
    "\u00a0": " ",
}  # fmt: skip
#: Letters that a stroke through another one makes: the letter, and the stroke's ends as shares of its width and in units.
_STRUCK = {
    "ø": ("o", ((0.1, -1.0), (0.9, 15.0))),
    "Ø": ("O", ((0.1, -1.0), (0.9, 22.0))),
    "ł": ("l", ((0.1, 8.0), (0.9, 13.0))),
    "Ł": ("L", ((0.0, 8.0), (0.6, 13.0))),
    "đ": ("d", ((0.5, 17.0), (1.1, 17.0))),
    "Đ": ("D", ((-0.1, 10.5), (0.5, 10.5))),
    "Ð": ("D", ((-0.1, 10.5), (0.5, 10.5))),
}
#: The dot of an i gives way to a mark above it.
_DOTTED = frozenset("ij")


@cache
def _alphabet() -> dict[str, Any]:
    font = import_module("HersheyFonts").HersheyFonts()
    font.load_default_font("rowmans")
    return dict(font.all_glyphs)


def missing(text: str) -> str:
    """Letters that cannot be drawn, each once, in the order of the text."""
    return "".join(dict.fromkeys(c for c in text if _taken_apart(c) is None))


def letters(text: str, height: float) -> tuple[list[Points], float]:
    """Write a text in one line.

    Parameters
    ----------
    text
        One line.
    height
        Of a capital, mm.

    Returns
    -------
    list of (n, 2) ndarray of float
        Strokes, mm, y up: the text begins at x = 0 and stands on y = 0.
    float
        Its width, mm.

    Raises
    ------
    JobError
        When the alphabet lacks a letter, naming all that it lacks.
    """
    lacking = missing(text)
    if lacking:
        raise JobError(
            f"the single-stroke alphabet has no {', '.join(repr(c) for c in lacking)} for '{text}'",
            fix="Write it with other letters.",
        )
    strokes: list[Points] = []
    x, scale = 0.0, height / _CAPITAL
    for character in text:
        for letter, marks, bar in _taken_apart(character) or ():
            drawn, wide = _letter(letter, marks, bar)
            strokes += [(stroke + np.array([x, 0.0])) * scale for stroke in drawn]
            x += wide
    return strokes, x * scale


Bar = tuple[tuple[float, float], tuple[float, float]]


def _taken_apart(character: str) -> list[tuple[str, tuple[str, ...], Bar | None]] | None:
    """Give the letters to draw, the names of their marks and a stroke through them; None when that can't be drawn."""
    if character in _WRITTEN:
        return [(c, (), None) for c in _WRITTEN[character]]
    if character in _STRUCK:
        letter, bar = _STRUCK[character]
        return [(letter, (), bar)]
    apart = unicodedata.normalize("NFD", character)
    base, marks = apart[:1], tuple(unicodedata.name(m, "") for m in apart[1:])
    if base not in _alphabet() or any(m not in _MARKS for m in marks):
        return None
    return [(base, marks, None)]


def _letter(letter: str, marks: tuple[str, ...], bar: Bar | None) -> tuple[list[Points], float]:
    """Strokes of one letter with its marks, y up from where it stands, and its width, units."""
    glyph = _alphabet()[letter]
    here = [-float(glyph.left_offset), _FOOT]
    strokes = [np.array(s, dtype=np.float64) * [1, -1] + here for s in glyph.strokes if len(s) > 1]
    wide = float(glyph.char_width)
    above = [m for m in marks if m not in _BELOW]
    if above and letter in _DOTTED:
        strokes = [s for s in strokes if s[:, 1].min() < _SMALL]
    middle = wide / 2
    if strokes:
        every = np.concatenate(strokes)
        middle = float(every[:, 0].min() + every[:, 0].max()) / 2
    top = _CAPITAL if letter.isupper() else _SMALL
    for name in marks:
        foot = 0.0 if name in _BELOW else top
        strokes += [np.array(s, dtype=np.float64) + np.array([middle, foot]) for s in _MARKS[name]]
    if bar is not None:
        strokes.append(np.array([(share * wide, y) for share, y in bar]))
    return strokes, wide
