"""Flattening against other people's curves: ezdxf 1.4.5 (`ezdxf.math.Bezier4P`, `ConstructionEllipse`),
scipy 1.17 (`BPoly`), and the sagitta of a chord, r (1 - cos(h / 2)) (any handbook of geometry).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from ezdxf.math import Bezier4P, ConstructionEllipse, Vec2
from scipy.interpolate import BPoly

from cutprep.geometry.curves.flatten import arcs, cubics, quadratics

RNG = np.random.default_rng(11)


def test_cubics_lie_on_ezdxf_curves() -> None:
    """Every inner point is a point of the same curve at the same parameter."""
    control = RNG.uniform(-50, 50, (20, 4, 2))
    inner, counts = cubics(control, 0.02)
    for points, four in zip(np.split(inner, np.cumsum(counts)[:-1]), control, strict=True):
        curve = Bezier4P([Vec2(p) for p in four])
        wanted = [curve.point((i + 1) / (len(points) + 1)) for i in range(len(points))]
        assert np.abs(points - np.array([(p.x, p.y) for p in wanted])).max(initial=0.0) < 1e-9


@pytest.mark.parametrize(("degree", "flatten"), [(3, cubics), (2, quadratics)])
def test_curves_against_scipy(degree: int, flatten: object) -> None:
    """scipy's Bernstein polynomials give the same points, and stay within the sagitta of our chords."""
    control = RNG.uniform(-50, 50, (degree + 1, 2))
    inner, _ = flatten([control], 0.02)  # type: ignore[operator]
    curve = BPoly(control[:, None, :], [0, 1])
    t = np.arange(1, len(inner) + 1) / (len(inner) + 1)
    assert np.abs(inner - curve(t)).max() < 1e-9
    line = shapely.LineString(np.vstack((control[:1], inner, control[-1:])))
    assert shapely.distance(shapely.points(curve(np.linspace(0, 1, 4000))), line).max() <= 0.02


def test_ellipses_against_ezdxf() -> None:
    """Parameters, centre and axes mean the same."""
    ellipse = ConstructionEllipse(
        center=(3, 4), major_axis=(12, 5), ratio=0.4, start_param=0.5, end_param=4.0
    )
    u = np.array([12.0, 5.0])
    v = 0.4 * np.array([-5.0, 12.0])
    inner, _ = arcs([(3.0, 4.0)], [u], [v], [0.5], [3.5], 0.02)
    parameters = 0.5 + 3.5 * np.arange(1, len(inner) + 1) / (len(inner) + 1)
    wanted = np.array([(p.x, p.y) for p in ellipse.vertices(parameters)])
    assert np.abs(inner - wanted).max() < 1e-9


@pytest.mark.parametrize("radius", [1.0, 20.0, 300.0])
def test_the_chord_error_is_the_handbook_sagitta(radius: float) -> None:
    """As few chords as r (1 - cos(h / 2)) <= 0.02 allows, not one more."""
    inner, _ = arcs([(0.0, 0.0)], [(radius, 0.0)], [(0.0, radius)], [0.0], [3.0], 0.02)
    chords = len(inner) + 1
    assert radius * (1 - math.cos(3.0 / chords / 2)) <= 0.02
    assert radius * (1 - math.cos(3.0 / (chords - 1) / 2)) > 0.02
