"""The page of the maker's own things: what it sends is kept in her own folder, and it says what was done."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from cutprep.desk.changing import Changer
from cutprep.desk.choosing import PICTURE_POLICY
from cutprep.desk.fields import label_of, typed
from cutprep.desk.hers.shown import name_of, own_things
from cutprep.desk.hers.times import Times, sent_words
from cutprep.desk.hers.ways import OwnWays
from cutprep.desk.paper import missing_page, own_page, paper_page
from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.sent import Refused, Words, about, told_of, word_of
from cutprep.desk.shelf import Folder, Shelf
from cutprep.desk.working.asking import Asking
from cutprep.errors import CutprepError
from cutprep.job.own.cards import keep_card
from cutprep.job.own.figures import NONE
from cutprep.job.own.offcuts import offcut, offcuts, write_offcuts
from cutprep.job.own.settings import keep_own, own_settings

#: Settings of a card that the form asks for.
_OF_CARD = ("stock", "caliper", "sheet", "at_hand", "price")


class Hers:
    """The page and what it sends.

    Parameters
    ----------
    shelf, changer
        Where trials and small jobs are put, and who makes them.
    asking
        The process that keeps what is hers.
    ways
        What she does with a job.
    work
        Lets the worker begin a job.
    """

    def __init__(
        self, shelf: Shelf, changer: Changer, asking: Asking, ways: OwnWays, work: Callable[[Folder], None]
    ) -> None:
        self._shelf, self._changer, self._asking, self._own, self._work = shelf, changer, asking, ways, work
        self._acts: dict[str, Callable[[Words], str]] = {
            "settings": _keep_settings,
            "rule": _keep_rule,
            "figure": self._forget_figure,
            "offcut": _forget_offcut,
            "card": _keep_card,
        }

    def routes(self) -> list[Route]:
        """Where it is reached; before the jobs' own routes, since one of them is a job's."""
        return [
            Route("/hers", self.page),
            Route("/hers/offcuts/{name}", self.picture),
            Route("/hers/trial", self.trial, methods=["POST"]),
            *Times(self._asking).routes(),
            Route("/hers/{act}", self.act, methods=["POST"]),
            Route("/jobs/{job}/again", self.again, methods=["POST"]),
        ]

    def page(self, _: Request) -> Response:
        """All that is hers."""
        return _page()

    def picture(self, request: Request) -> Response:
        """What was cut out of an offcut."""
        one = offcuts().get(request.path_params["name"])
        if one is None or not one.drawing.is_file():
            return HTMLResponse(missing_page("There is no such offcut."), 404)
        headers = {"content-security-policy": PICTURE_POLICY}
        return FileResponse(one.drawing, media_type="image/svg+xml", headers=headers)

    async def act(self, request: Request) -> Response:
        """Keep or forget something."""
        act = request.path_params["act"]
        if act not in self._acts:
            return HTMLResponse(missing_page("There is no such thing."), 404)
        words = await sent_words(request)
        try:
            told = await run_in_threadpool(self._acts[act], words)
        except CutprepError as fault:
            return await run_in_threadpool(_page, fault=fault, form=act, words=words)
        return await run_in_threadpool(_page, told=told)

    async def trial(self, request: Request) -> Response:
        """Make a trial, as a job."""
        words = await sent_words(request)
        if word_of(words, "kind") == "times":
            return RedirectResponse(
                f"/hers/times/{quote(word_of(words, 'machine'), safe='')}", status_code=303
            )
        try:
            job = await run_in_threadpool(self._trial, words)
        except CutprepError as fault:
            return await run_in_threadpool(_page, fault=fault, form="trial", words=words)
        self._work(job)
        return RedirectResponse(f"/jobs/{job.name}", status_code=303)

    async def again(self, request: Request) -> Response:
        """Make spoilt copies again, as a job."""
        job = self._shelf.job(request.path_params["job"])
        if job is None:
            return HTMLResponse(missing_page("There is no such job."), 404)
        words = await sent_words(request)
        try:
            fresh = await run_in_threadpool(self._own.again, self._shelf, job, words)
        except CutprepError as fault:
            page = await run_in_threadpool(paper_page, job, fault=told_of(fault, where=True))
            return HTMLResponse(page, status_code=422)
        self._work(fresh)
        return RedirectResponse(f"/jobs/{fresh.name}", status_code=303)

    def _trial(self, words: Words) -> Folder:
        asked = {key: word_of(words, key).strip() for key in words}
        made = self._asking.ask({"ask": "trial", "words": asked})
        files = [("trial.toml", made["plan"].encode("utf-8"))]
        files += [(name, text.encode("utf-8")) for name, text in made["files"]]
        job = self._changer.start(files)
        if made["told"]:
            plan = JobFile("".join(f"# {row}\n" for row in made["told"].splitlines()) + job.text)
            job.write(plan.text)
        return job

    def _forget_figure(self, words: Words) -> str:
        asked = {key: word_of(words, key) for key in ("kind", "machine", "stock")}
        return str(self._asking.ask({"ask": "best", "words": {**asked, "figure": NONE}})["told"])


def _keep_settings(words: Words) -> str:
    """Keep what differs from what stands there, and forget what was emptied."""
    said, stands = own_settings()
    given: dict[str, object] = {}
    gone: list[str] = []
    for key, sent in words.items():
        name = name_of(key)
        if not name or name not in said:
            continue
        entry, last = said.entry(name), sent[-1].strip()
        before = stands.get(name, "")
        if not entry.setting.form.metavar:
            now = last in ("yes", "on")
            if now != bool(entry.value):
                given[name] = now
        elif entry.setting.form.repeated:
            now_words = [word for word in sent if word]
            if set(now_words) != set(entry.value or ()):
                given.update({name: now_words} if now_words else {})
                gone += [] if now_words else [name]
        elif last and last not in (before, entry.said):
            with about(key):
                given[name] = typed(name, sent)
        elif not last and entry.source.value == "yours":
            gone.append(name)
    if not given and not gone:
        return "Nothing was changed."
    try:
        return "; ".join(keep_own(given, gone, str))
    except CutprepError as fault:  # what names nothing is named first
        name, _, rest = fault.problem.partition(": ")
        if name in given:
            raise Refused(rest, fault.fix, field=f"own/{name}") from None
        raise


def _keep_rule(words: Words) -> str:
    """Keep what a layer or a colour is for, or forget it."""
    name, word, gone = (word_of(words, key).strip() for key in ("name", "word", "forget"))
    if gone:
        return "; ".join(keep_own({}, [gone], str))
    if not name:
        raise Refused("No layer and no colour is named.", "Write its name: lid, or #2020d0.", field="name")
    kind = "colours" if name.startswith("#") else "layers"
    with about("name"):
        return "; ".join(keep_own({kind: {name: word}}, [], label_of))


def _forget_offcut(words: Words) -> str:
    name = offcut(word_of(words, "name")).name
    write_offcuts(one for one in offcuts().values() if one.name != name)
    return f"{name}: forgotten"


def _keep_card(words: Words) -> str:
    """Keep a card of hers, or change one."""
    given = {key: word_of(words, key).strip() for key in (*_OF_CARD, "name", "title", "shade")}
    settings = {}
    for key in _OF_CARD:
        if given[key]:
            with about(key):
                settings[key] = typed(key, [given[key]])
    with about("name"):
        return keep_card(
            given["name"], settings, str, title=given["title"] or None, shade=given["shade"] or None
        )


def _page(
    *, told: str = "", fault: CutprepError | None = None, form: str = "", words: Words | None = None
) -> Response:
    said = "" if fault is None else told_of(fault, where=True)
    field = getattr(fault, "field", "")
    slip = (name_of(field), word_of(words or {}, field), said) if form == "settings" else ("", "", "")
    try:
        own = own_things(slip)
    except CutprepError as broken:  # in one of her files: said with its line, so that she can mend it
        page = own_page(None, told="", fault=told_of(broken, where=True), form="", wrong="", words={})
        return HTMLResponse(page, status_code=422)
    page = own_page(own, told=told, fault=said, form=form, wrong=field, words=words or {})
    return HTMLResponse(page, status_code=200 if fault is None else 422)
