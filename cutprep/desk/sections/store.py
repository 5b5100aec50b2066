"""Where the worker puts what a page shows: pictures and tables under names made of their content, and the paper."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from cutprep.desk.shelf import FORM, PAPER, VIEW, Folder, clear_unused
from cutprep.files import replace_file

#: What a section shows, as plain data.
Shown = dict[str, Any]
#: Identity of an object and kind, to the object and a name.
Known = dict[tuple[int, str], tuple[object, str]]
_MOST_KNOWN = 64
#: What is added to an answer while a better one is looked for.
BETTER = "; looking for a better layout ..."
WAITING = "First see what is wrong."
_STOPPED = "Stopped before it was there"


class Store:
    """The paper of one version of a job, section by section.

    Parameters
    ----------
    folder
        Of the job.
    version
        Of its job file.
    known
        Names of what was made of an object before, by its identity and kind, with the object, so that it lasts as
        long; filled here, and kept by whoever makes one paper after the other.
    """

    def __init__(self, folder: Path, version: int, known: Known) -> None:
        self._folder = folder
        self._known = known
        before = Folder(folder).paper().get("sections", {})
        self._paper: dict[str, Any] = {"form": FORM, "version": version, "sections": _stale(before)}
        self._used: set[str] = set()
        (folder / VIEW).mkdir(exist_ok=True)
        told = json.dumps(before)
        self._before = {path.name for path in (folder / VIEW).glob("*") if path.name in told}

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

    def keep_of(self, source: object, kind: str, make: Callable[[], bytes], ending: str) -> str:
        """Keep what is made of an object; of one and the same object it is made once.

        Parameters
        ----------
        source
            The object.
        kind, ending
            As in `keep`.
        make
            Makes it.
        """
        key = (id(source), f"{self._folder}/{kind}")
        name = self._known.get(key, (None, ""))[1]
        if not (self._folder / VIEW / name).is_file():
            name = self.keep(kind, make(), ending)
            self._known[key] = (source, name)
            while len(self._known) > _MOST_KNOWN:
                self._known.pop(next(iter(self._known)))
        self._used.add(name)
        return name

    def put(self, section: str, shown: Shown) -> None:
        """Put a section onto the paper."""
        self._paper["sections"][section] = shown
        replace_file(self._folder / PAPER, json.dumps(self._paper, allow_nan=False).encode("utf-8"))

    def close(self) -> None:
        """Say of what was not come to that it waits."""
        for name, shown in self._paper["sections"].items():
            if shown.get("stale"):
                self.put(name, {"state": "waiting", "answer": WAITING})

    def finish(self) -> None:
        """Remove pictures that neither this paper shows nor the one before, which a page may still be loading."""
        clear_unused(self._folder, self._used | self._before)


def _stale(before: Shown) -> Shown:
    """What the paper shows until there is something new: as it was, and marked as being worked on."""
    return {
        name: {**shown, "state": "working", "stale": True}
        for name, shown in before.items()
        if "failed" not in shown and shown["state"] in {"done", "look", "working"}
    }


def stop_paper(folder: Path, version: int, paper: Shown, sections: Iterable[str]) -> None:
    """Say of every section that is not done that the work on it was stopped; what stands there already stays.

    Parameters
    ----------
    folder
        Of the job.
    version
        Of its job file.
    paper
        As it was last made.
    sections
        Names of all sections.
    """
    made = paper["sections"] if paper.get("version") == version else {}
    shown: Shown = {}
    for name in sections:
        old = made.get(name, {"stale": True})
        if old.get("stale"):
            old = {"state": "working", "answer": _STOPPED}
        shown[name] = old if old["state"] != "working" else {**old, "state": "stopped"}
        shown[name]["answer"] = str(old["answer"]).replace(BETTER, "; a better layout was not waited for")
    told = {"form": FORM, "version": version, "sections": shown}
    replace_file(folder / PAPER, json.dumps(told).encode("utf-8"))
