"""One idea: a photo comes in as bare bytes and goes out so that no browser takes it for anything but a picture."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from putback.adapters.photos import ENDINGS, NotAPhoto
from putback.bay import Closed
from putback.bay.photos import keep_photo, photo_of
from putback.core.record import is_id
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of

_INERT = "default-src 'none'; sandbox"


def take(request: Request) -> Response:
    """The bytes of a photo; answers `{"sha256": …}` once they are on the disk."""
    job = request.path_params["job"]
    if not is_id(job):
        return refuse(request.scope, 404, "names no job", "the photo stays on the device")
    kept = keep_photo(bay_of(request), job, request.state.body)
    if isinstance(kept, Closed):
        return refuse(request.scope, 404, kept.what, kept.mend)
    if isinstance(kept, NotAPhoto):
        return refuse(request.scope, 422, kept.what, kept.mend)
    return JSONResponse({"sha256": kept})


def give(request: Request) -> Response:
    """A photo that the record of the job names."""
    job, digest = request.path_params["job"], request.path_params["digest"]
    found = photo_of(bay_of(request), job, digest) if is_id(job) else Closed(what="names no job", mend="begin at /")
    if isinstance(found, Closed):
        return refuse(request.scope, 404, found.what, found.mend)
    content, media = found
    named = f'inline; filename="photo-{digest[:12]}.{ENDINGS[media]}"'
    headers = {"content-disposition": named, "content-security-policy": _INERT}
    return Response(content, media_type=media, headers=headers)


ROUTES = [
    Route("/api/jobs/{job}/photos", take, methods=["POST"]),
    Route("/api/jobs/{job}/photos/{digest}", give),
]
