"""What she does with a job when it is cut: keeps the best figure of a trial, what is left, makes spoilt copies again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutprep.desk.laying import Files, Way
from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.plan.resolved import resolved, sizes_of
from cutprep.desk.sent import Refused, Words, word_of
from cutprep.desk.shelf import DRAWINGS, JOB, LISTS, MADE, PROFILES, Folder, Shelf
from cutprep.desk.working.asking import Asking
from cutprep.job.settings.forms import FONTS

#: Ways that leave the job as it is: its page shows more of her own afterwards.
QUIET = ("best", "left")
_NOT_YET = ("The files are not ready yet.", "Wait until they are proved.")
_LONGEST = 2000


class OwnWays:
    """Changes what is hers, by what was made of a job.

    Parameters
    ----------
    asking
        The process that keeps it.
    """

    def __init__(self, asking: Asking) -> None:
        self._asking = asking
        self.ways: dict[str, Way] = {
            "best": self._best,
            "left": self._left,
            "counted": self._counted,
            "onto": self._onto,
        }

    def _best(self, job: Folder, words: Words, _: Files) -> str:
        """Keep the figure of a trial that was best."""
        shown = self._made(job)
        trial = shown.get("trial") or {}
        kind, figure = word_of(words, "kind"), word_of(words, "figure").strip()
        if not any(one["kind"] == kind for one in trial.get("figures", [])):
            raise Refused("This job tries no such figure.", "Load the page again.")
        if not figure:
            raise Refused("No figure is chosen.", "Press the best one in the picture.", field="figure")
        asked = {"kind": kind, "figure": figure, "machine": shown["machine"], "stock": trial["stock"]}
        return str(self._asking.ask({"ask": "best", "words": asked})["told"])

    def _left(self, job: Folder, words: Words, _: Files) -> str:
        """Keep what is left of its sheets."""
        self._made(job)
        unit = resolved(job.path / JOB)["job"]["unit"]
        asked = {"made": str(job.path / MADE), "sheet": word_of(words, "sheet"), "unit": unit}
        return str(self._asking.ask({"ask": "left", "words": asked})["told"])

    def _counted(self, job: Folder, words: Words, _: Files) -> str:
        """Count its sheets of a card of hers down."""
        self._made(job)
        asked = {"made": str(job.path / MADE), "card": word_of(words, "card")}
        return str(self._asking.ask({"ask": "counted", "words": asked})["told"])

    def _onto(self, job: Folder, words: Words, _: Files) -> str:
        """Lay a card on an offcut, or on a fresh sheet again."""
        plan = JobFile(job.text)
        card, name = word_of(words, "card"), word_of(words, "offcut").strip()
        sheets = sizes_of(resolved(job.path / JOB), card)
        plan.set(card, "offcut", name or None)
        if name:
            for target in sheets:
                for key in ("sheet", "at_hand", "price"):
                    plan.set(target, key, None)
            plan.one_size(card)
        plan.let_go()
        job.write(plan.text)
        return f"Lay it into the machine as the sheet of {name} lay." if name else ""

    def again(self, shelf: Shelf, job: Folder, words: Words) -> Folder:
        """Make spoilt copies again: a job of its own, with the same drawings.

        Raises
        ------
        CutprepError
            When a mark is none, or the job has changed since.
        """
        self._made(job)
        marks = word_of(words, "marks")[:_LONGEST]
        asked = {"made": str(job.path / MADE), "plan": str(job.path / JOB), "marks": marks}
        told = self._asking.ask({"ask": "again", "words": asked})
        rows = {int(row): (int(count), list(texts)) for row, count, texts in told["rows"]}
        made = sum(count for count, _ in rows.values())
        title = f"{told['title']}: {made} made again"
        plan = JobFile(job.text)
        plan.only(title, rows)
        fresh = shelf.start(title)
        for path in sorted(job.path.iterdir()):
            if path.is_file() and path.name != JOB and not path.name.startswith(".") and _goes_along(path):
                fresh.add_beside(path)
        fresh.write(plan.text)
        return fresh

    def _made(self, job: Folder) -> dict[str, Any]:
        """What the section of cutting shows of files that are proved.

        Raises
        ------
        Refused
            When they are not there, or of another version.
        """
        paper = job.paper()
        shown: dict[str, Any] = paper.get("sections", {}).get("cutting", {})
        if paper.get("version") != job.version or shown.get("state") != "done":
            raise Refused(*_NOT_YET)
        return shown


def _goes_along(path: Path) -> bool:
    """Whether a file beside a job file may be named in it."""
    return path.suffix.lower() in (*DRAWINGS, *LISTS, *PROFILES, *FONTS)
