"""The strip packer in a process of its own: a job as JSON on standard input, answers on output.

It stands alone (it imports nothing of cutprep) and is run as a file, because the packer may end
its process on shapes it does not like, can't be cancelled, and keeps all processors busy.

Work is counted in the packer's own reports of layouts that do not fit yet. From the last time that
the strip got shorter, `tries` of them may be attempts given up while the strip is still longer
than the sheet by the factor `far`, and `reports` of any kind; altogether there may be twice as many.
Work is weighed, too: a report that something fits comes at once, one of an attempt given up after several hundred
times as long, and all of them together may weigh no more than `most`. While the packer explores it reports an attempt
given up; while it compresses it doesn't, but goes on with a strip of another width, which counts as the same. Reports come
in the same order for the same seed and number of workers whatever the machine's speed; so these limits repeat, and one in
seconds would not. The seconds given are a guard against shapes that take for ever; without `reports` they are the limit.

Output: one JSON object a line. `{"reports": 12}` while at work, and at the end `reports` (all of
them), `work` (their weight), `why` and, when any layout was found, `width` and `placed` (item, turn in degrees, x, y).
"""

from __future__ import annotations

import json
import math
import os
import sys
import threading
import time
from typing import Any

import spyrrow

_POLL = 0.02
#: The packer's own limit lies beyond the guard: its phases are then ended by failures, not by time.
_NEVER = 100_000
#: What a report weighs: processor time of both workers, in that of a layout that fits; measured on 6 and 7 hexagonal
#: cartons a sheet (1.5 ms, 19 to 145 ms, 0.7 to 1.3 s).
_WEIGHTS = (
    (spyrrow.ReportType.ExplFeas, 1),
    (spyrrow.ReportType.ExplImproving, 70),
    (spyrrow.ReportType.ExplInfeas, 500),
    (spyrrow.ReportType.CmprFeas, 70),
)
_FITTING = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas, spyrrow.ReportType.Final)


def main() -> None:
    """Read a job, pack until a width is reached or the work is used up, answer, and end at once."""
    job = json.load(sys.stdin)
    say(watch(job, *begin(job)))
    # The packer's threads can't be stopped; leaving without waiting for them ends them.
    os._exit(0)


def say(message: dict[str, Any]) -> None:
    """Write one line."""
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()


def begin(job: dict[str, Any]) -> tuple[Any, threading.Thread, list[str]]:
    """Start the packer in a thread; its last words come in the list."""
    items = [
        spyrrow.Item(str(i), [tuple(p) for p in item["shape"]], item["count"], item["turns"])
        for i, item in enumerate(job["items"])
    ]
    instance = spyrrow.StripPackingInstance("sheet", job["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=job["gap"] or None,
        total_computation_time=_NEVER if job["reports"] else job["seconds"],
        num_workers=job["workers"],
        seed=job["seed"],
    )
    queue = spyrrow.ProgressQueue()
    ended: list[str] = []

    def solve() -> None:
        try:
            instance.solve(config, queue)
        except BaseException as error:  # noqa: BLE001 - a panic in Rust is no Exception
            ended.append(f"{type(error).__name__}: {error}")

    thread = threading.Thread(target=solve, daemon=True)
    thread.start()
    return queue, thread, ended


def watch(job: dict[str, Any], queue: Any, thread: threading.Thread, ended: list[str]) -> dict[str, Any]:
    """Follow the reports; the first layout short enough is the answer, else the shortest.

    Parameters
    ----------
    job
        As it was sent to this process.
    queue
        Where the packer puts its reports.
    thread, ended
        The packer at work, and what it left behind when it ended by itself.
    """
    record = PackerLog(job)
    started = time.monotonic()
    guard = job["seconds"] if job["reports"] else job["seconds"] + 30
    while True:
        over = not thread.is_alive()
        for kind, solution in queue.drain():
            why = record.take(kind, solution)
            if why:
                return record.answer(why)
        if over:
            return record.answer(ended[0] if ended else "ended")
        if time.monotonic() - started > guard:
            return record.answer("time used up")
        say({"reports": record.reports})
        time.sleep(_POLL)


class PackerLog:
    """What the packer has reported so far."""

    def __init__(self, job: dict[str, Any]) -> None:
        self.job = job
        self.best: dict[str, Any] = {}
        self.reports = self.work = self.since = self.given_up = self.missed = 0
        self.open: float | None = None  # width of the strip of an attempt that has not ended, mm

    def take(self, kind: Any, solution: Any) -> str:
        """Take a report in; say why to stop, or nothing."""
        self.reports += 1
        self.work += _weight(kind)
        improves = kind == spyrrow.ReportType.ExplImproving
        silently = improves and self.open is not None and self.open != solution.width
        self.open = solution.width if improves else None
        if silently:
            self.work += _weight(spyrrow.ReportType.ExplInfeas)
        if kind in _FITTING:
            if not self.best or solution.width < self.best["width"]:
                self.best = {"width": solution.width, "placed": placed(solution)}
                self.since = self.given_up = 0
            if self.best["width"] <= self.job["width"]:
                return "fits"
            return "work used up" if self.work >= self.job.get("most", math.inf) else ""
        self.since += 1
        self.missed += 1
        self.given_up += silently or kind == spyrrow.ReportType.ExplInfeas
        if not self.job["reports"]:
            return ""
        far = not self.best or self.best["width"] > self.job["far"] * self.job["width"]
        most = self.job["reports"]
        spent = (
            self.work >= self.job.get("most", math.inf)
            or self.since >= most
            or self.missed >= 2 * most
            or (far and self.given_up >= self.job["tries"])
        )
        return "work used up" if spent else ""

    def answer(self, why: str) -> dict[str, Any]:
        """The last line."""
        return self.best | {"reports": self.reports, "work": self.work, "why": why}


def _weight(kind: Any) -> int:
    return next((weight for known, weight in _WEIGHTS if kind == known), 1)


def placed(solution: Any) -> list[tuple[int, float, float, float]]:
    """Item, turn, x, y of each copy."""
    return [(int(p.id), p.rotation, *p.translation) for p in solution.placed_items]


if __name__ == "__main__":
    main()
