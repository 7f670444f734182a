"""One idea: a drive is looked at as its log grows, and only while the log says that the vehicle stands still.

The server reads no bus: `putback codes watch` writes the log, and this page reads it.
"""

import time
from functools import lru_cache
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from putback.adapters.drive_log import NEWEST, DriveRead, read_drive_log, read_tail
from putback.core.codes.drive.against import hold_against
from putback.core.codes.drive.log import Drive
from putback.core.codes.drive.misfire import cylinders
from putback.core.codes.drive.standstill import FRESH_S, Shown, may_show
from putback.core.record import is_id
from putback.faces.draw.drive import LAST_S, strip_svg
from putback.faces.draw.two_drives import pictures_of
from putback.faces.drive_words import CAUTION, METHOD, out_of_order, stage_words
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of, common, page, view_of
from putback.faces.web.static import content
from putback.faces.web.template import filled

_MOST_LOGS: Final = 200
_KEPT_PICTURES: Final = 4


def drive_page(request: Request) -> Response:
    """The page: which drive, and the place where it is shown."""
    says: dict[str, Any] = {}
    if "job" in request.path_params:
        view = view_of(request)
        if isinstance(view, Response):
            return view
        says = common(view)
    folder = _folder(request)
    logs = _logs(folder)
    chosen = {name: request.query_params.get(name, "") for name in ("log", "against", "stands")}
    log = chosen["log"] if chosen["log"] in logs else next(iter(logs), "")
    against = chosen["against"] if chosen["against"] in logs and chosen["against"] != log else ""
    asked = urlencode({"log": log, "against": against, "stands": chosen["stands"]})
    return page(
        "drive",
        styles=True,
        caution=CAUTION,
        logs=logs,
        log=log,
        against=against,
        stands=chosen["stands"] == _statement(folder, logs),
        statement=_statement(folder, logs),
        action=request.url.path,
        place=folder or "FOLDER",
        look_at=f"{request.url.path}/now?{asked}",
        **says,
    )


def drive_now(request: Request) -> Response:
    """What may be shown of a drive at this moment."""
    folder = _folder(request)
    logs = _logs(folder)
    log, against = (request.query_params.get(name, "") for name in ("log", "against"))
    if folder is None or log not in logs or (against and against not in logs):
        return refuse(request.scope, 404, "names no log that is here", "choose one of the list")
    stands = request.query_params.get("stands", "")
    shown, quiet_s = _shown(folder, stands)
    says: dict[str, Any] = {"faults": ()}
    if shown.yes:
        says |= _pictures(
            folder / log, folder / against if against else None, grows=log == logs[0] and quiet_s <= FRESH_S
        )
        shown, quiet_s = _shown(folder, stands)  # drawing takes its time, and the vehicle may have moved off
    return HTMLResponse(filled("drive_now", shown=shown, quiet_s=quiet_s, fresh_s=FRESH_S, **says))


def _shown(folder: Path, stands: str) -> tuple[Shown, float]:
    """Whether anything may be shown at this moment, and for how long the newest log has not grown, [s]."""
    logs = _logs(folder)
    if not logs:
        return Shown(yes=False, why="the log is not there any more"), FRESH_S + 1
    quiet_s = max(0.0, time.time() - _changed_s(folder / logs[0]))
    drive = read_tail(folder / logs[0], size=NEWEST).drive or Drive(name="", series={})
    return may_show(drive, quiet_s=quiet_s, stands=stands == _statement(folder, logs)), quiet_s


def script(_: Request) -> Response:
    """What asks for the drive again and again."""
    return Response(content("drive.js"), media_type="text/javascript", headers={"cache-control": "no-cache"})


def _folder(request: Request) -> Path | None:
    """Where the logs of this job are, or those of no job; None: this server has no place for logs."""
    folder = bay_of(request).drives
    job = request.path_params.get("job")
    if folder is None or not (job is None or is_id(job)):
        return None
    return folder if job is None else folder / job


def _logs(folder: Path | None) -> tuple[str, ...]:
    """The names of the logs, the newest first."""
    if folder is None or not folder.is_dir():
        return ()
    found = [one for one in folder.iterdir() if one.suffix == ".csv" and one.is_file()]
    found.sort(key=lambda one: (-_changed_s(one), one.name))
    return tuple(one.name for one in found[:_MOST_LOGS])


def _statement(folder: Path | None, logs: tuple[str, ...]) -> str:
    """What a person's word that the vehicle stands holds for: the newest log as it is now. More of it undoes it."""
    return str(int(_changed_s(folder / logs[0]))) if folder is not None and logs else ""


def _changed_s(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def _pictures(log: Path, against: Path | None, *, grows: bool) -> dict[str, Any]:
    if against is not None:
        return _two(str(against), _changed_s(against), str(log), _changed_s(log))
    return _one(read_tail(log), whole=False) if grows else _whole(str(log), _changed_s(log))


@lru_cache(maxsize=_KEPT_PICTURES)
def _whole(log: str, _changed_s: float) -> dict[str, Any]:
    """A whole drive; kept until its file changes."""
    return _one(read_drive_log(Path(log)), whole=True)


def _one(read: DriveRead, *, whole: bool) -> dict[str, Any]:
    if read.drive is None:
        return {"faults": read.findings}
    drive = read.drive
    channels = [one for one in drive.channels if one.live]
    counted = cylinders(drive, Drive(name="", series={}))
    misfires = "; ".join(f"cylinder {one.number}: {one.before}" for one in counted)
    return {
        "title": f"{Path(drive.name).name}: {stage_words(drive)}",
        "says": f"Misfires: {misfires}." if misfires else "",
        "pictures": [Markup(strip_svg(drive, one, last_s=None if whole else LAST_S)) for one in channels],
    }


@lru_cache(maxsize=_KEPT_PICTURES)
def _two(before: str, _before_s: float, after: str, _after_s: float) -> dict[str, Any]:
    """Two drives; kept until one of the files changes."""
    reads: list[DriveRead] = [read_drive_log(Path(one)) for one in (before, after)]
    first, second = (one.drive for one in reads)
    if first is None or second is None:
        return {"faults": tuple(finding for one in reads if one.drive is None for finding in one.findings)}
    found = hold_against(first, second)
    words = [out_of_order(found), found.missing, METHOD, found.by_chance]
    return {
        "title": f"{Path(before).name} → {Path(after).name}",
        "says": " ".join(f"{one.rstrip('.')}." for one in words if one),
        "pictures": [Markup(one) for one in pictures_of(found)],
    }


ROUTES = (
    Route("/drive", drive_page),
    Route("/drive/now", drive_now),
    Route("/drive/drive.js", script),
    Route("/jobs/{job}/drive", drive_page),
    Route("/jobs/{job}/drive/now", drive_now),
)
