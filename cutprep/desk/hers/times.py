"""Timing a machine: the page with the files to run, each file, and the profile that the measured times give."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from cutprep.desk.paper import missing_page, times_page
from cutprep.desk.sent import Words, told_of
from cutprep.desk.working.asking import Asking
from cutprep.errors import CutprepError

_LONGEST, _MOST = 300, 300


class Times:
    """The page and what it sends.

    Parameters
    ----------
    asking
        The process that makes the files and fits the profile.
    """

    def __init__(self, asking: Asking) -> None:
        self._asking = asking

    def routes(self) -> list[Route]:
        """Where it is reached."""
        return [
            Route("/hers/times/{machine}", self.page),
            Route("/hers/times/{machine}", self.keep, methods=["POST"]),
            Route("/hers/times/{machine}/{file}", self.file),
        ]

    def page(self, request: Request) -> Response:
        """The files, with a field for the time of each."""
        return self._page(request)

    def file(self, request: Request) -> Response:
        """One of the files."""
        try:
            files = self._machine(request)["files"]
        except CutprepError as fault:
            return HTMLResponse(missing_page(told_of(fault)), 404)
        for one in files:
            if one["name"] == request.path_params["file"]:
                headers = {"content-disposition": f'attachment; filename="{one["name"]}"'}
                return Response(one["text"], media_type="application/octet-stream", headers=headers)
        return HTMLResponse(missing_page("There is no such file."), 404)

    async def keep(self, request: Request) -> Response:
        """Keep what the measured times say."""
        words = await sent_words(request)
        asked = {key: sent[-1] for key, sent in words.items()}
        asked["machine"] = request.path_params["machine"]
        try:
            found = await run_in_threadpool(self._asking.ask, {"ask": "timed", "words": asked})
        except CutprepError as fault:
            return await run_in_threadpool(self._page, request, fault=fault, words=words)
        return await run_in_threadpool(self._page, request, found=found, words=words)

    def _machine(self, request: Request) -> dict[str, Any]:
        asked = {"machine": request.path_params["machine"]}
        return self._asking.ask({"ask": "times", "words": asked})

    def _page(
        self,
        request: Request,
        *,
        found: dict[str, Any] | None = None,
        fault: CutprepError | None = None,
        words: Words | None = None,
    ) -> Response:
        try:
            machine = self._machine(request)
        except CutprepError as slip:
            return HTMLResponse(missing_page(told_of(slip)), 404)
        told, field = ("", "") if fault is None else (told_of(fault), getattr(fault, "field", ""))
        page = times_page(machine, found=found or {}, fault=told, wrong=field, words=words or {})
        return HTMLResponse(page, 200 if fault is None else 422)


async def sent_words(request: Request) -> dict[str, list[str]]:
    """What a form without files has sent, under each name at least one text; what is too long is left out."""
    form = await request.form(max_files=0, max_fields=_MOST)
    return {
        key: [value for value in form.getlist(key) if isinstance(value, str) and len(value) <= _LONGEST]
        or [""]
        for key in form
    }
