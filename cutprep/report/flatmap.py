"""The picture of one template lying flat: its lines, its size, and where the scores sit."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.model.lines import Lines
from cutprep.report.making import ScoreRow, board_numbers, both_units
from cutprep.report.sheetmap import line_class, number, path_data, style_rules


def flat_map(
    lines: Lines,
    rows: Sequence[ScoreRow],
    *,
    letters: Sequence[tuple[float, float, str]] = (),
    alone: bool = False,
) -> str:
    """Draw a template as SVG.

    Parameters
    ----------
    lines
        The template, its lower left corner at the origin, mm.
    rows
        Settings of the scoring board, which are marked along the left and the lower edge.
    letters
        Letters of the panels: x, y, mm, and text.
    alone
        The picture stands in a file of its own: styles and namespace are put in.
    """
    _, _, width, height = lines.bounds
    tall = max(width, height) / 36
    pad = tall * 4
    box = f"{number(-pad)} {number(-tall)} {number(width + pad + tall)} {number(height + pad + tall)}"
    head = f'<svg class="map" viewBox="{box}" role="img" aria-label="flat template with score positions"'
    if alone:
        head += (
            f' xmlns="http://www.w3.org/2000/svg" width="{number(width + pad + tall)}mm"'
            f' height="{number(height + pad + tall)}mm"'
        )
    parts = [head + ">"]
    if alone:
        parts.append(f"<style>{style_rules()}</style>")
        parts.append(
            f'<rect x="{number(-pad)}" y="{number(-tall)}" width="100%" height="100%" fill="#fffdf8"/>'
        )
    parts.append(f'<g transform="matrix(1 0 0 -1 0 {number(height)})">')
    parts += [
        f'<path class="{line_class(int(line.operation), int(line.fold))}" d="{path_data(line.points)}"/>'
        for line in lines
    ]
    parts.append("</g>")
    parts += _edges(width, height, tall)
    for x, y, letter in letters:
        parts.append(
            f'<text class="panel" x="{number(x)}" y="{number(height - y + tall * 0.45)}" '
            f'font-size="{number(tall * 1.25)}">{letter}</text>'
        )
    parts += _ticks(rows, height, tall)
    parts.append("</svg>")
    return "".join(parts)


def _edges(width: float, height: float, tall: float) -> list[str]:
    """Overall size below and at the left."""
    y, x = height + tall * 2.6, -tall * 2.6
    style = 'stroke="#2b2118" stroke-width="0.25" fill="none"'
    tick = tall * 0.4
    return [
        (
            f'<path {style} d="M0 {number(y)}H{number(width)}M0 {number(y - tick)}v{number(2 * tick)}'
            f'M{number(width)} {number(y - tick)}v{number(2 * tick)}"/>'
        ),
        f'<text x="{number(width / 2)}" y="{number(y + tall * 1.1)}" font-size="{number(tall)}">{both_units(width)}</text>',
        (
            f'<path {style} d="M{number(x)} 0V{number(height)}M{number(x - tick)} 0h{number(2 * tick)}'
            f'M{number(x - tick)} {number(height)}h{number(2 * tick)}"/>'
        ),
        (
            f'<text transform="translate({number(x - tall * 0.4)} {number(height / 2)}) rotate(-90)" '
            f'font-size="{number(tall)}">{both_units(height)}</text>'
        ),
    ]


def _ticks(rows: Sequence[ScoreRow], height: float, tall: float) -> list[str]:
    """A mark and a name at each setting; names that would touch step back."""
    found = []
    last = {"left": (-1e9, 0), "lower": (-1e9, 0)}
    style = 'stroke="#8a5300" stroke-width="0.3"'
    for row, name in zip(rows, board_numbers(rows), strict=True):
        if row.ends is not None:
            (x1, y1), (x2, y2) = row.ends
            found.append(
                _name((x1 + x2) / 2, height - (y1 + y2) / 2 + tall * 0.3, tall * 0.8, name, halo=True)
            )
            continue
        before, step = last[row.edge]
        step = 1 - step if row.at - before < tall * 1.8 else 0
        last[row.edge] = (row.at, step)
        back = tall * (1.3 + 0.75 * step)
        if row.edge == "left":
            found.append(f'<path {style} d="M{number(row.at)} {number(height)}v{number(tall * 0.6)}"/>')
            found.append(_name(row.at, height + back, tall * 0.8, name))
        else:
            y = height - row.at
            found.append(f'<path {style} d="M0 {number(y)}h{number(-tall * 0.6)}"/>')
            found.append(_name(-back, y + tall * 0.28, tall * 0.8, name))
    return found


def _name(x: float, y: float, size: float, text: str, *, halo: bool = False) -> str:
    ground = ""
    if halo:
        ground = (
            f'<rect class="halo" x="{number(x - size * 0.75)}" y="{number(y - size * 0.85)}" '
            f'width="{number(size * 1.5)}" height="{number(size * 1.1)}"/>'
        )
    return f'{ground}<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}">{text}</text>'
