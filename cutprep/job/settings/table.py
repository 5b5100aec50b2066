"""The one table of settings: name, form, default, help, and where each may be given.

The command line, the job file, Python and the remembered settings are made from it, and so is the
table in docs/JOB-FILE.md. A default stands in the frozen value of the stage that uses it, and
the table asks that value. Nothing here loads numpy: `cutprep prepare --help` answers at once.
"""

from __future__ import annotations

from cutprep.job.settings.of_drawing import CARD, DRAWING
from cutprep.job.settings.of_layout import LAYOUT, NAMES, ORDER
from cutprep.job.settings.of_machine import BLADE, OUTPUT
from cutprep.job.settings.setting import Scope, Setting

_ROWS: tuple[Setting, ...] = (*DRAWING, *CARD, *NAMES, *LAYOUT, *ORDER, *BLADE, *OUTPUT)
#: Name to setting, group by group.
SETTINGS = {row.name: row for row in _ROWS}
#: Those that say what was made, and where: what is made again says it anew.
ANEW = (
    "title",
    "copies",
    "sets",
    "spare",
    "amount",
    "names",
    "places",
    "align",
    "at_hand",
    "keep_out",
    "offcut",
)


def of_scope(*scopes: Scope) -> tuple[Setting, ...]:
    """The settings that hold for these."""
    return tuple(row for row in _ROWS if row.scope in scopes)
