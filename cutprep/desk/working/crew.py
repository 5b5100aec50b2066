"""Two workshops: a job need not wait until another one can be put aside, which may be deep in a large drawing."""

from __future__ import annotations

import threading
from typing import Any

from cutprep.desk.shelf import Folder
from cutprep.desk.working.workshop import Tell, Workshop
from cutprep.errors import CutprepError

#: The second process is started when it is needed, and ended when it has had nothing to do for so long, s.
REST = 120.0


class Crew:
    """Gives each job to one of two workshops: to the one that remembers it, unless that is deep in another; else to a free one.

    Parameters
    ----------
    tell
        Told of each event; called from a thread.
    """

    def __init__(self, tell: Tell) -> None:
        self._shops = (Workshop(tell), Workshop(tell))
        #: Where a job was worked on last: what it gave is remembered there.
        self._home: dict[str, int] = {}
        self._lock = threading.Lock()
        self._timer: threading.Timer | None = None

    def warm(self) -> None:
        """Start the first process, so that the first job need not wait for its libraries."""
        self._shops[0].warm()

    def do(self, wish: dict[str, Any]) -> None:
        """Work on a wish, as `Workshop.do` does."""
        with self._lock:
            self._shop(wish["job"]).do(wish)

    def try_out(self, job: Folder, text: str) -> CutprepError | None:
        """Run a job file that was not taken yet, as `Workshop.try_out` does."""
        return self._at(job).try_out(job, text)

    def room(self, job: Folder, asked: dict[str, Any]) -> list[Any]:
        """Ask where one copy may lie on its sheet, as `Workshop.room` does."""
        return self._at(job).room(job, asked)

    def holds(self, job: Folder, asked: dict[str, Any]) -> dict[str, Any] | None:
        """Ask how many things of a size go into a folded part, as `Workshop.holds` does."""
        return self._at(job).holds(job, asked)

    def working_on(self, job: str) -> bool:
        """Whether a job is being worked on, or waits for it."""
        return any(shop.working_on(job) for shop in self._shops)

    def stop(self, job: str) -> None:
        """Drop what is being worked on for a job; when this returns, nothing of it is written any more."""
        for shop in self._shops:
            shop.stop(job)

    def close(self) -> None:
        """End the processes."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
        for shop in self._shops:
            shop.close()

    def _at(self, job: Folder) -> Workshop:
        with self._lock:
            return self._shop(job.name)

    def _shop(self, job: str) -> Workshop:
        """Where a job is worked on from now on."""
        home = self._home.get(job, 0)
        at = next((i for i in (home, 1 - home) if self._shops[i].working_on(job)), None)
        if at is None:
            # What is known there is not begun anew elsewhere only because another job must be put aside first.
            known = job in self._home
            free = [
                i for i in (home, 1 - home) if not (self._shops[i].deep if known else self._shops[i].busy)
            ]
            at = free[0] if free else home
        self._home[job] = at
        if at == 1:
            self._rest_later()
        return self._shops[at]

    def _rest_later(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer = threading.Timer(REST, self._rest)
        self._timer.daemon = True
        self._timer.start()

    def _rest(self) -> None:
        with self._lock:
            if not self._shops[1].rest():
                self._rest_later()
