"""The strip packer in a process of its own: a job as JSON on standard input, answers on output.

It stands alone (it imports nothing of cutprep) and is run as a file, because the packer may end
its process on shapes it does not like, can't be cancelled, and keeps all processors busy.

Work is counted in the packer's own reports, which come in the same order for the same seed and
number of workers whatever the machine's speed; so a limit in reports repeats and one in seconds
would not. The seconds given are a guard against shapes that take for ever; without a limit in
reports they are the limit.

Output: one JSON object a line. `{"reports": 12}` while at work, and at the end `reports`, `why`
and, when any layout was found, `width` and `placed` (item, turn in degrees, x, y).
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from typing import Any

import spyrrow

_POLL = 0.02
#: The packer's own limit lies beyond the guard: its phases are then ended by failures, not by time.
_NEVER = 100_000
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
    """Follow the reports; the first layout narrow enough is the answer, else the narrowest."""
    best: dict[str, Any] = {}
    seen, started = 0, time.monotonic()
    guard = job["seconds"] if job["reports"] else job["seconds"] + 30
    while True:
        over = not thread.is_alive()
        for kind, solution in queue.drain():
            seen += 1
            if kind in _FITTING and (not best or solution.width < best["width"]):
                best = {"width": solution.width, "placed": placed(solution)}
                if solution.width <= job["width"]:
                    return best | {"reports": seen, "why": "fits"}
            if job["reports"] and seen >= job["reports"]:
                return best | {"reports": seen, "why": "work used up"}
        if over:
            return best | {"reports": seen, "why": ended[0] if ended else "ended"}
        if time.monotonic() - started > guard:
            return best | {"reports": seen, "why": "time used up"}
        say({"reports": seen})
        time.sleep(_POLL)


def placed(solution: Any) -> list[tuple[int, float, float, float]]:
    """Item, turn, x, y of each copy."""
    return [(int(p.id), p.rotation, *p.translation) for p in solution.placed_items]


if __name__ == "__main__":
    main()
