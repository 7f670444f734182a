"""One idea: a phone that is not paired gets the page to pair it and nothing else, whatever address it asks for.

The gate stands behind the guard and before every route, so a route that is added later is shut by itself. It looks at
the path as the routes do, and lets only the few of `OPEN` through.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, cast

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import Scope

from putback.bay.pairing import LONGEST_NAME, Device, Paired, Pairing, Way
from putback.faces.web import steps
from putback.faces.web.form import read_form
from putback.faces.web.guard import Gate, Guard
from putback.faces.web.static import content
from putback.faces.web.template import filled

PAIR: Final = "/pair"
CERTIFICATE: Final = "/pair/workshop.crt"
STYLE: Final = "/pair/pair.css"
OPEN: Final = frozenset((PAIR, CERTIFICATE, STYLE))
"""All that a phone gets that is not paired."""

COOKIES: Mapping[Way, str] = MappingProxyType({Way.ENCRYPTED: "__Host-putback", Way.PLAIN: "putback-plain"})

_COOKIE_S: Final = 400 * 24 * 3600
"""Browsers keep none longer (from memory: the revised cookie standard's 400 days); then the phone is paired again."""

_STRANGER: Final = "this phone is not paired, or not any more"
_STAYS: Final = "open the list of jobs to pair it; what was tapped stays on this phone and is sent then"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lan:
    """The workshop as phones see it.

    Args:
        pairing: codes and phones.
        port: of the pages.
        door_port: of the page that leads to them in plain http; None where the pages are plain themselves.
        address: that a phone begins with, as the drawing says it.
        authority: the certificate (DER) that a phone trusts; None in plain http.
        fingerprint: of that.
    """

    pairing: Pairing
    port: int
    door_port: int | None
    address: str
    authority: bytes | None
    fingerprint: str

    @property
    def way(self) -> Way:
        """How phones speak to it."""
        return Way.PLAIN if self.authority is None else Way.ENCRYPTED


def gate(lan: Lan) -> Gate:
    """What answers a stranger."""

    def shut(scope: Scope) -> Response | None:
        if scope["path"] in OPEN or device(lan, Request(scope)) is not None:
            return None
        return _stranger(lan, scope)

    return shut


def device(lan: Lan, request: Request) -> Device | None:
    """The phone that sent a request."""
    token = request.cookies.get(COOKIES[lan.way])
    return lan.pairing.known(token, way=lan.way) if token else None


def _stranger(lan: Lan, scope: Scope) -> Response:
    headers = {"www-authenticate": 'Pairing realm="putback"'}  # RFC 9110, 15.5.2: a 401 names a way
    request = Request(scope)
    if str(scope["path"]).startswith("/api/"):
        return JSONResponse({"failed": {"what": _STRANGER, "mend": _STAYS}}, 401, headers)
    if scope["method"] == "GET" and "text/html" in request.headers.get("accept", ""):
        return _page(request, lan, status=401, headers=headers)
    return PlainTextResponse(f"Refused: {_STRANGER}; {_STAYS}.\n", 401, headers)


def _page(
    request: Request,
    lan: Lan,
    *,
    name: str = "",
    wrong: str = "",
    status: int = 200,
    headers: Mapping[str, str] | None = None,
) -> Response:
    known = device(lan, request)
    text = filled(
        "pair",
        phone=known.name if known else "",
        called=name,
        wrong=wrong,
        way=str(lan.way),
        onward=_onward(request, lan) if request.url.scheme == "http" and lan.authority else "",
        fingerprint=lan.fingerprint,
        certificate=CERTIFICATE,
        style=STYLE,
        longest=LONGEST_NAME,
        trust=steps.TRUST,
        differ=steps.DIFFER,
        plain=steps.PLAIN,
    )
    return HTMLResponse(text, status, headers)


def _onward(request: Request, lan: Lan) -> str:
    """The encrypted page to pair at, under the name that the phone used to come here; the guard knows that name."""
    name = request.headers["host"].removesuffix(f":{lan.door_port}")
    return f"https://{name}:{lan.port}{PAIR}"


def ask(request: Request) -> Response:
    """The page where a phone is paired, with the steps before it."""
    return _page(request, _lan(request))


def pair(request: Request) -> Response:
    """A code and a name; a paired phone gets its token as a cookie and goes on to the jobs."""
    lan = _lan(request)
    form = read_form(request.state.body)
    name = form.text("name")
    told = lan.pairing.pair(code=form.text("code"), name=name, way=lan.way)
    if not isinstance(told, Paired):
        return _page(request, lan, name=name, wrong=f"{told.what}; {told.mend}", status=403)
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        COOKIES[lan.way],
        told.token,
        max_age=_COOKIE_S,
        path="/",
        secure=lan.way is Way.ENCRYPTED,
        httponly=True,
        samesite="strict",
    )
    return answer


def certificate(request: Request) -> Response:
    """The authority's certificate, for the phone to trust."""
    authority = _lan(request).authority
    if authority is None:
        return _nothing(request, KeyError())
    headers = {"content-disposition": 'attachment; filename="workshop.crt"'}
    return Response(authority, media_type="application/x-x509-ca-cert", headers=headers)


def style(request: Request) -> Response:  # noqa: ARG001 - the same for all
    """The page's own style: no file of the bay."""
    return Response(content("page.css") + content("web.css"), media_type="text/css")


def _lan(request: Request) -> Lan:
    return cast("Lan", request.app.state.lan)


ROUTES = [Route(PAIR, ask), Route(PAIR, pair, methods=["POST"]), Route(CERTIFICATE, certificate), Route(STYLE, style)]


def make_door(lan: Lan, *, hosts: tuple[str, ...]) -> Starlette:
    """The page in plain http that a phone begins with: steps and certificate, and the way to the encrypted pages."""
    routes = [Route("/", ask), Route(CERTIFICATE, certificate), Route(STYLE, style)]
    failing = {404: _nothing, 405: _nothing}
    app = Starlette(routes=routes, middleware=[Middleware(Guard, hosts=hosts)], exception_handlers=failing)
    app.state.lan = lan
    return app


def _nothing(request: Request, _: Exception) -> Response:  # noqa: ARG001 - the same for all
    return PlainTextResponse("Nothing is here; begin at /.\n", 404)
