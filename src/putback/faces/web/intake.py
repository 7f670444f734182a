"""One idea: intake, shelf and authorisation are three forms over one list of what is asked; nothing in them blocks."""

import re
from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putback.bay import Bay, Closed, JobView
from putback.bay.intake import OWNERS_ROLE, compared_at_refit, digest_of, intake_of, scope_text
from putback.bay.owner import CHANNELS, Fact, Signing, Someone, identified, named, names, signature, signed, worker
from putback.core.gates import Entry
from putback.core.intake import KEYS, VIEWS
from putback.core.record.intake_kinds import (
    COMPLAINT_TAKEN,
    KEYS_RECEIVED,
    KEYS_RETURNED,
    LAMPS_NOTED,
    LIKENESS,
    MAY_DECIDE,
    ODOMETER_READ,
    OLD_PARTS_ASKED,
    OWNER,
    PARTS_COMPARED,
    PARTS_SHELVED,
    RECALLS_ASKED,
    WAIVED,
)
from putback.faces.page import view as plan_view
from putback.faces.web.form import Form, read_form
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of, common, page, view_of
from putback.plan.plan import Plan

Job = tuple[JobView, Plan]

MOST_DRAWN = 20_000
"""A drawn signature, [letters] of its path."""

_LINES = re.compile(r"M[0-9]{1,3} [0-9]{1,3}( [ML][0-9]{1,3} [0-9]{1,3})*", re.ASCII)
_THOUSANDS = re.compile(r"[0-9]{1,3}[.,][0-9]{3}", re.ASCII)
"""An odometer that may be read in two ways."""


def entries_of(view: JobView) -> tuple[Entry, ...]:
    """The record of a job as gates read it."""
    return tuple(Entry(event=one.event, received_at=one.received_at) for one in view.received)


def job_of(request: Request) -> Job | Response:
    """The job that an address names, with its plan; or the answer that there is none."""
    view = view_of(request)
    if isinstance(view, Response):
        return view
    plan = bay_of(request).plan(view)
    return refuse(request.scope, 500, plan.what, plan.mend) if isinstance(plan, Closed) else (view, plan)


def someone(form: Form, name: str) -> Someone:
    """A person as a form names one: chosen from the list, or by a new name."""
    return Someone(
        id=form.text(name, most=100),
        name=form.text(f"{name}-name", "name", most=100),
        phone=form.text(f"{name}-phone", "number", most=60),
    )


def known(bay: Bay, form: Form, one: Someone, label: str, *, needed: bool = False) -> Someone:
    """The same person, if the list has them; what is wrong with that is said in the form."""
    if one.id and one.id not in names(bay):
        form.wrong.append((label, "is not in the list of people; choose one of it, or write the name"))
    if needed and not one.id and not one.name:
        form.wrong.append((label, "is not named; choose somebody, or write the name"))
    return one


def kept(request: Request, view: JobView, facts: list[Fact], who: str | None, where: str) -> Response:
    """Keep facts, and go back to the page that shows them."""
    if facts:
        taken = bay_of(request).log(view.job, facts, person=who)
        if isinstance(taken, Closed):
            return refuse(request.scope, 404, taken.what, taken.mend)
    return RedirectResponse(f"/jobs/{view.job}/{where}", 303)


def shown(name: str, request: Request, job: Job, form: Form | None = None, **says: Any) -> Response:
    """A page of this family, with what was typed and what is wrong with it."""
    view, plan = job
    bay = bay_of(request)
    now = says.pop("intake", None) or intake_of(plan, entries_of(view), at=bay.clock())
    people = names(bay)
    return page(
        name,
        status=422 if form and form.wrong else 200,
        **common(view),
        intake=now,
        people={id: one[0] for id, one in people.items()},
        workers={id: one[0] for id, one in people.items() if not one[1]},
        owners={id: one[0] for id, one in people.items() if one[1] == OWNERS_ROLE},
        channels=CHANNELS,
        said={"by": _last(view, people), **(form.said() if form else {})},
        wrong=tuple(dict.fromkeys(form.wrong)) if form else (),
        now=bay.clock().strftime("%Y-%m-%dT%H:%M"),
        **says,
    )


def _last(view: JobView, people: Mapping[str, tuple[str, str]]) -> str:
    """Who logged last: the one that a form names unless told otherwise."""
    logged = (one.event.person for one in reversed(view.received))
    return next((id for id in logged if id and id in people and not people[id][1]), "")


def intake_page(request: Request) -> Response:
    """What was asked before the work, what is missing, and the form that asks it."""
    job = job_of(request)
    return job if isinstance(job, Response) else _intake(request, job)


def _intake(request: Request, job: Job, form: Form | None = None) -> Response:
    return shown("intake", request, job, form, key_kinds=KEYS, views=VIEWS, named_as=(OWNER, MAY_DECIDE))


def intake_said(request: Request) -> Response:
    """Keep what the form of intake says; a field that was left empty says nothing."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    who = known(bay, form, someone(form, "by"), "who logs this")
    owner = known(bay, form, someone(form, "owner"), "owner")
    as_ = form.one_of("owner-as", "owner", (OWNER, MAY_DECIDE)) or OWNER
    channel = form.one_of("channel", "how to reach them", CHANNELS)
    if (owner.id or owner.name) and not channel:
        form.wrong.append(("how to reach them", "is not chosen; choose one"))
    plate, vin = form.text("plate", "plate", most=20), form.text("vin", "vehicle number", most=40).upper()
    facts = _plain(form)
    if form.wrong:
        return _intake(request, job, form)
    if plate or vin:
        facts.append(identified(bay, plate=plate, vin=vin))
    if owner.id or owner.name:
        facts.append(named(bay, owner, as_=as_, channel=channel))
    return kept(request, job[0], facts, worker(bay, who), "intake")


def _plain(form: Form) -> list[Fact]:
    """The facts of intake that name nobody."""
    facts: list[Fact] = []
    odometer = form.number("odometer", "odometer")
    unit = form.one_of("unit", "unit of the odometer", ("km", "mi")) or "km"
    if _THOUSANDS.fullmatch(form.text("odometer", "odometer")):
        form.wrong.append(("odometer", "has three digits behind its point; write it without one, such as 84210"))
    elif odometer is not None:
        facts.append((ODOMETER_READ, {"value": odometer, "unit": unit}))
    if words := form.text("complaint", "complaint"):
        facts.append((COMPLAINT_TAKEN, {"words": words}))
    facts += _keys(form, KEYS_RECEIVED, "")
    lamps = [lamp.strip() for lamp in form.text("lamps", "warning lamps").split(",") if lamp.strip()]
    if lamps or form.text("no-lamps"):
        facts.append((LAMPS_NOTED, {"lamps": lamps}))
    if recalls := form.one_of("recalls", "open recalls", ("yes", "no", "not known")):
        where = form.text("recalls-where", "asked where", most=200)
        facts.append((RECALLS_ASKED, {"open": recalls, **({"where": where} if where else {})}))
    if see := form.one_of("old-parts", "old parts", ("yes", "no")):
        facts.append((OLD_PARTS_ASKED, {"see": see}))
    return facts


def _keys(form: Form, kind: str, before: str) -> list[Fact]:
    """Keys counted by kind; if one is counted the others are, as none."""
    counts = {name: form.count(f"{before}{name}", words) for name, words in KEYS.items()}
    if all(count is None for count in counts.values()):
        return []
    return [(kind, {name: count or 0 for name, count in counts.items()})]


def keys_returned(request: Request) -> Response:
    """Keep how many keys went back to the owner."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    who = known(bay, form, someone(form, "by"), "who logs this")
    facts = _keys(form, KEYS_RETURNED, "back-")
    if not facts:
        form.wrong.append(("keys", "are not counted; write how many of each went back"))
    if form.wrong:
        return _intake(request, job, form)
    return kept(request, job[0], facts, worker(bay, who), "intake")


def waived(request: Request) -> Response:
    """Let the job go on without what is missing: by name, with a reason."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    of = form.one_of("of", "what is waived", ("intake", "part"), needed=True)
    who = known(bay, form, someone(form, "by"), "who lets it go on", needed=True)
    reason, what = form.text("reason", "reason", needed=True, most=300), form.many("what")
    if not what:
        form.wrong.append(("what is waived", "is not ticked; tick what the job goes on without"))
    if form.wrong:
        return _shelf(request, job, form) if of == "part" else _intake(request, job, form)
    by = worker(bay, who)
    facts: list[Fact] = [(WAIVED, {"of": of, "what": one, "who": by, "reason": reason}) for one in what]
    return kept(request, job[0], facts, by, "shelf" if of == "part" else "intake")


def shelf_page(request: Request) -> Response:
    """The parts of the job on the shelf, and old parts held against new ones."""
    job = job_of(request)
    return job if isinstance(job, Response) else _shelf(request, job)


def _shelf(request: Request, job: Job, form: Form | None = None) -> Response:
    items = {id: job[1].car.items[id].name for id in compared_at_refit(job[1])}
    ticked = form.many("part") if form else ()
    return shown("shelf", request, job, form, compare=items, likeness=LIKENESS, ticked=ticked)


def shelved(request: Request) -> Response:
    """Keep which parts were seen on the shelf."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    who = known(bay, form, someone(form, "by"), "who logs this")
    now = intake_of(job[1], entries_of(job[0]), at=bay.clock())
    ids, ticked = {line.id for line in now.parts}, form.many("part")
    parts = [line.id for line in now.parts_missing] if form.text("all") else [part for part in ticked if part in ids]
    if not parts:
        form.wrong.append(("parts", "are not ticked; tick those that lie there, new"))
    if form.wrong:
        return _shelf(request, job, form)
    return kept(request, job[0], [(PARTS_SHELVED, {"parts": parts})], worker(bay, who), "shelf")


def compared(request: Request) -> Response:
    """Keep how an old part and the new one compare."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    who = known(bay, form, someone(form, "by"), "who logs this")
    body: dict[str, Any] = {
        "item": form.one_of("item", "part", job[1].car.items.keys(), needed=True),
        "same": form.one_of("same", "the same", ("yes", "no"), needed=True),
        "old_length_mm": form.number("old", "length of the old part"),
        "new_length_mm": form.number("new", "length of the new part"),
        **{name: form.one_of(name, name.replace("_", " "), LIKENESS) for name in ("ports", "seal", "part_number")},
        "note": form.text("note", "note", most=300),
    }
    if form.wrong:
        return _shelf(request, job, form)
    facts: list[Fact] = [(PARTS_COMPARED, {name: value for name, value in body.items() if value not in ("", None)})]
    return kept(request, job[0], facts, worker(bay, who), "shelf")


def authorise_page(request: Request) -> Response:
    """The price, the terms, and the text that is signed once they are set."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    asked = {name: [value] for name, value in request.query_params.items()}
    return _authorise(request, job, Form(fields=asked)) if asked else _authorise(request, job)


def _authorise(request: Request, job: Job, form: Form | None = None) -> Response:
    view, plan = job
    now = intake_of(plan, entries_of(view), at=bay_of(request).clock())
    asked = next((line.says for line in now.lines if line.id == "old-parts"), "")
    shelf, people = bay_of(request).shelf, names(bay_of(request))
    text = shelf.get(str(now.signed.event.body["scope_sha256"])) if now.signed else None
    draft = _draft(form, plan) if form else ""
    return shown(
        "authorise",
        request,
        job,
        form,
        intake=now,
        quote=plan_view.quote(plan),
        total=f"{plan.quote.total:.2f}" if plan.quote.known else "",
        see_old_parts=(form.said().get("see") if form else "") or asked or "no",
        scope=text.decode() if text else "",
        drawn=signature(bay_of(request), now.signed.event) if now.signed else "",
        draft=draft,
        version=digest_of(draft),
        may_sign={id: people[id][0] for id in now.deciders if id in people},
    )


def _draft(form: Form, plan: Plan) -> str:
    """The text to sign; "" while the terms are not complete, which the form then says."""
    limit, currency, see = _terms(form, plan)
    return scope_text(plan, limit=limit, currency=currency, see_old_parts=see) if limit and currency else ""


def _terms(form: Form, plan: Plan) -> tuple[str, str, bool]:
    limit = form.money("limit", "limit", needed=True)
    if limit and plan.quote.known and float(limit) < round(plan.quote.total, 2):
        form.wrong.append(("limit", f"is below the total of {plan.quote.total:.2f}; write that or more"))
        limit = ""
    currency = form.text("currency", "currency", needed=True, most=12)
    return limit, currency, form.one_of("see", "old parts", ("yes", "no"), needed=True) == "yes"


def authorised(request: Request) -> Response:
    """Keep the scope that was signed: its text stands on the shelf under the digest that the record names."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    signing = _signing(bay, form, job[1])
    by = known(bay, form, someone(form, "by"), "who logs this")
    if form.wrong:
        return _authorise(request, job, Form(fields=form.fields, wrong=form.wrong))
    now = intake_of(job[1], entries_of(job[0]), at=bay.clock())
    facts = signed(bay, job[1], signing, known=now.deciders)
    return kept(request, job[0], facts, worker(bay, by), "authorise")


def _signing(bay: Bay, form: Form, plan: Plan) -> Signing:
    limit, currency, see = _terms(form, plan)
    text = scope_text(plan, limit=limit, currency=currency, see_old_parts=see)
    if form.text("version") != digest_of(text):
        form.wrong.append(("the text", "is not the one that was read; read it again and sign"))
    return Signing(
        who=known(bay, form, someone(form, "owner"), "who signs", needed=True),
        channel=form.one_of("channel", "by which channel", CHANNELS, needed=True),
        at=form.time("at", "when", now=bay.clock()),
        limit=limit,
        currency=currency,
        see_old_parts=see,
        typed=form.text("typed", "name typed as signature", needed=True, most=100),
        drawn=_drawn(form),
    )


def _drawn(form: Form) -> str:
    """The drawn signature: lines within the pad, and nothing else."""
    drawn = form.text("drawn", "drawn signature", most=MOST_DRAWN)
    if drawn and not _LINES.fullmatch(drawn):
        form.wrong.append(("drawn signature", "holds something else than lines; draw it again"))
        return ""
    return drawn


ROUTES = (
    Route("/jobs/{job}/intake", intake_page),
    Route("/jobs/{job}/intake", intake_said, methods=["POST"]),
    Route("/jobs/{job}/keys", keys_returned, methods=["POST"]),
    Route("/jobs/{job}/waive", waived, methods=["POST"]),
    Route("/jobs/{job}/shelf", shelf_page),
    Route("/jobs/{job}/shelf", shelved, methods=["POST"]),
    Route("/jobs/{job}/compare", compared, methods=["POST"]),
    Route("/jobs/{job}/authorise", authorise_page),
    Route("/jobs/{job}/authorise", authorised, methods=["POST"]),
)
