"""Drawings as hands make them: pieces that were laid out by themselves stand with the rest of their drawing again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutprep.geometry.affine import shift
from cutprep.model.lines import Lines
from cutprep.model.part import Part
from cutprep.report.hands.pieces import called
from cutprep.report.outcome import TemplateOutcome


def whole_drawings(templates: Sequence[TemplateOutcome]) -> tuple[TemplateOutcome, ...]:
    """Put pieces back to the drawing that they are from, each as often as one copy of the rest needs it.

    Parameters
    ----------
    templates
        Of a job. A piece of which there are fewer, or no whole multiple, stays by itself.
    """
    found: list[TemplateOutcome] = []
    for template in templates:
        at = next((k for k, one in enumerate(found) if _belongs(template, one)), None)
        if at is None:
            found.append(template)
        else:
            found[at] = _with(found[at], template)
    return tuple(found)


def card_in_words(template: TemplateOutcome) -> str:
    """What it is made of: `Card, 220 g/m2`, and where a piece is of another one, `; the lid: Kraft card`."""
    others = [
        f"{called(name) if not name.isdigit() else f'piece {name}'}: {card}"
        for name, card in template.other_cards
    ]
    return "; ".join((template.stock.title, *others))


def _belongs(piece: TemplateOutcome, rest: TemplateOutcome) -> bool:
    """Whether the rest is of the same drawing, and its copies share the pieces evenly."""
    alike = piece.piece and not rest.piece and piece.drawing == rest.drawing
    return bool(alike and rest.copies and piece.copies % rest.copies == 0)


def _with(rest: TemplateOutcome, piece: TemplateOutcome) -> TemplateOutcome:
    """The rest with so many of a piece, where the drawing has it."""
    own = piece.lines.transform(shift(*(np.array(piece.offset) - np.array(rest.offset))))
    parts, lines = rest.divided, [rest.lines]
    for _ in range(piece.copies // rest.copies):
        before = sum(map(len, lines))
        parts += tuple(_moved(part, before) for part in piece.divided)
        lines.append(own)
    card = "" if piece.stock.name == rest.stock.name else piece.stock.title
    return replace(
        rest,
        lines=Lines.concat(lines),
        divided=parts,
        parts=len(parts),
        folds=rest.folds + piece.folds,
        findings=rest.findings + piece.findings,
        other_cards=rest.other_cards + (((piece.piece, card),) if card else ()),
    )


def _moved(part: Part, by: int) -> Part:
    """A part whose lines come so many later."""
    return replace(
        part,
        outline=part.outline + by,
        holes=tuple(k + by for k in part.holes),
        inner=tuple(k + by for k in part.inner),
    )
