"""Templates to begin with: asked of a process that draws them, which is started when somebody looks, and ends by itself."""

from __future__ import annotations

import json
import subprocess
import threading
from typing import Any

from cutprep.desk.working.process import begin, end
from cutprep.errors import JobError, PlanError

#: So long one picture may take, s.
_PATIENCE = 20.0
#: A process that nobody asks for so long is ended, s.
_IDLE = 120.0


class Templates:
    """Asks for templates, one question after the other."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._rest: threading.Timer | None = None
        self._known: dict[str, dict[str, Any]] = {}

    def listed(self) -> dict[str, Any]:
        """Names and titles of all kinds and sets."""
        return self._once({"ask": "list"})

    def kind(self, name: str) -> dict[str, Any]:
        """Title and fields of a kind or a set.

        Raises
        ------
        JobError
            When there is none of that name.
        """
        return self._once({"ask": "kind", "name": name})

    def picture(self, name: str, words: dict[str, str]) -> str:
        """A kind or a set as SVG, with some dimensions.

        Raises
        ------
        JobError
            Naming the dimension that can't be.
        """
        return str(self._ask({"ask": "picture", "name": name, "words": words})["picture"])

    def files(self, name: str, words: dict[str, str]) -> dict[str, Any]:
        """What a job of it begins with: `files`, a `note` for its job file, and its `title`.

        Raises
        ------
        JobError
            Naming the dimension that can't be.
        """
        return self._ask({"ask": "files", "name": name, "words": words})

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._end()

    def _once(self, question: dict[str, Any]) -> dict[str, Any]:
        """What never changes is asked once."""
        key = json.dumps(question)
        if key not in self._known:
            self._known[key] = self._ask(question)
        return self._known[key]

    def _ask(self, question: dict[str, Any]) -> dict[str, Any]:
        with self._lock:
            if self._rest is not None:
                self._rest.cancel()
            told = self._told(question)
            self._rest = threading.Timer(_IDLE, self.close)
            self._rest.daemon = True
            self._rest.start()
        if told is None:
            raise PlanError("this takes too long to draw", fix="Try other dimensions.")
        if "problem" in told:
            raise JobError(told["problem"], fix=told["fix"])
        return told

    def _told(self, question: dict[str, Any]) -> dict[str, Any] | None:
        """The answer of the process; None when it gives none in time, and is ended."""
        if self._process is None or self._process.poll() is not None:
            self._process = begin("cutprep.desk.working.draw")
        process = self._process
        assert process.stdin is not None
        assert process.stdout is not None
        late = threading.Timer(_PATIENCE, process.kill)
        late.start()
        try:
            process.stdin.write(json.dumps(question).encode("utf-8") + b"\n")
            process.stdin.flush()
            told = json.loads(process.stdout.readline())
        except (OSError, ValueError):
            self._end()
            return None
        finally:
            late.cancel()
        return told if isinstance(told, dict) else None

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            end(process)
