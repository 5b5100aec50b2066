"""What DEVELOPERS.md and docs/HOUSE.md show of the code: `python -m tests.contributors` writes it anew.

The table of rooms and the picture of the floors are made from the tree and from the table of floors, the third
picture from a job that is really run; none of them can say anything that is not so.
"""

from __future__ import annotations

import ast
import textwrap
from collections.abc import Sequence
from html import escape
from pathlib import Path

import numpy as np

import cutprep
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.house.test_floors import FLOOR

HOME = Path(cutprep.__file__).parent
ROOT = HOME.parent
DEVELOPERS = ROOT / "DEVELOPERS.md"
PICTURES = ROOT / "docs" / "pictures"
BEGIN, END = "<!-- rooms: python -m tests.contributors -->", "<!-- end of rooms -->"

PAPER, INK, EDGE, WARM, COOL = "#fffdf8", "#2b2118", "#8d8478", "#f4ead6", "#dfe7ea"
FONT = "DejaVu Sans, Verdana, sans-serif"

#: The chain: a value, and the stage that makes the next one of it, in the order of the pipeline.
CHAIN = (
    ("bytes", "of an SVG or DXF file", "read"),
    ("Drawing", "lines and where each came from", "classify, mend"),
    ("Drawing", "operations known, faults cured", "divide"),
    ("Template", "parts: outline, holes, folds", "nest"),
    ("Sheet", "copies placed on card", "order"),
    ("Strokes", "lines in working order", "blade"),
    ("Moves", "of the tool's pivot, mm", "write"),
    ("text", "HP-GL or G-code", "readback"),
    ("Moves", "as the machine will do them", "motion"),
    ("Duration", "seconds by kind", "report"),
    ("pages", "job sheet, making sheet", ""),
)
#: What only looks, and at which value of the chain.
ASIDE = (
    (2, "check", "findings"),
    (2, "fold", "verdict, sizes"),
    (8, "compare", "proof against the plan"),
)
ROOM_ORDER = (
    "read", "classify", "check", "mend", "divide", "fold", "nest", "order", "blade", "write", "readback", "motion",
)  # fmt: skip


def place_of(room: str) -> Path:
    """The folder or the file of a room."""
    for base in (HOME / room, HOME / "stages" / room):
        for path in (base, base.with_suffix(".py")):
            if path.exists():
                return path
    raise FileNotFoundError(room)


def first_words(path: Path) -> str:
    """What a room says of itself first, without its full stop."""
    file = path / "__init__.py" if path.is_dir() else path
    told = ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or ""
    return " ".join(told.split("\n\n", maxsplit=1)[0].split()).removesuffix(".")


def rooms() -> list[tuple[int, str, str]]:
    """Floor, name below the package and first words of every room, from the ground up."""

    def turn(room: str) -> tuple[int, int, str]:
        return FLOOR[room], ROOM_ORDER.index(room) if room in ROOM_ORDER else len(ROOM_ORDER), room

    found = []
    for room in sorted(set(FLOOR) - {"__init__", "__main__", "stages"}, key=turn):
        path = place_of(room)
        name = path.relative_to(HOME).as_posix() + ("/" if path.is_dir() else "")
        found.append((FLOOR[room], name, first_words(path)))
    return found


def table() -> str:
    """The table of rooms for DEVELOPERS.md."""
    rows = ["| floor | room | what it says of itself |", "| ---: | --- | --- |"]
    rows += [f"| {floor} | `{name}` | {told} |" for floor, name, told in rooms()]
    return "\n".join(rows)


def with_table(page: str) -> str:
    """The page with the table in its place."""
    before, rest = page.split(BEGIN)
    return f"{before}{BEGIN}\n{table()}\n{rest[rest.index(END) :]}"


def svg(width: float, height: float, rows: Sequence[str], what: str) -> str:
    """A picture of a size in px, with what it shows in words."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}" role="img" aria-label="{escape(what)}" font-family="{FONT}">'
    )
    arrow = (
        '<defs><marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" '
        f'orient="auto"><path d="M0 0L8 4L0 8Z" fill="{INK}"/></marker></defs>'
    )
    ground = f'<rect width="{width:g}" height="{height:g}" fill="{PAPER}"/>'
    return "\n".join([head, arrow, ground, *rows, "</svg>", ""])


def box(x: float, y: float, w: float, h: float, fill: str = WARM) -> str:
    """A box with rounded corners."""
    return f'<rect x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}" rx="5" fill="{fill}" stroke="{EDGE}"/>'


def words(
    x: float, y: float, text: str, size: float = 12, *, bold: bool = False, middle: bool = False
) -> str:
    """A line of text."""
    weight = ' font-weight="700"' if bold else ""
    anchor = ' text-anchor="middle"' if middle else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" fill="{INK}"{weight}{anchor}>{escape(text)}</text>'
    )


def arrow(x: float, y: float, x2: float, y2: float, *, dashed: bool = False) -> str:
    """An arrow."""
    dash = ' stroke-dasharray="4 3"' if dashed else ""
    return f'<path d="M{x:g} {y:g}L{x2:g} {y2:g}" stroke="{INK}" fill="none" marker-end="url(#tip)"{dash}/>'


def chain() -> str:
    """The chain of values: boxes are values, arrows are stages."""
    w, h, gap, left, top = 220, 44, 30, 150, 20
    rows = []
    for k, (value, told, stage) in enumerate(CHAIN):
        y = top + k * (h + gap)
        rows += [
            box(left, y, w, h),
            words(left + 12, y + 18, value, 13, bold=True),
            words(left + 12, y + 35, told, 11),
        ]
        if stage:
            rows += [arrow(left + w / 2, y + h, left + w / 2, y + h + gap - 2)]
            rows += [words(left + w / 2 + 12, y + h + gap / 2 + 4, stage, 12)]
    beside: dict[int, int] = {}
    for at, stage, told in ASIDE:
        turn = beside.setdefault(at, 0)
        y = top + at * (h + gap) - 8 + turn * 46
        beside[at] += 1
        rows += [arrow(left + w, top + at * (h + gap) + h / 2, left + w + 88, y + 20, dashed=True)]
        rows += [box(left + w + 90, y, 190, 40, COOL), words(left + w + 102, y + 17, stage, 12, bold=True)]
        rows += [words(left + w + 102, y + 33, told, 11)]
    height = top + len(CHAIN) * (h + gap) - gap + 20
    first, last = top, top + 9 * (h + gap) + h
    rows += [f'<path d="M120 {first}H108V{last}H120" stroke="{EDGE}" fill="none"/>']
    rows += [
        f'<g transform="translate(96 {(first + last) / 2:g}) rotate(-90)">'
        + words(0, 0, "job/ alone knows this order", middle=True)
        + "</g>"
    ]
    return svg(
        690, height, rows, "The chain of values, from the bytes of a drawing to the pages that are printed"
    )


def floors() -> str:
    """The floors: a room imports rooms of a lower floor only."""
    levels: dict[int, list[str]] = {}
    for floor, name, _ in rooms():
        levels.setdefault(floor, []).append(name.removeprefix("stages/"))
    rows, y = [], 20.0
    for floor in sorted(levels, reverse=True):
        x, begin = 120.0, y
        for name in levels[floor]:
            w = 18 + 7.8 * len(name)
            if x + w > 800:
                x, y = 120.0, y + 38
            fill = COOL if name.rstrip("/").removesuffix(".py") in ROOM_ORDER else WARM
            rows += [box(x, y, w, 30, fill), words(x + w / 2, y + 20, name, 12, middle=True)]
            x += w + 10
        rows += [words(20, (begin + y) / 2 + 20, f"floor {floor}", 12, bold=True)]
        y += 38
        rows += [f'<path d="M20 {y + 6:g}H800" stroke="{EDGE}"/>']
        y += 20
    rows += [
        words(
            20, y + 8, "A room knows rooms of lower floors only. The stages (blue) never know each other;", 12
        )
    ]
    rows += [
        words(20, y + 26, "readback/ shares nothing with write/, or its proof would be worth nothing.", 12)
    ]
    return svg(820, y + 44, rows, "The floors of the package, from the command line down to the errors")


def _line(points: np.ndarray, at: tuple[float, float, float], style: str) -> str:
    """A polyline in mm, y up, at (x, y of the lower left, scale)."""
    x, y, scale = at
    spots = " ".join(f"{x + scale * p:.2f},{y - scale * q:.2f}" for p, q in points.tolist())
    return f'<polyline points="{spots}" fill="none" {style}/>'


def _corner(outline: np.ndarray) -> np.ndarray:
    """The vertex of a closed line at which it turns most, not at its ends."""
    step = np.diff(outline, axis=0)
    turn = np.abs(np.angle(np.exp(1j * np.diff(np.arctan2(step[:, 1], step[:, 0])))))
    return np.asarray(outline[1 + int(turn.argmax())])


def journey() -> str:
    """One drawing going through: the display tray of the samples, two copies, as the job really makes them."""
    file = ROOT / "samples" / "display-tray.svg"
    outcome = cutprep.prepare_job(
        cutprep.make_job(file, copies=2, effort="quick", language="hpgl", stock="kraft-280")
    )
    done, drawn = outcome.sheets[0], cutprep.read(file)
    looks = dict.fromkeys(Operation, f'stroke="{INK}" stroke-width="1.2"')
    looks[Operation.SCORE] = 'stroke="#8a5300" stroke-dasharray="4 2"'
    looks[Operation.GUIDE] = f'stroke="{EDGE}" stroke-width="0.6"'
    travel = f'stroke="{EDGE}" stroke-dasharray="1 3"'
    rows = []

    def frame(k: int, title: str, told: str) -> tuple[float, float]:
        x, y = 20 + (k % 3) * 290, 20 + (k // 3) * 300
        rows.extend([box(x, y, 270, 280, PAPER), words(x + 12, y + 22, title, 13, bold=True)])
        rows.extend(
            words(x + 12, y + 254 + 15 * n, row, 11) for n, row in enumerate(textwrap.wrap(told, 42)[:2])
        )
        return x, y

    def fitted(x: float, y: float, lines: Lines) -> tuple[float, float, float]:
        left, bottom, right, top = lines.bounds
        scale = min(240 / (right - left), 195 / (top - bottom))
        return x + 135 - scale * (left + right) / 2, y + 134 + scale * (bottom + top) / 2, scale

    x, y = frame(
        0, "Drawing", f"{len(drawn.lines)} lines in mm, y up; which are to be cut, their layers will say."
    )
    at = fitted(x, y, drawn.lines)
    rows += [_line(drawn.lines.points(i), at, looks[Operation.GUIDE]) for i in range(len(drawn.lines))]

    template = done.sheet.templates[0]
    part = template.parts[0]
    x, y = frame(
        1,
        "Template",
        f"{len(template.parts)} part: one closed outline, and what lies on it: {len(part.inner)} folds.",
    )
    at = fitted(x, y, template.lines)
    turns = sorted(range(len(template.lines)), key=lambda i: i != part.outline)
    for i in turns:
        fill = WARM if i == part.outline else "none"
        row = _line(template.lines.points(i), at, looks[Operation(template.lines.operation[i])])
        rows.append(row.replace('fill="none"', f'fill="{fill}"', 1))

    x, y = frame(
        2, "Sheet", f"{len(done.sheet.placements)} copies, apart and off the edge; checked, not trusted."
    )
    at = fitted(x, y, done.placed)
    rows += [
        _line(done.placed.points(i), at, looks[Operation(done.placed.operation[i])])
        for i in range(len(done.placed))
    ]

    lines = done.strokes.lines
    x, y = frame(
        3, "Strokes", f"{len(lines)} strokes in working order: scores first, outlines last; travel is dotted."
    )
    at = fitted(x, y, lines)
    marks: list[str] = []
    ends = [None, *(lines.points(n)[-1] for n in range(len(lines) - 1))]
    for n, end in enumerate(ends):
        points = lines.points(n)
        rows.append(_line(points, at, looks[Operation(lines.operation[n])]))
        if end is not None:
            rows.append(_line(np.array([end, points[0]]), at, travel))
        px, py = at[0] + at[2] * points[0, 0], at[1] - at[2] * points[0, 1]
        marks += [f'<circle cx="{px:.1f}" cy="{py:.1f}" r="6.5" fill="{COOL}"/>']
        marks += [words(round(px, 1), round(py + 3.5, 1), str(n + 1), 9, middle=True)]

    rows += marks
    knife = outcome.machine.tools[-1]
    x, y = frame(
        4,
        "Moves",
        f"The axis of the knife (thin) swings {knife.offset:g} mm round its tip at a corner.",
    )
    wanted, moves = lines.points(len(lines) - 1), done.planned
    mine = moves.stroke == len(lines) - 1
    pivot = np.vstack((moves.begin[np.flatnonzero(mine)[0]], moves.xy[mine]))
    corner, zoom = _corner(wanted), 55.0
    at = (123 - zoom * corner[0], 98 + zoom * corner[1], zoom)
    rows += [f'<svg x="{x + 12:g}" y="{y + 36:g}" width="246" height="196">']
    rows += [
        _line(wanted, at, f'stroke="{WARM}" stroke-width="9"'),
        _line(pivot, at, looks[Operation.CUT]),
        "</svg>",
    ]

    x, y = frame(
        5,
        "text, and Moves again",
        f"Followed by an independent reader, proved against the plan, timed: {outcome.seconds:.0f} s.",
    )
    text = done.files[0].text.replace("\n", "").replace(";", "; ").replace(",", ", ")
    rows += [words(x + 12, y + 46 + 16 * n, row, 10) for n, row in enumerate(textwrap.wrap(text, 44)[:11])]
    rows += [words(x + 12, y + 46 + 16 * 11, "...", 10)]
    return svg(890, 620, rows, "One drawing going through: drawing, template, sheet, strokes, moves, text")


DRAWN = {"house-chain.svg": chain, "house-floors.svg": floors, "house-journey.svg": journey}


def main() -> None:
    """Write the table and the pictures."""
    DEVELOPERS.write_text(with_table(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
    for name, draw in DRAWN.items():
        (PICTURES / name).write_text(draw(), encoding="utf-8")


if __name__ == "__main__":
    main()
