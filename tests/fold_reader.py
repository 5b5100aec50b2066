"""Reading FOLD files: flat or folded, faces with their folds, or edges alone.

Only what a check needs: vertices, edges with letters and angles, faces. Frames after the first
are left out, and said to be.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Index, Lines, Points
from cutprep.model.operation import Fold, Operation

LETTERS = "BMVFUCJ"


@dataclass(frozen=True, slots=True, eq=False)
class FoldFile:
    """What a FOLD file says.

    Attributes
    ----------
    spec
        Version of the specification it names.
    xyz
        (v, 3) ndarray of float, in the file's unit.
    edges
        (e, 2) ndarray of int.
    letters
        One of B M V F U C J an edge.
    angles
        (e,) ndarray of float: degrees, positive for a valley, NaN where not said.
    faces
        Corners of each face by number.
    unit
        For instance "mm", or "" when not said.
    frames
        Number of frames besides the first.
    """

    spec: float
    xyz: Points
    edges: Index
    letters: tuple[str, ...]
    angles: Points
    faces: tuple[tuple[int, ...], ...]
    unit: str
    frames: int


def read_fold(text: str, *, file: str | None = None) -> FoldFile:
    """Read FOLD JSON.

    Raises
    ------
    DrawingError
        When it is no FOLD file or its lists disagree.
    """
    place = Place(file=file)
    try:
        data = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as fault:
        raise DrawingError(
            f"this is not JSON: {fault}", fix="Export it again as FOLD.", place=place
        ) from None
    if not isinstance(data, dict) or "vertices_coords" not in data:
        raise DrawingError("this is no FOLD file: vertices_coords is missing", place=place)
    try:
        return _from_data(data)
    except (TypeError, ValueError, IndexError) as fault:
        raise DrawingError(f"the FOLD file's lists disagree: {fault}", place=place) from None


def _from_data(data: dict[str, Any]) -> FoldFile:
    xyz = np.zeros((len(data["vertices_coords"]), 3))
    for i, point in enumerate(data["vertices_coords"]):
        if not 2 <= len(point) <= 3 or not all(math.isfinite(v) for v in point):
            raise ValueError(f"vertex {i} is {point!r}")
        xyz[i, : len(point)] = point
    faces = tuple(tuple(int(v) for v in f) for f in data.get("faces_vertices", []))
    edges = data.get("edges_vertices")
    if edges is None:
        sides = {(min(a, b), max(a, b)) for f in faces for a, b in zip(f, (*f[1:], f[0]), strict=True)}
        edges = sorted(sides)
    table = np.array(edges, dtype=np.int64).reshape(-1, 2)
    letters = tuple(data.get("edges_assignment", ["U"] * len(table)))
    said = data.get("edges_foldAngle", data.get("edges_foldAngles", [None] * len(table)))
    if not len(letters) == len(said) == len(table):
        raise ValueError("edges_assignment and edges_foldAngle must have one entry an edge")
    if any(letter not in LETTERS for letter in letters):
        raise ValueError(f"edges_assignment knows the letters {', '.join(LETTERS)}")
    used = [*table.ravel().tolist(), *(v for f in faces for v in f)]
    if used and not 0 <= min(used) <= max(used) < len(xyz):
        raise ValueError("a vertex number lies outside vertices_coords")
    return FoldFile(
        spec=float(data.get("file_spec", 1)),
        xyz=xyz,
        edges=table,
        letters=letters,
        angles=np.array([np.nan if a is None else float(a) for a in said]),
        faces=faces,
        unit=str(data.get("frame_unit", "")),
        frames=len(data.get("file_frames", [])),
    )


def drawing_of(fold: FoldFile, name: str = "fold") -> Drawing:
    """Draw the flat pattern of a FOLD file: borders and cuts as cuts, folds as scores.

    Flat and joined edges are no scores and left out. A fold angle goes into the layer's name,
    where folding looks for it.
    """
    picked, operation, folds, source = [], [], [], []
    elements: list[Element] = []
    for (a, b), letter, angle in zip(fold.edges.tolist(), fold.letters, fold.angles.tolist(), strict=True):
        if letter in "FJ":
            continue
        cut = letter in "BC"
        way = {"M": Fold.MOUNTAIN, "V": Fold.VALLEY}.get(letter, Fold.UNSAID)
        word = "cut" if cut else f"score {way.name.lower()}" if way else "score"
        if not cut and not math.isnan(angle) and way:
            word += f" {abs(angle):g} deg"
        picked.append(fold.xyz[[a, b], :2])
        operation.append(Operation.CUT if cut else Operation.SCORE)
        folds.append(Fold.UNSAID if cut else way)
        source.append(len(elements))
        elements.append(Element(tag="edge", layer=word))
    lines = Lines.of(
        picked, operation=operation, fold=folds, source=source, elements=tuple(elements) or (Element(),)
    )
    return Drawing(name=name, lines=lines)
