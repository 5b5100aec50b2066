"""Sentences of each language, made up from its grammar: what the seeds do not hold, in the form that a reader expects.

Grammars: SVG 1.1 (8.3 path data, 7.6 transforms), the DXF reference (groups of each entity), the HP 7470A manual and PCL 5 TRM II for
HP-GL, RS-274/NGC chapter 3 for G-code, TOML 1.0. `shaped.py` puts these sentences into inputs, and changes inputs word by word.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TypeVar

import numpy as np

T = TypeVar("T")
Random = np.random.Generator

#: Numbers at which something usually ends.
ODD = (
    "0", "-1", "1", "1e308", "-1e-320", "9" * 40, "nan", "inf", "1e9", "-0", "2147483648", "1.5", "", "65535",
    "360", "1e-9", "90", "250", "32767", "-32768", "1073741824", ".5", "5.", "+3", "0x10", "180", "1e5",
)  # fmt: skip


def pick(of: Sequence[T], rng: Random) -> T:
    """One of them."""
    return of[int(rng.integers(len(of)))]


def number(rng: Random, odd: float = 0.15) -> str:
    """A number of millimetres as drawings have them; sometimes one at which something ends."""
    if rng.random() < odd:
        return pick(ODD, rng)
    value = rng.normal() * 10 ** rng.uniform(-2, 3)
    return f"{value:.{int(rng.integers(4))}f}"


def _numbers(count: int, rng: Random, between: str = ",") -> str:
    return between.join(number(rng) for _ in range(count))


# --- SVG -------------------------------------------------------------------------------------------

_COORDINATES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_TRANSFORMS = {"matrix": 6, "translate": 2, "scale": 2, "rotate": 3, "skewX": 1, "skewY": 1}
_SHAPES = {
    "rect": ("x", "y", "width", "height", "rx", "ry"), "circle": ("cx", "cy", "r"), "ellipse": ("cx", "cy", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"), "polyline": ("points",), "polygon": ("points",), "path": ("d",), "g": (),
    "use": ("x", "y", "width", "height", "href"), "svg": ("x", "y", "width", "height", "viewBox"), "symbol": ("viewBox",),
    "clipPath": (), "defs": (), "text": ("x", "y"), "marker": ("refX", "refY", "viewBox"), "switch": (), "mask": (),
    "pattern": ("x", "y", "width", "height"), "image": ("width", "height"), "style": (),
}  # fmt: skip
_LOOKS = (
    ("stroke", ("red", "#00f", "none", "rgb(1,2,3)", "currentColor", "hsl(1,2%,3%)", "url(#a)", "inherit", "color(x)")),
    ("fill", ("none", "red", "url(#a)", "context-fill", "#12345")), ("stroke-width", ("1", "0", "-1", "2%", "1e9", "3mm")),
    ("stroke-dasharray", ("1 2", "0", "1,,2", "5%", "none", "-1 2", "1e-9")), ("display", ("none", "inline", "bogus")),
    ("visibility", ("hidden", "visible")), ("clip-path", ("url(#a)", "url(#b)", "none", "url(x.svg#a)")),
    ("clip-rule", ("evenodd", "nonzero")), ("fill-rule", ("evenodd", "nonzero")), ("id", ("a", "b", "cut", "score")),
    ("class", ("a", "b c", "")), ("style", ("stroke:red;fill:none", "stroke:", "{", "fill:url(#a", "--x:1", "a:b!important")),
    ("preserveAspectRatio", ("none", "xMidYMid slice", "xMinYMax meet", "bogus")), ("vector-effect", ("non-scaling-stroke",)),
)  # fmt: skip


def path_data(rng: Random) -> str:
    """Path data after 8.3.9, with numbers set as tightly as the grammar allows."""
    parts = [f"M{_numbers(2, rng)}"] if rng.random() < 0.9 else []
    for _ in range(int(rng.geometric(0.2))):
        letter = pick(tuple(_COORDINATES), rng)
        rounds = int(rng.geometric(0.6)) if rng.random() < 0.95 else 0
        held = [_numbers(_COORDINATES[letter], rng, pick((",", " ", "  ", "\n"), rng)) for _ in range(rounds)]
        if letter == "A":
            held = [
                f"{_numbers(3, rng)} {int(rng.integers(3))}{int(rng.integers(2))}{_numbers(2, rng)}"
                for _ in held
            ]
        parts.append((letter.lower() if rng.random() < 0.5 else letter) + " ".join(held))
    return "".join(parts)


def transform(rng: Random) -> str:
    """A list of transforms."""
    names = [pick(tuple(_TRANSFORMS), rng) for _ in range(int(rng.geometric(0.6)))]
    return " ".join(f"{n}({_numbers(int(rng.integers(_TRANSFORMS[n] + 1)) or 1, rng)})" for n in names)


def svg_attributes(tag: str, rng: Random) -> dict[str, str]:
    """Attributes of an element, each there or not."""
    own: dict[str, Callable[[], str]] = {
        "d": lambda: path_data(rng),
        "points": lambda: _numbers(int(rng.integers(9)), rng, " "),
        "viewBox": lambda: _numbers(4, rng, " "),
        "href": lambda: pick(("#a", "#b", "#", "x.svg#a", "data:,"), rng),
    }
    found = {n: own.get(n, lambda: number(rng))() for n in _SHAPES[tag] if rng.random() < 0.85}
    found |= {name: pick(values, rng) for name, values in _LOOKS if rng.random() < 0.15}
    if rng.random() < 0.25:
        found["transform"] = transform(rng)
    return found


def svg_element(rng: Random) -> tuple[str, dict[str, str]]:
    """A tag and its attributes."""
    tag = pick(tuple(_SHAPES), rng)
    return tag, svg_attributes(tag, rng)


# --- DXF -------------------------------------------------------------------------------------------

#: Groups of each entity in the order of the DXF reference; a list in parentheses may be repeated.
_GROUPS: dict[str, tuple[int | tuple[int, ...], ...]] = {
    "LINE": (10, 20, 30, 11, 21, 31), "ARC": (10, 20, 40, 50, 51), "CIRCLE": (10, 20, 40, 230),
    "ELLIPSE": (10, 20, 11, 21, 40, 41, 42), "LWPOLYLINE": (90, 70, 43, (10, 20, 42)), "POINT": (10, 20),
    "POLYLINE": (66, 70, 75, 71), "VERTEX": (10, 20, 42, 70), "SEQEND": (), "INSERT": (2, 10, 20, 41, 42, 43, 50, 70, 71, 44, 45),
    "SPLINE": (70, 71, 72, 73, 74, (40,), (41,), (10, 20), (11, 21)), "HATCH": (2, 70, 71, 91, 92, 93, (72, 10, 20, 11, 21), 97, 75),
    "SOLID": (10, 20, 11, 21, 12, 22, 13, 23), "TEXT": (10, 20, 40, 1), "MTEXT": (10, 20, 40, 41, 1), "DIMENSION": (2, 10, 20, 70),
    "MLINE": (2, 40, 70, 72, 10, 20, (11, 21)), "LEADER": (71, 76, (10, 20)), "3DFACE": (10, 20, 11, 21, 12, 22), "HELIX": (40, 41),
    "BLOCK": (2, 70, 10, 20), "ENDBLK": (), "IMAGE": (10, 20, 340), "TRACE": (10, 20, 11, 21), "XLINE": (10, 20, 11, 21), "RAY": (10, 20),
}  # fmt: skip
_WORDS = {
    1: ("a", "%%c"),
    2: ("A", "B", "*Model_Space", "SOLID", ""),
    6: ("DASHED", "ByLayer"),
    8: ("cut", "score", "0"),
}


def dxf_record(rng: Random) -> list[tuple[bytes, bytes]]:
    """One entity as pairs of group code and value."""
    kind = pick(tuple(_GROUPS), rng)
    pairs = [(0, kind), (8, pick(_WORDS[8], rng))]
    for group in _GROUPS[kind]:
        if rng.random() < 0.1:
            continue
        codes = (group,) if isinstance(group, int) else group
        for _ in range(1 if isinstance(group, int) else int(rng.integers(9))):
            pairs += [(code, _dxf_value(code, rng)) for code in codes]
    pairs += [
        (code, _dxf_value(code, rng)) for code in (62, 6, 48, 60, 210, 230, 67, 39) if rng.random() < 0.06
    ]
    return [(str(code).encode(), value.encode()) for code, value in pairs]


def _dxf_value(code: int, rng: Random) -> str:
    if code in _WORDS:
        return pick(_WORDS[code], rng)
    if 60 <= code <= 99:
        return pick(("0", "1", "2", "3", "4", "8", "16", "64", "128", "-1", "32767", "9999999999"), rng)
    return number(rng)


# --- machine files ---------------------------------------------------------------------------------

_PLOTTER = {
    "IN": 0, "DF": 0, "PA": 2, "PR": 2, "PU": 2, "PD": 4, "SP": 1, "VS": 2, "FS": 2, "AA": 4, "AR": 4, "CI": 2, "IP": 4,
    "SC": 4, "IW": 4, "RO": 1, "LT": 3, "PT": 1, "EA": 2, "ER": 2, "PG": 0, "PW": 1, "PS": 2, "AS": 1, "PE": 0, "LB": 0,
    "PM": 1, "EP": 0, "BZ": 6, "BR": 6, "UL": 2, "NP": 1, "XX": 2, "WG": 3, "EW": 3, "RT": 4, "AT": 4,
}  # fmt: skip


def plotter_number(rng: Random) -> str:
    """A number of plotter units."""
    return number(rng) if rng.random() < 0.3 else str(int(rng.integers(-500, 16_000)))


def hpgl_instruction(rng: Random) -> bytes:
    """One instruction; the count of its parameters is mostly right."""
    name = pick(tuple(_PLOTTER), rng)
    count = _PLOTTER[name] if rng.random() < 0.7 else int(rng.integers(8))
    held = pick((",", ",", ",", " "), rng).join(plotter_number(rng) for _ in range(count))
    if name == "LB":
        held = pick(("Honey\x03", "a;b\x03", "", "\x03"), rng)
    if name == "PE":
        held = "".join(chr(int(rng.integers(33, 250))) for _ in range(int(rng.integers(12))))
    name = name.lower() if rng.random() < 0.1 else name
    return (name + held + pick((";", ";", ";", "", "\n", ";\r\n", "\x1b.("), rng)).encode("latin-1")


_G = [
    "0",
    "1",
    "2",
    "3",
    "4",
    "10",
    "17",
    "18",
    "19",
    "20",
    "21",
    "28",
    "30",
    "38.2",
    "40",
    "41",
    "43",
    "49",
    "53",
    "54",
    "61",
    "64",
    "80",
    "81",
    "90",
    "91",
    "92",
    "92.1",
    "93",
    "94",
    "99",
    "90.1",
    "91.1",
    "28.1",
    "5",
]
_M = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "30", "48", "60", "98", "280", "106", "107"]


def gcode_line(rng: Random) -> bytes:
    """One line of words in any order; blocks, comments and parameters now and then."""
    words = [f"G{pick(_G, rng)}" for _ in range(int(rng.integers(3)))]
    words += [f"M{pick(_M, rng)}"] * (rng.random() < 0.2)
    words += [f"{letter}{number(rng)}" for letter in "XYZIJKRFSPTLQABC" if rng.random() < 0.2]
    words += [pick(("(tool 2)", "(", "(MSG, tool 1)", "; x", "[1+2]", "X[2**3]", "#5=1", "#<a>", "*71", "%", "/"), rng)] * (
        rng.random() < 0.15
    )  # fmt: skip
    if rng.random() < 0.3:
        rng.shuffle(words)
    line = pick(("", "", "", " "), rng).join(words)
    line = f"N{int(rng.integers(99_999))}{line}" if rng.random() < 0.1 else line
    return (line.lower() if rng.random() < 0.1 else line).encode() + b"\n"


# --- TOML ------------------------------------------------------------------------------------------


def toml_value(rng: Random, deep: int = 0) -> str:
    """A value, of any kind."""
    kind = int(rng.integers(9 if deep < 3 else 6))
    if kind <= 1:
        return pick(
            ("0", "-1", "1", "3", "1e308", "nan", "-inf", "0x10", "1_000", "9" * 30, "0.25", "1979-05-27"),
            rng,
        )
    if kind == 2:
        return pick(("true", "false"), rng)
    if kind <= 5:
        text = pick(
            (
                "",
                "in",
                "1/8in",
                "3 1/8in x 20mm",
                "A4",
                "cut",
                "tray.svg",
                "../x",
                "/dev/zero",
                "\\u0000",
                "#f00",
                "12in",
            ),
            rng,
        )
        return f'"{text}"'
    held = [toml_value(rng, deep + 1) for _ in range(int(rng.integers(4)))]
    if kind == 6:
        return "{" + ", ".join(f"k{i} = {value}" for i, value in enumerate(held)) + "}"
    return "[" + ", ".join(held) + "]"


def toml_line(keys: Sequence[str], rng: Random) -> str:
    """A key with a value, or the head of a table."""
    key = pick(keys, rng) if len(keys) and rng.random() < 0.95 else "unheard-of"
    if rng.random() < 0.2:
        return pick(("[{}]", "[[{}]]", "[{}.x]", "[template.{}]", "[[stock.{}]]"), rng).format(key)
    return f"{key} = {toml_value(rng)}"


def toml_keys(seeds: Sequence[bytes]) -> list[str]:
    """Every key and name of a table that seeds hold."""
    return sorted(
        {m[1].decode() for data in seeds for m in re.finditer(rb"(?m)^\[*([\w.-]+)(?:\]|\s*=)", data)}
    )
