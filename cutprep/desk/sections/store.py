"""Where the worker puts what a page shows: pictures and tables under names made of their content, and the paper."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from cutprep.desk.shelf import PAPER, VIEW, clear_unused, replace_file

#: What a section shows, as plain data.
Shown = dict[str, Any]


class Store:
    """The paper of one version of a job, section by section.

    Parameters
    ----------
    folder
        Of the job.
    version
        Of its job file.
    """

    def __init__(self, folder: Path, version: int) -> None:
        self._folder = folder
        self._paper: dict[str, Any] = {"version": version, "sections": {}}
        self._used: set[str] = set()
        (folder / VIEW).mkdir(exist_ok=True)

    def keep(self, kind: str, content: str | bytes, ending: str) -> str:
        """Keep a picture (`svg`), data (`json`) or columns (`bin`); the name under which the page gets it."""
        data = content.encode("utf-8") if isinstance(content, str) else content
        name = f"{kind}-{hashlib.sha256(data).hexdigest()[:16]}.{ending}"
        path = self._folder / VIEW / name
        if not path.exists():
            replace_file(path, data)
        self._used.add(name)
        return name

    def keep_data(self, kind: str, data: Any) -> str:
        """Keep plain data as JSON."""
        return self.keep(kind, json.dumps(data, separators=(",", ":"), allow_nan=False), "json")

    def settle(self, section: str, shown: Shown) -> None:
        """Put a section onto the paper."""
        self._paper["sections"][section] = shown
        replace_file(self._folder / PAPER, json.dumps(self._paper, allow_nan=False).encode("utf-8"))

    def finish(self) -> None:
        """Remove pictures that this paper does not show."""
        clear_unused(self._folder, self._used)
