"""The server's side of the work: one process at work, the newest wish first, started again when it dies."""

from __future__ import annotations

import json
import subprocess
import threading
import time
from collections.abc import Callable
from typing import Any, BinaryIO

from cutprep.desk.shelf import Folder
from cutprep.desk.working.process import begin, end
from cutprep.errors import CutprepError, PlanError

#: A process that has not turned to a new wish after this time, s, is ended and another one started: soon when she says
#: stop, later when she changes something, since with the process all that it remembers is gone.
STOPPING, PATIENCE = 1.5, 6.0
#: A process that is at work and was not heard of for so long, s, is deep in something that it can't put aside at once.
DEEP = 0.5
#: So long a trial may take, s.
TRIAL = 20.0
#: So long the room of a copy may take, s: a hand that moves it does not wait for it.
ROOM = 3.0

#: What is told of a job that had to make room.
WAITS = "waiting until the other job is done"
#: What is told of a job for which another one has to make room.
BEHIND = "waiting until the other job is put aside"

#: Told of an event: the job's name and what happened.
Tell = Callable[[str, dict[str, Any]], None]


class Workshop:
    """Runs jobs in a process of its own.

    Parameters
    ----------
    tell
        Told of each event; called from a thread.
    """

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._lock = threading.RLock()
        self._process: subprocess.Popen[bytes] | None = None
        self._wish: dict[str, Any] | None = None
        self._begun = threading.Event()
        self._busy = False
        self._heard = time.monotonic()
        # Jobs that had to make room for another one, the last to be dropped the first to be taken up again.
        self._waiting: dict[str, dict[str, Any]] = {}
        self._closed = False
        self._tried = threading.Event()
        self._answer: dict[str, Any] = {}
        self._question = 0

    def warm(self) -> None:
        """Start the process, so that the first job need not wait for its libraries."""
        with self._lock:
            self._running()

    def do(self, wish: dict[str, Any]) -> None:
        """Work on a wish now; another job that was being worked on waits until it is done.

        Parameters
        ----------
        wish
            `job` (its name), `folder`, `version`, and what `work` knows beside.
        """
        with self._lock:
            if self._closed:
                return
            before = self._wish
            self._waiting.pop(wish["job"], None)
            asked = before is not None and "question" in before
            makes_room = bool(wish["job"]) and self._busy and before is not None and not asked
            if makes_room and before is not None and before["job"] != wish["job"]:
                self._waiting[before["job"]] = before
                told = {"is": "progress", "section": "sheets", "words": WAITS, "share": None}
                self._tell(before["job"], {**told, "version": before["version"]})
                self._tell(wish["job"], {**told, "words": BEHIND, "version": wish["version"]})
            if not self._busy:
                self._heard = time.monotonic()
            self._wish, self._busy = wish, bool(wish["job"])
            self._begun.clear()
            self._send(wish)
        timer = threading.Timer(PATIENCE if wish["job"] else STOPPING, self._hurry, args=(wish,))
        timer.daemon = True
        timer.start()

    def try_out(self, job: Folder, text: str) -> CutprepError | None:
        """Run a job file that was not taken yet.

        Returns
        -------
        CutprepError or None
            What it ends with; None when it can be done.
        """
        answer = self._asked({**_wish(job), "try": text}, TRIAL)
        if answer is None:
            return PlanError("this takes too long to try", fix="Try again.")
        return None if answer.get("holds") else PlanError(answer["problem"], fix=answer["fix"])

    def room(self, job: Folder, asked: dict[str, Any]) -> list[Any]:
        """Ask where one copy may lie on its sheet; nothing while anything is being worked on.

        Parameters
        ----------
        job
            Its paper is up to date.
        asked
            `sheet` and `spot`, both from 0, `turn` and `mirror`.

        Returns
        -------
        list
            Rings of places for its origin, as `room_for` gives them.
        """
        with self._lock:
            if self._busy:
                return []
        answer = self._asked({**_wish(job), "room": asked}, ROOM) or {}
        found: list[Any] = answer.get("rings", [])
        return found

    def holds(self, job: Folder, asked: dict[str, Any]) -> dict[str, Any] | None:
        """Ask how many things of a size go into a folded part; None while anything is being worked on.

        Parameters
        ----------
        job
            Its paper is up to date.
        asked
            `part`, from 0, `size` and `clearance`, as typed.

        Returns
        -------
        dict or None
            `words`; or `problem`, `fix` and `field`.
        """
        with self._lock:
            if self._busy:
                return None
        return self._asked({**_wish(job), "holds": asked}, TRIAL)

    def _asked(self, wish: dict[str, Any], patience: float) -> dict[str, Any] | None:
        """What the process answers; None when it takes too long."""
        answered = threading.Event()
        with self._lock:
            self._question += 1
            self._tried, self._answer = answered, {}
            wish["question"] = self._question
        self.do(wish)
        if not answered.wait(patience):
            return None
        return self._answer

    @property
    def busy(self) -> bool:
        """Whether anything is being worked on."""
        with self._lock:
            return self._busy

    @property
    def deep(self) -> bool:
        """Whether what is being worked on can't be put aside at once."""
        with self._lock:
            return self._busy and time.monotonic() - self._heard > DEEP

    def rest(self) -> bool:
        """End the process if it has nothing to do; it is started again when there is something."""
        with self._lock:
            if self._busy:
                return False
            self._end()
            return True

    def working_on(self, job: str) -> bool:
        """Whether a job is being worked on, or waits for it."""
        with self._lock:
            wish = self._wish or {}
            return job in self._waiting or (self._busy and wish.get("job") == job)

    def stop(self, job: str) -> None:
        """Drop what is being worked on for a job; when this returns, nothing of it is written any more."""
        with self._lock:
            self._waiting.pop(job, None)
            if not self._busy or (self._wish or {}).get("job") != job:
                return
        self.do({"job": "", "folder": "", "version": 0})
        self._begun.wait(STOPPING + 1.0)
        self._next()

    def _next(self) -> None:
        """Take up what had to wait."""
        with self._lock:
            if self._busy or not self._waiting:
                return
            _, wish = self._waiting.popitem()
            self.do(wish)  # still held: what she asks for meanwhile must not have to wait for it

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closed = True
            self._end()

    def _hurry(self, wish: dict[str, Any]) -> None:
        """End a process that is deep in some other work, and let a fresh one take the wish."""
        with self._lock:
            if self._closed or self._begun.is_set() or self._wish is not wish:
                return
            self._end()
            if not wish["job"]:
                self._begun.set()
            self._send(wish)

    def _send(self, wish: dict[str, Any]) -> None:
        for _ in range(2):
            process = self._running()
            try:
                assert process.stdin is not None
                process.stdin.write(json.dumps(wish).encode("utf-8") + b"\n")
                process.stdin.flush()
            except OSError:  # it died since it was last looked at
                self._end()
            else:
                return

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self._process = begin("cutprep.desk.working.work")
            assert self._process.stdout is not None
            reader = threading.Thread(
                target=self._listen, args=(self._process, self._process.stdout), daemon=True
            )
            reader.start()
        return self._process

    def _listen(self, process: subprocess.Popen[bytes], stream: BinaryIO) -> None:
        for line in stream:
            try:
                event = json.loads(line)
            except ValueError:
                continue
            self._heard = time.monotonic()
            if event.get("is") == "begun":
                with self._lock:
                    wish = self._wish or {}
                    if (event["job"], event["version"]) == (wish.get("job"), wish.get("version")):
                        self._begun.set()
                continue
            if event.get("is") == "answer":
                with self._lock:
                    if event["question"] == self._question:
                        self._busy = self._busy and "try" in (self._wish or {})
                        self._answer = event
                        self._tried.set()
                continue
            job, over = event.pop("job", ""), event["is"] in {"done", "fault"}
            if over:
                with self._lock:
                    wish = self._wish or {}
                    # What is over may be what came before a question about the same job.
                    if "question" not in wish and (job, event["version"]) == (
                        wish.get("job"),
                        wish.get("version"),
                    ):
                        self._busy = False
            self._tell(job, event)
            if over:
                self._next()
        process.wait()
        stream.close()
        with self._lock:
            lost = self._process is process and not self._closed
            wanted = self._wish
            if lost:
                self._process, self._busy = None, False
        if lost and wanted is not None and wanted["job"]:
            self._tell(wanted["job"], {"is": "lost", "version": wanted["version"]})
            self._next()

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            end(process)


def _wish(job: Folder) -> dict[str, Any]:
    return {"job": job.name, "folder": str(job.path), "version": job.version}
