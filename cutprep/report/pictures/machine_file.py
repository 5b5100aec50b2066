"""The picture of a machine file: what each tool does, where it travels, in which order, how fast.

Tools are told apart by dash and width as well as colour, so the picture reads the same in black
and white; slower work of a tool is paler. Every stroke carries its number where it starts; in a
file with very many strokes only one in so many is numbered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

import numpy as np
import shapely

from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.units import plural

_Look = tuple[str, float, str]
#: Looks by kind of tool: colour, width (mm), dash.
_KINDS: dict[str, _Look] = {
    "knife": ("#2b2118", 0.5, ""),
    "stylus": ("#8a5300", 0.45, "3 1.2"),
    "pen": ("#6b3f8f", 0.3, "8 1"),
}
#: Looks of further tools, and of those that no profile names.
_OTHERS: tuple[_Look, ...] = (
    ("#00695f", 0.45, "1.4 0.8"),
    ("#5a6b1f", 0.6, "5 1 0.8 1"),
    ("#7a2f3f", 0.45, "0.8 1.6"),
    ("#2f4f7a", 0.6, "6 1 2 1"),
)
_PLATE = 'fill="#fffdf8" stroke="#8d8478" stroke-width="0.3"'
_TRAVEL: _Look = ("#5d6a75", 0.25, "0.8 1.6")
#: How pale the slowest speed of a tool is, from 0 (as it is) to 1 (white).
_PALEST = 0.5
#: A picture for the eye: details below this are not seen (mm).
_SIMPLER = 0.02
_MOST_NUMBERS = 300


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Consecutive moves with the same height, tool and speed."""

    points: Points
    down: bool
    tool: int
    speed: float
    begins: bool


def picture(moves: Moves, machine: Machine | None = None, *, title: str = "", numbers: bool = True) -> str:
    """Draw what a machine file does.

    Parameters
    ----------
    moves
        As read from the file, mm on the sheet.
    machine
        Whose area and tools' names are shown.
    title
        Shown above the picture.
    numbers
        Number the strokes.

    Returns
    -------
    str
        An SVG file, one mm to one mm, with a legend of tools, strokes, lengths and speeds below.
    """
    left, bottom, right, top = _view(moves, machine)
    runs = _runs(moves)
    looks = _looks(runs, machine)
    unit = min(right - left, 1.5 * (top - bottom)) / 100
    legend = _legend(runs, looks, machine, unit)
    width, height = right - left + 4 * unit, top - bottom + (7 + 3.2 * len(legend)) * unit
    rows = [
        *_head(width, height, unit, _words(title) or "Machine file"),
        f'<g transform="translate({_n(2 * unit - left)} {_n(4 * unit + top)})">',
        _plate(left, bottom, right, top, machine),
        *_paths(runs, looks),
        *(_marks(runs, unit) if numbers else []),
        f'</g><g transform="translate({_n(2 * unit)} {_n(top - bottom + 7 * unit)})">',
        *legend,
        "</g></svg>",
    ]
    return "\n".join(rows) + "\n"


def _head(width: float, height: float, unit: float, title: str) -> list[str]:
    size = f'width="{_n(width)}mm" height="{_n(height)}mm" viewBox="0 0 {_n(width)} {_n(height)}"'
    style = (
        "path{fill:none;stroke-linejoin:round}"
        f"text{{font-family:system-ui,sans-serif;fill:#2b2118;font-size:{_n(2.2 * unit)}px}}"
        f".no{{font-size:{_n(1.4 * unit)}px;text-anchor:middle;stroke:#fffdf8;"
        f"stroke-width:{_n(0.5 * unit)};paint-order:stroke}}"
    )
    words = escape(title, quote=False)
    return [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label="{escape(title)}">',
        f"<style>{style}</style>",
        _rect(0, 0, width, height, 'fill="#ffffff"'),
        f'<text x="{_n(2 * unit)}" y="{_n(2.8 * unit)}">{words}</text>',
    ]


def _rect(x: float, y: float, width: float, height: float, look: str) -> str:
    return f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" {look}/>'


def _looks(runs: list[_Run], machine: Machine | None) -> dict[tuple[int, float], _Look]:
    """A look for each tool and speed, in the order in which tools come, the fastest first."""
    others = iter(_OTHERS * 25)
    speeds: dict[int, set[float]] = {}
    for run in runs:
        if run.down:
            speeds.setdefault(run.tool, set()).add(run.speed)
    found: dict[tuple[int, float], _Look] = {}
    taken: set[str] = set()
    for number, own in speeds.items():
        tool = machine.tool_numbered(number) if machine else None
        kind = tool.kind if tool else ""
        colour, width, dash = _KINDS[kind] if kind in _KINDS and kind not in taken else next(others)
        taken.add(kind)
        for rank, speed in enumerate(sorted(own, reverse=True)):
            pale = _PALEST * rank / max(len(own) - 1, 1)
            found[number, speed] = (_mixed(colour, pale), width, dash)
    return found


def _mixed(colour: str, pale: float) -> str:
    """A colour mixed with white."""
    parts = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return "#" + "".join(f"{round(part + (255 - part) * pale):02x}" for part in parts)


def _plate(left: float, bottom: float, right: float, top: float, machine: Machine | None) -> str:
    """What is worked on: the machine's whole area at its size, or all that is shown."""
    if machine is not None:
        return _rect(0, -machine.height, machine.width, machine.height, _PLATE)
    return _rect(left, -top, right - left, top - bottom, _PLATE)


def _view(moves: Moves, machine: Machine | None) -> tuple[float, float, float, float]:
    """What is shown: everywhere the tool goes, the machine's area, and a border."""
    area = [(0.0, 0.0), (machine.width, machine.height)] if machine is not None else []
    xy = np.vstack((np.array([moves.home, *area]), moves.xy))
    (left, bottom), (right, top) = xy.min(axis=0).tolist(), xy.max(axis=0).tolist()
    spare = 0.04 * max(right - left, top - bottom, 25.0)
    return left - spare, bottom - spare, right + spare, top + spare


def _runs(moves: Moves) -> list[_Run]:
    if not len(moves):
        return []
    new = np.ones(len(moves) + 1, bool)
    lift = (moves.down[1:] != moves.down[:-1]) | (moves.tool[1:] != moves.tool[:-1])
    new[1:-1] = lift | (moves.down[1:] & (moves.speed[1:] != moves.speed[:-1]))
    edges = np.flatnonzero(new)
    begin = moves.begin
    return [
        _Run(
            points=np.vstack((begin[a], moves.xy[a:b])),
            down=bool(moves.down[a]),
            tool=int(moves.tool[a]),
            speed=float(moves.speed[a]),
            begins=a == 0 or bool(lift[a - 1]),
        )
        for a, b in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)
    ]


def _paths(runs: list[_Run], looks: dict[tuple[int, float], _Look]) -> list[str]:
    """One path for the travel, one for each tool and speed."""
    travel = "".join(_data(run.points) for run in runs if not run.down)
    rows = [_path(travel, _TRAVEL)] if travel else []
    for key, look in looks.items():
        rows.append(
            _path("".join(_data(r.points) for r in runs if r.down and (r.tool, r.speed) == key), look)
        )
    return rows


def _path(data: str, look: _Look) -> str:
    colour, width, dash = look
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{data}" stroke="{colour}" stroke-width="{_n(width)}"{dashes}/>'


def _marks(runs: list[_Run], unit: float) -> list[str]:
    """Numbers where strokes start, to the left of the first step, with what the stroke is on hover."""
    starts = [run for run in runs if run.down and run.begins]
    every = max(1, math.ceil(len(starts) / _MOST_NUMBERS))
    rows = []
    for number, run in enumerate(starts, 1):
        if (number - 1) % every:
            continue
        x, y = run.points[0].tolist()
        dx, dy = (run.points[1] - run.points[0]).tolist()
        length = math.hypot(dx, dy) or 1.0
        tx, ty = x - dy / length * 1.4 * unit, y + dx / length * 1.4 * unit
        about = f"stroke {number}: tool {run.tool}, {_speed(run.speed)}, {_length([run]):.1f} mm"
        rows.append(
            f'<g><title>{about}</title><circle cx="{_n(x)}" cy="{_n(-y)}" r="{_n(0.35 * unit)}" fill="#2b2118"/>'
            f'<text class="no" x="{_n(tx)}" y="{_n(-ty + 0.5 * unit)}">{number}</text></g>'
        )
    return rows


def _legend(
    runs: list[_Run], looks: dict[tuple[int, float], _Look], machine: Machine | None, unit: float
) -> list[str]:
    """A row for each tool and speed and one for the travel: sample, name, strokes, length, speed."""
    rows: list[str] = []
    for (number, speed), look in looks.items():
        mine = [run for run in runs if run.down and (run.tool, run.speed) == (number, speed)]
        tool = machine.tool_numbered(number) if machine else None
        named = f"tool {number}{': ' + tool.name if tool else ''}"
        strokes = sum(run.begins for run in mine)
        words = f"{named}, {plural(strokes, 'stroke')}, {_length(mine):.0f} mm, {_speed(speed)}"
        rows.append(_legend_row(words, look, len(rows), unit))
    travel = [run for run in runs if not run.down]
    if machine is not None:
        rows.append(
            _area_row(f"area of {machine.name}: {machine.width:g} x {machine.height:g} mm", len(rows), unit)
        )
    rows.append(_legend_row(f"travel, tool up, {_length(travel):.0f} mm", _TRAVEL, len(rows), unit))
    return rows


def _legend_row(words: str, look: _Look, rank: int, unit: float) -> str:
    y = 3.2 * unit * rank
    sample = _path(f"M0 {_n(y - 0.7 * unit)}h{_n(8 * unit)}", look)
    return f'{sample}<text x="{_n(9.5 * unit)}" y="{_n(y)}">{escape(_words(words), quote=False)}</text>'


def _area_row(words: str, rank: int, unit: float) -> str:
    sample = _rect(0, (3.2 * rank - 1.8) * unit, 8 * unit, 2 * unit, _PLATE)
    return f'{sample}<text x="{_n(9.5 * unit)}" y="{_n(3.2 * unit * rank)}">{escape(_words(words), quote=False)}</text>'


def _speed(speed: float) -> str:
    return f"{speed:g} mm/s" if speed > 0 else "no speed stated"


def _length(runs: list[_Run]) -> float:
    return sum(float(np.hypot(*np.diff(run.points, axis=0).T).sum()) for run in runs)


def _data(points: Points) -> str:
    if len(points) > 8:
        points = shapely.get_coordinates(shapely.LineString(points).simplify(_SIMPLER))
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in points.tolist())


def _words(text: str) -> str:
    """Text that may stand in XML: printable characters only."""
    return "".join(c for c in text if c.isprintable()).replace('"', "'")


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
