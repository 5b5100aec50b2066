"""Asking a process of ours questions, one after the other: it is started when somebody asks, and ends by itself.

A question and its answer are a line of JSON each; the answer has `problem` and `fix` where it can't be done.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable
from typing import Any

from cutprep.desk.sent import Refused
from cutprep.desk.working.process import begin, end
from cutprep.errors import CutprepError, JobError, PlanError

#: A process that nobody asks for so long is ended, s.
_IDLE = 120.0


class Asking:
    """Asks one process.

    Parameters
    ----------
    module
        Of ours, that answers each line of JSON with one.
    patience
        So long one answer may take, s.
    late
        What is said when none comes in time, and what to do.
    """

    def __init__(self, module: str, patience: float, late: tuple[str, str]) -> None:
        self._module, self._patience, self._late = module, patience, late
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._rest: threading.Timer | None = None

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """Ask, and wait for the answer.

        Raises
        ------
        PlanError
            When none comes in time.
        JobError
            With the `problem` and the `fix` that the process answers.
        Refused
            The same, where the process knows the field that it is about.
        """
        with self._lock:
            if self._rest is not None:
                self._rest.cancel()
            told = self._told(question)
            self._rest = threading.Timer(_IDLE, self.close)
            self._rest.daemon = True
            self._rest.start()
        if told is None:
            raise PlanError(self._late[0], fix=self._late[1])
        if told.get("field"):
            raise Refused(told["problem"], told["fix"], field=told["field"])
        if "problem" in told:
            raise JobError(told["problem"], fix=told["fix"])
        return told

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._end()

    def _told(self, question: dict[str, Any]) -> dict[str, Any] | None:
        """The answer of the process; None when it gives none in time, and is ended."""
        if self._process is None or self._process.poll() is not None:
            self._process = begin(self._module)
        process = self._process
        assert process.stdin is not None
        assert process.stdout is not None
        late = threading.Timer(self._patience, process.kill)
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


def answer_all(answer: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
    """In that process: answer questions from the input until it ends."""
    for line in sys.stdin:
        try:
            told = answer(json.loads(line))
        except CutprepError as fault:
            told = {"problem": fault.problem, "fix": fault.fix, "field": getattr(fault, "field", "")}
        sys.stdout.write(json.dumps(told) + "\n")
        sys.stdout.flush()
