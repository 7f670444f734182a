"""One idea: a name reaches the people's table by itself, beside the record, and is given to devices that show it."""

from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from putback.bay import Closed
from putback.bay.people import Known, known, meet
from putback.core.record import NotCanonical, is_id, read_json
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of

_SEND = 'send {"id": …, "name": …}'


def give(request: Request) -> Response:
    """Who works here, and with `?job=` who owns that car."""
    job = request.query_params.get("job")
    if job is not None and not is_id(job):
        return refuse(request.scope, 400, "names no job", "leave it out, or name a job")
    return JSONResponse({"people": [_plain(one) for one in known(bay_of(request), job=job)]})


def take(request: Request) -> Response:
    """Somebody who works here: `{"id": …, "name": …}`; answers the same."""
    try:
        raw = read_json(request.state.body)
    except NotCanonical as wrong:
        return refuse(request.scope, 400, f"cannot be read: {wrong.what}", _SEND)
    if not isinstance(raw, Mapping) or set(raw) != {"id", "name"}:
        return refuse(request.scope, 400, "is not an id and a name alone", _SEND)
    kept = meet(bay_of(request), id=raw["id"], name=raw["name"])
    if isinstance(kept, Closed):
        return refuse(request.scope, 422, kept.what, kept.mend)
    return JSONResponse(_plain(kept))


def _plain(one: Known) -> dict[str, str]:
    return {"id": one.id, "name": one.name} | ({"role": one.role} if one.role else {})


ROUTES = [Route("/api/people", give), Route("/api/people", take, methods=["POST"])]
