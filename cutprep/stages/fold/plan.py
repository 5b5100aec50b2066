"""Folding a drawing on the screen: from lines to panels, hinges, seams, sizes and a verdict.

lines -> pose -> plane graph -> panels -> hinges -> parts -> (for each) body, flaps, gussets -> report -> back from the pose
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.geometry.lines.pose import CanonicalPose
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.work import WORK_LIMIT
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.declared.posed import posed_declarations
from cutprep.stages.fold.declared.resolved import owners, resolve_declarations
from cutprep.stages.fold.findings.amiss import amiss
from cutprep.stages.fold.findings.causes import blamed, causes_of, nothing_folds, told_once
from cutprep.stages.fold.fit.pairs import found_fits
from cutprep.stages.fold.fit.tell import fit_finding
from cutprep.stages.fold.folded.summary import sum_up
from cutprep.stages.fold.folded.unposed import DrawingPlaces, unposed
from cutprep.stages.fold.folded.word import Asked
from cutprep.stages.fold.lacking.cut_score import with_cut_score
from cutprep.stages.fold.lacking.missing_score import with_missing_score
from cutprep.stages.fold.lacking.several_cut import with_several_cut
from cutprep.stages.fold.net.groups import middle_of, sort_out
from cutprep.stages.fold.net.hems import frills_of
from cutprep.stages.fold.net.hinges import Score, hinges_of, parts_of
from cutprep.stages.fold.net.net_lines import NetLines, pick_net_lines, posed_drawing, with_rows_joined
from cutprep.stages.fold.net.panels import Net, find_net
from cutprep.stages.fold.net.part import HingedPart, part_of
from cutprep.stages.fold.net.steady import steady, unsplit
from cutprep.tolerance import Tolerance

Where = Callable[[int, Points], Place]
#: Number, name and label of the piece at each of (n, 2) spots, mm.
Pieces = Callable[[Points], Sequence[tuple[int, str, str]]]


def fold(
    drawing: Drawing,
    *,
    declared: FoldDeclarations | None = None,
    thickness: float = 0.0,
    tolerance: Tolerance,
    seed: int = 0,
    faults: Findings = (),
    work: float = WORK_LIMIT,
    pieces: Pieces | None = None,
) -> tuple[FoldReport, ...]:
    """Fold every part of a classified drawing; where one does not close, a missing score is looked for.

    Parameters
    ----------
    drawing
        Cuts bound panels, scores join them; a perforation is a score where it parts two panels.
        Other lines are left alone.
    declared
        What the maker says about angles, mates, flaps and sizes; the rest is inferred.
    thickness
        The card's caliper, mm; a declared one goes first.
    seed
        For starts of the search, should it need random ones.
    faults
        What the check of this drawing found. Where one of them is behind what folding finds, it is named
        instead of all that follows.
    work
        What may be spent on each part, in counted units of about a millisecond; a part that takes more is
        told as not solved.
    pieces
        Number, name and label of the piece at each of some spots, mm, so that parts come and are called as elsewhere.

    Returns
    -------
    tuple of FoldReport
        One a part, as `pieces` numbers them, else the part with the most panels first; empty when nothing
        bounds a panel.

    Raises
    ------
    JobError
        When a declared point names nothing in the drawing.
    """
    said = declared or FoldDeclarations()
    asked = Asked(said, thickness if said.thickness is None else said.thickness, tolerance, seed, work)
    posed, pose = posed_drawing(drawing)
    asked = replace(asked, declared=posed_declarations(said, pose))
    reports = _fold_posed(posed, pose, asked, faults, pieces, told=declared is not None)
    return tuple(unposed(report, pose) for report in reports)


def _fold_posed(
    drawing: Drawing,
    pose: CanonicalPose,
    asked: Asked,
    faults: Findings,
    pieces: Pieces | None,
    *,
    told: bool,
) -> tuple[FoldReport, ...]:
    """Fold a drawing in its pose; what is `told` by the maker needs no further scores."""
    drawn = _lines_of(drawing)
    if not len(drawn.operations):
        return ()
    net = find_net(drawn, asked.tolerance)
    reports, parts = _fold_net(drawing, pose, net, asked, faults, pieces=pieces)
    if told or not parts or any(f.severity is Severity.ERROR for f in faults):
        return reports
    at = DrawingPlaces(drawing, pose)

    def scored(other: Net, panels: frozenset[int], most: float) -> tuple[FoldReport, ...]:
        less = replace(asked, work=min(asked.work, most))
        return _fold_net(drawing, pose, other, less, (), panels, pieces)[0]

    def again(other: Drawing, most: float) -> tuple[FoldReport, ...]:
        lines = find_net(_lines_of(other), asked.tolerance)
        return _fold_net(other, pose, lines, replace(asked, work=min(asked.work, most)), pieces=pieces)[0]

    found = with_cut_score(net, parts, reports, scored, at)
    if not any(r.found("cut-for-score") for r in found):
        found = with_several_cut(net, parts, found, scored, at)
    if len(found) > 1 and any(r.found("cut-for-score") for r in found):
        return found
    return with_missing_score(drawing, found, again, at)


def _lines_of(drawing: Drawing) -> NetLines:
    """The lines that fold or part the card; a score in two pieces is no row of dashes."""
    return steady(with_rows_joined(unsplit(pick_net_lines(drawing))))


def _fold_net(
    drawing: Drawing,
    pose: CanonicalPose,
    net: Net,
    asked: Asked,
    faults: Findings = (),
    only: frozenset[int] | None = None,
    pieces: Pieces | None = None,
) -> tuple[tuple[FoldReport, ...], tuple[tuple[int, ...], ...]]:
    """Fold every part just as it is drawn; with the panels of each part.

    Parameters
    ----------
    only
        Parts without one of these panels are left out; all are folded when None.
    pieces
        As for `fold`.
    """
    hinges = hinges_of(net)
    sorted_out = sort_out(net, parts_of(len(net.rings), hinges))
    groups = [p for p in sorted_out.parts if only is None or only.intersection(p)]
    parts = [_with_frills_last(part_of(net, list(p), hinges), hinges) for p in groups]
    names = [(drawing.name if len(parts) == 1 else f"{drawing.name} {k + 1}", "") for k in range(len(parts))]
    if pieces is not None and len(sorted_out.parts) > 1:
        spots = np.array([p.polygons[0].representative_point().coords[0] for p in parts])
        told = pieces(pose.back(spots))
        order = sorted(range(len(parts)), key=lambda k: told[k][0])
        groups, parts = [groups[k] for k in order], [parts[k] for k in order]
        names = [told[k][1:] for k in order]
    where, at = _where(drawing, pose), DrawingPlaces(drawing, pose)
    shapes = [shapely.MultiPolygon(list(p.polygons)) for p in parts]
    causes = causes_of(faults, [shapely.transform(s, pose.back) for s in shapes] if faults else shapes)
    owner = owners(parts, asked.declared)
    reports = []
    for k, part in enumerate(parts):
        resolved = resolve_declarations(part, k, asked.declared, owner)
        mine = sorted_out.parts.index(groups[k])
        loose = tuple(_loose(net, panels, where) for panels, of in sorted_out.loose if of == mine)
        name, label = names[k]
        report = sum_up(part, resolved, name, loose, asked, at)
        report = replace(report, piece=label, messages=(*report.messages, *amiss(report, at)))
        reports.append(blamed(report, causes[k]))
    if not reports:
        return nothing_folds(drawing.name, faults), ()
    return with_fits(told_once(reports), at), tuple(groups)


def _with_frills_last(part: HingedPart, hinges: tuple[Score, ...]) -> HingedPart:
    frills = frills_of(part)
    if not frills:
        return part
    order = sorted(range(len(part.panels)), key=lambda p: p in frills)
    return part_of(part.net, [part.panels[p] for p in order], hinges, len(frills))


def with_fits(reports: tuple[FoldReport, ...], at: DrawingPlaces) -> tuple[FoldReport, ...]:
    """Tell of parts that look as if drawn for one another how they fit."""
    told = list(reports)
    for outer, inner, found in found_fits(reports):
        spots = tuple(at(reports[k].panels[reports[k].base].inner_point) for k in (outer, inner))
        finding = fit_finding(found, spots, declared=False)
        told[outer] = replace(told[outer], messages=(*told[outer].messages, finding))
    return tuple(told)


def _where(drawing: Drawing, pose: CanonicalPose) -> Where:
    def where(line: int, xy: Points) -> Place:
        element = drawing.lines.element(line)
        x, y = pose.back(xy).tolist()
        return Place(element.file, element.line, element.name or None, element.layer or None, (x, y))

    return where


def _loose(net: Net, panels: tuple[int, ...], where: Where) -> Finding:
    """Tell panels that only cuts join to the part, and the longest of those cuts: it should be a score."""
    xy = middle_of(net, panels)
    u, v = net.rings[panels[0]][:2]
    ends = np.sort(net.pieces.ends, axis=1)
    piece = int(np.flatnonzero((ends == sorted((u, v))).all(axis=1))[0])
    places = [replace(where(int(net.pieces.line[piece]), xy))]
    runs = net.pieces.xy[net.pieces.ends]
    size = np.hypot(*(runs[:, 1] - runs[:, 0]).T)
    between = [k for k in range(len(size)) if _parts(net.sides(k), set(panels))]
    fix = "Make one of the cuts a score; if it is waste or a part of its own, all is well."
    if between:
        longest = max(between, key=lambda k: (round(float(size[k]), 3), -k))
        places.append(where(int(net.pieces.line[longest]), runs[longest].mean(axis=0)))
        fix = fix.replace("one of the cuts", f"the cut of {size[longest]:.1f} mm between them")
    several = f"{len(panels)} panels hang" if len(panels) > 1 else "a panel hangs"
    return Finding.of(
        "loose",
        f"{several} on nothing: only cuts lie between it and the part",
        fix,
        tuple(places),
        severity=Severity.ERROR if len(panels) == 1 else Severity.WARNING,
    )


def _parts(sides: tuple[int, int], panels: set[int]) -> bool:
    """Whether a piece lies between some panels and another panel."""
    return min(sides) >= 0 and (sides[0] in panels) != (sides[1] in panels)
