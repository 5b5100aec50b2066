"""Artwork to dots: the right ones, in the right place, and no more of them than there may be."""

from __future__ import annotations

import subprocess

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.model.drawing import Artwork
from cutprep.stages.write.pdf import render as renderer
from cutprep.stages.write.pdf.render import Picture, render
from tests.svg_text import SPACE

#: A page of 30 x 20 mm: its lower left quarter is black, y up.
QUARTER = Artwork(
    f'<svg {SPACE} x="0" y="0" width="30" height="20" viewBox="0 0 30 20"><rect y="10" width="15" height="10"/></svg>',
    (30.0, 20.0),
)


def dots(picture: Picture) -> np.ndarray:
    return np.frombuffer(picture.rgb, np.uint8).reshape(picture.height, picture.width, 3)


def test_black_is_where_it_was_drawn():
    picture = render(QUARTER, (0, 0, 30, 20), dots_per_inch=25.4)
    found = dots(picture)
    assert found.shape == (20, 30, 3)
    black = (found < 10).all(axis=2)
    assert black[10:, :15].all()
    assert black.sum() == 150
    assert (found[~black] > 245).all()


def test_a_part_of_it_and_a_frame_elsewhere():
    picture = render(QUARTER.moved(100, 50), (110, 55, 120, 65), dots_per_inch=25.4)
    black = (dots(picture) < 10).all(axis=2)
    assert black[5:, :5].all()
    assert black.sum() == 25


def test_there_are_no_more_dots_than_there_may_be(monkeypatch):
    monkeypatch.setattr(renderer, "_MOST_DOTS", 600)
    picture = render(QUARTER, (0, 0, 30, 20), dots_per_inch=600)
    assert picture.width * picture.height == 600
    assert picture.dots_per_inch == 25


def test_a_renderer_that_never_ends_or_fails_is_told(monkeypatch):
    def never(*_: object, **__: object) -> object:
        raise subprocess.TimeoutExpired("render", 120)

    with pytest.raises(DrawingError, match="can't be rendered"):
        render(Artwork("<svg", (30.0, 20.0)), (0, 0, 30, 20), dots_per_inch=25.4)
    monkeypatch.setattr(subprocess, "run", never)
    with pytest.raises(DrawingError, match="longer than 120 s"):
        render(QUARTER, (0, 0, 30, 20))
