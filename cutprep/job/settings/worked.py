"""Figures that a job file gives to the lines of a layer, `[[worked]]`: another force, offset, overcut or passes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from cutprep.errors import JobError
from cutprep.job.settings.forms import in_mm
from cutprep.model.drawing import Drawing
from cutprep.profile.stock import PASSES
from cutprep.stages.blade.cutting import LayerFigures
from cutprep.tables import Table, suggest

#: Key of a job file.
WORKED = "worked"
#: Longest offset and overcut, as of a card, mm.
_LONGEST = {"offset": 5.0, "overcut": 10.0}

#: Name of a layer to the figures of its lines.
Figures = tuple[tuple[str, LayerFigures], ...]


def worked_layers(table: Table) -> Figures:
    """Read the figures of single layers from a job file.

    Raises
    ------
    JobError
        Naming file, line and key of what can't be used.
    """
    found: dict[str, LayerFigures] = {}
    for row in table.tables(WORKED):
        layer = row.text("layer")
        if layer in found:
            raise row.fail("layer", f"the layer '{layer}' stands twice", "Give all its figures in one table.")
        given: dict[str, Any] = {
            key: row.length(key, None, least=0.0, most=most) for key, most in _LONGEST.items() if row.has(key)
        }
        if row.has("force"):
            given["force"] = row.number_in("force", None, least=0.0)
        if row.has("passes"):
            given["passes"] = row.whole("passes", None, **PASSES)
        row.finish()
        if not given:
            raise row.fail("layer", "no figure is given for it", "Add force, offset, overcut or passes.")
        found[layer] = LayerFigures(**given)
    return tuple(found.items())


def require_layers(figures: Figures, drawings: Iterable[Drawing]) -> None:
    """Refuse figures for a layer that no drawing has: there is a slip in its name.

    Raises
    ------
    JobError
        Naming the layers that are near.
    """
    if not figures:
        return
    known = {element.layer for drawing in drawings for element in drawing.lines.elements}
    for layer, _ in figures:
        if layer not in known:
            raise JobError(
                f"no drawing has a layer '{layer}', for which figures are given",
                fix=suggest(layer, sorted(known)),
            )


def worked_tables(figures: Figures) -> Iterator[dict[str, Any]]:
    """What a job file holds for the figures of layers, a table each."""
    for layer, one in figures:
        lengths = {key: getattr(one, key) for key in _LONGEST}
        yield {
            "layer": layer,
            **({} if one.force is None else {"force": one.force}),
            **{key: in_mm(value) for key, value in lengths.items() if value is not None},
            **({} if one.passes is None else {"passes": one.passes}),
        }
