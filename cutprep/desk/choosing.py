"""Templates to begin with: the routes of the gallery, of one kind with its dimensions, and of the job made of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from cutprep.desk.changing import Changer
from cutprep.desk.paper import template_page, templates_page
from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.sent import ended, told_of
from cutprep.desk.shelf import Folder
from cutprep.desk.working.templates import Templates
from cutprep.errors import CutprepError
from cutprep.job.shown.stored import stored_picture
from cutprep.units import in_unit

_LONGEST = 200
_IN_INCHES = re.compile(r"in(ch|ches)?\s*$|[\"″”]\s*$|''\s*$")
#: Pictures bring styles of their own; they are shown as pictures, where nothing in them can act.
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


class Choosing:
    """The gallery.

    Parameters
    ----------
    changer
        Makes jobs.
    work
        Lets the worker begin one.
    """

    def __init__(self, changer: Changer, work: Callable[[Folder], None]) -> None:
        self.templates = Templates()
        self._changer = changer
        self._work = work

    def routes(self) -> list[Route]:
        """Where it is reached."""
        return [
            Route("/templates", self.all),
            Route("/templates/{name}", self.one),
            Route("/templates/{name}/picture", self.picture),
            Route("/templates/{name}", self.start, methods=["POST"]),
        ]

    def all(self, _: Request) -> Response:
        """Every kind and every set, as pictures."""
        return HTMLResponse(templates_page(self.templates.listed()))

    def one(self, request: Request) -> Response:
        """One of them, with its dimensions as fields."""
        try:
            return HTMLResponse(template_page(self.templates.kind(request.path_params["name"])))
        except CutprepError as fault:
            return HTMLResponse(template_page(None, fault=told_of(fault)), status_code=404)

    def picture(self, request: Request) -> Response:
        """One of them with some dimensions, drawn; the usual picture comes with the program."""
        name, words = request.path_params["name"], _words(request.query_params.multi_items())
        headers = {"content-security-policy": PICTURE_POLICY}
        stored = None if words else stored_picture(name)
        if stored is not None:
            return Response(stored, media_type="image/svg+xml", headers=headers)
        try:
            return Response(self.templates.picture(name, words), media_type="image/svg+xml", headers=headers)
        except CutprepError as fault:
            return JSONResponse(_told(fault, words), status_code=422)

    async def start(self, request: Request) -> Response:
        """Make a job of it."""
        form = await request.form(max_files=0, max_fields=_LONGEST)
        words = _words([(key, value) for key, value in form.multi_items() if isinstance(value, str)])
        name = request.path_params["name"]
        try:
            job = await run_in_threadpool(self._begin, name, words)
        except CutprepError as fault:
            return await run_in_threadpool(self._refused, name, words, fault)
        self._work(job)
        return RedirectResponse(f"/jobs/{job.name}", status_code=303)

    def _refused(self, name: str, words: dict[str, str], fault: CutprepError) -> Response:
        try:
            kind = self.templates.kind(name)
        except CutprepError:
            return HTMLResponse(template_page(None, fault=told_of(fault)), status_code=404)
        told = _told(fault, words)
        said = f"{told['problem']} {told['fix']}".strip()
        return HTMLResponse(
            template_page(kind, words=words, fault=said, wrong=told["field"]), status_code=422
        )

    def _begin(self, name: str, words: dict[str, str]) -> Folder:
        made = self.templates.files(name, words)
        job = self._changer.start([(file, text.encode("utf-8")) for file, text in made["files"]])
        if made["note"]:
            plan = JobFile(made["note"] + job.text)
            plan.set("job", "title", made["title"])
            job.write(plan.text)
        return job


def _told(fault: CutprepError, words: Mapping[str, str]) -> dict[str, str]:
    """What is wrong, beside the dimension that it names first, and in inches where that was typed in inches."""
    field = fault.problem.partition(" ")[0].removesuffix(":")
    unit = "in" if _IN_INCHES.search(words.get(field, "")) else "mm"
    fix = "" if fault.fix.startswith(f"{field}: ") else fault.fix  # what it means stands beside it
    return {"problem": ended(in_unit(fault.problem, unit)), "fix": in_unit(fix, unit), "field": field}


def _words(pairs: list[tuple[str, str]]) -> dict[str, str]:
    """What was typed into the fields; empty ones are left out."""
    return {key: value.strip() for key, value in pairs if value.strip() and len(value) <= _LONGEST}
