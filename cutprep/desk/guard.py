"""Who is let in: the browser that was opened with this start's key, from this machine, from this page.

The server listens on the loopback address alone, but any page in any browser of this machine can send requests
there, and a name that is made to point to it (DNS rebinding) can read the answers. So: the key is in no file and
new at each start; the browser gets it as a cookie that no other site's page sends along (SameSite=Strict) and no
script reads; Host must be the loopback by name or number, with our port; whatever changes something must come from
our own page (Origin); and the answers forbid the browser to load or to be framed by anything else.

Sources: OWASP cheat sheets on cross-site request forgery and on HTTP headers; W3C Content Security Policy 3;
RFC 6265bis on SameSite.
"""

from __future__ import annotations

import hmac
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from cutprep.errors import CutprepError

#: Parameter of the address that is opened first.
KEY = "key"
#: What a page of ours may load: its own scripts, styles and pictures, and nothing else.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: A written sheet is a page that needs nothing, with its own styles and scripts: it is shown, but as a stranger.
SHEET_POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; "
    "sandbox allow-scripts allow-modals; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
_SAFE = ("GET", "HEAD")


class Guard:
    """Stands before the application.

    Parameters
    ----------
    app
        What is guarded.
    key
        Secret of this start.
    port
        Where the server listens.
    most_bytes
        What a request may bring.
    """

    def __init__(self, app: ASGIApp, *, key: str, port: int, most_bytes: int) -> None:
        self._app = app
        self._key = key
        self._port = port
        self._most = most_bytes
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._cookie = f"cutprep-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a stranger, or let a request through."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        await self._app(scope, _Counted(receive, self._most), _with_headers(send))

    def _refused(self, scope: Scope) -> Response | None:
        """The answer to a request that may not pass; None for one that may."""
        headers = Headers(scope=scope)
        method = scope["method"]
        if headers.get("host", "") not in self._hosts:
            return _no("This page is served under 127.0.0.1 only.")
        if method not in _SAFE:
            origin = headers.get("origin", "")
            if origin.removeprefix("http://") not in self._hosts or not origin.startswith("http://"):
                return _no("This request does not come from the desk's own page.")
        try:
            given = parse_qs(scope["query_string"].decode("latin-1"), max_num_fields=200).get(KEY, [""])[0]
        except ValueError:
            return _no("This address asks for too much.")
        if method in _SAFE and self._is_key(given):
            answer = RedirectResponse(scope["path"], status_code=303)
            answer.set_cookie(self._cookie, self._key, httponly=True, samesite="strict", path="/")
            return answer
        if not self._is_key(self._cookie_of(headers)):
            return _no("Open the address that the terminal shows: it lets this browser in.")
        length = headers.get("content-length", "")
        if length and (not length.isdecimal() or len(length) > 15 or int(length) > self._most):
            return PlainTextResponse(_too_much(self._most), status_code=413)
        return None

    def _is_key(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8", "replace"), self._key.encode("ascii"))

    def _cookie_of(self, headers: Headers) -> str:
        try:
            found = SimpleCookie(headers.get("cookie", "")).get(self._cookie)
        except CookieError:
            return ""
        return found.value if found is not None else ""


def _no(why: str) -> Response:
    return PlainTextResponse(why, status_code=403)


def _too_much(most: int) -> str:
    return f"That is more than {most // 1_000_000} MB at once."


class TooMuch(CutprepError):
    """A request brings more than it said, or than is taken."""


class _Counted:
    """Receives a request's body, and stops when it grows beyond the limit whatever its length was said to be."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive = receive
        self._left = most

    async def __call__(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise TooMuch("That is more than is taken at once.")
        return message


def _with_headers(send: Send) -> Send:
    """Put the headers that hold for every answer into it, where it has none of its own."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers.setdefault("content-security-policy", POLICY)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending
