"""One part folded and summed up: verdict, sizes, findings, and how to show it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from cutprep.errors import JobError, Place
from cutprep.geometry.space.hinged import pose_panels
from cutprep.model.duties import Duty
from cutprep.model.findings.finding import Finding, Findings, errors
from cutprep.model.folded import (
    CLOSING,
    Certainty,
    Flap,
    FoldReport,
    Gusset,
    Hinge,
    Mate,
    Panel,
    Role,
    Verdict,
)
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.bends import is_cover, is_zigzag, never_closes, relaxed, touches_nothing
from cutprep.stages.fold.closing.close import Closing, close
from cutprep.stages.fold.closing.duties import hollow_walls
from cutprep.stages.fold.closing.verdict.contact import contacts_of
from cutprep.stages.fold.closing.verdict.state import folded_by, frame_of
from cutprep.stages.fold.closing.work import OutOfWork, WorkBudget
from cutprep.stages.fold.closing.zip.body import Body, convex
from cutprep.stages.fold.closing.zip.zips import wrong_folds
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.declared.resolved import ResolvedDeclarations
from cutprep.stages.fold.findings.ends import end_findings, gusset_findings
from cutprep.stages.fold.findings.flaps import flap_findings, flaps_of, overlap_findings, tuck_findings
from cutprep.stages.fold.findings.layers import layer_findings
from cutprep.stages.fold.findings.shape import (
    flat_findings,
    shape_findings,
    told_crossings,
    two_ways_finding,
)
from cutprep.stages.fold.findings.tell import (
    SeamLimits,
    extra_wall_findings,
    fold_findings,
    gap_findings,
    loose_findings,
    side_findings,
)
from cutprep.stages.fold.findings.thick import allowance_findings, expect_findings, grain_findings
from cutprep.stages.fold.findings.unfoldable import curved_findings, unfoldable, unsolved_finding
from cutprep.stages.fold.folded.features import features_of, is_pattern, left_flat
from cutprep.stages.fold.folded.motion import above, full_tree, hinge_angles, motion_of, with_frames
from cutprep.stages.fold.folded.size import Room, room_of
from cutprep.stages.fold.folded.unposed import DrawingPlaces, panels_of
from cutprep.stages.fold.folded.word import Asked, certainty_of, limits_of, verdict_of
from cutprep.stages.fold.net.hems import frills_of, hem_scores
from cutprep.stages.fold.net.idle import door_hinges, idle_hinges, lone_tear
from cutprep.stages.fold.net.part import HingedPart, first_panels
from cutprep.stages.fold.net.vertices import corners_of

#: Verdicts of a part for which no way to close was found.
_NOT_CLOSING = frozenset(
    {
        Verdict.GAP,
        Verdict.NOT_CONVEX,
        Verdict.CANNOT_INFER,
        Verdict.OPEN_EDGES,
    }
)
#: Verdicts with a size.
_SIZED = frozenset({Verdict.CLOSED, Verdict.OPEN_BOX, Verdict.MOVABLE, Verdict.GAP})
#: A curve may stand this far off its chord, mm, and still be folded along it.
_MOST_BOW = 5.0
#: Gaps and windows are no more than this share of the volume.
_GAPS = 0.05

At = Callable[[Sequence[float]], Place]


def sum_up(
    part: HingedPart,
    resolved: ResolvedDeclarations,
    name: str,
    faults: Findings,
    asked: Asked,
    at: DrawingPlaces,
) -> FoldReport:
    """Fold a part and tell everything about it.

    Parameters
    ----------
    faults
        What is wrong with the part's drawing.
    at
        Gives the place of a point of the drawing.
    """
    panels = panels_of(part, at)
    hinges = tuple(
        Hinge(h.a, h.b, h.ends, h.joined, h.fold, resolved.fixed.get(k), kind=h.kind)
        for k, h in enumerate(part.hinges)
    )
    limits = limits_of(part, asked)
    report = FoldReport(
        name=name,
        verdict=Verdict.FLAT,
        messages=faults,
        tolerance_used=part.tolerance,
        panels=panels,
        hinges=hinges,
        corners=corners_of(part),
        allowed_gap=limits.seam,
        thickness=asked.thickness,
    )
    stop = unfoldable(part, report, at)
    if stop is not None or not part.hinges:
        return _flat_motion(part, report if stop is None else stop)
    doors = door_hinges(part)
    idle = (idle_hinges(part) | doors | lone_tear(part)) - set(resolved.fixed) - hem_scores(part)
    curved = curved_findings(part, panels, at)
    report = replace(report, features=features_of(part, idle, doors), messages=(*report.messages, *curved))
    frills = frozenset[int]() if resolved.says_something else frills_of(part)
    bare = first_panels(part, len(panels) - len(frills)) if frills else part
    constraints = _wish(bare, resolved, asked, limits, frozenset(k for k in idle if k < len(bare.hinges)))
    if len(part.hinges) == 1 and not resolved.mates:
        flat = replace(report, hinges=tuple(replace(h, angle=0.0) for h in hinges))
        return _flat_motion(part, flat) if idle else _nothing_to_close(part, report, at)
    try:
        told = _closed(part, bare, resolved, report, constraints, limits, asked, at)
    except OutOfWork as fault:
        note = unsolved_finding(fault, at(panels[0].inner_point))
        return _flat_motion(
            part, replace(report, verdict=Verdict.NOT_SOLVED, messages=(*report.messages, note))
        )
    if curved and not _only_flaps_curved(told):
        return _flat_motion(part, replace(report, verdict=Verdict.CURVED))
    doubtful = told.verdict in _NOT_CLOSING | {Verdict.MOVABLE} or bool(told.gussets)
    open_ = doubtful and not resolved.says_something
    if open_ and is_pattern(part, tuple(c.word for c in report.corners), meets=bool(told.mates)):
        return _flat_motion(part, replace(report, verdict=Verdict.LEAF, gap=0.0))
    idle |= left_flat(told)
    return with_frames(part, replace(told, approximate=bool(curved), features=features_of(part, idle, doors)))


def _only_flaps_curved(told: FoldReport) -> bool:
    """Whether a part closes and only flaps hang on its curved scores: what they lie on is straight."""
    flaps = {f.panel: f.target for f in told.flaps}
    curved = [h for h in told.hinges if h.kind == "curved"]
    bent = {f for h in curved for f in (h.a, h.b) if f in flaps}
    if any(flaps[f] in bent for f in bent):  # two that lie on each other bend their walls, as a pillow's do
        return False
    return told.verdict in {Verdict.CLOSED, Verdict.OPEN_BOX} and all({h.a, h.b} & bent for h in curved)


def _closed(
    part: HingedPart,
    bare: HingedPart,
    resolved: ResolvedDeclarations,
    report: FoldReport,
    constraints: FoldConstraints,
    limits: SeamLimits,
    asked: Asked,
    at: At,
) -> FoldReport:
    if not resolved.says_something and (is_cover(bare) or is_zigzag(bare)):
        return _leaf(part, report, relaxed(bare, constraints))
    outcome = close(bare, constraints, resolved, asked.seed)
    if outcome is None and resolved.mates:
        raise JobError(
            "the declared mates name no free sides of this part",
            fix="Give a point on each of the two sides, not on a flap's hinge line.",
        )
    against = outcome is not None and outcome.judged is None and wrong_folds(outcome.body, constraints)
    if (outcome is None or against) and not resolved.says_something and touches_nothing(bare, constraints):
        return _leaf(part, report, relaxed(bare, constraints))
    zipped = outcome is None or outcome.judged is None
    if zipped and not resolved.says_something and never_closes(bare):
        return _leaf(part, report, relaxed(bare, constraints))
    if outcome is None:
        return _nothing_to_close(part, report, at)
    told = _folded(part, resolved, report, outcome, constraints, limits, asked, at)
    if not outcome.others:
        return told
    others = (_folded(part, resolved, report, o, constraints, limits, asked, at) for o in outcome.others)
    return _two_ways(told, (told, *others), at)


def _two_ways(report: FoldReport, ways: tuple[FoldReport, ...], at: At) -> FoldReport:
    """Several ways are as good: none is taken, all are kept."""
    return replace(
        report,
        verdict=Verdict.TWO_WAYS,
        certainty=Certainty.AMBIGUOUS,
        messages=(*report.messages, two_ways_finding(ways, at)),
        inside_mm=None,
        drawn_mm=None,
        rim_mm=None,
        alternatives=ways,
    )


def _wish(
    part: HingedPart, resolved: ResolvedDeclarations, asked: Asked, limits: SeamLimits, idle: frozenset[int]
) -> FoldConstraints:
    signs = np.array([float(h.fold) for h in part.hinges])
    drawn = float(signs @ np.array([h.joined for h in part.hinges]))
    said = {"up": 1.0, "down": -1.0}.get(asked.declared.inside, 0.0)
    sense = said or (1.0 if drawn >= 0 else -1.0)
    bow = max((h.bow for h in part.hinges if h.kind == "curved"), default=0.0)
    seam = limits.seam + min(bow, _MOST_BOW)
    fixed = resolved.fixed | dict.fromkeys(sorted(idle), 0.0)
    return FoldConstraints(fixed, sense, signs, resolved.gathers, seam, WorkBudget(asked.work))


def _flat_motion(part: HingedPart, report: FoldReport) -> FoldReport:
    """Panels that stay flat, so that pictures can be drawn."""
    tree = full_tree(part, 0, frozenset(range(len(part.panels))))
    return replace(report, motion=motion_of(tree, np.zeros(len(part.hinges))))


def _leaf(part: HingedPart, report: FoldReport, angles: Points) -> FoldReport:
    """A folded card: its scores turn freely, and no two sides have to meet."""
    hinges = tuple(replace(h, angle=float(a), held=False) for h, a in zip(report.hinges, angles, strict=True))
    motion = motion_of(full_tree(part, 0, frozenset(range(len(part.panels)))), angles)
    up = sum(h.fold * h.joined for h in hinges) >= 0  # a tent's fold is a mountain
    return replace(report, verdict=Verdict.LEAF, hinges=hinges, motion=motion, gap=0.0, inside_up=up)


def _nothing_to_close(part: HingedPart, report: FoldReport, at: At) -> FoldReport:
    """No sides were found to meet: a folded card, or a net that needs a word from the maker."""
    if len(part.hinges) == 1:
        angles = np.array([h.declared if h.declared is not None else 90.0 for h in report.hinges])
        return _leaf(part, report, angles)
    note = Finding.of(
        "cannot-infer",
        "no two sides were found that must meet, so nothing can be said about closing",
        "Declare which sides meet (mate), or the fold angles, in the angles file.",
        (at(report.panels[0].inner_point),),
    )
    return _flat_motion(
        part, replace(report, verdict=Verdict.CANNOT_INFER, messages=(*report.messages, note))
    )


def _folded(
    part: HingedPart,
    resolved: ResolvedDeclarations,
    report: FoldReport,
    outcome: Closing,
    constraints: FoldConstraints,
    limits: SeamLimits,
    asked: Asked,
    at: At,
) -> FoldReport:
    body = outcome.body
    hollow = {} if outcome.judged is None else hollow_walls(outcome.judged)
    drawn = room_of(part, body, 0.0, hollow, outcome.degrees)
    real = room_of(part, body, asked.thickness, hollow, outcome.degrees) if asked.thickness else drawn
    base = drawn.base if drawn is not None else body.root
    tree = full_tree(part, base, frozenset(body.members), outcome.degrees)
    angles = hinge_angles(part, tree, outcome.degrees)
    turn, shift = pose_panels(tree, above(tree, angles))
    hinges = tuple(
        replace(h, angle=float(angles[k]), held=k not in outcome.loose) for k, h in enumerate(report.hinges)
    )
    mates = _mates(body)
    flaps = flaps_of(part, outcome.hung, turn, shift)
    verdict = verdict_of(outcome, constraints, limits, resolved)
    sized = verdict in _SIZED and convex(body, constraints)
    told = replace(
        report,
        verdict=verdict,
        certainty=certainty_of(outcome, resolved),
        panels=_with_roles(report.panels, body, flaps, frills_of(part)),
        hinges=hinges,
        mates=mates,
        flaps=flaps,
        gussets=_gussets(part, body),
        gap=body.gap,
        concavity=body.concavity,
        open_sides=body.open_sides,
        open_length=body.open_length,
        inside_mm=real.size if real and sized else None,
        drawn_mm=drawn.size if drawn and sized else None,
        rim_mm=real.ends if real and sized and real.tapers else None,
        inside_planes=real.planes if real and sized else np.empty((0, 4)),
        volume_mm3=drawn.volume if hollow and drawn is not None else _volume(outcome, drawn, constraints),
        motion=motion_of(tree, angles),
        base=base,
        inside_up=body.volume >= 0,
        up=_up(drawn, body),
        example=verdict is Verdict.MOVABLE,
    )
    messages = _messages(part, outcome, constraints, limits, asked, at, told, turn, shift)
    return replace(told, messages=(*report.messages, *messages))


def _volume(outcome: Closing, drawn: Room | None, constraints: FoldConstraints) -> float:
    """What the part encloses, mm3; gaps between closing flaps and windows over a corner don't count."""
    body = outcome.body
    measured = abs(body.volume)
    if outcome.judged is not None and outcome.judged.uneven:
        return abs(outcome.judged.volume)
    if drawn is None or body.flat or not convex(body, constraints):
        return measured
    return drawn.volume if abs(drawn.volume - measured) < _GAPS * measured else measured


def _with_roles(
    panels: tuple[Panel, ...], body: Body, flaps: tuple[Flap, ...], frills: frozenset[int]
) -> tuple[Panel, ...]:
    found = list(panels)
    for frill in sorted(frills):
        found[frill] = replace(found[frill], role=Role.GUSSET, duty=Duty.HEADER)
    for flap in flaps:
        found[flap.panel] = replace(found[flap.panel], role=Role.FLAP, duty=flap.duty, layer=flap.layer)
    for half in body.guess.halves:
        found[half] = replace(found[half], role=Role.GUSSET, duty=Duty.GUSSET, layer=1)
    return tuple(found)


def _mates(body: Body) -> tuple[Mate, ...]:
    found = []
    for pair, gap in zip(body.zipped.pairs, body.gaps, strict=True):
        a, b = body.zipped.side(pair.a), body.zipped.side(pair.b)
        found.append(Mate(a.panel, b.panel, a.ends, b.ends[::-1], pair.source, gap))
    return tuple(found)


def _gussets(part: HingedPart, body: Body) -> tuple[Gusset, ...]:
    found = []
    for pleat in body.guess.pleats:
        one = part.hinges[pleat.hinge_a].other(pleat.half_a)
        two = one
        if pleat.hinge_b is not None and pleat.half_b is not None:
            two = part.hinges[pleat.hinge_b].other(pleat.half_b)
        found.append(Gusset(pleat.half_a, pleat.half_b, (one, two)))
    return tuple(found)


def _messages(
    part: HingedPart,
    outcome: Closing,
    constraints: FoldConstraints,
    limits: SeamLimits,
    asked: Asked,
    at: At,
    report: FoldReport,
    turn: Points,
    shift: Points,
) -> list[Finding]:
    panels, body, hung = report.panels, outcome.body, outcome.hung
    state = folded_by(frame_of(part, report.base), np.array([h.angle for h in report.hinges]))
    found = gap_findings(report.mates, report.gap, limits, panels, at)
    # Where ends were drawn together, they were off by as much.
    slack = 2 * part.tolerance if part.tolerance > asked.tolerance.coincide else 0.0
    ends: list[Finding] = []
    if not errors(report.messages):  # else uneven sides are a consequence of the drawing's faults
        if outcome.judged is None:
            found += side_findings(report.mates, limits.seam + slack, panels, at)
        else:
            ends = end_findings(report, state, at)
    found += ends
    if report.verdict in _NOT_CLOSING:
        found += gusset_findings(part, panels, at)
    found += shape_findings(report, at)
    if report.verdict is not Verdict.CANNOT_INFER:  # where nothing meets, nothing is known of flaps
        found += fold_findings(wrong_folds(body, constraints), report.hinges, panels, at)
        # Flaps on an end that is too large or too small stand out beyond it: that is said of the end.
        told = flap_findings(hung, report.flaps, panels, at, slack)
        found += [f for f in told if not ends or f.code != "flap-wide"]
        found += overlap_findings(part, hung, panels, turn, shift, at)
        found += tuck_findings(part, hung, panels, asked.thickness, at) if asked.thickness else []
        inner = {k for k, p in enumerate(panels) if p.role is Role.GUSSET}
        crossing = contacts_of(state, limits.seam).crossing
        found += told_crossings([c for c in crossing if not inner & set(c[:2])], report, at)
    found += extra_wall_findings(report, outcome.extra, at)
    found += loose_findings(report, sorted(outcome.loose), at)
    layers = layer_findings(report, part, hung, at) if report.verdict in CLOSING else []
    found += layers or allowance_findings(report)
    found += expect_findings(report, asked.declared.expect)
    found += flat_findings(report, at) if asked.declared.expect.folds_flat else []
    found += grain_findings(report, asked.declared.grain)
    return found


def _up(room: Room | None, body: Body) -> tuple[float, float, float]:
    """Direction from the base into the part."""
    if room is None:
        return (0.0, 0.0, 1.0 if body.volume >= 0 else -1.0)
    x, y, z = room.up
    return float(x), float(y), float(z)
