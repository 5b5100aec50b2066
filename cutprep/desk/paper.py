"""The paper: a job as one page, read from top to bottom, each step a section whose heading is today's answer."""

from __future__ import annotations

import shlex
import tomllib
from collections.abc import Mapping
from typing import Any

from cutprep.desk.fields import Field, field_of, fields_of
from cutprep.desk.handing import where_to_begin
from cutprep.desk.hers.shown import for_cutting, for_sheets
from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.plan.resolved import copies_wanted, resolved
from cutprep.desk.sent import Refused, Words, told_of, word_of
from cutprep.desk.shelf import JOB, Folder, Shelf
from cutprep.errors import CutprepError
from cutprep.job.settings.compound import SIDES
from cutprep.job.settings.resolve import Resolved
from cutprep.job.settings.setting import Group
from cutprep.link.words import CAUTION
from cutprep.profile.shelf import stocks
from cutprep.report.page import pages_of

#: Name of each section, and what stands before its answer.
SECTIONS = {
    "making": "What to make",
    "lines": "The lines",
    "wrong": "What is wrong",
    "folds": "How it folds",
    "card": "Card and machine",
    "sheets": "The sheets",
    "cutting": "Cutting",
}
#: Word of the link that opens a section.
_DO = {"making": "change", "lines": "change", "card": "change"}
#: Settings that a section's sentence asks for, so that they don't stand under "more" again.
_SAID = {
    "making": ("copies", "sets", "title"),
    "lines": (),
    "wrong": ("mend", "keep", "despite_findings"),
    "card": ("stock", "sheet", "at_hand", "machine", "unit"),
    "sheets": ("gap", "margin", "turns", "effort"),
    "cutting": (),
}
_GROUPS = {
    "making": (Group.NAMES,),
    "lines": (Group.DRAWING,),
    "wrong": (),
    "card": (Group.CARD, Group.BLADE),
    "sheets": (Group.LAYOUT,),
    "cutting": (Group.ORDER, Group.OUTPUT),
}

#: Of so many jobs, the last that were changed, what is left of a sheet can be taken.
_MOST_FORMER = 12
_PAGES = pages_of("cutprep.desk")


def shelf_page(jobs: list[Folder], *, told: str = "") -> str:
    """The first page: a place to drop drawings, and the jobs that are there."""
    rows = [_job_row(job) for job in jobs]
    return _PAGES.get_template("shelf.html").render(jobs=rows, told=told)


def templates_page(listed: Mapping[str, Any]) -> str:
    """Every kind of template and every set, as pictures."""
    return _PAGES.get_template("templates.html").render(**listed)


def template_page(
    kind: Mapping[str, Any] | None,
    *,
    words: Mapping[str, str] | None = None,
    fault: str = "",
    wrong: str = "",
) -> str:
    """One kind of template or one set, with its dimensions as fields.

    Parameters
    ----------
    kind
        None when there is none of that name.
    words
        What was typed already.
    fault, wrong
        What is wrong with it, and the dimension that it is about: told at the head where that is none of its own.
    """
    own = {field["name"] for field in (*kind["fields"], *kind["extras"])} if kind else set()
    return _PAGES.get_template("template.html").render(
        kind=kind, words=words or {}, fault=fault, wrong=wrong if wrong in own else ""
    )


def own_page(
    own: Mapping[str, Any] | None, *, told: str, fault: str, form: str, wrong: str, words: Words
) -> str:
    """The page of the maker's own things.

    Parameters
    ----------
    own
        As `hers.shown.own_things` gives them; None when one of her files can't be used.
    told, fault
        What was done, or could not be done.
    form, wrong
        What was sent, and the field in it that the fault is about; "" tells it at the head.
    words
        What was typed already.
    """
    typed = {(form, key): sent[-1] for key, sent in words.items() if sent}
    at = (form, wrong) if wrong else ""
    return _PAGES.get_template("hers.html").render(own=own, told=told, fault=fault, wrong=at, typed=typed)


def times_page(
    machine: Mapping[str, Any], *, found: Mapping[str, Any], fault: str, wrong: str, words: Words
) -> str:
    """The files that are run to time a machine, with a field for each time, and what the times say.

    Parameters
    ----------
    machine
        With its `files`.
    found
        What the times say; empty before.
    fault, wrong
        What is wrong with what was typed, and the field that it is about.
    words
        What was typed already.
    """
    typed = {key: sent[-1] for key, sent in words.items() if sent}
    return _PAGES.get_template("times.html").render(
        machine=machine, found=found, fault=fault, wrong=wrong, typed=typed
    )


def missing_page(what: str = "There is nothing under this address.") -> str:
    """The page of what is not there."""
    return f"<!doctype html><title>Not here</title><p>{what}</p>"


def _job_row(job: Folder) -> dict[str, Any]:
    sections = job.paper().get("sections", {})
    drawings = sections.get("making", {}).get("drawings", [])
    return {
        "name": job.name,
        "title": title_of(job),
        "answer": sections.get("making", {}).get("answer", ""),
        "sheets": sections.get("sheets", {}).get("answer", ""),
        "picture": drawings[0]["picture"] if drawings else "",
    }


def title_of(job: Folder) -> str:
    """A job's title: its own, or what its folder is called."""
    try:
        title = tomllib.loads(job.text).get("title")
    except (ValueError, RecursionError):  # the card's section says what is wrong with it
        title = None
    return title if isinstance(title, str) and title else job.name


def paper_page(
    job: Folder, *, told: str = "", fault: str = "", refused: Refused | None = None, sent: Words | None = None
) -> str:
    """The paper of a job.

    Parameters
    ----------
    job
        The job.
    told, fault
        A sentence at its head, of something that was done, or could not be done.
    refused
        What could not be done: told beside its field where that is a setting's, and at the head else.
    sent
        What the form has sent.
    """
    stamp = job.stamp  # before it is read: one that is made meanwhile is fetched anew
    slip = (
        ("", "", "")
        if refused is None
        else (refused.field, word_of(sent or {}, refused.field), told_of(refused))
    )
    paper = _Paper(job, slip)
    sections = [paper.section(name) for name in SECTIONS]
    if slip[2] and not any(section["slip"] for section in sections):
        fault = slip[2]
    return _PAGES.get_template("paper.html").render(
        job=job.name,
        stamp=stamp,
        title=title_of(job),
        version=paper.version,
        can=job.can,
        sections=sections,
        told=told,
        fault=fault,
    )


def section_page(job: Folder, name: str) -> str:
    """One section of the paper, to be put in place of the one that is shown."""
    paper = _Paper(job)
    return _PAGES.get_template("section.html").render(
        job=job.name, version=paper.version, section=paper.section(name)
    )


def handing_page(job: Folder, told: Mapping[str, Any], *, at_work: bool) -> str:
    """How the sending of a job stands, with what she can do about it.

    Parameters
    ----------
    job
        That is sent.
    told
        What was last told.
    at_work
        It goes on.
    """
    return _PAGES.get_template("handing.html").render(job=job.name, told=told, at_work=at_work)


def _area_said(area: Mapping[str, Any]) -> str:
    if "drawing" in area:
        return f"what is cut in {area['drawing']}"
    left, bottom, right, top = (area.get(side, "?") for side in SIDES)
    return f"from {left} to {right} across, {bottom} to {top} up"


class _Paper:
    """What the page shows of one version of a job.

    Parameters
    ----------
    job
        The job.
    slip
        A field, what was typed into it, and why that was not taken.
    """

    def __init__(self, job: Folder, slip: tuple[str, str, str] = ("", "", "")) -> None:
        self.job = job
        self._slip = slip
        self.version = job.version
        found = job.paper()
        self.fresh = found.get("version") == self.version
        self.shown: Mapping[str, Mapping[str, Any]] = found.get("sections", {})
        try:
            self.plan = JobFile(job.text)
            self.values: Mapping[str, Resolved] = resolved(job.path / JOB)
            self.fault = ""
        except CutprepError as fault:
            self.plan, self.values = JobFile(""), {}
            self.fault = str(fault)

    def section(self, name: str) -> dict[str, Any]:
        """All that one section shows."""
        shown = self.shown.get(name)
        state = shown.get("state", "done") if shown is not None and self.fresh else "working"
        if self.fault and name == "card":
            state, shown = (
                "needs",
                {"answer": self.fault, "failed": {"problem": self.fault, "fix": "", "place": ""}},
            )
        job_file = (self.job.path / JOB).resolve()
        fields, more = self._fields(name), self._more(name)
        deep = any(field.wrong for _, some in more for field in some)
        slip = deep or any(field.wrong for field in fields.values())
        return {
            "name": name,
            "number": list(SECTIONS).index(name) + 1,
            "heading": SECTIONS[name],
            "answer": shown["answer"] if shown is not None else "not there yet ...",
            "state": state,
            "do": _DO.get(name, "look"),
            "open": slip or (state == "needs" and name == self._first_in_need()),
            "slip": slip,
            "deep": deep,
            "shown": shown or {},
            "fields": fields,
            "areas": [_area_said(area) for area in self.plan.areas] if name == "sheets" else [],
            "offcuts": self._offcuts() if name == "sheets" else {},
            "cards": self._cards() if name == "making" else {},
            "pile": self._pile() if name == "sheets" else [],
            "by_hand": self._by_hand() if name == "sheets" else {},
            "aligned": self.plan.aligned if name == "cutting" else [],
            "command": f"cutprep prepare {shlex.quote(str(job_file))} --out results"
            if name == "cutting"
            else "",
            "begin": {**where_to_begin(self.job), "caution": CAUTION} if name == "cutting" else {},
            "hers": self._hers(name, shown or {}),
            "more": more,
        }

    def _hers(self, name: str, shown: Mapping[str, Any]) -> Any:
        """What is hers in a section: offcuts to lie on; of a trial, the figures that are kept."""
        try:
            if name == "sheets":
                return for_sheets(self.plan, self.values, shown)
            return for_cutting(shown, self.values) if name == "cutting" else {}
        except CutprepError:  # a slip in one of her files, which the page of her own things tells
            return [] if name == "sheets" else {"kept": {}, "cards": []}

    def _first_in_need(self) -> str:
        if not self.fresh:
            return ""
        needing = (name for name in SECTIONS if self.shown.get(name, {}).get("state") == "needs")
        return next(needing, "")

    def _targets(self, scope: str) -> list[str]:
        return [target for target in self.values if target.split("-")[0] == scope]

    def _fields(self, name: str) -> dict[str, Field]:
        """The fields of a section's sentence by `target/name`."""
        found = {}
        for target, values in self.values.items():
            for setting in _SAID.get(name, ()):
                if setting in values:
                    field = field_of(target, values.entry(setting), self.plan.written)
                    found[f"{target}/{setting}"] = self._as_sent(field)
        return found

    def _as_sent(self, field: Field) -> Field:
        """A field, with what was wrongly typed into it if it is that one."""
        key, typed, wrong = self._slip
        return field.refused(typed, wrong) if key == f"{field.target}/{field.name}" else field

    def _offcuts(self) -> dict[str, str]:
        """Sheets of other jobs on what is left of which this one can be cut."""
        found = {}
        for other in Shelf(self.job.path.parent).jobs()[:_MOST_FORMER]:
            rows = other.paper().get("sections", {}).get("sheets", {}).get("sheets", [])
            if other.name == self.job.name:
                continue
            for row in rows:
                if row.get("cut"):
                    words = f"{title_of(other)}, sheet {row['number']}: {row['stock']}, {row['size']}"
                    found[f"{other.name}/{row['number']}"] = words
        return found

    def _pile(self) -> list[tuple[int, str, int]]:
        """Row and file of each drawing of which copies are wanted that no hand has laid, and how many."""
        found: list[tuple[int, str, int]] = []
        if self.plan.by_hand[1]:  # they are laid round those that are placed
            return found
        for row, (file, placed, whole) in enumerate(self.plan.placed):
            wanted = copies_wanted(self.values, row)
            if whole and wanted > placed:
                found.append((row, file, wanted - placed))
        return found if any(placed for _, placed, _ in self.plan.placed) else []

    def _by_hand(self) -> dict[str, Any]:
        """How many copies a hand has laid, whether others lie beside them, and whether those lie round them."""
        stay = sum(len(self.plan.lies(row)) for row in range(len(self.plan.files)))
        placed = sum(count for _, count, _ in self.plan.placed)
        return {
            "stay": stay,
            "others": placed > stay or bool(self._pile()),
            "round": self.plan.by_hand[1],
            "placed": placed,
            "places": self.plan.places,
        }

    def _cards(self) -> dict[str, str]:
        """Name to title of the cards that a piece may be cut from."""
        listed = self.plan.cards
        return {name: name for name in listed} or {name: one.title for name, one in stocks().items()}

    def _more(self, name: str) -> list[tuple[str, list[Field]]]:
        """Further fields of a section: a heading, and the fields below it."""
        said = {setting for names in _SAID.values() for setting in names}
        groups = _GROUPS.get(name, ())
        found = []
        for target, values in self.values.items():
            fields = fields_of(target, values, groups, self.plan.written, without=said) if groups else []
            if fields:
                found.append((self._heading(target), [self._as_sent(field) for field in fields]))
        return found

    def _heading(self, target: str) -> str:
        """What a target is called above its fields."""
        kind, *numbers = target.split("-")
        if kind == "job":
            return "For the whole job"
        if kind == "template":
            drawings = self.shown.get("making", {}).get("drawings", [])
            at = int(numbers[0])
            return drawings[at]["file"] if at < len(drawings) else f"Drawing {at + 1}"
        if len(self._targets("card")) == 1:
            return "The card" if kind == "card" else "Its sheets"
        return f"Card {int(numbers[0]) + 1}" if kind == "card" else f"Sheets of card {int(numbers[0]) + 1}"
