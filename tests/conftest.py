"""Settings of all tests: no example is held to a time, since a loaded machine would fail it; nothing of hers is read."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

#: A folder that is not there stands for the maker's own: what whoever runs the tests has remembered is not read.
os.environ["CUTPREP_FOLDER"] = str(Path(tempfile.gettempdir()) / "cutprep-tests" / "no-folder")
