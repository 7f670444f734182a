"""One idea: every page is set in the same manner: a template, what it says, the headers of its pictures.

Pages that speak of one job find it here, or are answered here in words.
"""

from base64 import b64encode
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any, cast

from jinja2 import DictLoader, Environment, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from putback.bay import Bay, Closed, JobView
from putback.core.record import is_id
from putback.faces.draw.ink import STYLE
from putback.faces.web import views
from putback.faces.web.guard import CSP, refuse
from putback.faces.web.words import when

_TEMPLATES = (
    "base",
    "jobs",
    "open",
    "plan",
    "car",
    "record",
    "tables",
    "ask",
    "intake",
    "shelf",
    "authorise",
    "findings",
)
_PICTURE_STYLE = CSP.format(styles=f" 'sha256-{b64encode(sha256(STYLE.encode()).digest()).decode()}'")


@cache
def _surroundings() -> Environment:
    folder = files("putback.faces.web").joinpath("templates")
    texts = {f"{name}.jinja": folder.joinpath(f"{name}.html.jinja").read_text(encoding="utf-8") for name in _TEMPLATES}
    made = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, loader=DictLoader(texts)
    )
    made.filters["when"] = when
    return made


def page(name: str, *, status: int = 200, styles: bool = False, **says: Any) -> Response:
    """A page. `styles`: it holds pictures, which bring one style of their own."""
    text = _surroundings().get_template(f"{name}.jinja").render(says)
    return HTMLResponse(text, status, headers={"content-security-policy": _PICTURE_STYLE} if styles else None)


def bay_of(request: Request) -> Bay:
    """The desk that is asked."""
    return cast("Bay", request.app.state.bay)


def view_of(request: Request) -> JobView | Response:
    """The job that an address names, or the answer that there is none."""
    job = request.path_params["job"]
    view = bay_of(request).view(job) if is_id(job) else Closed(what="names no job", mend="begin at /")
    return view if isinstance(view, JobView) else refuse(request.scope, 404, view.what, view.mend)


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
