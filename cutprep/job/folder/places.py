"""Placements out of a `job.json`, as it was written or with places changed by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutprep.errors import JobError, Place
from cutprep.job.job import Batch, Job, PlacedCopy
from cutprep.job.record.read import load_json

#: More runs of one sheet than this are a slip of the pen.
_MOST_RUNS = 100_000
_COMPARE = "Compare it with docs/JOB-JSON.md."


def with_places(job: Job, path: Path) -> Job:
    """Lay a job's copies where a `job.json` says.

    Parameters
    ----------
    job
        Templates are found by the names of their drawings, cards by their own.
    path
        The file; of it only `sheets` with `stock`, `width_mm`, `height_mm` and `placements` is used.

    Raises
    ------
    JobError
        When the file can't be used, or names a template or a card that the job does not have.
    """
    rows = _sheets(path)
    spots: list[list[PlacedCopy]] = [[] for _ in job.batches]
    counts = [0] * len(job.batches)
    for number, row in enumerate(rows, 1):
        try:
            batch = _batch(job, str(row["stock"]))
            if batch is None:
                known = ", ".join(b.stock.name for b in job.batches)
                raise _fault(path, number, f"the job has no card '{row['stock']}'", f"It has: {known}.")
            counts[batch] += 1
            size = (float(row["width_mm"]), float(row["height_mm"]))
            spots[batch] += [
                _spot(place, job.batches[batch], counts[batch], size, path, number)
                for place in row["placements"]
            ]
        except KeyError as fault:
            raise _fault(path, number, f"{fault} is missing", _COMPARE) from None
        except (TypeError, ValueError, AttributeError):
            raise _fault(path, number, "it can't be understood", _COMPARE) from None
    if not any(spots):
        raise JobError("no copy is placed", fix=_COMPARE, place=Place(file=str(path)))
    batches = tuple(
        replace(batch, spots=tuple(some)) for batch, some in zip(job.batches, spots, strict=True) if some
    )
    return replace(job, batches=batches, amount="copies")


def _sheets(path: Path) -> list[Any]:
    """Rows of sheets, each as often as it is run; earlier forms have one row for each."""
    data = load_json(path)
    rows = data.get("sheets")
    if not isinstance(rows, list):
        raise JobError("no sheet is listed", fix=_COMPARE, place=Place(file=str(path)))
    found = []
    for number, row in enumerate(rows, 1):
        runs = row.get("runs", 1) if isinstance(row, dict) else 1
        if not isinstance(runs, int) or not 1 <= runs <= _MOST_RUNS:
            raise _fault(path, number, f"it can't be run {runs} times", "")
        found += [row] * runs
    return found


def _batch(job: Job, stock: str) -> int | None:
    for i, batch in enumerate(job.batches):
        if batch.stock.name == stock:
            return i
    return None


def _spot(
    data: dict[str, Any], batch: Batch, sheet: int, size: tuple[float, float], path: Path, number: int
) -> PlacedCopy:
    name = str(data["template"])
    items = [i for i, item in enumerate(batch.items) if item.name == name]
    if not items:
        known = ", ".join(item.name for item in batch.items)
        raise _fault(
            path, number, f"no template of '{batch.stock.name}' is called '{name}'", f"It has: {known}."
        )
    x, y, turn = float(data["x_mm"]), float(data["y_mm"]), float(data.get("turn", 0.0))
    if not all(map(math.isfinite, (x, y, turn))):
        raise _fault(path, number, "x, y and turn must be finite numbers", "")
    return PlacedCopy(sheet, items[0], x, y, turn, bool(data.get("mirror", False)), size)


def _fault(path: Path, number: int, problem: str, fix: str) -> JobError:
    return JobError(f"sheet {number}: {problem}", fix=fix, place=Place(file=str(path)))
