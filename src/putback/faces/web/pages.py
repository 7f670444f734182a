"""One idea: a page is a template and what it says; it works without script, by keyboard, and on paper."""

from urllib.parse import parse_qs

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from putback.app import Refused
from putback.bay import Bay, Closed, Opening, OpenJob
from putback.bay.toolbox import with_toolbox
from putback.faces.draw import in_the_way_svg, valley_svg
from putback.faces.page import view as plan_view
from putback.faces.page.lists import TABLES
from putback.faces.web import views
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of, common, page, view_of
from putback.plan.plan import Impossible

_LONGEST = 2000
"""A text of the form for opening a job, [letters]."""


def jobs(request: Request) -> Response:
    """The list of jobs."""
    return page("jobs", jobs=bay_of(request).jobs(), phones=getattr(request.app.state, "phones", ""))


def opening(request: Request) -> Response:
    """The form for opening a job, for one car."""
    bay = bay_of(request)
    chosen = request.query_params.get("car") or next(iter(bay.car_files()), "")
    return _form(bay, Opening(car=chosen, wanted=()))


def _form(bay: Bay, opening: Opening, *, wrong: tuple[tuple[str, str], ...] = (), status: int = 200) -> Response:
    car = bay.car(opening.car)
    if isinstance(car, Refused):
        wrong = (*wrong, *((str(one.where), f"{one.what}; {one.mend}") for one in car.findings))
    return page(
        "open",
        status=status,
        cars=tuple(bay.car_files()),
        opening=opening,
        car=None if isinstance(car, Refused) else car,
        wrong=wrong,
    )


def open_job(request: Request) -> Response:
    """Open a job from the form."""
    bay = bay_of(request)
    opening, wrong = _read_form(request.state.body)
    if wrong:
        return _form(bay, opening, wrong=wrong, status=422)
    opened = bay.open_job(opening)
    if isinstance(opened, OpenJob):
        return RedirectResponse(f"/jobs/{opened.job}/intake", 303)
    if isinstance(opened, Impossible):
        cannot = tuple((one.joint, one.why) for one in opened.joints)
        return _form(bay, opening, wrong=cannot, status=422)
    return _form(
        bay, opening, wrong=tuple((one.where.field, f"{one.what}; {one.mend}") for one in opened.findings), status=422
    )


def _read_form(body: bytes) -> tuple[Opening, tuple[tuple[str, str], ...]]:
    """What the form says, and what is wrong with it."""
    try:
        fields = parse_qs(body.decode("utf-8"), max_num_fields=500)
    except (UnicodeDecodeError, ValueError):
        return Opening(car="", wanted=()), (("form", "cannot be read; fill it in again"),)
    one = {name: values[0].strip() for name, values in fields.items()}
    wrong = [
        (name, f"is longer than {_LONGEST} letters; write less") for name, text in one.items() if len(text) > _LONGEST
    ]
    made = Opening(
        car=one.get("car", ""),
        wanted=tuple(dict.fromkeys(fields.get("wanted", []))),
        complaint=one.get("complaint", "")[:_LONGEST],
    )
    return made, tuple(wrong)


def plan(request: Request) -> Response:
    """The plan of a job: what is done on it, both pictures, every list."""
    view = view_of(request)
    if isinstance(view, Response):
        return view
    planned = bay_of(request).plan(view)
    if isinstance(planned, Closed):
        return refuse(request.scope, 500, planned.what, planned.mend)
    done = views.done_numbers(view, planned)
    planned, faulty = with_toolbox(bay_of(request), planned)
    tables = [table(planned) for table in TABLES]
    return page(
        "plan",
        styles=True,
        **common(view),
        figures=views.figures(view),
        valley=Markup(valley_svg(planned, done=done, titled=False)),
        narrow=Markup(valley_svg(planned, narrow=True, done=done, titled=False)),
        in_the_way=Markup(in_the_way_svg(planned)),
        faulty_tools=faulty,
        tables=[table for table in [*tables, plan_view.quote(planned), plan_view.operations(planned)] if table.rows],
    )


def car_now(request: Request) -> Response:
    """The car as it stands now."""
    view = view_of(request)
    if isinstance(view, Response):
        return view
    return page(
        "car",
        **common(view),
        figures=views.figures(view),
        zones=views.off_by_zone(view),
        trays=views.by_tray(view),
        loose=views.loose(view),
        energies=views.energies(view),
        guards=views.guards(view),
        fluids=views.fluids(view),
    )


def record(request: Request) -> Response:
    """The record, its head, and what chaining it anew finds."""
    view = view_of(request)
    if isinstance(view, Response):
        return view
    people = bay_of(request).names()
    return page(
        "record",
        **common(view),
        lines=views.event_lines(view, people),
        head=view.head.on_paper(),
        faults=view.faults,
        findings=view.case.folded.findings,
        shut=views.logged_while_shut(view),
        aside=view.aside,
    )
