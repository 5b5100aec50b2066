"""Folded parts for programs that show solids: OBJ and STL, mm, outside outwards."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from cutprep.model.folded import FoldReport
from cutprep.stages.fold.export.skin import mesh_of


def to_obj(report: FoldReport, fraction: float = 1.0) -> str:
    """Write a folded part as Wavefront OBJ: one group a panel, corners welded, windows closed.

    A closed part is written as its skin, one closed surface without the flaps inside.

    Raises
    ------
    ValueError
        When the fraction of folding lies outside 0 to 1.
    """
    mesh = mesh_of(report, fraction)
    rows = [f"# {report.name}, {len(report.panels)} panels, mm"]
    rows += [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in (mesh.points.round(6) + 0.0).tolist()]
    faces = zip(mesh.names, (mesh.triangles + 1).tolist(), strict=True)
    for name, group in groupby(faces, key=lambda f: f[0]):
        rows.append(f"g panel_{name}")
        rows += ["f " + " ".join(str(i) for i in corners) for _, corners in group]
    return "\n".join(rows) + "\n"


def to_stl(report: FoldReport, fraction: float = 1.0) -> str:
    """Write a folded part as STL text: card without thickness, windows open.

    A closed part without windows is written as its skin, one closed surface.

    Raises
    ------
    ValueError
        When the fraction of folding lies outside 0 to 1.
    """
    mesh = mesh_of(report, fraction, windows=True)
    rows = [f"solid {_word(report.name)}"]
    for triangle in mesh.triangles:
        xyz = mesh.points[triangle]
        normal = np.cross(xyz[1] - xyz[0], xyz[2] - xyz[0])
        normal = normal / max(float(np.linalg.norm(normal)), 1e-12)  # not a tolerance: no division by 0
        rows.append("facet normal {:.6f} {:.6f} {:.6f}".format(*(normal.round(6) + 0.0)))
        rows.append(" outer loop")
        rows += ["  vertex {:.6f} {:.6f} {:.6f}".format(*(p.round(6) + 0.0)) for p in xyz]
        rows += [" endloop", "endfacet"]
    rows.append(f"endsolid {_word(report.name)}")
    return "\n".join(rows) + "\n"


def _word(name: str) -> str:
    return "_".join(name.split()) or "part"
