"""The lines: columns for the picture, and what each layer is for."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import partial

import numpy as np

from cutprep.desk.sections.store import Shown, Store
from cutprep.job.job import Item, Job
from cutprep.job.settings.forms import WORD_OF
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.report.answers import lines_answer, unplaced_answer
from cutprep.report.pictures.sheet import line_class
from cutprep.stages.check.layers import tabulate
from cutprep.units import say_length

#: Coordinates of the picture are whole steps of this, mm.
STEP = 0.01


def lines(job: Job, drawings: Sequence[tuple[Item, Drawing]], store: Store, *, first: bool = False) -> Shown:
    """Show the lines of every drawing, with the operation of each layer.

    Parameters
    ----------
    job
        That they belong to.
    drawings
        Each with the item that it belongs to.
    store
        Takes the columns.
    first
        They are as they were read, and not checked or mended yet.
    """
    needs = unplaced_answer(drawing for _, drawing in drawings)
    rows = []
    for item, drawing in drawings:
        layers: dict[str, dict[str, object]] = {}
        for row in tabulate(drawing):
            found = layers.setdefault(
                row.layer,
                {"layer": row.layer, "lines": 0, "length": 0.0, "kinds": [], "rule": row.rule, "colours": []},
            )
            found["lines"] = int(str(found["lines"])) + row.lines
            found["length"] = float(str(found["length"])) + row.length_mm
            kind = "not placed" if row.operation is Operation.UNPLACED else row.operation.word
            for key, value in (("kinds", kind), ("colours", row.colour)):
                listed = found[key]
                assert isinstance(listed, list)
                if value is not None and value not in listed:
                    listed.append(value)
        rows.append(
            {
                "row": item.row,
                "file": item.path.name,
                "columns": store.keep_of(drawing.lines, "lines", partial(columns, drawing.lines), "bin"),
                "scale_note": drawing.scale_note,
                "layers": [
                    {**layer, "length": say_length(float(str(layer["length"])), job.unit)}
                    for layer in layers.values()
                ],
            }
        )
    return {
        "state": "working" if first else "needs" if needs else "done",
        "answer": needs or lines_answer(drawing for _, drawing in drawings),
        "drawings": rows,
        "words": list(reversed(WORD_OF.values())),
    }


def columns(lines: Lines) -> bytes:
    """Lines as the picture reads them.

    Returns
    -------
    bytes
        Length of a JSON head (4 bytes, little endian), the head, filled up with spaces to a multiple of 4, then
        32-bit integers, little endian: where each line begins (n + 1), its class (n), its layer (n), then x and y of
        every point in steps of 0.01 mm. The head names the classes and layers, and `bounds` in mm.
    """
    classes: dict[str, int] = {}
    layers: dict[str, int] = {}
    kind, layer = [], []
    for operation, fold, source in zip(
        lines.operation.tolist(), lines.fold.tolist(), lines.source.tolist(), strict=True
    ):
        name = "unplaced" if operation == Operation.UNPLACED else line_class(operation, fold)
        kind.append(classes.setdefault(name, len(classes)))
        layer.append(layers.setdefault(lines.elements[source].layer, len(layers)))
    points = np.round(lines.xy / STEP).astype("<i4")
    head = json.dumps(
        {
            "lines": len(kind),
            "points": len(points),
            "step": STEP,
            "classes": list(classes),
            "layers": list(layers),
            "bounds": [round(float(v), 3) for v in lines.bounds],
        }
    ).encode("ascii")
    head += b" " * (-len(head) % 4)
    parts = (lines.start, np.array(kind), np.array(layer), points.ravel())
    return (
        len(head).to_bytes(4, "little")
        + head
        + b"".join(np.asarray(p).astype("<i4").tobytes() for p in parts)
    )
