"""One idea: the papers of a review are those of the procedure that was written last, so all of them say the same."""

import re
from base64 import b64encode
from hashlib import sha256
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from putback.adapters.procedure_file import read_procedure_text
from putback.bay import Bay, Closed
from putback.bay.reviews import ReviewHere, review_here
from putback.core.papers.published import without_private
from putback.core.procedure import Procedure
from putback.core.record import is_id
from putback.faces.web.guard import CSP, refuse
from putback.faces.web.setting import bay_of

_STYLE: Final = re.compile(r"<style[^>]*>(.*?)</style>", re.DOTALL)
_WRITE: Final = "write the procedure at the page of its review"


def put_to_work(bay: Bay, here: ReviewHere, content: bytes) -> str:
    """Lay a written procedure where jobs are opened on it; the name under which it is chosen."""
    assert bay.procedures is not None, "the page offers this only where there is such a folder"
    name = f"{_stem(here)}.procedure.yaml"
    bay.procedures.mkdir(parents=True, exist_ok=True)
    (bay.procedures / name).write_bytes(content)
    return name


def _stem(here: ReviewHere) -> str:
    """A name of letters and digits for the files of a review."""
    return re.sub(r"[^A-Za-z0-9]+", "-", here.name.rsplit(".", 1)[0]).strip("-").lower()[:60] or "narration"


def _written(request: Request) -> tuple[str, bytes] | Response:
    """The stem of the files' names, and the procedure that was written last."""
    review = request.path_params["review"]
    here = review_here(bay_of(request), review) if is_id(review) else Closed(what="there is none", mend="begin at /")
    if isinstance(here, Closed):
        return refuse(request.scope, 404, f"cannot be answered: {here.what}", here.mend)
    content = bay_of(request).shelf.get(here.written.sha256) if here.written else None
    if content is None:
        return refuse(request.scope, 404, "names a procedure that is not written", _WRITE)
    return _stem(here), content


def _public(request: Request) -> tuple[str, Procedure] | Response:
    """The same as it is published: without the owner's data and without names."""
    found = _written(request)
    if isinstance(found, Response):
        return found
    stem, content = found
    read = read_procedure_text(content, f"{stem}.procedure.yaml")
    if read.procedure is None:
        return refuse(request.scope, 500, "names a procedure that cannot be read", _WRITE)
    return stem, without_private(read.procedure)


def procedure_file(request: Request) -> Response:
    """The procedure file."""
    found = _written(request)
    if isinstance(found, Response):
        return found
    named = {"content-disposition": f'attachment; filename="{found[0]}.procedure.yaml"'}
    return Response(found[1], media_type="application/yaml", headers=named)


def published(request: Request) -> Response:
    """The procedure as one page that can be given away."""
    from putback.faces.page.procedure import procedure_page  # noqa: PLC0415 - loaded when it is used

    found = _public(request)
    if isinstance(found, Response):
        return found
    text = procedure_page(found[1])
    signs = (b64encode(sha256(style.encode()).digest()).decode() for style in _STYLE.findall(text))
    styles = "".join(f" 'sha256-{sign}'" for sign in signs)
    return HTMLResponse(text, headers={"content-security-policy": CSP.format(styles=styles)})


def published_paper(request: Request) -> Response:
    """The same as PDF."""
    from putback.faces.pdf.procedure import procedure_pdf  # noqa: PLC0415 - the typesetter is loaded when it is used
    from putback.faces.pdf.setting import NotSet  # noqa: PLC0415 - the same

    found = _public(request)
    if isinstance(found, Response):
        return found
    try:
        content = procedure_pdf(found[1])
    except NotSet as wrong:
        return refuse(request.scope, 500, f"cannot be set on paper: {wrong}", "the file itself is whole; download it")
    named = {"content-disposition": f'inline; filename="{found[0]}.pdf"'}
    return Response(content, media_type="application/pdf", headers=named)


ROUTES = (
    Route("/narrations/{review}/procedure.yaml", procedure_file),
    Route("/narrations/{review}/published", published),
    Route("/narrations/{review}/published.pdf", published_paper),
)
