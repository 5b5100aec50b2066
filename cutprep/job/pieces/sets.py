"""Sets of pieces that fit, proved by folding them, and made into a job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.job.settings.table import SETTINGS
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import FoldReport
from cutprep.profile import shelf
from cutprep.stages.divide import divide
from cutprep.stages.fold.fit.case import case_of
from cutprep.stages.fold.fit.pairs import Fit, fit, fit_contents
from cutprep.stages.fold.fit.tell import fit_finding
from cutprep.stages.fold.plan import fold
from cutprep.tables import quoted
from cutprep.template.family.fitting import FittedPiece, outside_of
from cutprep.template.family.hollow import HOLLOW, Size
from cutprep.template.family.pieces import PieceSet
from cutprep.template.family.together import set_together
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

#: A set that names no card is cut from this one.
_CARD = "card"
#: A strip of a divider may be as long as its tray is wide; less is rounding, mm.
_TOUCH = 0.01


def prove_set(fitted: Sequence[FittedPiece]) -> Findings:
    """Fold every piece of a set and measure what goes into what.

    Returns
    -------
    Findings
        One for each piece that takes another, or stands in one: how much room there is on each side, or an error.
    """
    tolerance = Tolerance()
    folded = {one.piece.name: fold(one.drawing, thickness=one.caliper, tolerance=tolerance) for one in fitted}
    by_name = {one.piece.name: one for one in fitted}
    return tuple(_proofs(fitted, by_name, folded))


def _proofs(
    fitted: Sequence[FittedPiece],
    by_name: dict[str, FittedPiece],
    folded: dict[str, tuple[FoldReport, ...]],
) -> Iterator[Finding]:
    for one in fitted:
        piece = one.piece
        if piece.takes:
            strip = next((other.caliper for other in fitted if other.piece.stands_in == piece.name), None)
            found = _taken(one, by_name[piece.takes], folded[piece.name], folded[piece.takes], strip)
            count = int(np.prod(piece.grid))
            words = piece.takes if count == 1 else f"{count} x {piece.takes}"
            yield _named(found, piece.name, words, one.play)
        if piece.stands_in:
            tray = by_name[piece.stands_in].piece.name
            if HOLLOW[by_name[tray].piece.kind].flat:
                yield _named(_flat_fit(folded[tray][0], folded[piece.name][0]), tray, piece.name, 0.0)
                continue
            plays = [fit(folded[tray][0], strip) for strip in folded[piece.name]]
            yield _named(min(plays, key=lambda f: f.clearance), tray, piece.name, 0.0)


def _taken(
    one: FittedPiece,
    inner_piece: FittedPiece,
    outer: Sequence[FoldReport],
    inner: Sequence[FoldReport],
    strip: float | None,
) -> Fit:
    """How the largest part of what goes in fits the narrowest that it goes into."""
    if HOLLOW[one.piece.kind].flat:
        return _flat_fit(outer[0], inner[0])
    flat = HOLLOW[inner_piece.piece.kind].flat
    size, largest = max(
        ((_size(report), report) for report in inner if flat or case_of(report) is not None),
        key=lambda pair: pair[0][0] * pair[0][1],
        default=((0.0, 0.0, 0.0), None),
    )
    if largest is None:
        raise JobError(
            f"the size of '{one.piece.takes}' is not known, so what takes it can't be proved",
            fix="Look at it with `cutprep fold`.",
        )
    if "" in HOLLOW[one.piece.kind].room[:2]:  # a band: the way that it goes round is open
        length, width, height = _as_it_stands(size, outside_of(inner_piece))
        found = [fit_contents(report, (length, height, width)) for report in outer]
    elif one.piece.grid == (1, 1, 1) and not flat:
        found = [fit(report, largest) for report in outer]
    else:
        between = 0.0 if strip is None else strip + 2 * one.play
        columns, rows, layers = one.piece.grid
        size = _as_it_stands(size, outside_of(inner_piece))
        block = (
            columns * size[0] + (columns - 1) * between,
            rows * size[1] + (rows - 1) * between,
            layers * size[2],
        )
        found = [fit_contents(report, block) for report in outer]
    return min(found, key=lambda f: f.clearance)


def _size(report: FoldReport) -> tuple[float, float, float]:
    """What a folded part takes up, as the fold check measures it, mm; in no order of its own."""
    case = case_of(report)
    if case is None:
        return (*_face(report), 2 * report.thickness)
    along, across = np.ptp(case.outer, axis=0).tolist()
    return along, across, case.height_out


def _face(report: FoldReport) -> tuple[float, float]:
    """Width and height of the largest panel of what lies flat when it is folded, mm."""
    face = max((panel.outline for panel in report.panels), key=lambda ring: shapely.Polygon(ring).area)
    wide, high = np.ptp(face, axis=0).tolist()
    return wide, high


def _flat_fit(outer: FoldReport, inner: FoldReport) -> Fit:
    """A card in an envelope, or its liner: face in face."""
    (wide, high), (width, height) = _face(outer), _face(inner)
    caliper = outer.thickness
    return Fit(outer.name, inner.name, "into", wide - width, high - height, 0.0, caliper, 0)


def _as_it_stands(measured: Size, drawn: Size) -> Size:
    """Measured sizes as length, width and height: each is the one that the drawing has in its place by size."""
    found = [0.0, 0.0, 0.0]
    for place, value in zip(np.argsort(drawn, kind="stable").tolist(), sorted(measured), strict=True):
        found[place] = value
    return found[0], found[1], found[2]


def _named(found: Fit, outer: str, inner: str, play: float) -> Finding:
    return fit_finding(replace(found, outer=outer, inner=inner), declared=True, least=max(0.0, play - _TOUCH))


def set_job(one: PieceSet, fitted: Sequence[FittedPiece]) -> str:
    """The job file of a set whose pieces are drawn beside it, each as PIECE.svg.

    Raises
    ------
    JobError
        When pieces of one card have different calipers.
    """
    rows = [f"title = {quoted(one.title)}", "sets = 1"]
    if steps := set_together(one):
        rows.append(f"together = [\n{''.join(f'    {quoted(text)},{chr(10)}' for text in steps)}]")
    for stock, caliper in _cards(fitted).items():
        like = "" if stock in shelf.stocks() else f"like = {quoted(SETTINGS['stock'].default)}\n"
        rows.append(f'\n[[stock]]\nname = {quoted(stock)}\n{like}caliper = "{caliper:g}mm"')
    single_part = {f.piece.name: _one_part(f.drawing) for f in fitted}
    for fit_ in fitted:
        piece = fit_.piece
        rows.append(
            f"\n[[template]]\nfile = {quoted(f'{piece.name}.svg')}\nstock = {quoted(piece.stock or _CARD)}\n"
            f"copies = {fit_.count}"
        )
        if not single_part[piece.name] and (fit_.count > 1 or KINDS[piece.kind].pieces):
            rows.append("pieces_apart = true  # each piece of a box lies where it fits best")
    single = [
        f.piece for f in fitted if f.piece.takes and f.piece.grid == (1, 1, 1) and _is_box(f.piece.kind)
    ]
    rows += [
        f"\n[[fits]]\nouter = {quoted(f'{piece.name}.svg')}\ninner = {quoted(f'{piece.takes}.svg')}"
        for piece in single
        if single_part[piece.name] and single_part[piece.takes]
    ]
    return "\n".join(rows) + "\n"


def _is_box(kind: str) -> bool:
    """Whether the fold check alone knows what goes into it which way: not into an envelope, nor round what a band goes."""
    hollow = HOLLOW[kind]
    return not hollow.flat and "" not in hollow.room[:2]


def _one_part(drawing: Drawing) -> bool:
    return len(divide(drawing, Tolerance()).parts) == 1


def _cards(fitted: Sequence[FittedPiece]) -> dict[str, float]:
    found: dict[str, float] = {}
    for one in fitted:
        stock = one.piece.stock or _CARD
        if abs(found.setdefault(stock, one.caliper) - one.caliper) > _TOUCH:
            raise JobError(
                f"pieces of the card '{stock}' are {found[stock]:g} and {one.caliper:g} mm thick",
                fix="Give each thickness a stock of its own.",
            )
    return found
