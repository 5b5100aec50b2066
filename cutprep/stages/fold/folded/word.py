"""What is asked of folding, what counts as closed, and the result put into a word."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.folded import Certainty, Verdict
from cutprep.stages.fold.closing.close import Closing
from cutprep.stages.fold.closing.zip.body import convex
from cutprep.stages.fold.closing.zip.zips import RIM_FLAT
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.declared.resolved import ResolvedDeclarations
from cutprep.stages.fold.findings.tell import SeamLimits
from cutprep.stages.fold.net.part import HingedPart
from cutprep.tolerance import Tolerance

#: Seam errors up to this close with play, mm.
_PLAY = 1.0
#: Sides are drawn exactly equal when they differ by less than the first, and are not by more than the second, mm.
_EXACT, _ODD = 0.01, 0.1


@dataclass(frozen=True, slots=True)
class Asked:
    """What folding is asked with."""

    declared: FoldDeclarations
    thickness: float
    tolerance: Tolerance
    seed: int
    work: float


def limits_of(part: HingedPart, asked: Asked) -> SeamLimits:
    """What counts as closed: 0.5 mm, twice the snapping distance or twice the card, the most of these."""
    seam = max(asked.tolerance.seam, 2 * part.tolerance, 2 * asked.thickness)
    return SeamLimits(seam, max(_PLAY, seam))


def verdict_of(
    outcome: Closing, constraints: FoldConstraints, limits: SeamLimits, resolved: ResolvedDeclarations
) -> Verdict:
    """Put the result into a word.

    Parameters
    ----------
    outcome
        How the part was closed.
    constraints, resolved
        What the folds had to obey, and what was declared about closing.
    limits
        What counts as closed.
    """
    body = outcome.body
    if outcome.folded_over:
        return Verdict.FOLDED_OVER
    sound = outcome.judged is not None
    refused = body.flat or not (sound or convex(body, constraints))
    if body.gap > limits.play:
        return Verdict.CANNOT_INFER if refused and not resolved.says_something else Verdict.GAP
    if not sound and not body.zipped.pairs and not constraints.gathers:
        return Verdict.CANNOT_INFER if len(body.free) else Verdict.LEAF
    if refused:
        told = resolved.says_something or not body.flat
        return Verdict.NOT_CONVEX if told else Verdict.CANNOT_INFER
    if outcome.movable:
        return Verdict.MOVABLE if outcome.is_ring else Verdict.CANNOT_INFER
    if not body.loops and not body.open_sides:
        return Verdict.CLOSED
    if outcome.judged is not None and outcome.judged.uneven:
        return Verdict.UNEVEN
    return Verdict.OPEN_BOX if sound or body.rim_bend <= RIM_FLAT else Verdict.OPEN_EDGES


def _odd_pair(outcome: Closing) -> bool:
    """Whether a solid without flaps closes exactly but for a pair of sides that are not quite equal.

    Then perhaps another side was meant to meet there.
    """
    zipped = outcome.body.zipped
    if outcome.judged is not None or outcome.hung or zipped.rims or outcome.body.gap < _EXACT:
        return False
    differ = [abs(zipped.side(p.a).length - zipped.side(p.b).length) for p in zipped.pairs]
    return bool(differ) and max(differ) > _ODD and float(np.median(differ)) < _EXACT


def certainty_of(outcome: Closing, resolved: ResolvedDeclarations) -> Certainty:
    """Say how the result came about."""
    if outcome.ambiguous or _odd_pair(outcome):
        return Certainty.AMBIGUOUS
    pairs = outcome.body.zipped.pairs
    said = all(p.source == "declared" for p in pairs) if pairs else resolved.says_something
    return Certainty.DECLARED if said else Certainty.INFERRED
