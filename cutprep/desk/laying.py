"""Laying copies by hand: what the page shows is tried before it is taken, and a place that doesn't hold is not."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.plan.resolved import resolved
from cutprep.desk.sent import Refused, Words, number_of, word_of
from cutprep.desk.shelf import JOB, PLACES, Folder
from cutprep.errors import CutprepError

#: Name and content of each file that was sent.
Files = list[tuple[str, bytes]]
#: Tries a job file that was not taken yet; the error that it ends with, or None.
Try = Callable[[Folder, str], CutprepError | None]
#: Makes one change of what a form has sent; what was done, when there is something to say.
Way = Callable[[Folder, Words, Files], str]


class Laying:
    """Changes where copies lie.

    Parameters
    ----------
    tried
        Tries a job file before it is taken.
    """

    def __init__(self, tried: Try) -> None:
        self._tried = tried
        #: Those that are tried before they are taken: whatever was being worked on is broken off by that.
        self.tried = frozenset({"place", "unpile", "places", "rest"})
        self.ways: dict[str, Way] = {
            "place": self._place,
            "unpile": self._unpile,
            "places": self._places,
            "rest": self._rest,
            "loose": self._loose,
        }

    def _place(self, job: Folder, words: Words, _: Files) -> str:
        """Place copies by hand, as the page shows them; a place that doesn't hold is not taken."""
        try:
            sheets = json.loads(word_of(words, "sheets"))
            plan = JobFile(job.text)
            spots: dict[int, list[dict[str, Any]]] = {}
            for number, sheet in enumerate(sheets, 1):
                for spot in sheet:
                    file, _sign, piece = str(spot["file"]).partition("#")
                    row = plan.owner(file, piece, str(spot.get("card", "")))
                    if row is not None:
                        spots.setdefault(row, []).append(_spot(number, piece, spot))
        except (ValueError, KeyError, TypeError):
            raise Refused("These places can't be read.", "Load the page again.") from None
        if not spots:
            raise Refused("That is the last piece.", "Leave its drawing out under “What to make”.")
        for row in range(len(plan.files)):
            plan.place(row, spots.get(row, []))
        plan.all_placed()
        self._take_if_it_holds(job, plan)
        return "Placed by hand: it stays there when the rest is laid out again."

    def _places(self, job: Folder, words: Words, files: Files) -> str:
        """Lay the copies as the `job.json` of a prepared job says, or no longer."""
        plan = JobFile(job.text)
        plan.let_go()
        if word_of(words, "away") == "yes":
            job.write(plan.text)
            return ""
        if not files or not files[0][1]:
            raise Refused(
                "No job.json was chosen.", "Choose the one of a job that was laid out.", field="files"
            )
        plan.set("job", "places", job.add_file(*files[0], PLACES))
        try:
            self._take_if_it_holds(job, plan)
        except Refused as fault:
            raise Refused(fault.problem, fault.fix, field="files") from None
        return ""

    def _take_if_it_holds(self, job: Folder, plan: JobFile) -> None:
        fault = self._tried(job, plan.text)
        if fault is not None:
            raise Refused(fault.problem, fault.fix)
        job.write(plan.text)

    def _unpile(self, job: Folder, words: Words, _: Files) -> str:
        """Lay a copy that no hand has laid on a new sheet."""
        margin = resolved(job.path / JOB)["job"]["margin"]
        plan = JobFile(job.text)
        plan.lay_one(number_of(words, "number"), margin)
        self._take_if_it_holds(job, plan)
        return ""

    def _rest(self, job: Folder, _: Words, __: Files) -> str:
        """Lay all but the copies that a hand has laid out again, round those."""
        plan = JobFile(job.text)
        if not plan.lay_rest():
            raise Refused("No piece was laid by hand.", "Move one first.")
        self._take_if_it_holds(job, plan)
        return ""

    def _loose(self, job: Folder, _: Words, __: Files) -> str:
        plan = JobFile(job.text)
        plan.let_go()
        job.write(plan.text)
        return ""


def _spot(sheet: int, piece: str, spot: Mapping[str, Any]) -> dict[str, Any]:
    """One copy as the job file holds it; coordinates keep all their digits, so that it lies where it lay.

    One that no hand has moved, now or before, is loose: it makes room when the rest is laid out again.
    """
    row: dict[str, Any] = {"sheet": sheet, "x": f"{float(spot['x'])!r} mm", "y": f"{float(spot['y'])!r} mm"}
    if piece:
        row["piece"] = piece
    if float(spot.get("turn", 0.0)):
        row["turn"] = float(spot["turn"])
    if spot.get("mirror"):
        row["mirror"] = True
    if not spot.get("hand"):
        row["loose"] = True
    return row
