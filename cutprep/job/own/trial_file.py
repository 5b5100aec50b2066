"""A trial as a job file, so that it is kept, shown and run again like any other job."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from cutprep.job.own.kept import job_toml
from cutprep.job.own.trial import DECIDES, FORCES, KEY, Span, trial_job
from cutprep.job.settings.forms import WORD_OF, in_mm
from cutprep.job.settings.resolve import Layer, Source
from cutprep.job.settings.worked import WORKED, Figures, worked_tables
from cutprep.stages.blade.cutting import LayerFigures
from cutprep.template.trial import layer_of

_LAYER = re.compile(rf"(cut|score) ({'|'.join(DECIDES)}) \d+")


def trial_files(
    kinds: Sequence[str], layers: Sequence[Layer], span: Span, *, corner: str, pen: bool
) -> dict[str, str]:
    """A trial as the text of a job file, under "", and its drawing under its name.

    Parameters
    ----------
    kinds, layers, span, corner, pen
        As for `trial_job`.

    Raises
    ------
    CutprepError
        When a figure can't be tried, or the card has no room.
    """
    with TemporaryDirectory(prefix="cutprep-trial-") as folder:
        job, key = trial_job(kinds, layers, span, Path(folder), corner=corner, pen=pen)
    batch, item, spot = job.batches[0], job.batches[0].items[0], job.batches[0].spots[0]
    card = batch.settings[0]
    doc: dict[str, Any] = {
        "title": job.title,
        "machine": job.machine.name,
        "stock": card.entry("stock").said,
        **({} if card["sheet"] is None else {"sheet": card["sheet"]}),
        **{
            entry.setting.key: entry.setting.form.plain(entry.value)
            for entry in (job.settings.entries if job.settings is not None else ())
            if entry.source is Source.OPTION and entry.setting.name in ("margin", "unit", "language")
        },
        WORKED: list(worked_tables(job.cutting.layers)),
        "template": [
            {
                "file": KEY,
                "layers": {name: WORD_OF[kind] for name, kind in item.rules.layers},
                "place": [{"sheet": 1, "x": in_mm(round(spot.x, 4)), "y": in_mm(round(spot.y, 4))}],
            }
        ],
    }
    return {"": job_toml(doc), KEY: key}


def tried(figures: Figures) -> dict[str, list[float]]:
    """Kind of a trial to its figures, lengths in mm; empty for a job that is none."""
    found: dict[str, list[float]] = {}
    for layer, one in figures:
        match = _LAYER.fullmatch(layer)
        if match is not None and layer == layer_of(match[2], len(found.get(match[2], [])), match[1]):
            value = _figure(match[2], one)
            if value is not None:
                found.setdefault(match[2], []).append(value)
    return found


def _figure(kind: str, one: LayerFigures) -> float | None:
    if kind == "pass":
        return None if one.passes is None else float(one.passes)
    return one.force if kind in FORCES else one.offset if kind == "offset" else one.overcut
