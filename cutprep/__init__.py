"""cutprep: from a papercraft template to checked machine files and a job sheet.

The public names load on first use, so that `import cutprep` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cutprep.errors import CutprepError
    from cutprep.job.pipeline import check, mend, prepare, read, verify
    from cutprep.tolerance import Tolerance

_WHERE = {
    "CutprepError": "cutprep.errors",
    "Tolerance": "cutprep.tolerance",
    "check": "cutprep.job.pipeline",
    "mend": "cutprep.job.pipeline",
    "prepare": "cutprep.job.pipeline",
    "read": "cutprep.job.pipeline",
    "verify": "cutprep.job.pipeline",
}

__all__ = ["CutprepError", "Tolerance", "check", "mend", "prepare", "read", "verify"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        return getattr(import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'cutprep' has no attribute '{name}'")
