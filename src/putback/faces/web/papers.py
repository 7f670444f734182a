"""One idea: a paper is made when it is asked for, from the record as it stands then."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putback.bay import Closed
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of, view_of

_RETRY = "the record itself is whole; read it at its page"


def paper(request: Request) -> Response:
    """One of the papers of a job, as PDF."""
    from putback.faces.pdf import PAPERS, NotSet  # noqa: PLC0415 - the typesetter is loaded when it is used
    from putback.faces.pdf import paper as make  # noqa: PLC0415 - the same

    name = request.path_params["paper"]
    if name not in PAPERS:
        return refuse(request.scope, 404, "names no paper", f"there are {', '.join(PAPERS)}")
    view = view_of(request)
    if isinstance(view, Response):
        return view
    bay = bay_of(request)
    plan = bay.plan(view)
    if isinstance(plan, Closed):
        return refuse(request.scope, 500, plan.what, plan.mend)
    # Printed at the workshop's own machine, labels still lead phones to where these reach it.
    address = getattr(request.app.state, "address", "") or str(request.base_url).rstrip("/")
    try:
        content = make(name, bay, view, plan, address=address)
    except NotSet as wrong:
        return refuse(request.scope, 500, f"cannot be set on paper: {wrong}", _RETRY)
    named = f'inline; filename="{name}-{view.job}.pdf"'
    return Response(content, media_type="application/pdf", headers={"content-disposition": named})


ROUTES = [Route("/jobs/{job}/{paper}.pdf", paper)]
