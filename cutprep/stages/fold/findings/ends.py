"""End panels of many sides against the walls round them; gussets whose middle score is off.

A closed tube of six walls gives way a little: its walls lean until the end panels lie on it, and
no seam is open by much. So sides that should be as long as one another are compared here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport, Mate, Panel, Role, Verdict
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import PanelSide, State
from cutprep.stages.fold.findings.tell import side_findings
from cutprep.stages.fold.net.part import HingedPart

#: An end panel has at least so many sides; one of four is told of by its seams.
_MANY = 5
#: Sides that differ by more than the first are uneven, by more than the second no pair, mm.
_UNEVEN, _NO_PAIR = 0.75, 8.0
#: Sides of a pair lie this near one another, mm, and are parallel (cosine of some 8 degrees).
_NEAR, _PARALLEL = 6.0, 0.99
#: Halves of a gusset whose angles at the corner differ by more are no mirror images, degrees.
_ASKEW = 2.0
#: How far the three scores of a gusset may miss one another, mm.
_CONCURRENT = 1.0

At = Callable[[Sequence[float]], Place]


def end_findings(report: FoldReport, state: State, at: At) -> list[Finding]:
    """Say which end panel or wall of a closed part has sides longer or shorter than what they meet."""
    if report.verdict is not Verdict.CLOSED:
        return []
    body = [k for k, p in enumerate(report.panels) if p.role is Role.BODY]
    sides = _FreeSides(state, body)
    mates = [m for cap in body for m in _round(state, cap, sides)]
    limit = _UNEVEN + report.thickness  # the wall over the glue flap is drawn a caliper narrower
    uneven = [m for m in mates if abs(m.length_difference) > limit]
    return side_findings(uneven, limit, report.panels, at) if _is_meant(uneven, mates) else []


def _is_meant(uneven: Sequence[Mate], mates: Sequence[Mate]) -> bool:
    """Whether uneven sides are a mistake: more than one, and no end panel made smaller all round to slip in."""
    slips = all(m.length_difference < 0 for m in uneven) and len(uneven) == len(mates)
    return len(uneven) > 1 and not slips


class _FreeSides:
    """Sides of the body beyond which no panel of it hangs, and where they lie in space."""

    def __init__(self, state: State, body: Sequence[int]) -> None:
        hinges, inside = state.frame.part.hinges, set(body)
        self.inner = [h.a in inside and h.b in inside for h in hinges]
        self.all = [s for p in body for s in state.frame.sides[p] if s.hinge < 0 or not self.inner[s.hinge]]
        ends = np.array([state.lift(s.panel, s.ends) for s in self.all]).reshape(-1, 2, 3)
        runs = ends[:, 1] - ends[:, 0]
        self.panel = np.array([s.panel for s in self.all], np.int64)
        self.length = np.linalg.norm(runs, axis=1)
        self.along = runs / self.length[:, None]
        self.middle = ends.mean(axis=1)

    def beside(self, k: int) -> PanelSide | None:
        """The side of another panel that one is a pair with, the nearest; None without any."""
        far = np.linalg.norm(self.middle - self.middle[k], axis=1)
        pair = (self.panel != self.panel[k]) & (np.abs(self.along @ self.along[k]) > _PARALLEL)
        pair &= (far < _NEAR) & (np.abs(self.length - self.length[k]) < _NO_PAIR)
        found = np.flatnonzero(pair)
        return self.all[int(found[np.lexsort((self.panel[found], far[found]))[0]])] if len(found) else None


def _round(state: State, cap: int, sides: _FreeSides) -> list[Mate]:
    """The sides of an end panel with those that they meet; none unless all of them meet one."""
    hung = sum(sides.inner[k] for k in state.frame.part.hinges_at(cap))
    if len(state.frame.rings[cap]) < _MANY or hung != 1:
        return []
    found = []
    for k in np.flatnonzero(sides.panel == cap).tolist():
        other = sides.beside(k)
        if other is None:
            return []
        found.append(Mate(cap, other.panel, sides.all[k].ends, other.ends[::-1]))
    return found


def gusset_findings(part: HingedPart, panels: Sequence[Panel], at: At) -> list[Finding]:
    """Corners whose middle score does not halve the gusset while that of another corner does."""
    corners = [c for k in range(len(part.hinges)) for c in _gusset(part, k)]
    askew = [c for c in corners if abs(c[1] - c[2]) > _ASKEW]
    if len(askew) == len(corners):
        return []
    found = []
    for k, one, two in askew:
        h = part.hinges[k]
        found.append(
            Finding.of(
                "gusset-askew",
                f"the middle score of the gusset {panels[h.a].name}-{panels[h.b].name} parts its corner into {one:.1f} and "
                f"{two:.1f} degrees; its halves have to be alike to fold on one another",
                f"Draw it so that it leaves {(one + two) / 2:.1f} degrees on each side.",
                (at(h.ends.mean(axis=0)),),
                abs(one - two),
                _ASKEW,
                "degrees",
            )
        )
    return found


def _gusset(part: HingedPart, middle: int) -> Iterator[tuple[int, float, float]]:
    """A score between two corner panels that hang on one wall each, all three scores from one point.

    The angles are those of both panels at that point, degrees.
    """
    h = part.hinges[middle]
    others = [[k for k in part.hinges_at(p) if k != middle] for p in (h.a, h.b)]
    if any(len(o) != 1 for o in others) or others[0] == others[1]:
        return
    one, two = (part.hinges[o[0]] for o in others)
    for end in (0, 1):
        point = h.ends[end]
        if all(np.hypot(*(t.ends - point).T).min() < _CONCURRENT for t in (one, two)):
            along = _away(h.ends, point)
            angles = [
                float(np.degrees(np.arccos(np.clip(along @ _away(t.ends, point), -1.0, 1.0))))
                for t in (one, two)
            ]
            yield middle, angles[0], angles[1]
            return


def _away(ends: Points, point: Points) -> Points:
    """Unit direction of a score away from the point at one of its ends."""
    far = ends[int(np.hypot(*(ends - point).T).argmax())] - point
    return np.asarray(far / np.hypot(*far))
