"""Handing the files to a machine, or onto a stick: one sending at a time, in a process of its own, told as it goes.

What was last told is kept beside the job, so that after a crash the page says which stroke was certain.
"""

from __future__ import annotations

import json
import subprocess
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from cutprep.desk.sent import Refused, Words, word_of
from cutprep.desk.shelf import MADE, Folder
from cutprep.desk.working.process import begin
from cutprep.files import load_bytes, replace_file
from cutprep.link.events import EventKind
from cutprep.link.ports import ports
from cutprep.link.words import which_is_certain

#: What was last told of a job's sending.
TOLD = "handing.json"
_LARGEST = 100_000
#: So long the desk waits, when it is closed, for a machine to be stopped, s.
_CLOSING = 8.0
#: A process that has told its last needs no longer to end, s.
_ENDING = 2.0
#: A sending that goes on, and one that broke off.
_OPEN = (EventKind.ASKS.value, EventKind.GOES.value)
_BROKEN = (*_OPEN, EventKind.STOPPED.value, EventKind.LOST.value)
#: Advice for the command line, and what it is on the page.
_FOR_THE_PAGE = {
    "Copy it: --to a folder or a stick.": "Name a folder or a stick instead.",
    "`cutprep ports` lists what is there; a network": "The list shows what is there; a network",
    "Add --replace to replace it, or": "Tick the box to replace it, or",
    "`cutprep verify` tells all of it. ": "Change anything, and it is made anew. ",
}


class Handing:
    """The one sending of a desk.

    Parameters
    ----------
    tell
        Told the job's name whenever there is something new; called from a thread.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._thread: threading.Thread | None = None
        self._job, self._ended = "", False

    def at_work(self, job: str) -> bool:
        """Whether a job is being sent."""
        return self._process is not None and self._job == job

    def act(self, job: Folder, words: Words) -> None:
        """Begin, go on, hold or stop, as a form says.

        Raises
        ------
        Refused
            When that can't be done.
        """
        what = word_of(words, "do")
        if what == "send":
            self._begin(job, words)
        elif not self.at_work(job.name) or what not in {"go", "hold", "stop"}:
            raise Refused("Nothing of this job is being sent now.", "Load the page again.")
        else:
            self._say(what)

    def told(self, job: Folder) -> dict[str, Any]:
        """What the page shows: what was last told of a job's sending; empty when it was never sent."""
        told = last_told(job)
        if told.get("kind") in _OPEN and not self.at_work(job.name):
            certain = which_is_certain(told["done"], told["sent"], told["strokes"])
            said = f"The desk was closed while this was sent, and the tool may be down. {certain}"
            told |= {"kind": EventKind.LOST.value, "said": said}
        return told

    def close(self) -> None:
        """Stop what is being sent, and wait until the machine was told."""
        thread = self._thread
        if self._process is not None and thread is not None:
            self._say("stop")
            thread.join(_CLOSING)

    def _begin(self, job: Folder, words: Words) -> None:
        folder, to = job.path / MADE, word_of(words, "to").strip()
        if not to or len(to) > 1000 or "\0" in to:
            raise Refused(
                "No port and no folder is named.", "Choose one of the list, or write it.", field="to"
            )
        if job.paper().get("version") != job.version or not folder.is_dir():
            raise Refused("The files are not ready yet.", "Wait until they are proved.", field="to")
        wish = {
            "folder": str(folder),
            "title": job.name,
            "to": to,
            "sheet": _count(words, "sheet"),
            "file": word_of(words, "file"),
            "stroke": _count(words, "stroke"),
            "frame": word_of(words, "frame") == "yes",
            "replace": word_of(words, "replace") == "yes",
        }
        with self._lock:
            if self._ended and self._thread is not None:
                self._thread.join(_ENDING)
            if self._process is not None:
                raise Refused(
                    "Another sending goes on.", "Stop it, or wait until it is finished.", field="to"
                )
            self._job, self._process = job.name, begin("cutprep.desk.working.hand")
        self._say(wish)
        told = self._heard()
        if told.get("is") != "event":
            self._over()
            problem = told.get("problem", "The sending ended before it began.")
            raise Refused(problem, _for_the_page(told.get("fix", "")), field=told.get("field", "to"))
        self._keep(job, to, told)
        self._thread = threading.Thread(target=self._follow, args=(job, to, told), daemon=True)
        self._thread.start()

    def _follow(self, job: Folder, to: str, last: dict[str, Any]) -> None:
        """Hear what the process tells until it ends."""
        while told := self._heard():
            last = told
            self._keep(job, to, told)
        self._over()
        if last["kind"] in _OPEN:
            certain = which_is_certain(last["done"], last["sent"], last["strokes"])
            said = f"The sending was broken off, and the tool may be down: use the machine's own switch. {certain}"
            self._keep(job, to, {**last, "kind": EventKind.LOST.value, "said": said})
        self._tell(job.name)

    def _heard(self) -> dict[str, Any]:
        """What is told next; empty at the end."""
        process = self._process
        assert process is not None
        assert process.stdout is not None
        line = process.stdout.readline()
        found: dict[str, Any] = json.loads(line) if line.endswith(b"\n") else {}
        return found

    def _say(self, what: object) -> None:
        process = self._process
        if process is not None and process.stdin is not None:
            with suppress(OSError):  # it has just ended
                process.stdin.write(json.dumps(what).encode("utf-8") + b"\n")
                process.stdin.flush()

    def _over(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.wait()
            for stream in (process.stdin, process.stdout):
                if stream is not None:
                    with suppress(OSError):
                        stream.close()

    def _keep(self, job: Folder, to: str, event: dict[str, Any]) -> None:
        """Keep what is told; a full disk, or a job that is gone, must not break a sending off."""
        self._ended = event["kind"] not in _OPEN
        with suppress(OSError):
            replace_file(job.path / TOLD, json.dumps({**event, "to": to}).encode("utf-8"))
        self._tell(job.name)


def last_told(job: Folder) -> dict[str, Any]:
    """What was last told of a job's sending; empty when it was never sent."""
    try:
        found = json.loads(load_bytes(job.path / TOLD, _LARGEST))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def where_to_begin(job: Folder) -> dict[str, Any]:
    """What the form proposes: the ways there are, the last one, and after a break from where to go on."""
    told = last_told(job)
    broken = told.get("kind") in _BROKEN and told.get("file")
    return {
        "ports": [(one.name, ", ".join(filter(None, (one.kind, one.told)))) for one in ports()],
        "to": told.get("to", ""),
        "file": told["file"] if broken else "",
        "sheet": told["sheet"] if broken else 1,
        "stroke": max(1, min(told["done"] + 1, told["strokes"])) if broken else 1,
    }


def _count(words: Words, key: str) -> int:
    word = word_of(words, key).strip() or "1"
    if not word.isdecimal() or len(word) > 7 or int(word) < 1:
        raise Refused(f"'{word[:20]}' is no number from 1 on.", field=key)
    return int(word)


def _for_the_page(fix: str) -> str:
    for words, instead in _FOR_THE_PAGE.items():
        fix = fix.replace(words, instead)
    return fix
