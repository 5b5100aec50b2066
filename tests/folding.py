"""Folding sketches in tests, each only once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from cutprep.geometry.planar.net import net
from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from cutprep.stages.fold.net.net_lines import pick_net_lines
from cutprep.stages.fold.net.panels import Net, panels_of
from cutprep.stages.fold.net.part import HingedPart, part_of
from cutprep.stages.fold.net.pieces import Pieces, pieces_of
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.nets import Sketch

TOLERANCE = Tolerance()


@dataclass(frozen=True)
class _Asked:
    """A sketch and how it is folded; the same as another that reads the same."""

    key: str
    sketch: Sketch = field(compare=False)
    options: Mapping[str, object] = field(compare=False)


def folded(sketch: Sketch | Drawing, **options: object) -> FoldReport:
    """Fold a drawing of one part; the same sketch only once (reports are frozen)."""
    if isinstance(sketch, Sketch):
        return _folded(_Asked(f"{sketch!r} {sorted(options.items())!r}", sketch, options))
    return _fold(sketch, options)


@cache  # not a table of our own: runs of mutants follow what a cache keeps
def _folded(asked: _Asked) -> FoldReport:
    return _fold(asked.sketch.drawing(), asked.options)


def _fold(drawing: Drawing, options: Mapping[str, object]) -> FoldReport:
    (report,) = fold(drawing, tolerance=TOLERANCE, **options)  # type: ignore[arg-type]
    return report


@cache
def folded_kind(name: str) -> tuple[FoldReport, ...]:
    """A kind of template as it comes, in its own card; folded once for all tests of a process."""
    kind = KINDS[name]
    return fold(kind.from_values(), thickness=kind.values().get("caliper", 0.0), tolerance=TOLERANCE)


def pieces_from(sketch: Sketch, within: float = 0.05) -> Pieces:
    """Pieces of a sketch at one distance."""
    ink = pick_net_lines(sketch.drawing())
    return pieces_of(net(ink.lines, np.ones(len(ink.lines), bool), within, TOLERANCE), ink, within)


def net_from(sketch: Sketch, within: float = 0.05) -> Net:
    """Panels of a sketch at one distance."""
    return panels_of(pieces_from(sketch, within))


def part_from(sketch: Sketch) -> HingedPart:
    """The part with the most panels of a sketch."""
    net = net_from(sketch)
    hinges = hinges_of(net)
    return part_of(net, parts_of(len(net.rings), hinges)[0], hinges)


def angles_of(report: FoldReport) -> set[float]:
    """Distinct fold angles, to a hundredth of a degree."""
    return {round(h.angle, 2) + 0.0 for h in report.hinges}


def codes_of(report: FoldReport) -> list[str]:
    """Codes of all messages."""
    return [m.code for m in report.messages]


def span(points: np.ndarray) -> float:
    """Largest extent of points."""
    return float(np.ptp(points, axis=0).max())
