"""One idea: a narration is taken on one page and looked over on another; each button is one form and keeps its steps.

Every page works without a script. With one, the same forms are sent by a key and the page's main part is taken from
the answer.
"""

import re
from collections.abc import Mapping
from typing import Any, Final
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putback.bay import Closed
from putback.bay.owner import worker, workers
from putback.bay.reviews import Begun, ReviewHere, do_all, review_here, reviews, take_narration, undo, write
from putback.core.finding import Finding
from putback.core.operations import Verb
from putback.core.record import is_id
from putback.faces.web import intake, review_papers
from putback.faces.web.form import Form, read_form
from putback.faces.web.guard import HEADER, refuse
from putback.faces.web.multipart import SentFile, read_form_with_files
from putback.faces.web.review_form import Steps, added, changed, pressed
from putback.faces.web.review_view import (
    anchor_of,
    anchor_of_step,
    anchors,
    change_view,
    next_anchor,
    review_view,
    unused_view,
)
from putback.faces.web.setting import bay_of, page
from putback.narrate.review.state import Reviewed
from putback.narrate.review.words import done_words
from putback.narrate.text.captions import LONGEST

_KNOWN: Final[Mapping[str, bool | None]] = {"": None, "yes": True, "no": False}


# the list, and a new one


def narrations(request: Request) -> Response:
    """The narrations that were taken, and the form for one more."""
    return _list(request, Form(fields={}))


def _list(request: Request, form: Form, *, begun: Begun | None = None) -> Response:
    bay = bay_of(request)
    lines = reviews(bay)
    cars = dict.fromkeys((*bay.cars, *(one.car for one in lines)))
    return page(
        "narrations",
        status=422 if form.wrong else 200,
        reviews=lines,
        cars=tuple(cars),
        workers=workers(bay),
        said=form.said(),
        wrong=tuple(dict.fromkeys(form.wrong)),
        begun=begun,
    )


def take(request: Request) -> Response:
    """Take a narration and begin to look it over; what is to be said of its file is said first."""
    form, files = read_form_with_files(request.state.body, request.headers.get("content-type", ""))
    bay = bay_of(request)
    name, data = _narration(form, files)
    car = form.text("car-name", "the car", most=120) or form.text("car", "the car", most=120)
    if not car:
        form.wrong.append(("the car", "is not said; choose one or write which it is"))
    high_voltage = _KNOWN[form.one_of("high-voltage", "high voltage", ("yes", "no"))]
    who = intake.known(bay, form, intake.someone(form, "by"), "who looks it over")
    if form.wrong:
        return _list(request, form)
    person = worker(bay, who)
    taken = take_narration(bay, data, name=name, car=car, person=person, high_voltage=high_voltage)
    if isinstance(taken, Finding):
        form.wrong.append((name, f"cannot be read: {taken.what}; {taken.mend}"))
        return _list(request, form)
    return _list(request, Form(fields={}), begun=taken) if taken.findings else _to(taken.review, person or "")


def _narration(form: Form, files: Mapping[str, SentFile]) -> tuple[str, bytes]:
    """The name and the bytes of what was sent: a file, else pasted words."""
    file = files.get("file")
    pasted = form.text("text", "the words", most=LONGEST)
    if file is not None and pasted:
        form.wrong.append(("the words", "were given twice, as a file and pasted; leave one out"))
    if file is None and not pasted:
        form.wrong.append(("the words", "are missing; choose a file or paste them"))
    if file is not None:
        return re.sub(r"[\x00-\x1f\x7f]", " ", file.name)[:120], file.content
    return form.text("name", "its name", most=120) or "notes", pasted.encode()


def _to(review: str, by: str, at: str = "") -> Response:
    who = f"?{urlencode({'by': by})}" if by else ""
    return RedirectResponse(f"/narrations/{review}{who}{f'#{at}' if at else ''}", 303)


# one review


def review(request: Request) -> Response:
    """A review as it stands: questions, rows, torques, what is written of it."""
    here = _here(request)
    return here if isinstance(here, Response) else _review(request, here)


def _here(request: Request) -> ReviewHere | Response:
    name = request.path_params["review"]
    found = review_here(bay_of(request), name) if is_id(name) else Closed(what="there is none", mend="begin at /")
    if isinstance(found, ReviewHere):
        return found
    return refuse(request.scope, 404, f"cannot be answered: {found.what}", found.mend)


def _review(request: Request, here: ReviewHere, form: Form | None = None, *, said: str = "", at: str = "") -> Response:
    bay = bay_of(request)
    return page(
        "review",
        status=422 if form and form.wrong else 200,
        **_common(request, here, form),
        **review_view(here, bay.names()),
        said_now=said,
        at=at,
        may_work=bay.procedures is not None,
    )


def _common(request: Request, here: ReviewHere, form: Form | None) -> dict[str, Any]:
    """What every page of a review says."""
    bay, by = bay_of(request), _by(request, here)
    return {
        "review": here.review,
        "title": here.name,
        "car": here.car,
        "by": by,
        "with_by": f"?{urlencode({'by': by})}" if by else "",
        "workers": workers(bay),
        "said": {"by": by, **(form.said() if form else {})},
        "wrong": tuple(dict.fromkeys(form.wrong)) if form else (),
    }


def _by(request: Request, here: ReviewHere) -> str:
    """Who looks: as the address says, else who did the last step; empty where that is nobody of the list."""
    there = workers(bay_of(request))
    asked = request.query_params.get("by", "")
    if asked in there:
        return asked
    return here.last.who if here.last and here.last.who in there else ""


def press(request: Request) -> Response:
    """One button of the page: its steps are kept, all or none."""
    here = _here(request)
    if isinstance(here, Response):
        return here
    form = read_form(request.state.body)
    if form.text("do") == "undo":
        return _undone(request, here, form)
    steps = pressed(form, here.look)
    after = _kept(request, here, form, steps)
    if not isinstance(after, ReviewHere):
        return after or _review(request, here, form)
    return _went_on(request, here, after, steps, was=form.text("at", most=60))


def _kept(request: Request, here: ReviewHere, form: Form, steps: Steps) -> ReviewHere | Response | None:
    """The review after the steps; None where they do not fit, with the words in the form."""
    if form.wrong:
        return None
    done = do_all(bay_of(request), here.review, steps, person=_by(request, here) or None)
    if isinstance(done, Closed):
        return refuse(request.scope, 404, f"cannot be answered: {done.what}", done.mend)
    if isinstance(done, str):
        form.wrong.append(("", done))
        return None
    return done


def _went_on(
    request: Request, before: ReviewHere, after: ReviewHere, steps: Steps, *, was: str, stay: bool = False
) -> Response:
    """The page after steps: at the next open place, or still at the row of a line that was only changed."""
    at = anchor_of(after.look, steps[0].lines) if stay else ""
    at = at if at in anchors(after.look) else next_anchor(before.look, after.look, was)
    return _answered(request, after, done_words(steps[-1], after.look.review, before.look.review), at)


def _answered(request: Request, here: ReviewHere, said: str, at: str) -> Response:
    """To a script the page itself; to a browser the way to it."""
    if HEADER in request.headers:
        return _review(request, here, said=said, at=at)
    return _to(here.review, _by(request, here), at)


def _undone(request: Request, here: ReviewHere, form: Form) -> Response:
    undone = here.last.step if here.last else None
    after = undo(bay_of(request), here.review, person=_by(request, here) or None)
    if isinstance(after, Closed):
        return refuse(request.scope, 404, f"cannot be answered: {after.what}", after.mend)
    if isinstance(after, str) or undone is None:
        form.wrong.append(("", str(after)))
        return _review(request, here, form)
    words = f"taken back: {done_words(undone, after.look.review, here.look.review)}"
    at = anchor_of_step(after.look, undone) or next_anchor(here.look, after.look, "")
    return _answered(request, after, words, at)


def look_as(request: Request) -> Response:
    """Say who looks it over from here on."""
    here = _here(request)
    if isinstance(here, Response):
        return here
    form, bay = read_form(request.state.body), bay_of(request)
    who = intake.known(bay, form, intake.someone(form, "by"), "who looks it over", needed=True)
    if form.wrong:
        return _review(request, here, form)
    return _to(here.review, worker(bay, who) or "")


# one line


def _line(request: Request) -> tuple[ReviewHere, Reviewed] | Response:
    """The review and the line that an address names."""
    here, key = _here(request), request.path_params["key"]
    if isinstance(here, Response):
        return here
    line = next((one for one in here.look.review.lines if str(one.key) == key), None)
    if line is None:
        return refuse(request.scope, 404, f"names no line of this review: {key:.40}", "look at its page again")
    return here, line


def change(request: Request) -> Response:
    """The page of one line: every field, its twin, its torque, what came before it."""
    found = _line(request)
    return found if isinstance(found, Response) else _change(request, *found)


def _change(request: Request, here: ReviewHere, line: Reviewed, form: Form | None = None) -> Response:
    says = _common(request, here, form)
    more = change_view(here.look, line, bay_of(request).names())
    return page("review_line", status=422 if form and form.wrong else 200, **{**says, "typed": says["said"], **more})


def change_line(request: Request) -> Response:
    """One form of the page of a line."""
    found = _line(request)
    if isinstance(found, Response):
        return found
    here, line = found
    form = read_form(request.state.body)
    steps = changed(form, here.look, line)
    was = anchor_of(here.look, [line.key])
    after = _kept(request, here, form, steps)
    if not isinstance(after, ReviewHere):
        return after or _change(request, here, line, form)
    return _went_on(request, here, after, steps, was=was, stay=form.text("do") != "delete")


def words(request: Request) -> Response:
    """The page for a line that was not understood, or that nobody said."""
    here = _here(request)
    if isinstance(here, Response):
        return here
    form = Form(fields={name: [value] for name, value in request.query_params.items()})
    return _words(request, here, form)


def _words(request: Request, here: ReviewHere, form: Form) -> Response:
    start, end = form.count("start", "its words"), form.count("end", "its words")
    length = len(here.look.review.spoken.text)
    span = (start, end) if start is not None and end is not None and start <= end <= length else None
    return page(
        "review_words",
        status=422 if form.wrong else 200,
        **_common(request, here, form),
        span=unused_view(here.look, span) if span else None,
        verbs=[str(one) for one in Verb],
    )


def add_line(request: Request) -> Response:
    """Add a line on its words, or one that a person remembers."""
    here = _here(request)
    if isinstance(here, Response):
        return here
    form = read_form(request.state.body)
    steps = added(form)
    after = _kept(request, here, form, steps)
    if not isinstance(after, ReviewHere):
        return after or _words(request, here, form)
    span = steps[0].span
    at = next_anchor(here.look, after.look, f"unused-{span[0]}" if span else "")
    return _answered(request, after, done_words(steps[0], after.look.review), at)


# what comes of it


def write_procedure(request: Request) -> Response:
    """Write the procedure as it stands now; `job`: a job is opened on it next."""
    here = _here(request)
    if isinstance(here, Response):
        return here
    bay, form = bay_of(request), read_form(request.state.body)
    content = write(bay, here.review, person=_by(request, here) or None)
    if isinstance(content, Closed):
        return refuse(request.scope, 404, f"cannot be answered: {content.what}", content.mend)
    if form.text("do") == "job":
        return RedirectResponse(f"/jobs/new?{urlencode({'car': review_papers.put_to_work(bay, here, content)})}", 303)
    after = _here(request)
    return after if isinstance(after, Response) else _answered(request, after, "the procedure is written", "write")


ROUTES = (
    Route("/narrations", narrations),
    Route("/narrations", take, methods=["POST"]),
    Route("/narrations/{review}", review),
    Route("/narrations/{review}", press, methods=["POST"]),
    Route("/narrations/{review}/who", look_as, methods=["POST"]),
    Route("/narrations/{review}/line/{key}", change),
    Route("/narrations/{review}/line/{key}", change_line, methods=["POST"]),
    Route("/narrations/{review}/words", words),
    Route("/narrations/{review}/words", add_line, methods=["POST"]),
    Route("/narrations/{review}/write", write_procedure, methods=["POST"]),
    *review_papers.ROUTES,
)
