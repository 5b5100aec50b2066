"""What laying out, ordering and the blade tell: a sheet or a small job for each code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

import matplotlib as mpl
import numpy as np

from cutprep.geometry.curves import flatten
from cutprep.job.api import make_job, prepare_job
from cutprep.job.sheets.spares import sheets_for_spares
from cutprep.model.findings.finding import Findings
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.sheet import Placement
from cutprep.stages.blade.cutting import Bridges
from cutprep.stages.blade.plan import unheld
from cutprep.stages.blade.tight import tight_features
from cutprep.stages.nest import plan
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.plan import nest
from cutprep.stages.nest.proof import verify_layout
from cutprep.stages.nest.shared import share_cuts
from cutprep.stages.order.tour import engine
from cutprep.tolerance import Tolerance
from tests.examples.machine_files import DRAWING
from tests.moving import ring, strokes_of
from tests.unit.stages.nest.specimens import box, sheet, sheet_size

BOX = box(20, 10)
LIMITS = Tolerance()


def _proved(*placements: Placement, gap: float = 0.0, margin: float = 0.0, **known: object) -> Findings:
    laid = sheet([BOX], list(placements), width=100, height=50, margin=margin, gap=gap)
    return verify_layout([laid], **known)  # type: ignore[arg-type]


def _laid() -> Findings:
    return tuple(
        note for one in nest([Demand(BOX, 3)], [sheet_size()], Nesting(effort="quick")) for note in one.notes
    )


def _stopped() -> Findings:
    with patch.object(plan, "quick_layout", side_effect=KeyboardInterrupt):
        return _laid()


def _job(drawing: str, **settings: object) -> Findings:
    with TemporaryDirectory() as folder:
        source = Path(folder) / "lid.svg"
        source.write_text(drawing, encoding="utf-8")
        return prepare_job(make_job(source, effort="quick", **settings)).findings  # type: ignore[arg-type]


def _bare() -> Findings:
    return _job(DRAWING.replace('H255V235H5Z"', 'H255"'), despite_findings=True)


def _for_spares() -> Findings:
    """Two copies that fill a sheet each, of which a set needs one."""
    job = make_job("lid.svg", copies=2)
    batch = replace(job.batches[0], items=(replace(job.batches[0].items[0], in_set=1),))
    sheets = [sheet([BOX], [Placement(0, 0, 0, copy=k + 1)]) for k in range(2)]
    return sheets_for_spares(replace(job, batches=(batch,)), batch, sheets, 0)


def _without_engine() -> Findings:
    with patch.object(engine, "Instance", side_effect=engine.EngineError("gone")):
        return _job(DRAWING)


def _tight(points: np.ndarray) -> Findings:
    curved = np.full(len(points), len(points) > 9)
    curved[[0, -1]] = False
    return tight_features(Lines.of([points], curved=[curved], operation=Operation.CUT), 0.5, LIMITS)


def _without_room() -> Findings:
    small = ring([(20, 20), (22, 20), (22, 22), (20, 22)])
    return unheld(strokes_of(small, outline=True), Bridges(count=2), LIMITS)


NAMED = DRAWING.replace(
    "</svg>", '<text id="draw" x="20" y="60" font-size="20" stroke="none">{name}</text></svg>'
)
PRINTED = DRAWING.replace(
    "</svg>", '<text id="print" x="20" y="60" font-size="20" fill="#000" stroke="none">Honey</text></svg>'
)
FONT = Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
ONE = Placement(0, 0, 0)
SLOT = np.array([(0, 0), (10, 0), (10, 0.3), (0, 0.3)], float)

#: Two squares far apart: as they are drawn four copies take two sheets of 12 in, by themselves one.
TWO_PIECES = """<svg xmlns="http://www.w3.org/2000/svg" width="250mm" height="100mm" viewBox="0 0 250 100"><g id="cut"
fill="none" stroke="#000"><path id="base" d="M5 5H95V95H5Z"/><path id="cover" d="M155 5H245V95H155Z"/></g></svg>"""

EXAMPLES: dict[str, Callable[[], Findings]] = {
    "overlap": partial(_proved, ONE, Placement(0, 5, 0, copy=2)),
    "gap-too-small": partial(_proved, ONE, Placement(0, 21, 0, copy=2), gap=2.0),
    "outside-margin": partial(_proved, ONE, margin=5.0),
    "on-keep-out": partial(_proved, ONE, keep_out=[(10, 0, 40, 50)]),
    "turn-not-allowed": partial(_proved, Placement(0, 30, 0, 45), demands=[Demand(BOX, 1)]),
    "copies-wrong": partial(_proved, ONE, demands=[Demand(BOX, 2)]),
    "nest-method": _laid,
    "pieces-apart": partial(_job, TWO_PIECES, copies=4),
    "nest-stopped": _stopped,
    "left-over": _laid,
    "sheet-for-spares": _for_spares,
    "sheet-beyond-machine": partial(_job, DRAWING, sheet="600x900mm"),
    "print-text": partial(_job, PRINTED),
    "print-text-missing": partial(_job, PRINTED.replace('fill="#000"', 'fill="none"')),
    "shared-cuts": lambda: (
        share_cuts(sheet([BOX], [ONE, Placement(0, 20, 0, copy=2)]), tolerance=Tolerance()).notes
    ),
    "no-closed-outline": _bare,
    "name-place-empty": partial(_job, NAMED),
    "name-smaller": partial(_job, NAMED, names=["Ana", "Ana Ahlgrén and Rózsa Wójcik"]),
    "name-twice": partial(_job, NAMED, names=["Ana", "Ana"]),
    "font-licence": partial(_job, NAMED, names=["Ana"], font=FONT),
    "nothing-from-back": partial(_job, DRAWING, from_back="mountains"),
    "aligned": partial(_job, DRAWING, align=("0mm,0mm=1mm,1mm", "200mm,0mm=201mm,1mm")),
    "plain-order": _without_engine,
    "tight-curve": lambda: _tight(flatten.circle((50.0, 50.0), 0.4, 0.02)),
    "tight-corners": lambda: _tight(SLOT),
    "no-room-for-bridge": _without_room,
}
