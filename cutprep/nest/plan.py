"""Copies to sheets: which pattern lies on which sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from cutprep.errors import DoesNotFit, PlanError
from cutprep.model.sheet import Placement, Sheet
from cutprep.nest.grid import grid_pattern
from cutprep.nest.pattern import Pattern, Spot, used_box
from cutprep.nest.proof import verify_layout
from cutprep.nest.room import Room, room_of
from cutprep.nest.shape import Box, Shape, box_at, shape_of
from cutprep.nest.want import Pose, Want, poses, require_copies
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent

Effort = Literal["quick", "normal", "thorough"]


def nest(
    wants: Sequence[Want],
    supply: Sequence[SheetSize],
    *,
    stock: str = "",
    grain: float | None = None,
    margin: float = 5.0,
    gap: float = 3.0,
    seed: int = 0,
    effort: str = "normal",
    keep_out: Sequence[Box] = (),
    share_cuts: bool = True,
    windows: bool = False,
    progress: Progress = silent,
) -> tuple[Sheet, ...]:
    """Lay copies out on as few sheets as possible.

    Parameters
    ----------
    wants
        Templates with copies each.
    supply
        Sizes of sheets, already clipped to the machine's area, the usual one first.
    stock
        Name of the card for the sheets.
    grain
        Direction of the card's grain on the sheet, degrees from x, or None.
    margin, gap
        Border kept free, and least distance between parts, mm.
    seed
        Same seed, same layout.
    effort
        "quick", "normal" or "thorough".
    keep_out
        Rectangles that stay free on every sheet: left, bottom, right, top, mm.
    share_cuts
        With gap 0, cut facing straight edges of neighbours once.
    windows
        Parts may lie in the waste windows of others.

    Raises
    ------
    DoesNotFit
        When a template is larger than the room on every sheet in every allowed turn.
    GrainConflict
        When no allowed turn keeps the grain.
    PlanError
        When sheets run out, margin or gap leave no room, or an outline is open.
    """
    wants = tuple(want for want in wants if want.copies)
    require_copies(wants)
    shapes = tuple(shape_of(want.template) for want in wants)
    allowed = tuple(poses(want, grain) for want in wants)
    room = room_of(supply[0], margin, gap, keep_out)
    sheets: list[Sheet] = []
    copy = 0
    templates = tuple(want.template for want in wants)
    for i, want in enumerate(wants):
        pattern = grid_pattern(i, shapes[i], allowed[i], room)
        if not pattern:
            raise _does_not_fit(want, shapes[i], allowed[i], room)
        left = want.copies
        while left:
            spots = pattern.spots[:left]
            sheets.append(
                _sheet(len(sheets) + 1, Pattern(spots, pattern.method), room, templates, stock, copy)
            )
            copy += len(spots)
            left -= len(spots)
            progress("nest", copy, sum(w.copies for w in wants))
    result = tuple(_with_utilisation(s, shapes, last=s is sheets[-1]) for s in sheets)
    assert not verify_layout(result, wants=wants, grain=grain, keep_out=keep_out, windows=windows)
    return result


def _sheet(
    number: int, pattern: Pattern, room: Room, templates: tuple[object, ...], stock: str, copy: int
) -> Sheet:
    return Sheet(
        number=number,
        width=room.size.width,
        height=room.size.height,
        stock=stock,
        templates=templates,  # type: ignore[arg-type]
        placements=tuple(
            Placement(s.want, s.x, s.y, s.pose.turn, s.pose.mirror, copy + k)
            for k, s in enumerate(pattern.spots, 1)
        ),
        margin=room.margin,
        gap=room.gap,
        method=pattern.method,
    )


def _with_utilisation(sheet: Sheet, shapes: Sequence[Shape], *, last: bool) -> Sheet:
    area = sum(shapes[p.template].area for p in sheet.placements)
    height = sheet.height
    if last:
        spots = tuple(Spot(p.template, Pose(p.turn, p.mirror), p.x, p.y) for p in sheet.placements)
        height = used_box(Pattern(spots, ""), shapes)[3]
    return replace(sheet, utilisation=area / (sheet.width * height))


def _does_not_fit(want: Want, shape: Shape, allowed: Sequence[Pose], room: Room) -> DoesNotFit:
    left, bottom, right, top = box_at(shape, allowed[0])
    width, height = room.extent
    return DoesNotFit(
        f"'{want.template.name}' is {right - left:.1f} x {top - bottom:.1f} mm; the sheet has room for "
        f"{width:.1f} x {height:.1f} mm inside the margin",
        fix="Take a larger sheet.",
    )


__all__ = ["Effort", "PlanError", "nest"]
