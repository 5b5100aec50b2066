"""The HP-GL files of the samples, read by an independent reader.

Source: ezhpgl 0.1.0a2 (MIT), a general HP-GL reader from the Python package index; it gives mm at 40 plotter
units a mm, y up. Every stroke of the plan must be there once, with the same pen, within one plotter unit.
"""

from __future__ import annotations

from pathlib import Path

import ezhpgl
import numpy as np
import pytest

import cutprep

SAMPLES = Path(__file__).parents[2] / "samples"


Stroke = tuple[int, np.ndarray]


def strokes_read(text: str) -> list[Stroke]:
    """Pen and points of every stroke that the independent reader finds."""
    return joined(
        [
            (operation.style.pen, np.array([(p.x, p.y) for p in operation.geometry.points]))
            for page in ezhpgl.parse(text.encode("ascii")).pages
            for operation in page.operations
        ]
    )


def joined(strokes: list[Stroke]) -> list[Stroke]:
    """Join strokes that go on where the one before ended: the reader makes one of each PD."""
    found: list[Stroke] = []
    for pen, points in strokes:
        if found and found[-1][0] == pen and np.abs(found[-1][1][-1] - points[0]).max() < 0.02:
            found[-1] = (pen, np.vstack((found[-1][1], points[1:])))
        else:
            found.append((pen, points))
    return found


@pytest.mark.parametrize("name", ["jar-carton", "display-tray", "swing-tag", "divider", "honeycomb-lace"])
def test_every_stroke_is_there_once(name: str) -> None:
    outcome = cutprep.prepare(
        SAMPLES / f"{name}.svg", copies=2, machine="mat-cutter-300", language="hpgl", effort="quick"
    )
    for sheet in outcome.sheets:
        moves = sheet.planned
        edges = np.flatnonzero(np.diff(np.concatenate(([False], moves.down, [False])).astype(int)))
        planned = joined(
            [
                (int(moves.tool[a]), np.vstack((moves.begin[a : a + 1], moves.xy[a:b])))
                for a, b in edges.reshape(-1, 2).tolist()
            ]
        )
        got = strokes_read(sheet.files[0].text)
        assert len(got) == len(planned) > 0
        for (pen, points), (tool, wanted) in zip(got, planned, strict=True):
            assert pen == tool
            assert np.abs(points[0] - wanted[0]).max() <= 0.025
            assert np.abs(points[-1] - wanted[-1]).max() <= 0.025
            length = np.hypot(*np.diff(points, axis=0).T).sum()
            assert length == pytest.approx(np.hypot(*np.diff(wanted, axis=0).T).sum(), abs=0.05 * len(wanted))
