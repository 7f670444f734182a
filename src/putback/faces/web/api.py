"""One idea: devices offer events and ask for those of others; every event gets its own answer, in words where refused.

What was acknowledged is on the server's disk. Offering again is harmless.
"""

import json
from collections.abc import Mapping
from typing import Any, cast

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from putback.bay import Bay, Closed, NotTaken
from putback.core.finding import Finding
from putback.core.record import Ack, Answer, Head, Link, NotCanonical, is_id, read_json
from putback.faces.web.guard import refuse

MOST_EVENTS = 1000
"""How many events one call may offer."""


def take(request: Request) -> Response:
    """Events of a device: `{"events": [...]}`; answers `{"answers": [...], "head": {...}}` in the same order."""
    job = _job(request)
    try:
        raw = read_json(request.state.body)
    except NotCanonical as wrong:
        return refuse(request.scope, 400, f"cannot be read: {wrong.what}", 'send {"events": […]}')
    events = raw.get("events") if isinstance(raw, Mapping) else None
    if not isinstance(events, list | tuple) or job is None:
        return refuse(request.scope, 400, "holds no list of events", 'send {"events": […]} to a job')
    if len(events) > MOST_EVENTS:
        return refuse(request.scope, 413, f"holds more than {MOST_EVENTS} events", "offer fewer at once")
    taken = _bay(request).take(job, events)
    if isinstance(taken, Closed):
        return refuse(request.scope, 404, taken.what, taken.mend)
    return _Escaped({"answers": [_answer(one) for one in taken.answers], "head": _head(taken.head)})


class _Escaped(JSONResponse):
    """JSON in plain letters: what was refused is named as it came, even where no UTF-8 can hold it."""

    def render(self, content: Any) -> bytes:
        """The bytes of an answer."""
        return json.dumps(content, allow_nan=False, separators=(",", ":")).encode("ascii")


def give(request: Request) -> Response:
    """The events behind `after`. `known` is false where the device's head (`after`, `hash`) is not in this record.

    `at` is the server's time, by which a device sees that its clock is wrong.
    """
    job = _job(request)
    after = request.query_params.get("after", "0")
    if job is None or not after.isascii() or not after.isdecimal() or len(after) > 15:
        return refuse(request.scope, 400, "has no number in after", "send the number of the last event you know")
    hash = request.query_params.get("hash", "")
    bay = _bay(request)
    links, head, known = bay.links_after(job, after_seq=int(after), hash=hash)
    if head.seq == 0:
        return refuse(request.scope, 404, f"asks for job {job}, which is not here", "what the device has stays there")
    at = bay.clock().isoformat(timespec="milliseconds")
    return JSONResponse({"events": [_link(link) for link in links], "head": _head(head), "known": known, "at": at})


def pack(request: Request) -> Response:
    """All that the bay page needs of a job, as it was kept when the job was opened."""
    job = _job(request)
    content = _bay(request).pack(job) if job else Closed(what="names no job", mend="look in the list of jobs")
    if isinstance(content, Closed):
        return refuse(request.scope, 404, content.what, content.mend)
    return Response(content, media_type="application/json")


def _bay(request: Request) -> Bay:
    return cast("Bay", request.app.state.bay)


def _job(request: Request) -> str | None:
    job = request.path_params["job"]
    return job if is_id(job) else None


def _answer(answer: Answer | NotTaken) -> dict[str, Any]:
    if isinstance(answer, Ack):
        return {"id": answer.id, "seq": answer.seq, "hash": answer.hash, "again": answer.again}
    if isinstance(answer, NotTaken):
        return {"id": answer.id, "refused": [_finding(one) for one in answer.findings]}
    return {"id": answer.id, "conflict": _finding(answer.finding)}


def _finding(finding: Finding) -> dict[str, str]:
    return {"field": finding.where.field, "what": finding.what, "mend": finding.mend}


def _head(head: Head) -> dict[str, Any]:
    return {"seq": head.seq, "hash": head.hash}


def _link(link: Link) -> dict[str, Any]:
    return {"seq": link.seq, "received_at": link.received_at, "hash": link.hash, "event": read_json(link.content)}
