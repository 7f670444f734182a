"""One idea: what the bay page is made of is a short list of files, served as they are and kept by the phone.

The worker that keeps them is told their digest, so a new version of any of them makes a new worker.
"""

from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from importlib.resources import files
from types import MappingProxyType

import minify  # type: ignore[import-untyped]
from starlette.requests import Request
from starlette.responses import Response

from putback.faces.web.guard import refuse
from putback.faces.web.script import joined, quick_script

SHELL = ("bay.html", "bay.css", "bay.js", "quick.js", "icon.svg")
"""All that the bay page loads, besides a job's own pack; `quick.js` only when its line is touched."""

FILES: Mapping[str, str] = MappingProxyType(
    dict.fromkeys(("bay.js", "quick.js", "sign.js", "review.js", "ahead.js"), "text/javascript")
    | dict.fromkeys(("bay.css", "web.css", "page.css"), "text/css")
    | {"icon.svg": "image/svg+xml"}
)

_KEPT = {"cache-control": "no-cache"}

_KINDS: Mapping[str, str] = MappingProxyType(
    {".js": "application/javascript", ".css": "text/css", ".html": "text/html", ".svg": "image/svg+xml"}
)


@cache
def content(name: str) -> bytes:
    """One of the files as a phone loads it: without comments, and with short names inside."""
    lean: str = minify.string(_KINDS[f".{name.rpartition('.')[2]}"], _whole(name))
    return lean.encode()


def _whole(name: str) -> str:
    """A file as it is written. `bay.css` begins with the colours of a plan's page, `bay.js` is all its modules.

    `quick.js` begins with the tables by which the core reads a line.
    """
    if name == "bay.js":
        return joined()
    if name == "quick.js":
        return quick_script()
    page = files("putback.faces.page").joinpath("page.css").read_text(encoding="utf-8")
    if name == "page.css":
        return page
    own = files("putback.faces.web").joinpath("static", name).read_text(encoding="utf-8")
    return page.partition("* {")[0] + own if name == "bay.css" else own


@cache
def digest() -> str:
    """What tells one version of the shell from another."""
    return sha256(b"\n".join(content(name) for name in (*SHELL, "sw.js"))).hexdigest()[:16]


def file(request: Request) -> Response:
    """A file of the list; nothing else has an address."""
    name = request.path_params["name"]
    if name not in FILES:
        return refuse(request.scope, 404, "names nothing that is here", "begin at /")
    return Response(content(name), media_type=FILES[name], headers=_KEPT)


def bay_page(request: Request) -> Response:  # noqa: ARG001 - the page is the same for every job
    """The bay page."""
    return Response(content("bay.html"), media_type="text/html", headers=_KEPT)


def worker(request: Request) -> Response:  # noqa: ARG001 - the same for all
    """The service worker, with the digest of what it keeps."""
    kept = ", ".join(f'"/static/{name}"' for name in SHELL if name in FILES)
    text = content("sw.js").decode().replace("VERSION", digest()).replace("FILES", kept)
    return Response(text, media_type="text/javascript", headers=_KEPT)
