"""A template seen from its back: for card that is cut face down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.model.part import Template


def turned_over(template: Template) -> Template:
    """Turn a template over sideways, like a page.

    Outlines keep running counter-clockwise and holes clockwise; a valley seen from the back is a
    mountain; the origin stays the lower left of its lines.
    """
    lines = template.lines
    mirrored = lines.transform([[-1.0, 0.0, lines.bounds[0] + lines.bounds[2]], [0.0, 1.0, 0.0]])
    # Mirrored rings run the other way round.
    mirrored = mirrored.take(np.arange(len(lines)), reverse=lines.closed)
    mirrored = mirrored.with_operations(lines.operation, -lines.fold)
    grain = None if template.grain is None else (180.0 - template.grain) % 180.0
    return replace(template, lines=mirrored, grain=grain)
