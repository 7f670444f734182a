"""One idea: every page is set in the same manner: a template, what it says, the headers of its pictures.

Pages that speak of one job find it here, or are answered here in words.
"""

from base64 import b64encode
from hashlib import sha256
from typing import Any, cast

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from putback.bay import Bay, Closed, JobView
from putback.core.record import is_id
from putback.faces.draw.ink import STYLE
from putback.faces.web import views
from putback.faces.web.guard import CSP, refuse
from putback.faces.web.template import filled

_PICTURE_STYLE = CSP.format(styles=f" 'sha256-{b64encode(sha256(STYLE.encode()).digest()).decode()}'")


def page(name: str, *, status: int = 200, styles: bool = False, **says: Any) -> Response:
    """A page. `styles`: it holds pictures, which bring one style of their own."""
    headers = {"content-security-policy": _PICTURE_STYLE} if styles else None
    return HTMLResponse(filled(name, **says), status, headers=headers)


def bay_of(request: Request) -> Bay:
    """The desk that is asked."""
    return cast("Bay", request.app.state.bay)


def view_of(request: Request) -> JobView | Response:
    """The job that an address names, or the answer that there is none."""
    job = request.path_params["job"]
    view = bay_of(request).view(job) if is_id(job) else Closed(what="such an address names no job", mend="begin at /")
    if isinstance(view, JobView):
        return view
    return refuse(request.scope, 404, f"cannot be answered: {view.what}", view.mend)


def common(view: JobView) -> dict[str, Any]:
    """What every page of a job says at its head."""
    return {
        "job": view.job,
        "title": views.title(view.pack),
        "car_name": view.pack["car"],
        "invented": view.pack["invented"],
        "complaint": views.complaint(view),
        "closed": view.closed,
    }
