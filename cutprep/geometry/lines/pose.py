"""One pose for a drawing however it was laid: what is worked out in it does not depend on how it was turned or mirrored.

The x axis runs along the direction in which most length is drawn. Which of several such directions, which way
along it, and mirrored or not, is decided by moments of the lines: integrals of powers of z = x + iy about their
middle, which a turn multiplies by a unit number and a mirror image conjugates. Poses that no moment tells apart show the same picture
(the drawing is symmetric), and any of them will do.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from cutprep.geometry.lines.segments import explode
from cutprep.model.lines import Lines, Points

#: Decimals of a millimetre that corners of what is drawn are rounded to in a pose: what a turn leaves beyond is noise.
DECIMALS = 7
#: Directions within this are one, radians; lengths, and moments, that differ by less than this share are equal.
_ONE_WAY, _EQUAL = 1e-4, 1e-7
#: The highest power of a moment: a star of so many points is still told from its neighbours.
_POWERS = 24

Complex = NDArray[np.complex128]
XY = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class CanonicalPose:
    """How a drawing is laid before it is worked on, and the way back.

    Attributes
    ----------
    along
        Direction of the new x axis in the drawing, of length 1.
    mirrored
        What lies left of that axis comes to lie right of it.
    corner
        Lower left of the turned drawing, mm.
    drawn
        Points of the drawing by where they come to lie, so that the way back is exact.
    """

    along: complex = 1.0 + 0.0j
    mirrored: bool = False
    corner: complex = 0.0j
    drawn: dict[XY, XY] = field(default_factory=dict)

    def there(self, xy: Points) -> Points:
        """Points of the drawing in the pose, (n, 2), mm."""
        return _pairs(_turned(_numbers(xy), self.along, mirrored=self.mirrored) - self.corner)

    def back(self, xy: Points) -> Points:
        """Points of the pose in the drawing, (n, 2), mm: to the bit where it rounds to a vertex of the drawing."""
        far = np.asarray(xy, np.float64).reshape(-1, 2)
        found = self.vectors_back(far + np.array([self.corner.real, self.corner.imag]))
        for k, point in enumerate((far.round(DECIMALS) + 0.0).tolist()):
            known = self.drawn.get((point[0], point[1]))
            if known is not None:
                found[k] = known
        return found.reshape(np.shape(xy))

    def vectors_back(self, xy: Points) -> Points:
        """Vectors of the pose in the drawing, (n, 2)."""
        z = _numbers(xy)
        return _pairs((z.conj() if self.mirrored else z) * self.along)

    def direction_there(self, degrees: float) -> float:
        """A direction of the drawing in the pose, degrees from x."""
        z = _turned(np.exp(1j * np.radians([degrees])), self.along, mirrored=self.mirrored)
        return float(np.degrees(np.angle(z[0])))


def pose_of(lines: Lines, weight: Points) -> CanonicalPose:
    """Find the pose of some lines.

    Parameters
    ----------
    weight
        (m,) ndarray of float, above 0: lines of different sorts have different ones.
    """
    parts = explode(lines)
    if not len(parts):
        return CanonicalPose()
    begin, end = _numbers(parts.begin), _numbers(parts.end)
    run = end - begin
    moments = _moments(begin, run, weight[parts.line])
    mirrored, along = _best([(m, a) for a in _ways(run) for m in (False, True)], moments)
    turned = _turned(_numbers(lines.xy), along, mirrored=mirrored)
    pose = CanonicalPose(along, mirrored, complex(turned.real.min(), turned.imag.min()))
    there = (pose.there(lines.xy).round(DECIMALS) + 0.0).tolist()
    drawn = {(p[0], p[1]): (q[0], q[1]) for p, q in zip(there, lines.xy.tolist(), strict=True)}
    return replace(pose, drawn=drawn)


def _turned(z: Complex, along: complex, *, mirrored: bool) -> Complex:
    z = z * np.conj(along)
    return np.asarray(z.conj() if mirrored else z)


def _numbers(xy: Points) -> Complex:
    pairs = np.asarray(xy, np.float64).reshape(-1, 2)
    return np.asarray(pairs[:, 0] + 1j * pairs[:, 1])


def _pairs(z: Complex) -> Points:
    return np.column_stack((z.real, z.imag))


def _ways(run: Complex) -> list[complex]:
    """Directions in which most length is drawn, both ways along each."""
    length = np.abs(run)
    squared = (run / length) ** 2  # the same both ways
    turn = np.angle(squared)
    order = np.argsort(turn, kind="stable")
    apart = np.diff(turn[order], prepend=turn[order[-1]] - 2 * np.pi) > 2 * _ONE_WAY
    group = np.empty(len(run), np.int64)
    group[order] = np.cumsum(apart)
    group[group == 0] = group.max()  # goes on from the last across the half turn
    total = np.bincount(group, length)
    found = []
    for g in np.flatnonzero(total > (1 - _EQUAL) * total.max()).tolist():
        mine = group == g
        half = np.sqrt(complex((squared[mine] * length[mine]).sum()))
        along = half / abs(half)
        found += [along, -along]
    return found


def _moments(begin: Complex, run: Complex, weight: Points) -> list[tuple[int, complex]]:
    """Powers and the integrals of z^k and |z|^2 z^k along the lines, about their middle, as shares of what they could be."""
    at, share = np.polynomial.legendre.leggauss(
        _POWERS // 2 + 2
    )  # exact for these powers, wherever a line is split
    z = (begin[:, None] + run[:, None] * (at + 1) / 2).ravel()
    w = (np.abs(run)[:, None] * weight[:, None] * share / 2).ravel()
    z = z - (w @ z) / w.sum()
    size = np.abs(z)
    power, grown = z.copy(), size.copy()
    found = []
    for k in range(2, _POWERS + 1):
        power, grown = power * z, grown * size
        for share_of in (w, w * size**2):
            most = float(share_of @ grown)
            found.append((k, complex(share_of @ power) / most if most > 0 else 0j))
    return found


def _best(poses: list[tuple[bool, complex]], moments: list[tuple[int, complex]]) -> tuple[bool, complex]:
    """The pose with the largest moments, one after another; of those that none tells apart the first."""
    parts: tuple[Callable[[complex], float], ...] = (lambda z: z.real, lambda z: z.imag)
    for power, moment in moments:
        if len(poses) == 1:
            break
        seen = [moment * np.conj(along) ** power for _, along in poses]
        seen = [z.conjugate() if mirrored else z for z, (mirrored, _) in zip(seen, poses, strict=True)]
        for part in parts:
            figures = [part(z) for z in seen]
            keep = [k for k, f in enumerate(figures) if f > max(figures) - _EQUAL]
            poses, seen = [poses[k] for k in keep], [seen[k] for k in keep]
    return poses[0]
