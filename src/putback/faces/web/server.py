"""One idea: the server is a list of addresses, each with the function that answers it; it decides nothing."""

from collections.abc import Sequence

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Match, Route
from starlette.types import ExceptionHandler

from putback.adapters.stores import StoreFailed
from putback.bay import Bay
from putback.bay.car_reader import CarReader
from putback.faces.web import (
    api,
    codes,
    drive,
    fasten,
    findings,
    intake,
    narrations,
    openapi,
    pages,
    papers,
    people,
    photos,
    static,
    tools,
)
from putback.faces.web.guard import HEADERS, Gate, Guard, refuse


def make_app(
    bay: Bay,
    *,
    hosts: Sequence[str],
    gate: Gate | None = None,
    more: Sequence[Route] = (),
    reader: CarReader | None = None,
) -> Starlette:
    """The whole web face.

    Args:
        bay: the desk that is asked.
        hosts: the `Host` headers under which it may be spoken to, with their ports, such as 127.0.0.1:8070.
        gate: who may come in; None: everybody who can call.
        more: addresses besides those of every workshop.
        reader: the one that speaks to the car; None: this server has no bus.
    """
    routes = [
        Route("/", pages.jobs),
        Route("/jobs/new", pages.opening),
        Route("/jobs", pages.open_job, methods=["POST"]),
        Route("/jobs/{job}", pages.plan),
        Route("/jobs/{job}/car", pages.car_now),
        Route("/jobs/{job}/record", pages.record),
        *intake.ROUTES,
        *findings.ROUTES,
        *papers.ROUTES,
        *fasten.ROUTES,
        *tools.ROUTES,
        *codes.ROUTES,
        *drive.ROUTES,
        *narrations.ROUTES,
        Route("/bay", static.bay_page),
        Route("/sw.js", static.worker),
        Route("/static/{name}", static.file),
        Route("/api/jobs/{job}/events", api.take, methods=["POST"]),
        Route("/api/jobs/{job}/events", api.give),
        Route("/api/jobs/{job}/pack", api.pack),
        *photos.ROUTES,
        *people.ROUTES,
        *openapi.ROUTES,
        *more,
    ]
    failing: dict[int | type[Exception], ExceptionHandler] = {
        StoreFailed: _store_failed,
        OSError: _disk_failed,
        404: _nothing_here,
        405: _not_so,
        Exception: _our_fault,
    }
    app = Starlette(routes=routes, middleware=[Middleware(Guard, hosts=hosts, gate=gate)], exception_handlers=failing)
    app.state.bay = bay
    app.state.reader = reader
    return app


def _store_failed(request: Request, failure: Exception) -> Response:
    what, mend = "could not be kept", "nothing was acknowledged; it will be offered again"
    if isinstance(failure, StoreFailed):
        what, mend = f"met a store that fails: {failure.what}", failure.mend
    return refuse(request.scope, 503, what, mend)


def _disk_failed(request: Request, failure: Exception) -> Response:
    reason = getattr(failure, "strerror", None) or "the disk failed"
    return refuse(request.scope, 503, f"could not be kept: {reason}", "nothing was acknowledged; try again")


def _nothing_here(request: Request, _: Exception) -> Response:
    return refuse(request.scope, 404, "names nothing that is here", "begin at /")


def _not_so(request: Request, _: Exception) -> Response:
    """A method that the address does not take; what it takes stands in the answer, as RFC 9110 asks."""
    answer = refuse(request.scope, 405, f"cannot be a {request.method} to this address", "begin at /")
    there = [one for one in request.app.routes if one.matches(request.scope)[0] is not Match.NONE]
    methods = {method for one in there if isinstance(one, Route) for method in one.methods or ()}
    answer.headers["allow"] = ", ".join(sorted(methods))
    return answer


def _our_fault(request: Request, _: Exception) -> Response:
    answer = refuse(request.scope, 500, "met a fault of this program", "what was acknowledged before is kept")
    answer.headers.update(HEADERS)
    return answer
