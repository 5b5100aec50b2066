"""cutprep: from a papercraft template to checked machine files and a job sheet.

The public names load on first use, so that `import cutprep` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cutprep.errors import CutprepError
    from cutprep.job.api import check, make_job, make_rules, mend, prepare, prepare_job, read
    from cutprep.job.folder.verify import verify
    from cutprep.model.findings.finding import Stopped
    from cutprep.tolerance import Tolerance

_WHERE = {
    "CutprepError": "cutprep.errors",
    "Stopped": "cutprep.model.findings.finding",
    "Tolerance": "cutprep.tolerance",
    "check": "cutprep.job.api",
    "make_job": "cutprep.job.api",
    "make_rules": "cutprep.job.api",
    "mend": "cutprep.job.api",
    "prepare": "cutprep.job.api",
    "prepare_job": "cutprep.job.api",
    "read": "cutprep.job.api",
    "verify": "cutprep.job.folder.verify",
}

__all__ = [
    "CutprepError",
    "Stopped",
    "Tolerance",
    "check",
    "make_job",
    "make_rules",
    "mend",
    "prepare",
    "prepare_job",
    "read",
    "verify",
]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        return getattr(import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'cutprep' has no attribute '{name}'")
