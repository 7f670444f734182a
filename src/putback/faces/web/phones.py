"""One idea: who may come in is decided by a person at the workshop's own machine, on a page that no phone is given."""

from typing import cast

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putback.bay.pairing import NotPaired
from putback.faces.web import steps
from putback.faces.web.form import read_form
from putback.faces.web.lan import Lan
from putback.faces.web.qr import drawing
from putback.faces.web.setting import page

PHONES = "/phones"


def show(request: Request) -> Response:
    """The address to begin with, the code that lives, the phones that are let in."""
    return _page(request)


def _page(request: Request, *, wrong: str = "", status: int = 200) -> Response:
    lan = _lan(request)
    return page(
        "phones",
        status=status,
        wrong=wrong,
        address=lan.address,
        drawing=drawing(lan.address),
        code=lan.pairing.code(),
        devices=lan.pairing.devices(),
        way=str(lan.way),
        fingerprint=lan.fingerprint,
        trust=steps.TRUST,
        differ=steps.DIFFER,
        plain=steps.PLAIN,
    )


def new_code(request: Request) -> Response:
    """Make a code; the one before it is void."""
    made = _lan(request).pairing.new_code()
    if isinstance(made, NotPaired):
        return _page(request, wrong=f"{made.what}; {made.mend}", status=409)
    return RedirectResponse(PHONES, 303)


def unpair(request: Request) -> Response:
    """Shut a phone out at once."""
    id = read_form(request.state.body).text("phone")
    try:
        there = _lan(request).pairing.unpair(id)
    except OSError as failure:
        why = failure.strerror or "the disk failed"
        wrong = f"it is shut out, but only until the next start: {why}; mend that and un-pair it again"
        return _page(request, wrong=wrong, status=503)
    if not there:
        return _page(request, wrong="this phone is not paired any more; nothing was to be done", status=404)
    return RedirectResponse(PHONES, 303)


def _lan(request: Request) -> Lan:
    return cast("Lan", request.app.state.lan)


ROUTES = [
    Route(PHONES, show),
    Route(f"{PHONES}/code", new_code, methods=["POST"]),
    Route(f"{PHONES}/unpair", unpair, methods=["POST"]),
]
