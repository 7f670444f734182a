"""One idea: the codes of a job stand on one page: what was read, what it says together, and what may be done next."""

from collections.abc import Mapping
from typing import Any, cast

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putback.app import Refused
from putback.bay import Bay, Closed, JobView
from putback.bay.car_reader import CarReader, ReadWish, ReadyToClear, allowed_in, first_read
from putback.bay.code_compare import held_against
from putback.bay.code_job import Job as Work
from putback.bay.code_job import job_of, job_of_view
from putback.bay.code_reads import attach, read_before, reads_of
from putback.bay.code_words import codes_of
from putback.bay.owner import worker
from putback.core.codes.lists.listing import Stage
from putback.core.codes.talk.clearing import WORD, destroyed
from putback.core.codes.talk.may_send import MaySend
from putback.faces.web import intake
from putback.faces.web.code_views import guess_view, held_view, read_view
from putback.faces.web.form import Form, read_form
from putback.faces.web.guard import refuse
from putback.faces.web.pasted import Pasted, pasted
from putback.faces.web.setting import bay_of, page

CAUTION = (
    "Ignition on, vehicle secured, nobody working on it: modules wake up, fans may start. How the vehicle is made "
    "ready is in the maker’s publication."
)


def reader_of(request: Request) -> CarReader | None:
    """The one that speaks to the car; None where this server has no bus."""
    return cast("CarReader | None", getattr(request.app.state, "reader", None))


# the page of a job


def codes_page(request: Request) -> Response:
    """The reads of a job, what they say together, and what may be done next."""
    job = intake.job_of(request)
    return job if isinstance(job, Response) else _codes(request, job)


def _codes(request: Request, job: intake.Job, form: Form | None = None, found: Pasted | None = None) -> Response:
    view, bay, reader = job[0], bay_of(request), reader_of(request)
    running = reader.running if reader else None
    names = bay.names()
    mine = running is not None and running.job == view.job
    together = None if mine else codes_of(bay, view)
    reads = reads_of(bay, view) if together is None else together.reads
    before = read_before(reads)
    ready = reader.ready(view.job) if reader else None
    return intake.shown(
        "codes",
        request,
        job,
        form,
        stages=tuple(map(str, Stage)),
        stage=_next_stage(view, bay),
        reads=[read_view(one, names.get(one.person or "", "")) for one in reads],
        held=held_view(together.held) if together and together.held else None,
        why_not=together.why_not if together else "",
        remarks=together.remarks if together else (),
        guessed=guess_view(found.found) if found and found.found else None,
        text=found.text if found else "",
        caution=CAUTION,
        bus=reader.bus.name if reader else "",
        running=running,
        mine=mine,
        ended=reader.ended(view.job) if reader else None,
        allowed=_allowed(bay, view),
        ready=_ready(ready) if ready else None,
        word=WORD,
        virtual=_virtual(reader, bay, job) if reader and reader.bus.virtual else None,
        first=before is not None and before.read is not None and not before.stopped,
        unasked=before is not None and before.read is not None and bool(before.read.unasked),
    )


def _next_stage(view: JobView, bay: Bay) -> str:
    """The stage that a read made now most likely has: the one behind the last."""
    stages, reads = list(Stage), reads_of(bay, view)
    if not reads:
        return str(Stage.BEFORE)
    cleared = any(one.event.kind == "codes cleared" for one in view.received)
    after = {Stage.BEFORE: Stage.AFTER_PUT_BACK, Stage.AFTER_PUT_BACK: Stage.AFTER_ROAD_TEST}
    return str(
        Stage.AFTER_CLEAR
        if cleared and reads[-1].stage is Stage.AFTER_PUT_BACK
        else after.get(reads[-1].stage, stages[-1])
    )


def _allowed(bay: Bay, view: JobView) -> MaySend | None:
    before = first_read(bay, view.job)
    found = allowed_in(bay, view.job, before=before.read if before else None)
    return None if isinstance(found, str) else found


def _ready(ready: ReadyToClear) -> dict[str, Any]:
    loss = destroyed(ready.now)
    return {"codes": loss.codes, "words": loss.words, "against": ready.against, "before": ready.before.sha256}


def attach_list(request: Request) -> Response:
    """Attach a pasted list to the job; one that had to be guessed is shown first."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    stage = form.one_of("stage", "when it was read", tuple(Stage))
    who = intake.known(bay, form, intake.someone(form, "by"), "who attaches it")
    found = pasted(form, "", "the list", stage=stage)
    if found.listing is None or form.wrong:
        return _codes(request, job, form, found)
    kept = attach(
        bay,
        job[0].job,
        found.data,
        name="the list",
        stage=Stage(stage) if stage else None,
        person=worker(bay, who),
    )
    if isinstance(kept, Closed):
        return refuse(request.scope, 404, kept.what, kept.mend)
    if isinstance(kept, tuple):
        form.wrong += [("the list", f"{one.what}; {one.mend}") for one in kept]
        return _codes(request, job, form, found)
    return _back(job[0])


def _back(view: JobView, where: str = "") -> Response:
    return RedirectResponse(f"/jobs/{view.job}/codes{where}", 303)


def list_file(request: Request) -> Response:
    """A list as it was attached, byte by byte."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    digest = request.path_params["digest"]
    known = any(one.sha256 == digest for one in reads_of(bay_of(request), job[0]))
    content = bay_of(request).shelf.get(digest) if known else None
    if content is None:
        return refuse(request.scope, 404, "names no list of this job", "choose one at the page of its codes")
    named = {"content-disposition": f'attachment; filename="codes-{digest[:12]}.csv"'}
    return Response(content, media_type="text/csv", headers=named)


# what speaks to the car


def read_now(request: Request) -> Response:
    """Begin a read over the bus of this server."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    reader, form, bay = reader_of(request), read_form(request.state.body), bay_of(request)
    stage = form.one_of("read-stage", "when this read is", tuple(Stage), needed=True)
    who = intake.known(bay, form, intake.someone(form, "reads"), "who reads")
    since = form.text("since", "since the read before", most=120)
    if form.wrong or reader is None:
        return _no_bus(request, job, form)
    wish = ReadWish(
        stage=Stage(stage),
        stands_still=form.text("stands") == "yes",
        sweep=form.text("sweep") == "yes",
        since=since,
        person=worker(bay, who),
    )
    return _begun(request, job, form, reader.read(bay, job[0].job, wish))


def _no_bus(request: Request, job: intake.Job, form: Form) -> Response:
    if reader_of(request) is None:
        form.wrong.append(("the read", "cannot be made: this server has no bus"))
    return _codes(request, job, form)


def _begun(request: Request, job: intake.Job, form: Form, why_not: str) -> Response:
    if why_not:
        form.wrong.append(("the car", f"was not spoken to: {why_not}"))
        return _codes(request, job, form)
    return _back(job[0])


def stop_now(request: Request) -> Response:
    """End what is going on; what has come is kept."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    reader = reader_of(request)
    if reader is not None:
        reader.stop(job[0].job)
    return _back(job[0])


def clear_now(request: Request) -> Response:
    """Ask the modules what clearing destroys; then, with the word typed, clear."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    reader, form, bay = reader_of(request), read_form(request.state.body), bay_of(request)
    step = form.one_of("step", "step", ("ask", "clear"), needed=True)
    who = intake.known(bay, form, intake.someone(form, "clears"), "who clears", needed=step == "clear")
    if step == "clear" and form.text("word") != WORD:
        form.wrong.append(("the word", f"is not {WORD}; nothing was cleared"))
    if form.wrong or reader is None:
        return _no_bus(request, job, form)
    if step == "ask":
        stands = form.text("stands") == "yes"
        return _begun(request, job, form, reader.ask_before_clear(bay, job[0].job, stands_still=stands))
    return _begun(request, job, form, reader.clear(bay, job[0].job, person=worker(bay, who)))


# the virtual car


def _virtual(reader: CarReader, bay: Bay, job: intake.Job) -> dict[str, Any]:
    """What the virtual car may be told of this job."""
    car = job[1].car
    work = job_of_view(bay, job[0])
    touched = work.disturbed.items if isinstance(work, Work) else ()
    carrying = {id for circuit in car.circuits.values() for id in circuit.items}
    taught = {relearn.after for relearn in car.relearn}
    return {
        "open": [(id, car.items[id].name) for id in touched if id in carrying],
        "moved": [(id, car.items[id].name) for id in touched if id in taught],
        "relearned": [relearn.what for relearn in car.relearn],
        "told": reader.told,
    }


def tell_virtual(request: Request) -> Response:
    """Tell the virtual car what happened to it."""
    job = intake.job_of(request)
    if isinstance(job, Response):
        return job
    reader, form = reader_of(request), read_form(request.state.body)
    if reader is None or reader.bus.virtual is None:
        return refuse(request.scope, 404, "speaks of a virtual car that is not here", "putback serve --virtual-car")
    changes: Mapping[str, Any] = {
        "left_open": list(form.many("left_open")),
        "moved": list(form.many("moved")),
        "relearned": list(form.many("relearned")),
        "power_was_off": form.text("power_was_off") == "yes",
    }
    driven = {"driven": True} if form.text("driven") == "yes" else {}
    try:
        reader.bus.virtual.tell(**changes, **driven)
    except ValueError as failure:
        form.wrong.append(("the virtual car", f"did not take it: {failure}"))
        return _codes(request, job, form)
    reader.told.clear()
    reader.told.update(changes)
    return _back(job[0], "#virtual")


# without a job


def two_lists(request: Request) -> Response:
    """Two lists without a job: the empty form."""
    return _two(request, Form(fields={}))


def two_lists_held(request: Request) -> Response:
    """Two pasted lists, held against one another."""
    form = read_form(request.state.body)
    before = pasted(form, "before-", "the list from before", stage=str(Stage.BEFORE))
    after = pasted(form, "after-", "the list from after", stage=str(Stage.AFTER_PUT_BACK))
    work = _work(bay_of(request), form)
    lists = [one.listing for one in (before, after) if one.listing is not None]
    whole = len(lists) == 2 and not form.wrong
    return _two(request, form, before, after, held_view(held_against(lists, job=work)) if whole else None)


def _work(bay: Bay, form: Form) -> Work | None:
    """What was renewed, by the car file that the form names; None: it is not said."""
    name, ids = form.one_of("car", "the car", tuple(bay.car_files())), form.text("work", "what was renewed", most=300)
    if not name:
        if ids:
            form.wrong.append(("the car", "is not chosen; without its file nothing is known of what was renewed"))
        return None
    car = bay.car(name)
    found = tuple(car.findings) if isinstance(car, Refused) else job_of(car, ids or None)
    if isinstance(found, Work):
        return found
    form.wrong += [("what was renewed", f"{one.what}; {one.mend}") for one in found]
    return None


def _two(
    request: Request,
    form: Form,
    before: Pasted | None = None,
    after: Pasted | None = None,
    held: dict[str, Any] | None = None,
) -> Response:
    bay = bay_of(request)
    cars = {name: bay.car(name) for name in bay.car_files()}
    offers = {name: tuple(car.services) for name, car in cars.items() if not isinstance(car, Refused)}
    lists = [
        (prefix, label, one.text if one else "", guess_view(one.found) if one and one.found else None)
        for prefix, label, one in (
            ("before-", "The list from before", before),
            ("after-", "The list from after", after),
        )
    ]
    return page(
        "codes_two",
        status=422 if form.wrong else 200,
        lists=lists,
        cars=tuple(bay.car_files()),
        offers=offers,
        held=held,
        said=form.said(),
        wrong=tuple(dict.fromkeys(form.wrong)),
    )


ROUTES = (
    Route("/codes", two_lists),
    Route("/codes", two_lists_held, methods=["POST"]),
    Route("/jobs/{job}/codes", codes_page),
    Route("/jobs/{job}/codes", attach_list, methods=["POST"]),
    Route("/jobs/{job}/codes/read", read_now, methods=["POST"]),
    Route("/jobs/{job}/codes/stop", stop_now, methods=["POST"]),
    Route("/jobs/{job}/codes/clear", clear_now, methods=["POST"]),
    Route("/jobs/{job}/codes/virtual", tell_virtual, methods=["POST"]),
    Route("/jobs/{job}/codes/list/{digest}", list_file),
)
