"""Outlines that don't close, and cuts that lead nowhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from cutprep.geometry.lines.segments import points_at
from cutprep.geometry.planar.ends.joints import find_reach
from cutprep.geometry.planar.outlines import OpenChains, alone, open_chains
from cutprep.geometry.planar.tails import Tails
from cutprep.model.findings.finding import Finding, Mend, Severity
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags, Points
from cutprep.model.operation import Operation
from cutprep.stages.check.survey import Survey, trimming

#: Inside another outline, where a cut around a flap is meant to stay open, a chain bounds something when
#: its ends are closer than this share of its length.
_BOUNDS_INSIDE = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class _Open:
    """A chain that doesn't close: its two end lines and ends, how far apart those are, its length."""

    lines: tuple[int, int]
    spots: Points
    apart: float
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class _Gap:
    """Two lines whose ends miss each other, or one that stops short of the other (`tee`): where, and how wide, mm."""

    lines: tuple[int, int]
    spots: Points
    width: float
    tee: bool


def find_gaps(survey: Survey) -> Iterator[Finding]:
    """Find ends of cut lines that miss each other, or miss the line they should meet, by a little."""
    lines, joints, spots = survey.lines, survey.joints, survey.ends
    gaps = [
        _Gap((one // 2, two // 2), spots[[one, two]], width, tee=False)
        for (one, two), width in zip(joints.link.tolist(), joints.link_gap.tolist(), strict=True)
    ]
    targets = points_at(lines, joints.tee_line, joints.tee_position)
    columns = (joints.tee.tolist(), joints.tee_line.tolist(), targets, joints.tee_gap.tolist())
    for end, line, target, width in zip(*columns, strict=True):
        gaps.append(_Gap((end // 2, line), np.stack((spots[end], target)), width, tee=True))
    yield from tell(gaps, partial(_tell_gap, survey))
    yield from _tell_dashes(survey)


def _tell_gap(survey: Survey, gap: _Gap) -> Finding:
    if gap.tee:
        text = f"A cut line stops {gap.width:.2f} mm short of another"
    else:
        text = f"Two ends of cut lines miss each other by {gap.width:.2f} mm"
    return Finding.of(
        code="gap",
        problem=f"{text}: the part would hang on there and tear off.",
        fix="Close the gap, or let mending close it.",
        places=tuple(place_of(survey.lines, i, xy) for i, xy in zip(gap.lines, gap.spots, strict=True)),
        measure=gap.width,
        limit=survey.tolerance.coincide,
    )


def _tell_dashes(survey: Survey) -> Iterator[Finding]:
    dashed = np.flatnonzero(survey.joints.dashed)
    if len(dashed):
        yield Finding.of(
            code="dashes",
            problem=f"{len(dashed)} short cuts in a row make a broken line; they are cut dash by dash, as drawn.",
            fix="Nothing, if a perforation is meant; else close the gaps.",
            places=tuple(place_of(survey.lines, i) for i in dashed[:MOST_PLACES].tolist()),
            measure=float(len(dashed)),
            unit="lines",
        )


def find_overruns(survey: Survey) -> Iterator[Finding]:
    """Find cuts that run past the outline they bound."""
    tails = survey.overruns
    yield from tell(range(len(tails)), partial(_overrun, survey, tails))


def _overrun(survey: Survey, tails: Tails, k: int) -> Finding:
    length, tolerance = float(tails.length[k]), survey.tolerance
    safe = length <= tolerance.tail
    if tails.outside[k]:
        problem = f"A cut runs {length:.2f} mm past the outline: it would slit what lies beside the part."
    else:
        problem = (
            f"A cut runs {length:.2f} mm past a corner of the outline into the card: it would tear there."
        )
    return Finding.of(
        code="cut-past-outline",
        problem=problem,
        fix=f"End it at the outline, or let mending do so{trimming(length, tolerance)}.",
        places=tuple(place_of(survey.lines, int(tails.line[k]), xy) for xy in (tails.tip[k], tails.root[k])),
        measure=length,
        limit=tolerance.doubled,
        mend=Mend.SAFE if safe else Mend.ASK,
    )


def find_open(survey: Survey) -> Iterator[Finding]:
    """Find chains of cut lines that bound a part without closing, and chains that lead nowhere."""
    lines, joints, tolerance = survey.lines, survey.joints, survey.tolerance
    if not (joints.free.any() or len(survey.sprouts)):
        return
    found = open_chains(lines, joints)
    found = found.take((found.length >= tolerance.sliver) & ~survey.bounding[found.chain])
    head = found.begin // 2
    inside = (
        survey.outlines.depth(points_at(lines, head, survey.lengths[head] / 2), closed_only=True) % 2 == 1
    )
    met = ~alone(found, joints, survey.cut_crossings)
    held = _held(survey, found, inside)
    far = found.bounding & ~held & (~inside | (found.apart <= _BOUNDS_INSIDE * found.length))
    small = ~(far | held | met) & (found.length < tolerance.near_run)
    astray = ~(far | held | met | small | inside)
    columns = (found.begin.tolist(), found.end.tolist(), found.apart, found.length)
    made = [
        _Open((a // 2, b // 2), survey.ends[[a, b]], float(d), float(size))
        for a, b, d, size in zip(*columns, strict=True)
    ]
    made += _sprouts(survey.sprouts)
    astray = np.concatenate((astray, np.ones(len(made) - len(astray), bool)))
    for which, make in (
        (far & ~inside, partial(_open, survey, Severity.ERROR)),
        (far & inside, partial(_open, survey, Severity.WARNING)),
        (small, partial(_stub, survey)),
        (astray, partial(_unfinished, survey)),
    ):
        yield from tell([made[k] for k in np.flatnonzero(which).tolist()], make)


def _sprouts(tails: Tails) -> list[_Open]:
    """Cuts that lead from an outline to nowhere, beside the card."""
    columns = (tails.line.tolist(), tails.tip, tails.root, tails.length.tolist())
    return [
        _Open((line, line), np.stack((tip, root)), float(np.hypot(*(tip - root))), length)
        for line, tip, root, length in zip(*columns, strict=True)
    ]


def _held(survey: Survey, found: OpenChains, inside: Flags) -> Flags:
    """Which chains are meant to stay open: both ends meet a perforation, or inside a part a fold."""
    held = []
    for end in (found.begin, found.end):
        rows = np.unique(end)
        meets = [
            np.isin(end, find_reach(survey.lines, rows, pick, survey.nearby, survey.tolerance.doubled).end)
            for pick in (survey.lines.operation == Operation.PERFORATE, survey.folds)
        ]
        held.append(np.where(inside, meets[1], meets[0]))
    return np.asarray(held[0] & held[1], bool)


def _open(survey: Survey, severity: Severity, chain: _Open) -> Finding:
    return Finding.of(
        code="open-outline",
        problem=f"An outline stays open by {chain.apart:.2f} mm: the piece would not come away there.",
        fix="Draw the missing cut, or give the line another operation if it is no outline.",
        places=tuple(place_of(survey.lines, i, xy) for i, xy in zip(chain.lines, chain.spots, strict=True)),
        measure=chain.apart,
        limit=survey.tolerance.gap,
        severity=severity,
    )


def _stub(survey: Survey, chain: _Open) -> Finding:
    return Finding.of(
        code="stub",
        problem=f"A cut of {chain.length:.2f} mm stands alone: it bounds nothing and would only weaken the card.",
        fix="Delete it if it is left over.",
        places=(place_of(survey.lines, chain.lines[0], chain.spots[0]),),
        measure=chain.length,
        limit=survey.tolerance.near_run,
    )


def _unfinished(survey: Survey, chain: _Open) -> Finding:
    return Finding.of(
        code="unfinished-chain",
        problem=f"A cut of {chain.length:.2f} mm lies outside every outline and bounds nothing: "
        "it would only slit the sheet.",
        fix="Finish the outline, or delete the line.",
        places=tuple(place_of(survey.lines, i, xy) for i, xy in zip(chain.lines, chain.spots, strict=True)),
        measure=chain.length,
        limit=survey.tolerance.near_run,
    )
