"""The worker: a process that takes wishes as lines of JSON and tells as lines of JSON what became of them.

The newest wish counts: while a stage works it looks at each sign of progress whether another one has come, and drops
what it was at. What stages gave is remembered, so that a small change does only what follows from it.

A wish: `job`, `folder`, `version`; with `try` a job file to be tried, with `room` a copy whose room is asked for, with `holds`
what is to go into a folded part, all told by `answer`. Events: `begun`; `progress` with the section, words, and how far; `section`, when a
section of the paper is there; `done`; `fault`, when the fault is ours.
"""

from __future__ import annotations

import json
import queue
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutprep.desk.fields import on_the_page
from cutprep.desk.sections.cutting import cutting
from cutprep.desk.sections.folds import folds, what_fits
from cutprep.desk.sections.lines import lines
from cutprep.desk.sections.making import in_rows, making
from cutprep.desk.sections.sheets import card, sheets
from cutprep.desk.sections.store import WAITING, Known, Store
from cutprep.desk.sections.wrong import wrong
from cutprep.desk.shelf import JOB, KEPT, MADE, packed
from cutprep.errors import CutprepError, DrawingError, InputError, OutputError, ReadbackError, told_as_ours
from cutprep.files import replace_file
from cutprep.job.file import load_job
from cutprep.job.folder.outputs import output_files
from cutprep.job.folder.store import publish
from cutprep.job.job import Item, Job
from cutprep.job.loading import load_all, read_item
from cutprep.job.memory import Remembering
from cutprep.job.own.kept import kept_job
from cutprep.job.pipeline import run
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Stopped
from cutprep.progress import WORDS
from cutprep.report.outcome import Outcome
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.room import room_for

#: Stage to the section in which it is seen, where that is not the sheets.
SEEN_IN = {"drawings": "making", "order": "cutting", "sheets": "cutting"}
QUICK = "quick"
_MEANWHILE = "it was changed meanwhile"
#: Progress is told no more often than this, s.
_PAUSE = 0.1


class Superseded(BaseException):
    """Another wish has come; no stage may take this for a fault of its own."""


class Worker:
    """Does wishes one after the other.

    Parameters
    ----------
    tell
        Takes each event.
    """

    def __init__(self, tell: Callable[[dict[str, Any]], None]) -> None:
        self.wishes: queue.Queue[dict[str, Any] | None] = queue.Queue()
        self._tell = tell
        self._memory = Remembering()
        self._known: Known = {}

    def work(self) -> None:
        """Do wishes until there are no more; of several that wait only the newest."""
        while True:
            wish = self.wishes.get()
            while not self.wishes.empty():
                self._drop(wish)
                wish = self.wishes.get()
            if wish is None:
                return
            self._tell({"is": "begun", "job": wish["job"], "version": wish["version"]})
            if not wish["job"]:
                continue
            try:
                if "room" in wish:
                    self._room(wish)
                elif "holds" in wish:
                    self._holds(wish)
                elif "try" in wish:
                    self._try(wish)
                else:
                    self._do(wish)
            except Superseded:
                continue
            except OSError as fault:  # drawings that can't be read are told by their own errors
                told = f"Nothing can be written into the desk's folder ({fault.strerror}). Make room on the disk, then go on."
                self._tell({**_of(wish), "is": "fault", "told": told})
            except Exception as fault:  # noqa: BLE001 - the last door: what comes here is a fault of ours
                self._tell(
                    {
                        **_of(wish),
                        "is": "fault",
                        "told": told_as_ours(fault, otherwise="the lines on the terminal"),
                    }
                )

    def _drop(self, wish: dict[str, Any] | None) -> None:
        """Pass a wish over for a newer one; who has asked something is not left waiting."""
        if wish is not None and "question" in wish:
            told = {"is": "answer", "question": wish["question"], "holds": False, "rings": []}
            self._tell({**told, "problem": _MEANWHILE, "fix": ""})

    def _try(self, wish: dict[str, Any]) -> None:
        """Run a job file that was not taken yet, and tell whether it holds; what it gives is remembered."""
        path = Path(wish["folder"]) / ".tried.toml"
        told = {"is": "answer", "question": wish["question"], "holds": False}
        told |= {"problem": _MEANWHILE, "fix": ""}
        try:
            replace_file(path, wish["try"].encode("utf-8"))
            run(load_job(path), self._look_up, self._memory)
            told["holds"] = True
        except Stopped:
            told |= {"problem": "the drawing has errors", "fix": "First see what is wrong."}
        except CutprepError as fault:
            told |= {"problem": fault.problem, "fix": fault.fix}
        finally:
            path.unlink(missing_ok=True)
            self._tell(told)

    def _room(self, wish: dict[str, Any]) -> None:
        """Tell where one copy may lie on its sheet; the job was run, so that it is remembered."""
        told: dict[str, Any] = {"is": "answer", "question": wish["question"], "rings": []}
        try:
            asked = wish["room"]
            job = load_job(Path(wish["folder"]) / JOB)
            outcome = run(job, self._look_up, self._memory)
            sheet, spot = outcome.sheets[asked["sheet"]].sheet, asked["spot"]
            if 0 <= spot < len(sheet.placements) and all(one.part is None for one in sheet.placements):
                pose = Pose(asked["turn"] % 360.0, asked["mirror"])
                rings = room_for(sheet, spot, pose, windows=job.nesting.windows)
                told["rings"] = [ring.tolist() for ring in rings]
        except (CutprepError, LookupError):  # it was changed meanwhile
            pass
        finally:
            self._tell(told)

    def _holds(self, wish: dict[str, Any]) -> None:
        """Tell how many things of a size go into a folded part; its drawing was folded, so that it is remembered."""
        told = {"is": "answer", "question": wish["question"], "words": "", "problem": _MEANWHILE, "fix": ""}
        try:
            asked, job = wish["holds"], load_job(Path(wish["folder"]) / JOB)
            loaded = [one for batch in load_all(job, self._look_up, self._memory) for one in batch]
            told |= {"words": what_fits(job, loaded, asked), "problem": ""}
        except CutprepError as fault:
            told |= {"problem": fault.problem, "fix": fault.fix, "field": getattr(fault, "field", "size")}
        except LookupError:  # it was changed meanwhile
            pass
        finally:
            self._tell(told)

    def _look_up(self, stage: str = "", done: int = 0, total: int = 0) -> None:  # noqa: ARG002
        """Drop what is being done when another wish has come."""
        if not self.wishes.empty():
            raise Superseded

    def _do(self, wish: dict[str, Any]) -> None:
        """Run a job: its drawings, a first layout, then the one that was asked for."""
        folder = Path(wish["folder"])
        store = Store(folder, wish["version"], self._known)

        def put(section: str, shown: dict[str, Any]) -> None:
            store.put(section, shown)
            self._tell({**_of(wish), "is": "section", "section": section, "state": shown["state"]})

        told_at = ("", 0.0)

        def progress(stage: str, done: int, total: int) -> None:
            nonlocal told_at
            self._look_up()
            section, words = SEEN_IN.get(stage, "sheets"), WORDS.get(stage, stage)
            if told_at[0] == words and time.monotonic() - told_at[1] < _PAUSE:
                return
            told_at = (words, time.monotonic())
            share = done / total if total else None
            self._tell({**_of(wish), "is": "progress", "section": section, "words": words, "share": share})

        at = "making"
        try:
            job = load_job(folder / JOB)
            put("card", card(job))
            drawn = self._read_all(job)
            put("lines", lines(job, drawn, store, first=True))
            loaded = [one for batch in load_all(job, progress, self._memory) for one in batch]
            put("lines", lines(job, [(one.item, one.whole or one.drawing) for one in in_rows(loaded)], store))
            at = "making"
            put(at, making(job, loaded, store))
            at = "wrong"
            put(at, wrong(job, loaded, drawn, store))
            at = "folds"
            put(at, folds(job, loaded, store))
            at = "sheets"
            if job.nesting.effort != QUICK or job.ordering.effort != QUICK:
                quick = replace(
                    job,
                    nesting=replace(job.nesting, effort=QUICK),
                    ordering=replace(job.ordering, effort=QUICK),
                )
                self._show(job, run(quick, progress, self._memory), (), store, put, first=True)
            outcome = run(job, progress, self._memory)
            files = output_files(outcome, job.also)
            publish(folder / MADE, files, replace=True)
            replace_file(folder / KEPT, packed(kept_job(job, folder / JOB)))
            self._show(job, outcome, files, store, put, first=False)
            store.finish()
        except Stopped:
            put("sheets", _waiting(WAITING))
            put("cutting", _waiting(WAITING))
        except CutprepError as fault:
            put(_section_of(fault, at), _failed(fault))
        store.close()
        self._tell({**_of(wish), "is": "done"})

    def _read_all(self, job: Job) -> list[tuple[Item, Drawing]]:
        """The drawings as they were read: they are seen before they are checked."""
        found = []
        for item in sorted((one for one in job.items if not one.only), key=lambda one: one.row):
            self._look_up()
            found.append((item, read_item(item, job, self._memory)))
        return found

    @staticmethod
    def _show(
        job: Job,
        outcome: Outcome,
        files: Any,
        store: Store,
        put: Callable[[str, dict[str, Any]], None],
        *,
        first: bool,
    ) -> None:
        put("sheets", sheets(job, outcome, store, first=first))
        put("cutting", cutting(job, outcome, files, store, first=first))


def _of(wish: dict[str, Any]) -> dict[str, Any]:
    return {"job": wish["job"], "version": wish["version"]}


def _waiting(why: str) -> dict[str, Any]:
    return {"state": "waiting", "answer": why}


def _failed(fault: CutprepError) -> dict[str, Any]:
    return {
        "state": "needs",
        "answer": fault.problem,
        "failed": {"problem": fault.problem, "fix": on_the_page(fault.fix), "place": str(fault.place)},
    }


def _section_of(fault: CutprepError, at: str) -> str:
    """The section that a fault is about."""
    if isinstance(fault, DrawingError):
        return "lines"
    if isinstance(fault, OutputError | ReadbackError):
        return "cutting"
    if isinstance(fault, InputError):
        return "card" if at == "making" else at
    return "sheets" if at in {"sheets", "cutting"} else at


def main() -> None:
    """Take wishes from the input, and tell of them on the output, until the input ends."""
    lock = threading.Lock()
    out = sys.stdout

    def tell(event: dict[str, Any]) -> None:
        with lock:
            out.write(json.dumps(event) + "\n")
            out.flush()

    worker = Worker(tell)

    def listen() -> None:
        for line in sys.stdin:
            worker.wishes.put(json.loads(line))
        worker.wishes.put(None)

    threading.Thread(target=listen, daemon=True).start()
    worker.work()


if __name__ == "__main__":
    main()
