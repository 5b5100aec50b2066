"""The plan laid on a sheet that lies askew, or that is printed or scored already.

The maker says where two or three reference points of the plan really lie on the mat. A
similarity (shift, turn, one scale) is fitted by least squares; an affine map (two scales and a
slant) when asked for, from three points or more. How far the points are off afterwards is
stated, and what is not plausible (a mirrored sheet, a scale far from 1) is refused.

References
----------
S. Umeyama, "Least-squares estimation of transformation parameters between two point patterns",
IEEE Trans. PAMI 13 (1991), 376-380 (the similarity).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from cutprep.errors import PlanError
from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.stages.nest.nesting import USUAL_LIMITS, AlignmentLimits
from cutprep.units import plural

Kind = Literal["similarity", "affine"]

#: Reference points closer than this fix no direction, mm; common practice, no published source.
_CLOSEST = 10.0
#: Three points nearer to one line than this fix no slant, mm.
_FLATTEST = 5.0
#: Kind of fit to the least number of points, which it meets exactly.
_LEAST = {"similarity": 2, "affine": 3}
_WORDS = {"similarity": "shift, turn and one scale", "affine": "shift, turn, two scales and a slant"}


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """A map from the plan to the mat.

    Attributes
    ----------
    matrix
        (2, 3) ndarray: plan to mat, mm.
    residuals
        (n,) ndarray: distance of each mapped point from where it really lies, mm.
    scale
        Scales along the plan's x and y.
    turn
        Degrees counter-clockwise.
    skew
        Degrees by which the plan's axes are from a right angle on the mat.
    """

    kind: str
    matrix: Points
    residuals: Points
    scale: tuple[float, float]
    turn: float
    skew: float = 0.0

    def __str__(self) -> str:
        count = len(self.residuals)
        sizes = " x ".join(f"{s:.5f}" for s in dict.fromkeys(round(s, 5) for s in self.scale))
        return (
            f"{_WORDS[self.kind]} from {count} points: turned by {self.turn:z.3f} degrees, scale {sizes}, "
            f"shifted by {self.matrix[0, 2]:z.2f} mm, {self.matrix[1, 2]:z.2f} mm; "
        ) + (
            f"{count} points leave nothing over, so that a slip in one does not show: four show it"
            if count <= _LEAST[self.kind]
            else f"points off by {', '.join(f'{r:.3f} mm' for r in self.residuals)}"
        )


def align(
    plan: ArrayLike, mat: ArrayLike, kind: Kind = "similarity", limits: AlignmentLimits = USUAL_LIMITS
) -> Alignment:
    """Fit the map that brings points of the plan to where they lie on the mat.

    Parameters
    ----------
    plan, mat
        (n, 2) points, mm, in the same order; 2 for a similarity, 3 or more for either.
    kind
        "similarity" or "affine".
    limits
        What is refused.

    Raises
    ------
    PlanError
        When there are too few points, they lie too close together or in one line, or the fit is not
        plausible.
    """
    source, target = (np.asarray(points, dtype=np.float64) for points in (plan, mat))
    _require_points(source, target, kind)
    matrix = _similarity(source, target) if kind == "similarity" else _affine(source, target)
    off = apply(matrix, source) - target
    alignment = Alignment(
        kind=kind,
        matrix=matrix,
        residuals=np.hypot(off[:, 0], off[:, 1]),
        scale=(float(np.hypot(*matrix[:, 0])), float(np.hypot(*matrix[:, 1]))),
        turn=float(np.degrees(np.arctan2(matrix[1, 0], matrix[0, 0]))),
        skew=_skew(matrix),
    )
    _require_plausible(alignment, limits)
    return alignment


def _require_points(source: Points, target: Points, kind: str) -> None:
    least = _LEAST.get(kind)
    if least is None:
        raise PlanError(f"the fit '{kind}' is not known", fix="Use similarity or affine.")
    if source.ndim != 2 or source.shape[1:] != (2,) or source.shape != target.shape:
        raise PlanError("each reference point needs x and y in the plan, and x and y on the mat")
    if not (np.isfinite(source).all() and np.isfinite(target).all()):
        raise PlanError("a reference point is not a finite number")
    if len(source) < least:
        raise PlanError(
            f"{plural(len(source), 'reference point')} can't say how the sheet lies",
            fix=f"Give at least {least}.",
        )
    for name, points in (("plan", source), ("mat", target)):
        spread = _spread(points)
        if spread[0] < _CLOSEST:
            raise PlanError(
                f"the reference points lie within {spread[0]:.1f} mm on the {name}",
                fix=f"Take points at least {_CLOSEST:g} mm apart, better in opposite corners.",
            )
        if kind == "affine" and spread[1] < _FLATTEST:
            raise PlanError(
                f"the reference points lie in one line on the {name}, within {spread[1]:.1f} mm",
                fix="Take three points that make a triangle, or a similarity fit.",
            )


def _spread(points: Points) -> tuple[float, float]:
    """Extent of points along their longest direction, and across it."""
    middle = points - points.mean(axis=0)
    _, _, axes = np.linalg.svd(middle)
    along = middle @ axes.T
    extent = np.ptp(along, axis=0)
    return float(extent[0]), float(extent[1])


def _similarity(source: Points, target: Points) -> Points:
    a, b = source - source.mean(axis=0), target - target.mean(axis=0)
    # As complex numbers, the least-squares factor is the sum of conj(a) b over the sum of |a|^2;
    # unlike the general form, it can't mirror.
    z, w = a[:, 0] + 1j * a[:, 1], b[:, 0] + 1j * b[:, 1]
    factor = complex((np.conj(z) * w).sum() / (np.abs(z) ** 2).sum())
    linear = np.array([[factor.real, -factor.imag], [factor.imag, factor.real]])
    return np.column_stack((linear, target.mean(axis=0) - linear @ source.mean(axis=0)))


def _affine(source: Points, target: Points) -> Points:
    columns = np.column_stack((source, np.ones(len(source))))
    solution, *_ = np.linalg.lstsq(columns, target, rcond=None)
    return np.asarray(solution.T)


def _skew(matrix: Points) -> float:
    """How far the images of the two axes are from a right angle, degrees."""
    along, up = matrix[:, 0], matrix[:, 1]
    turn = np.degrees(np.arctan2(along[0] * up[1] - along[1] * up[0], along @ up))
    return float(turn - 90.0)


def _require_plausible(alignment: Alignment, limits: AlignmentLimits) -> None:
    m = alignment.matrix
    if m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0] <= 0:
        raise PlanError(
            "the reference points on the mat are mirrored against the plan",
            fix="Check their order, and that x runs to the right and y away from you.",
        )
    worst = 100.0 * max(abs(scale - 1.0) for scale in alignment.scale)
    if worst > limits.scale:
        raise PlanError(
            f"the reference points ask for a scale of {_words(alignment.scale)}; more than "
            f"{limits.scale:g} % is not a sheet that lies askew",
            fix="Check the points, their order and their unit, and that the sheet was printed at 100 %; or allow more "
            "with --align-scale.",
        )
    if abs(alignment.skew) > limits.skew:
        raise PlanError(
            f"by the reference points the sheet is slanted by {abs(alignment.skew):.2f} degrees; the limit is "
            f"{limits.skew:g}",
            fix="Find each point again; or allow more with --align-skew.",
        )
    off = float(alignment.residuals.max())
    if off > limits.off:
        raise PlanError(
            f"a reference point is {off:.2f} mm beside where the others have it; the limit is {limits.off:g} mm",
            fix="Find each point again; or allow more with --align-off.",
        )


def _words(scale: Sequence[float]) -> str:
    return " x ".join(f"{s:.4f}" for s in scale)
