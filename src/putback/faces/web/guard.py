"""One idea: nothing reaches a page or the API that this machine's own pages did not send, or that is too large.

Names of hosts are checked (another name that leads here is another site), requests that change something must come
from our own pages, bodies are read here and nowhere else, and every answer carries the same headers.
"""

import asyncio
from collections.abc import Callable, Iterable, MutableMapping
from http import HTTPStatus
from typing import Any, Final, TypeAlias

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from putback.adapters.photos import LARGEST_PHOTO
from putback.faces.web.template import filled
from putback.narrate.text.captions import LONGEST

HEADER: Final = "x-putback"
"""Sent by our own pages with every call of the API; a form of another site cannot send it."""

LARGEST_BODY: Final = 4 * 1024 * 1024
"""A call of the API, [bytes]: some thousand events."""

LARGEST_FORM: Final = 64 * 1024

LARGEST_NARRATION: Final = LONGEST + LARGEST_FORM
"""A narration in its form, [bytes]."""

PATIENCE_S: Final = 120.0
"""How long a body may take to arrive, [s]: a large photo over a weak Wi-Fi."""

Gate: TypeAlias = Callable[[Scope], Response | None]
"""Answers who may not come in, before anything of the request's body is read; None lets it through."""

CSP: Final = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; "
    "img-src 'self'; script-src 'self'; style-src 'self'{styles}"
)

HEADERS: Final = {
    "content-security-policy": CSP.format(styles=""),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), microphone=(), geolocation=(), payment=(), usb=()",
    "cache-control": "no-store",
}


class _TooLarge(Exception):
    """A body beyond its limit."""


class _Gone(Exception):
    """Who sent it went away before the end of the body."""


class Guard:
    """Stands before the whole application.

    Args:
        app: what is guarded.
        hosts: `Host` headers under which this server may be spoken to, with their ports.
        patience_s: how long a body may take to arrive.
        gate: who may come in; None: everybody who speaks to this server by its name.
    """

    def __init__(
        self, app: ASGIApp, *, hosts: Iterable[str], patience_s: float = PATIENCE_S, gate: Gate | None = None
    ) -> None:
        self._app = app
        self._hosts = frozenset(hosts)
        self._patience_s = patience_s
        self._gate = gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through with its body read, or answer it here."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        try:
            answer = (
                self._elsewhere(scope) or self._shut(scope) or self._refusal(scope) or await self._read(scope, receive)
            )
        except _Gone:
            return
        await (answer or self._app)(scope, receive, _with_headers(send))

    def _shut(self, scope: Scope) -> Response | None:
        return None if self._gate is None else self._gate(scope)

    async def _read(self, scope: Scope, receive: Receive) -> Response | None:
        """Read the body; the refusal, where it is too large or does not come."""
        try:
            async with asyncio.timeout(self._patience_s):
                scope.setdefault("state", {})["body"] = await _body(receive, limit=_limit(scope))
        except _TooLarge:
            what, mend = "is larger than this server takes", "send less at once; nothing was kept"
            return refuse(scope, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, what, mend)
        except TimeoutError:
            return refuse(scope, HTTPStatus.REQUEST_TIMEOUT, "did not arrive whole in time", "send it again")
        return None

    def _elsewhere(self, scope: Scope) -> Response | None:
        if Headers(scope=scope).get("host", "") in self._hosts:
            return None
        what, mend = "was sent to another name", f"speak to {min(self._hosts)}"
        return refuse(scope, HTTPStatus.MISDIRECTED_REQUEST, what, mend)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if scope["method"] == "POST" and not _from_here(headers, f"{scope['scheme']}://{headers['host']}"):
            what, mend = "does not come from a page of this server", "open the page here and send it from there"
            return refuse(scope, HTTPStatus.FORBIDDEN, what, mend)
        if scope["method"] == "POST" and _is_api(scope):
            return _not_ours(scope, headers)
        return None


def _is_api(scope: Scope) -> bool:
    return str(scope["path"]).startswith("/api/")


def _is_photo(scope: Scope) -> bool:
    return _is_api(scope) and str(scope["path"]).endswith("/photos")


def _limit(scope: Scope) -> int:
    if _is_photo(scope):
        return LARGEST_PHOTO
    if scope["path"] == "/narrations":
        return LARGEST_NARRATION
    return LARGEST_BODY if _is_api(scope) else LARGEST_FORM


def _from_here(headers: Headers, own: str) -> bool:
    """Whether a request that changes something was sent by our own page: by its origin, which browsers always send."""
    origin = headers.get("origin")
    if origin is not None:
        return origin == own
    return headers.get("sec-fetch-site") in (None, "same-origin") and HEADER in headers


def _not_ours(scope: Scope, headers: Headers) -> Response | None:
    if HEADER not in headers:
        what, mend = f"has no {HEADER} header", "send it with every call that changes something"
        return refuse(scope, HTTPStatus.FORBIDDEN, what, mend)
    media = headers.get("content-type", "").partition(";")[0].strip().lower()
    if _is_photo(scope):
        right, what, mend = media.startswith("image/"), "is no photo", "send the bytes of one as image/jpeg"
    else:
        right, what, mend = media == "application/json", "is no JSON", "send application/json"
    return None if right else refuse(scope, HTTPStatus.UNSUPPORTED_MEDIA_TYPE, what, mend)


def refuse(scope: Scope, status: int, what: str, mend: str) -> Response:
    """A refusal in words: JSON for the API, a page for a browser, a line of text for anybody else."""
    if _is_api(scope):
        return JSONResponse({"failed": {"what": what, "mend": mend}}, status)
    if "text/html" in Headers(scope=scope).get("accept", ""):
        return HTMLResponse(filled("refused", title=_title(status), what=what, mend=mend), status)
    return PlainTextResponse(f"The request {what}; {mend}.\n", status)


def _title(status: int) -> str:
    if status == HTTPStatus.NOT_FOUND:
        return "Nothing here"
    return "Not done" if status >= HTTPStatus.INTERNAL_SERVER_ERROR else "Refused"


async def _body(receive: Receive, *, limit: int) -> bytes:
    """The whole body. What a header says of its length is not relied upon."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            raise _Gone
        size += len(message.get("body", b""))
        if size > limit:
            raise _TooLarge
        parts.append(message.get("body", b""))
        if not message.get("more_body", False):
            return b"".join(parts)


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=_raw(message))
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending


def _raw(message: Message) -> MutableMapping[str, Any]:
    message.setdefault("headers", [])
    return message
