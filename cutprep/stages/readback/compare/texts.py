"""Two machine files instruction by instruction: what was prepared, and what lies there now.

The instructions are aligned (see align.py), so that one that was lost or put in tells of itself
alone; each difference is told by what it does, with the stroke in which it stands.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from cutprep.errors import Place
from cutprep.limits import Limits
from cutprep.model.findings.finding import Finding, Severity
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.align import StrokeMatch, align
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.hpgl.encoded import encoded_places
from cutprep.stages.readback.hpgl.words import ASIDE, instructions
from cutprep.stages.readback.machine_file import follow
from cutprep.units import plural

#: So many differences are told one by one.
_MOST_TOLD = 20
#: Characters of an instruction that are shown, and how many of them stand before the place where two rows part.
_LONGEST, _BEFORE = 40, 12
_BLANK = re.compile(r"[ \t\r\n]+")
_WORD = re.compile(r"([A-Za-z])([-+.\d]+)")

#: Name of an instruction or letter of a word to the code of what differs, and what its number is.
_MEANS = {
    "VS": ("speed-differs", "speed {} cm/s"),
    "FS": ("force-differs", "force {}"),
    "SP": ("tool-differs", "tool {}"),
    "LT": ("line-type", "line type {}"),
    "PD": ("stroke-differs", "a line to {} plotter units"),
    "PE": ("stroke-differs", ""),
    "PU": ("way-differs", "a way to {} plotter units"),
    "AA": ("stroke-differs", "an arc {}"),
    "F": ("speed-differs", "feed {} mm/min"),
    "S": ("force-differs", "S {} (servo or power)"),
    "Z": ("lift-differs", "height {} mm"),
    "P": ("wait-differs", "wait P {}"),
    "T": ("tool-differs", "tool {}"),
    "X": ("stroke-differs", "X {}"),
    "Y": ("stroke-differs", "Y {}"),
    "I": ("stroke-differs", "I {}"),
    "J": ("stroke-differs", "J {}"),
    "G": ("instruction-differs", "G{}"),
    "M": ("instruction-differs", "M{}"),
}
#: Words that stand in each other's place: motions, and what switches the tool.
_ALIKE = {**dict.fromkeys(("G0", "G1", "G2", "G3"), "motion"), **dict.fromkeys(("M3", "M4", "M5"), "switch")}


@dataclass(frozen=True, slots=True)
class Token:
    """One instruction.

    Attributes
    ----------
    name
        Mnemonic, or what the line does first.
    text
        All of it as it stands, without blanks.
    line
        From 1.
    """

    name: str
    text: str
    line: int


def same_but_for_blanks(prepared: str, now: str) -> bool:
    """Whether two files differ in line ends and white space alone."""
    if _BLANK.sub("", prepared) != _BLANK.sub("", now):
        return False
    rows = ([_BLANK.sub("", row) for row in text.splitlines() if row.strip()] for text in (prepared, now))
    # In G-code a line's end ends a block; in HP-GL the semicolon does.
    return ";" in prepared or next(rows) == next(rows)


def text_differences(
    prepared: str, now: str, language: str, machine: Machine, limits: Limits | None = None
) -> list[tuple[int, Finding]]:
    """Tell each instruction that is not as it was prepared.

    Parameters
    ----------
    prepared, now
        The file as it was written, and as it is.
    language
        "hpgl" or "gcode".
    machine
        Its profile, to find the strokes.
    limits
        How large a file is followed.

    Returns
    -------
    list
        (stroke from 0, finding), in the order of the file; at most as many as are worth reading.
    """
    ours, theirs = (_tokens(text, language) for text in (prepared, now))
    beside = _beside(ours, theirs)
    last = _last_lines(prepared, language, machine, limits)
    rows: list[tuple[float, int, str, str, int]] = []
    for i, j in beside.changed:
        if ours[i].name == theirs[j].name:
            rows.append((i, ours[i].line, *_otherwise(ours[i], theirs[j], language), theirs[j].line))
        else:
            rows.append((i, ours[i].line, *_lost(ours[i]), 0))
            rows.append((i, ours[i].line, *_more(theirs[j]), theirs[j].line))
    rows += ((i, ours[i].line, *_lost(ours[i]), 0) for i in beside.missing)
    rows += (
        (at - 0.5, ours[min(at, len(ours) - 1)].line if ours else 0, *_more(theirs[j]), theirs[j].line)
        for at, j in beside.extra
    )
    rows += (
        (i, ours[i].line, "instruction-differs", f"{_show(ours[i])} comes at another place", theirs[j].line)
        for i, j in beside.moved
    )
    rows.sort(key=lambda row: row[0])
    told = []
    for _, line, code, what, there in rows[:_MOST_TOLD]:
        stroke = bisect_left(last, line)
        where = f"stroke {stroke + 1}" if stroke < len(last) else "after the last stroke"
        place = (Place(line=there),) if there else ()
        told.append((stroke, Finding.of(code, f"{where}: {what}", places=place, severity=Severity.ERROR)))
    if len(rows) > _MOST_TOLD:
        more = len(rows) - _MOST_TOLD
        rest = f"{plural(more, 'more instruction')} {'is' if more == 1 else 'are'} not as prepared"
        told.append((-1, Finding.of("more-of-the-same", rest)))
    return told


def _last_lines(text: str, language: str, machine: Machine, limits: Limits | None) -> list[int]:
    """The line on which each stroke ends; what stands between two strokes belongs to the second."""
    track, _ = follow(text, language, machine, limits)
    strokes = strokes_of(track.moves(machine))
    lines = track.lines.tolist()
    return [lines[stroke.first + len(stroke.points) - 2] for stroke in strokes]


def _tokens(text: str, language: str) -> list[Token]:
    if language == "hpgl":
        return list(_hpgl_tokens(text))
    if language in DRAWINGS:
        rows = enumerate(text.split("\n"), 1)
        return [Token(row.strip().split(" ")[0], row.strip(), number) for number, row in rows if row.strip()]
    return [
        Token(_head(plain), plain, number)
        for number, row in enumerate(text.split("\n"), 1)
        if (plain := _BLANK.sub("", row))
    ]


def _hpgl_tokens(text: str) -> Iterator[Token]:
    for one in instructions(text):
        name = one.name.lower() if one.small else one.name
        body = one.text if name in ("", ASIDE, "PE") else ",".join(one.numbers)
        yield Token(name or "?", f"{name}{body}{';' if one.ended else ''}", one.line)


def _head(plain: str) -> str:
    """What a line of G-code does: its first word, or that it is a remark."""
    if plain[0] in "(;%":
        return plain[0]
    match = _WORD.match(plain)
    return _ALIKE.get(match[0], match[0]) if match else plain[:2]


def _beside(ours: Sequence[Token], theirs: Sequence[Token]) -> StrokeMatch:
    """Align what differs between the equal beginnings and ends."""
    fewest = min(len(ours), len(theirs))
    head = next((k for k in range(fewest) if ours[k].text != theirs[k].text), fewest)
    rest = range(fewest - head)
    tail = next((k for k in rest if ours[-1 - k].text != theirs[-1 - k].text), len(rest))
    numbers: dict[str, int] = {}
    kinds = [
        [numbers.setdefault(token.text, len(numbers)) for token in side[head : len(side) - tail]]
        for side in (ours, theirs)
    ]

    def far(i: int, j: int) -> float:
        return 0.0 if ours[head + i].name == theirs[head + j].name else 1.0

    return align(kinds[0], kinds[1], far).shifted(head)


def _show(token: Token) -> str:
    if token.name == "PE":
        places = encoded_places(token.text[2:].rstrip(";"))
        return f"PE through {plural(len(places), 'place')}" + (f" to {_spot(*places[-1])}" if places else "")
    text = token.text.removeprefix(ASIDE).rstrip(";") if token.name == ASIDE else token.text.rstrip(";")
    text = _plain(text)
    kind = "the escape sequence ESC " if token.name == ASIDE and token.text.startswith(ASIDE * 2) else ""
    return f"{kind}{text if len(text) <= _LONGEST else text[: _LONGEST - 3] + '...'}"


def _show_apart(wanted: str, got: str) -> str:
    """Two rows of a drawing, each from a little before the place where they part."""
    least = min(len(wanted), len(got))
    apart = next((k for k in range(least) if wanted[k] != got[k]), least)
    begin = 0 if max(len(wanted), len(got)) <= _LONGEST else max(0, apart - _BEFORE)
    shown = []
    for text in (got, wanted):
        piece = text[begin : begin + _LONGEST]
        shown.append(f"{'...' * (begin > 0)}{piece}{'...' * (begin + len(piece) < len(text))}")
    return " instead of ".join(_plain(text) for text in shown)


def _plain(text: str) -> str:
    return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in text)


def _lost(token: Token) -> tuple[str, str]:
    code = _MEANS.get(token.name, ("instruction-differs", ""))[0]
    return "stroke-differs" if token.name == "motion" else code, f"{_show(token)} is missing"


def _more(token: Token) -> tuple[str, str]:
    return "instruction-differs", f"{_show(token)} was put in"


def _otherwise(wanted: Token, got: Token, language: str) -> tuple[str, str]:
    """One instruction that stands there with other figures."""
    if wanted.name == "PE":
        return "stroke-differs", _encoded_apart(wanted, got)
    if language == "hpgl":
        code, words = _MEANS.get(wanted.name, ("instruction-differs", f"{wanted.name} {{}}"))
        a, b = (_first_apart(token, other) for token, other in ((wanted, got), (got, wanted)))
        return code, f"{words.format(b)} instead of {a}"
    if language in DRAWINGS:
        return "stroke-differs", _show_apart(wanted.text, got.text)
    ours, theirs = dict(_WORD.findall(wanted.text)), dict(_WORD.findall(got.text))
    letter = next((one for one in (*ours, *theirs) if ours.get(one) != theirs.get(one)), None)
    if wanted.name in "(;%" or letter is None:
        return "instruction-differs", f"{_show(got)} instead of {_show(wanted)}"
    code, words = _MEANS.get(letter.upper(), ("instruction-differs", f"{letter}{{}}"))
    given = words.format(theirs[letter]) if letter in theirs else f"no {letter}"
    return code, f"{given} instead of {ours.get(letter, 'none')} ({_show(got)})"


def _encoded_apart(wanted: Token, got: Token) -> str:
    """The first place of an encoded line that is another, or how else two that go through the same places differ."""
    ours, theirs = (encoded_places(one.text[2:].rstrip(";")) for one in (wanted, got))
    pairs = enumerate(zip_longest(ours, theirs))
    at, (our, their) = next(((k, pair) for k, pair in pairs if pair[0] != pair[1]), (0, (None, None)))
    if our is not None and their is not None:
        return f"a line to {_spot(*their)} plotter units instead of {_spot(*our)}"
    if our is None and their is None:
        return f"{_plain(got.text[:12])}... instead of {_plain(wanted.text[:12])}..."
    what = "ends before" if their is None else "goes on to"
    return f"an encoded line {what} its place {at + 1} ({_spot(*(our or their or (0, 0)))})"


def _spot(x: float, y: float) -> str:
    return f"{x:g}, {y:g}"


def _first_apart(token: Token, other: Token) -> str:
    """The first number of an instruction that is another than in the other one; of places the pair."""
    ours, theirs = (one.text[2:].rstrip(";").split(",") for one in (token, other))
    at = next(
        (k for k, (a, b) in enumerate(zip(ours, theirs, strict=False)) if a != b), min(len(ours), len(theirs))
    )
    if token.name in ("PU", "PD"):
        at -= at % 2
        return f"{', '.join(ours[at : at + 2]) or 'nowhere'}"
    return ours[at] if at < len(ours) and ours[at] else "none"
