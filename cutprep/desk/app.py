"""The routes: each reads a form, changes the job file, and tells the worker; the page is what then stands there."""

from __future__ import annotations

import asyncio
import json
import math
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from sse_starlette import EventSourceResponse
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from cutprep.desk.changing import Changer
from cutprep.desk.choosing import PICTURE_POLICY, Choosing
from cutprep.desk.guard import SHEET_POLICY, TooMuch
from cutprep.desk.handing import Handing
from cutprep.desk.hers.routes import Hers
from cutprep.desk.hers.ways import QUIET, OwnWays
from cutprep.desk.paper import SECTIONS, handing_page, missing_page, paper_page, section_page, shelf_page
from cutprep.desk.sections.store import stop_paper
from cutprep.desk.sent import Refused, told_of
from cutprep.desk.shelf import KEPT, MADE, Folder, Shelf, packed
from cutprep.desk.working.asking import Asking
from cutprep.desk.working.crew import Crew
from cutprep.errors import CutprepError

_HERE = Path(__file__).parent
#: Scripts and styles that the page shares with the written sheets.
_SHARED = _HERE.parent / "report" / "pages"
#: So many files and fields one request may bring.
_MOST_FILES, _MOST_FIELDS = 60, 600
#: So long it may take to keep something, or to make a trial, s.
ASIDE = 60.0
#: Kinds of what the worker keeps for the page.
_KINDS = {".svg": "image/svg+xml", ".json": "application/json", ".bin": "application/octet-stream"}


class Desk:
    """One desk: its jobs, its worker, and who listens.

    Parameters
    ----------
    shelf
        The folder of jobs.
    """

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf
        self.workshop = Crew(self._tell)
        late = ("this takes too long", "Try again.")
        self.aside = Asking("cutprep.desk.working.aside", ASIDE, late)
        own = OwnWays(self.aside)
        self.changer = Changer(shelf, self.workshop.try_out, own.ways)
        self.hers = Hers(shelf, self.changer, self.aside, own, self._do)
        self.choosing = Choosing(self.changer, self._do)
        self.handing = Handing(lambda job: self._tell(job, {"is": "handing"}))
        self._listeners: dict[str, set[asyncio.Queue[dict[str, Any]]]] = {}
        #: Changes that were told: a page that has sent one knows by their number when it has heard of it.
        self._turn = 0
        self._loop: asyncio.AbstractEventLoop | None = None

    def app(self) -> Starlette:
        """The application, without its guard."""
        return Starlette(
            routes=[
                Route("/", self.first),
                *self.hers.routes(),
                Route("/jobs", self.start, methods=["POST"]),
                Route("/jobs/{job}", self.paper),
                Route("/jobs/{job}/sections/{section}", self.section),
                Route("/jobs/{job}/view/{name}", self.view),
                Route("/jobs/{job}/made/{name}", self.made),
                Route("/jobs/{job}/all", self.download),
                Route("/jobs/{job}/kept", self.kept),
                Route("/jobs/{job}/room", self.room),
                Route("/jobs/{job}/holds", self.holds),
                Route("/jobs/{job}/events", self.events),
                Route("/jobs/{job}/handing", self.handed),
                Route("/jobs/{job}/handing", self.hand, methods=["POST"]),
                Route("/jobs/{job}/{change}", self.change, methods=["POST"]),
                *self.choosing.routes(),
                Mount("/pages", StaticFiles(directory=_HERE / "pages")),
                Mount("/shared", StaticFiles(directory=_SHARED)),
            ],
            lifespan=self._living,
            exception_handlers={CutprepError: _refuse, TooMuch: _too_much, MultiPartException: _too_much},
        )

    @asynccontextmanager
    async def _living(self, _: Starlette) -> AsyncIterator[None]:
        self._loop = asyncio.get_running_loop()
        await run_in_threadpool(self.workshop.warm)
        yield
        await run_in_threadpool(self.handing.close)
        await run_in_threadpool(self.workshop.close)
        await run_in_threadpool(self.choosing.templates.close)
        await run_in_threadpool(self.aside.close)

    # ---- pages ---------------------------------------------------------------------------------

    def first(self, _: Request) -> Response:
        """The shelf."""
        return HTMLResponse(shelf_page(self.shelf.jobs()))

    async def start(self, request: Request) -> Response:
        """Drawings or a job file were dropped: a new job."""
        form = await _form(request)
        files = await _files(form)
        job = await run_in_threadpool(self.changer.start, [f for f in files if f[0]])
        self._do(job)
        return RedirectResponse(f"/jobs/{job.name}", status_code=303)

    def paper(self, request: Request) -> Response:
        """The paper of a job; what is not there yet is begun."""
        job = self._job(request)
        if job is None:
            return _gone()
        if job.paper().get("version") != job.version:
            self._do(job)
        return HTMLResponse(paper_page(job))

    def section(self, request: Request) -> Response:
        """One section, as it is now."""
        job, name = self._job(request), request.path_params["section"]
        if job is None or name not in SECTIONS:
            return _gone()
        return HTMLResponse(section_page(job, name))

    def view(self, request: Request) -> Response:
        """A picture or columns of a section; their names are made of their content."""
        job = self._job(request)
        path = job.view(request.path_params["name"]) if job is not None else None
        if path is None:
            return _gone()
        headers = {
            "cache-control": "private, max-age=31536000, immutable",
            "content-security-policy": PICTURE_POLICY,
        }
        return FileResponse(path, media_type=_KINDS[path.suffix], headers=headers)

    def room(self, request: Request) -> Response:
        """Where a copy that is being moved may lie."""
        job, words = self._job(request), request.query_params
        if job is None:
            return _gone()
        try:
            asked = {
                "sheet": int(words["sheet"][:4]),
                "spot": int(words["spot"][:6]),
                "turn": float(words["turn"][:30]),
                "mirror": words.get("mirror") == "yes",
            }
        except (KeyError, ValueError):
            return _gone()
        fresh = job.paper().get("version") == job.version and math.isfinite(float(str(asked["turn"])))
        return JSONResponse(
            {"rings": self.workshop.room(job, asked) if fresh and asked["sheet"] >= 0 else []}
        )

    def holds(self, request: Request) -> Response:
        """How many things of a size go into a folded part."""
        job, words = self._job(request), request.query_params
        part = words.get("part", "")
        if job is None or not part.isdecimal() or len(part) > 4:
            return _gone()
        asked = {"part": int(part), **{key: words.get(key, "")[:60] for key in ("size", "clearance")}}
        fresh = job.paper().get("version") == job.version
        told = self.workshop.holds(job, asked) if fresh else None
        if told is None:
            told = {"problem": "The job is being worked on", "fix": "Ask again when that is done."}
        refused = (
            Refused(told["problem"], told["fix"], field=told.get("field", "size"))
            if told["problem"]
            else None
        )
        if _scripted(request):
            return JSONResponse({"told": told["words"]}) if refused is None else _refusal(refused)
        page = paper_page(job, told=told.get("words", ""), refused=refused)
        return HTMLResponse(page, status_code=200 if refused is None else 422)

    def made(self, request: Request) -> Response:
        """A file of the prepared job: papers are shown, the others handed over."""
        job = self._job(request)
        path = job.made(request.path_params["name"]) if job is not None else None
        if path is None:
            return _gone()
        if path.suffix == ".html":
            return FileResponse(
                path, media_type="text/html", headers={"content-security-policy": SHEET_POLICY}
            )
        return FileResponse(path, filename=path.name, media_type="application/octet-stream")

    def download(self, request: Request) -> Response:
        """All files of the prepared job in one."""
        job = self._job(request)
        folder = job.path / MADE if job is not None else None
        if job is None or folder is None or not folder.is_dir():
            return _gone()
        files = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
        return Response(
            packed(files, job.name),
            media_type="application/zip",
            headers={"content-disposition": f'attachment; filename="{job.name}.zip"'},
        )

    def kept(self, request: Request) -> Response:
        """The job itself in one, with every value written out, for another computer or another year."""
        job = self._job(request)
        path = job.path / KEPT if job is not None else None
        if job is None or path is None or not path.is_file() or job.paper().get("version") != job.version:
            return _gone()
        return FileResponse(path, filename=f"{job.name}-job.zip", media_type="application/zip")

    # ---- changes -------------------------------------------------------------------------------

    async def change(self, request: Request) -> Response:
        """Whatever changes a job: a setting, a drawing, a place, undo."""
        job, what = self._job(request), request.path_params["change"]
        if job is None:
            return _gone()
        scripted = _scripted(request)
        if what in {"stop", "forget", "go"}:
            return await self._work(job, what, scripted=scripted)
        if what not in self.changer.ways:
            return _gone()
        form = await _form(request)
        files = await _files(form)
        words = {key: [v for v in form.getlist(key) if isinstance(v, str)] for key in form}
        before = job.version
        try:
            told = await run_in_threadpool(self.changer.change, job, what, words, files)
        except Refused as refused:
            if what in self.changer.tried:  # trying it has broken off what was being worked on
                self._do(job)
            if scripted:
                return _refusal(refused, version=job.version)
            return HTMLResponse(paper_page(job, refused=refused, sent=words), status_code=refused.status)
        if job.version != before:
            self._changed(job)
        elif what in QUIET:
            self._tell(job.name, {"is": "section", "section": "cutting", "version": job.version})
        if scripted:
            return JSONResponse({"version": job.version, "told": told, "can": job.can, "turn": self._turn})
        return RedirectResponse(f"/jobs/{job.name}", status_code=303)

    def _changed(self, job: Folder) -> None:
        """Tell that a job is another one now, and let the worker bring its paper up to it."""
        self._turn += 1
        self._tell(job.name, {"is": "changed", "version": job.version, "can": job.can, "turn": self._turn})
        self._do(job)

    async def _work(self, job: Folder, what: str, *, scripted: bool) -> Response:
        """Stop the work on a job, go on with it, or forget the job with all that was made of it."""
        if what == "go":
            self._changed(job)
        else:
            await run_in_threadpool(self.workshop.stop, job.name)
        if what == "forget" and self.handing.at_work(job.name):
            return HTMLResponse(paper_page(job, fault="This job is being sent. Stop that first."), 422)
        if what == "forget":
            await run_in_threadpool(self.shelf.forget, job)
            return RedirectResponse("/", status_code=303)
        if what == "stop":
            await run_in_threadpool(stop_paper, job.path, job.version, job.paper(), SECTIONS)
            self._tell(job.name, {"is": "stopped", "version": job.version})
        if scripted:
            return JSONResponse({"version": job.version, "can": job.can, "turn": self._turn})
        return RedirectResponse(f"/jobs/{job.name}", status_code=303)

    # ---- the machine ---------------------------------------------------------------------------

    async def handed(self, request: Request) -> Response:
        """How the sending of a job stands."""
        job = self._job(request)
        if job is None:
            return _gone()
        return HTMLResponse(handing_page(job, self.handing.told(job), at_work=self.handing.at_work(job.name)))

    async def hand(self, request: Request) -> Response:
        """Begin a sending, go on, hold or stop."""
        job = self._job(request)
        if job is None:
            return _gone()
        form = await _form(request)
        words = {key: [v for v in form.getlist(key) if isinstance(v, str)] for key in form}
        scripted = _scripted(request)
        try:
            await run_in_threadpool(self.handing.act, job, words)
        except Refused as refused:
            if scripted:
                return _refusal(refused)
            return HTMLResponse(paper_page(job, refused=refused), status_code=refused.status)
        return (
            JSONResponse({}) if scripted else RedirectResponse(f"/jobs/{job.name}/handing", status_code=303)
        )

    # ---- events --------------------------------------------------------------------------------

    async def events(self, request: Request) -> Response:
        """What happens to a job, as it happens; first, how it stands."""
        job = self._job(request)
        if job is None:
            return _gone()
        mine: asyncio.Queue[dict[str, Any]] = asyncio.Queue(maxsize=1000)
        self._listeners.setdefault(job.name, set()).add(mine)

        async def telling() -> AsyncIterator[dict[str, str]]:
            try:
                now = {"is": "state", "version": job.version, "can": job.can, "turn": self._turn}
                working = self.workshop.working_on(job.name)
                yield {"data": json.dumps({**now, "working": working, "paper": job.stamp})}
                while True:
                    yield {"data": json.dumps(await mine.get())}
            finally:
                self._listeners.get(job.name, set()).discard(mine)

        return EventSourceResponse(telling(), ping=15)

    def _tell(self, job: str, event: dict[str, Any]) -> None:
        """Pass an event on to the pages that show the job; called from the worker's thread."""

        def pass_on() -> None:
            for queue in self._listeners.get(job, ()):
                if not queue.full():
                    queue.put_nowait(event)

        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(pass_on)

    # ---- helpers -------------------------------------------------------------------------------

    def _job(self, request: Request) -> Folder | None:
        return self.shelf.job(request.path_params["job"])

    def _do(self, job: Folder) -> None:
        """Let the worker bring a job's paper up to its job file."""
        self.workshop.do({"job": job.name, "folder": str(job.path), "version": job.version})


async def _form(request: Request) -> FormData:
    return await request.form(max_files=_MOST_FILES, max_fields=_MOST_FIELDS)


async def _files(form: FormData) -> list[tuple[str, bytes]]:
    """Name and content of each file that was sent."""
    return [
        (one.filename or "", await one.read()) for one in form.getlist("files") if isinstance(one, UploadFile)
    ]


def _gone() -> Response:
    return HTMLResponse(missing_page(), 404)


def _scripted(request: Request) -> bool:
    """Whether the page's script asks, which puts the answer where it belongs itself."""
    return request.headers.get("x-desk") == "1"


def _refusal(refused: Refused, **more: object) -> Response:
    """What could not be done, for the page's script."""
    data = {"problem": refused.problem, "fix": refused.fix, "field": refused.field, **more}
    return JSONResponse(data, status_code=refused.status)


def _refuse(request: Request, fault: Exception) -> Response:
    """A wish of the first page that can't be done, said on it."""
    assert isinstance(fault, CutprepError)
    if _scripted(request):
        return JSONResponse({"problem": fault.problem, "fix": fault.fix}, status_code=422)
    return HTMLResponse(shelf_page([], told=told_of(fault)), status_code=422)


def _too_much(_: Request, __: Exception) -> Response:
    return JSONResponse({"problem": "That is more than can be taken at once.", "fix": ""}, status_code=413)
