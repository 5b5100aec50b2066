"""G-code text to blocks of words, by the grammar of NISTIR 6556, section 3.3.

A line is an optional `/`, an optional line number, then words and comments; blanks and case mean
nothing outside comments. A letter may stand once a line, G and M once a modal group.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

#: Longest line (3.3), and what small firmwares take once blanks are dropped (grbl 1.1, protocol.h).
LONGEST = 256
LONGEST_FIRMWARE = 79
_LARGEST = 1e6
#: How close to a code a number must be (3.3.2.1: within 0.0001), in tenths of a code.
_CLOSE = 0.001  # not a tolerance: a rule of the language
_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")
_NUMBERED = re.compile(r"N(\d+)")
_PLACE = r"([-+]?(?:\d{1,6}(?:\.\d*)?|\.\d+))"
#: Nearly all of a large file: motion and feed, each word in its usual place.
_MOTION = re.compile(
    r"(?:G0?([0-3]) ?)?"
    + "".join(rf"(?:{letter}{_PLACE} ?)?" for letter in "XYZIJ")
    + r"(?:F(\d{1,6}\.?\d*))?\r?"
)
#: Text that is divided into lines at a time: a list of all lines would take several times the file.
_PART = 1 << 20
#: Lines that come again and again, such as those that lift and lower, are read once, up to so many.
_KEPT = 1000
_LETTERS = set("ABCDFGHIJKLMPQRSTXYZ")

#: Modal groups (Table 4). Group 0 is not modal.
G_GROUP = {
    **dict.fromkeys([0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890], 1),
    **dict.fromkeys([170, 180, 190], 2),
    **dict.fromkeys([900, 910], 3),
    **dict.fromkeys([930, 940], 5),
    **dict.fromkeys([200, 210], 6),
    **dict.fromkeys([400, 410, 420], 7),
    **dict.fromkeys([430, 490], 8),
    **dict.fromkeys([980, 990], 10),
    **dict.fromkeys([540, 550, 560, 570, 580, 590, 591, 592, 593], 12),
    **dict.fromkeys([610, 611, 640], 13),
    **dict.fromkeys([40, 100, 280, 300, 530, 920, 921, 922, 923], 0),
}
M_GROUP = {
    **dict.fromkeys([0, 1, 2, 30, 60], 4),
    **dict.fromkeys([6], 6),
    **dict.fromkeys([3, 4, 5], 7),
    **dict.fromkeys([7, 8, 9], 8),
    **dict.fromkeys([48, 49], 9),
}


@dataclass(slots=True)
class Block:
    """The words of one line.

    Attributes
    ----------
    g, m
        G codes times ten, and M codes.
    words
        Every other letter with its number.
    remarks
        Text of the comments.
    plain
        The line without blanks and comments, in capitals.
    faults
        What the grammar says against the line, as (code, problem).
    asides
        What a machine may take for more, or for less, than it is here: a line that it may leave out,
        a remark after a semicolon.
    moving
        There is nothing but motion and feed on it.
    """

    line: int
    g: list[int] = field(default_factory=list)
    m: list[int] = field(default_factory=list)
    words: dict[str, float] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    plain: str = ""
    faults: list[tuple[str, str]] = field(default_factory=list)
    asides: list[str] = field(default_factory=list)
    moving: bool = False


def blocks(text: str) -> Iterator[Block]:
    """Read a file line by line; between a pair of `%` lines when it starts with one (3.1)."""
    framed = False
    kept: dict[str, Block] = {}
    for count, row in enumerate(_rows(text), 1):
        if not row:
            continue
        quick = _moving(row, count)
        if quick is not None:
            yield quick
            continue
        bare = row.rstrip("\r")
        if bare in kept:
            yield replace(kept[bare], line=count)
        elif bare.strip() == "%":
            if framed:
                return
            framed = True
            yield Block(count, plain="%")
        elif bare.strip():
            found = block(bare, count)
            if len(kept) < _KEPT:
                kept[bare] = found
            yield found


def _rows(text: str) -> Iterator[str]:
    at = 0
    while at <= len(text):
        end = text.find("\n", at + _PART)
        end = len(text) if end < 0 else end
        yield from text[at:end].split("\n")
        at = end + 1


def _moving(row: str, line: int) -> Block | None:
    """Read a line of motion and feed alone; None for every other."""
    match = _MOTION.fullmatch(row)
    if match is None or len(row) > LONGEST_FIRMWARE or match.lastindex is None:
        return None
    code, x, y, z, i, j, feed = match.groups()
    if (i or j) and code in ("0", "1"):
        return None
    given = (("X", x), ("Y", y), ("Z", z), ("I", i), ("J", j), ("F", feed))
    words = {letter: float(text) for letter, text in given if text is not None}
    plain = row.replace(" ", "").rstrip("\r")
    return Block(line, [int(code) * 10] if code else [], [], words, [], plain, [], [], moving=True)


def block(row: str, line: int = 0) -> Block:
    """Read one line."""
    found = Block(line)
    if len(row) > LONGEST:
        found.faults.append(("long-line", f"the line has {len(row)} characters; {LONGEST} is the limit"))
        return found
    bare = _without_remarks(row, found)
    plain = re.sub(r"[ \t]+", "", bare).upper()
    if plain.startswith("/"):
        found.asides.append("a line that the machine may leave out (/)")
        plain = plain[1:]
    found.plain = plain
    if len(plain) > LONGEST_FIRMWARE:
        found.faults.append(
            ("long-line-firmware", f"{len(plain)} characters; small firmwares take {LONGEST_FIRMWARE}")
        )
    numbered = _NUMBERED.match(plain)
    if numbered is not None:
        if len(numbered[1]) > 5:
            found.faults.append(
                ("line-number", f"the line number {numbered[1][:20]} has more than five digits")
            )
        plain = plain[numbered.end() :]
    _take_words(plain, found)
    return found


def _without_remarks(row: str, found: Block) -> str:
    """Cut the comments out; report nested and open ones (3.3.4)."""
    bare, at = "", 0
    while (start := _first(row, at, "(;")) >= 0:
        bare += row[at:start]
        if row[start] == ";":
            found.faults.append(("semicolon-comment", "a comment after a semicolon is not in NISTIR 6556"))
            found.remarks.append(row[start + 1 :].strip())
            found.asides.append("a remark after a semicolon")
            return bare
        stop = row.find(")", start)
        if stop < 0:
            found.faults.append(("open-comment", "a comment is not closed on its line"))
            return bare
        if "(" in row[start + 1 : stop]:
            found.faults.append(("nested-comment", "a comment stands inside a comment"))
        found.remarks.append(row[start + 1 : stop])
        at = stop + 1
    return bare + row[at:]


def _first(row: str, at: int, signs: str) -> int:
    places = [p for sign in signs if (p := row.find(sign, at)) >= 0]
    return min(places, default=-1)


def _take_words(plain: str, found: Block) -> None:
    at = 0
    groups: set[tuple[str, int]] = set()
    while at < len(plain):
        match = _WORD.match(plain, at)
        if match is None:
            found.faults.append(("not-gcode", f"'{plain[at : at + 20]}' is no word of a letter and a number"))
            return
        at = match.end()
        letter, value = match[1], float(match[2])
        if abs(value) > _LARGEST:
            found.faults.append(("number-range", f"{letter} with {match[2][:20]} is beyond any machine"))
            continue
        if letter in "GM":
            _take_code(letter, value, found, groups)
        elif letter not in _LETTERS:
            found.faults.append(("unknown-letter", f"the letter {letter} has no meaning"))
        elif letter in found.words:
            found.faults.append(("repeated-word", f"the letter {letter} stands twice on the line"))
        else:
            found.words[letter] = value
    if len(found.m) > 4:
        found.faults.append(("many-m-words", f"{len(found.m)} M words on the line; four are allowed"))


def _take_code(letter: str, value: float, found: Block, groups: set[tuple[str, int]]) -> None:
    code = round(value * 10) if letter == "G" else round(value)
    if abs(code - (value * 10 if letter == "G" else value)) > _CLOSE:
        found.faults.append(("unknown-code", f"{letter}{value:g} is not known"))
        return
    known = G_GROUP if letter == "G" else M_GROUP
    (found.g if letter == "G" else found.m).append(code)
    if letter == "G" and code not in known:
        found.faults.append(("unknown-code", f"G{value:g} is not known"))
    elif code in known:
        key = (letter, known[code])
        if key in groups:
            found.faults.append(
                ("modal-clash", f"{letter}{value:g} stands beside another word of its modal group")
            )
        groups.add(key)
