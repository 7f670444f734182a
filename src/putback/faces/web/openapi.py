"""One idea: what devices may call is one table, published as OpenAPI 3.1; an address without its row is a fault.

The table says bodies, answers and refusals as they are: what is refused in words, and with which status.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from putback.faces.web.api import MOST_EVENTS
from putback.faces.web.guard import HEADER
from putback.faces.web.shapes import COMPONENTS, ID

Schema = Mapping[str, Any]

ADDRESS = "/api/openapi.json"
VERSION = "1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What one call is for, what it takes and what it answers.

    Args:
        says: what it does, in one line.
        answer: the schema of the answer; None: bytes of `gives`.
        gives: the media types of the answer.
        asks: parameters of the query, by name: the schema and what it is for.
        body: the schema of what is sent; None: nothing is, or bytes of `takes`.
        takes: the media types that may be sent; empty: nothing is sent.
        refusals: other statuses than 200, with why.
    """

    says: str
    answer: Schema | None = None
    gives: tuple[str, ...] = ("application/json",)
    asks: Mapping[str, tuple[Schema, str]] = field(default_factory=dict)
    body: Schema | None = None
    takes: tuple[str, ...] = ()
    refusals: Mapping[int, str] = field(default_factory=dict)


def _named(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{name}"}


_JSON = ("application/json",)
_PHOTOS = ("image/jpeg", "image/png", "image/webp")
_NO_JOB = {404: "there is no such job here; what a device has stays there"}

CALLS: Mapping[tuple[str, str], Call] = MappingProxyType(
    {
        ("POST", "/api/jobs/{job}/events"): Call(
            says="Offer events of a job. Each gets its own answer, in the same order; offering again is harmless.",
            body=_named("Offer"),
            takes=_JSON,
            answer=_named("Taken"),
            refusals={400: "is no JSON with a list of events", **_NO_JOB, 413: f"more than {MOST_EVENTS} events"},
        ),
        ("GET", "/api/jobs/{job}/events"): Call(
            says="The events behind a number; all of them where the head of the device is not in this record.",
            asks={
                "after": (_named("Place"), "the number of the last event that the device knows; 0 where left out"),
                "hash": ({"type": "string"}, "the hash of that event, so that another past is found out"),
            },
            answer=_named("Given"),
            refusals={400: "after is no number", **_NO_JOB},
        ),
        ("GET", "/api/jobs/{job}/pack"): Call(
            says="All that a device needs to go on with a job by itself, as it was kept when the job was opened.",
            answer={"type": "object"},
            refusals=_NO_JOB,
        ),
        ("POST", "/api/jobs/{job}/photos"): Call(
            says="Keep the bytes of a photo; an event names it afterwards by its digest.",
            takes=_PHOTOS,
            answer=_named("Kept"),
            refusals={**_NO_JOB, 422: "is no photo that can be decoded within the limits"},
        ),
        ("GET", "/api/jobs/{job}/photos/{digest}"): Call(
            says="A photo that the record of the job names.",
            gives=_PHOTOS,
            refusals={404: "the record names no such photo, or it is not here yet"},
        ),
        ("GET", "/api/jobs/{job}/findings/{finding}/message"): Call(
            says="The message to the owner of one finding, with its amounts.",
            answer=_named("Message"),
            refusals={404: "there is no such job, or its record has no such finding"},
        ),
        ("GET", "/api/people"): Call(
            says="Who works here, by name; with a job also its owners.",
            asks={"job": (ID, "whose owners are asked for")},
            answer=_named("People"),
            refusals={400: "job is no id"},
        ),
        ("POST", "/api/people"): Call(
            says="Make somebody who works here known, under an id that a device made. Saying it again is harmless.",
            body=_named("Person"),
            takes=_JSON,
            answer=_named("Person"),
            refusals={400: "is no JSON with an id and a name alone", 422: "the id is somebody else, or was deleted"},
        ),
        ("GET", ADDRESS): Call(says="This document.", answer={"type": "object"}),
    }
)
"""Every call of the API."""

_OF_ALL: Mapping[int, str] = MappingProxyType(
    {
        401: "this device is not paired (only where devices are paired)",
        404: "there is nothing at this address",
        405: "this address is not called so",
        421: "sent to another name than this server's",
        500: "a fault of this program; what was acknowledged is kept",
        503: "the store or the disk fails; nothing was acknowledged",
    }
)
_OF_POSTS: Mapping[int, str] = MappingProxyType(
    {
        403: f"not from a page of this server, or without the header {HEADER}",
        408: "the body did not arrive in time",
        413: "the body is too large",
        415: "the body is not of a kind that is taken here",
    }
)


def api_routes(routes: Iterable[BaseRoute]) -> tuple[tuple[str, str], ...]:
    """Method and address of every call of the API that some routes answer."""
    found = []
    for route in routes:
        if isinstance(route, Route) and route.path.startswith("/api/"):
            found += [(method, route.path) for method in sorted(route.methods or ()) if method != "HEAD"]
    return tuple(found)


def document(routes: Iterable[BaseRoute]) -> dict[str, Any]:
    """The API as OpenAPI 3.1.

    Args:
        routes: those of the server; each of the API has its row in `CALLS`.

    Raises:
        KeyError: one has none.
    """
    paths: dict[str, dict[str, Any]] = {}
    for method, path in api_routes(routes):
        paths.setdefault(path, {})[method.lower()] = _operation(method, path, CALLS[method, path])
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "putback",
            "version": VERSION,
            "description": "What devices and the workshop's own server say to one another; refusals are in words.",
        },
        "paths": paths,
        "components": {"schemas": dict(COMPONENTS)},
    }


def _operation(method: str, path: str, call: Call) -> dict[str, Any]:
    inside = [part[1:-1] for part in path.split("/") if part.startswith("{")]
    parameters = [{"name": name, "in": "path", "required": True, "schema": _in_path(name)} for name in inside]
    parameters += [
        {"name": name, "in": "query", "required": False, "schema": schema, "description": says}
        for name, (schema, says) in call.asks.items()
    ]
    refusals = {**_OF_ALL, **(_OF_POSTS if method == "POST" else {}), **call.refusals}
    made: dict[str, Any] = {
        "summary": call.says,
        "operationId": "-".join([method.lower(), *(part.strip("{}") for part in path.split("/")[2:])]),
        "responses": {
            "200": {"description": "done", "content": {media: _content(call.answer) for media in call.gives}},
            **{str(status): _refusal(says) for status, says in sorted(refusals.items())},
        },
    }
    if method == "POST":
        parameters.append({"name": HEADER, "in": "header", "required": True, "schema": {"type": "string"}})
        sent = {media: _content(call.body) for media in call.takes}
        made["requestBody"] = {"required": True, "content": sent}
    if parameters:
        made["parameters"] = parameters
    return made


def _in_path(name: str) -> Schema:
    return _named("Digest") if name == "digest" else {"type": "string", "minLength": 1} if name == "finding" else ID


def _content(schema: Schema | None) -> dict[str, Any]:
    return {"schema": schema} if schema is not None else {}


def _refusal(says: str) -> dict[str, Any]:
    return {"description": says, "content": {"application/json": {"schema": _named("Refused")}}}


def show(request: Request) -> Response:
    """The document, of the routes that answer."""
    return JSONResponse(document(request.app.routes))


ROUTES = [Route(ADDRESS, show)]
