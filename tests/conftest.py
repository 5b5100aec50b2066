"""Settings of all tests: examples are the same in every run, and none is held to a time, since a loaded machine would
fail it; nothing of hers is read. `python -m tests.seeds` draws other examples.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hypothesis import settings

settings.register_profile("same", deadline=None, derandomize=True, database=None)
settings.register_profile("random", deadline=None, derandomize=False, database=None, print_blob=True)
settings.load_profile("same")

#: A folder that is not there stands for the maker's own: what whoever runs the tests has remembered is not read.
os.environ["CUTPREP_FOLDER"] = str(Path(tempfile.gettempdir()) / "cutprep-tests" / "no-folder")
