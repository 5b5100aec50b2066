"""A sheet of stock with copies placed on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from cutprep.model.findings.finding import Findings
from cutprep.model.lines import Lines, Points
from cutprep.model.part import Template

_QUARTER = {0: (1.0, 0.0), 1: (0.0, 1.0), 2: (-1.0, 0.0), 3: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Placement:
    """One copy of a template on a sheet.

    Attributes
    ----------
    template
        Index into the sheet's templates.
    x, y
        Where the template's origin goes, mm.
    turn
        Degrees counter-clockwise about that origin, before it is moved.
    mirror
        Mirrored about its y axis, before it is turned.
    copy
        Running number of the copy over the whole job, from 1.
    part
        Index of the one part that is placed, or None for the whole template.
    """

    template: int
    x: float
    y: float
    turn: float = 0.0
    mirror: bool = False
    copy: int = 1
    part: int | None = None

    @property
    def matrix(self) -> Points:
        """The affine matrix, (2, 3), mm; quarter turns are exact."""
        quarters, rest = divmod(self.turn, 90.0)
        if rest:
            c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        else:
            c, s = _QUARTER[int(quarters) % 4]
        flip = -1.0 if self.mirror else 1.0
        return np.array([[c * flip, -s, self.x], [s * flip, c, self.y]])


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A sheet, what lies on it, and what is known of it.

    Attributes
    ----------
    number
        From 1, in the order of cutting; equal sheets have one.
    width, height
        Size, mm.
    templates, placements
        What is copied, and where; placements index templates.
    margin
        Border that is kept free, mm.
    gap
        Least distance asked for between parts, mm.
    extra
        Lines of the plan that no template holds, such as a shared cut.
    dropped
        For each placement the template lines that are left out because a neighbour's cut or
        an `extra` line does their work.
    kept_free
        Outlines of areas that no part may lie on, each (n, 2), mm.
    utilisation
        Area of the parts less their holes, over the area of the sheet.
    method
        How the nest was found, in a few words for the job sheet.
    notes
        What the nest has to say about this sheet.
    runs
        How many equal sheets are cut; the copies are numbered as on the first of them.
    """

    number: int
    width: float
    height: float
    stock: str
    templates: tuple[Template, ...]
    placements: tuple[Placement, ...]
    margin: float = 0.0
    gap: float = 0.0
    extra: Lines = field(default_factory=Lines.empty)
    dropped: tuple[tuple[int, ...], ...] = ()
    kept_free: tuple[Points, ...] = ()
    utilisation: float = 0.0
    method: str = ""
    notes: Findings = ()
    runs: int = 1
