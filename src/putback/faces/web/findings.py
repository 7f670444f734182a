"""One idea: a finding goes to the owner in two taps, and its answer comes back by name, time, channel and amount."""

import re
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from putback.bay.findings import FindingLine, Findings, findings_of, money
from putback.bay.intake import intake_of
from putback.bay.owner import CHANNELS, Extra, Fact, added, answered, free, names, seen, worker
from putback.faces.web.form import Form, read_form
from putback.faces.web.guard import refuse
from putback.faces.web.intake import Job, entries_of, job_of, kept, known, shown, someone
from putback.faces.web.setting import bay_of

PART_ROWS = (1, 2, 3)
"""How many parts one form takes."""


def findings_page(request: Request) -> Response:
    """What was found and what may turn up, with prices, messages and answers."""
    job = job_of(request)
    return job if isinstance(job, Response) else _findings(request, job)


def _found(request: Request, job: Job) -> Findings:
    bay = bay_of(request)
    return findings_of(job[1], entries_of(job[0]), at=bay.clock(), people=bay.names())


def _findings(request: Request, job: Job, form: Form | None = None) -> Response:
    plan, people = job[1], names(bay_of(request))
    deciders = _deciders(request, job)
    return shown(
        "findings",
        request,
        job,
        form,
        found=_found(request, job),
        items={id: item.name for id, item in sorted(plan.car.items.items(), key=lambda pair: pair[1].name)},
        may_decide={id: people[id][0] if id in people else id for id in deciders},
        reach=_number(request, deciders),
    )


def _number(request: Request, deciders: tuple[str, ...]) -> str:
    """The telephone number of the first who may decide, where one is kept: digits alone."""
    for id in deciders:
        person = bay_of(request).store.person(id)
        number = str(((person.data if person else None) or {}).get("phone") or "")
        if re.fullmatch(r"\+?[0-9 ()/-]{3,30}", number, re.ASCII):
            return re.sub(r"[^+0-9]", "", number)
    return ""


def _deciders(request: Request, job: Job) -> tuple[str, ...]:
    return intake_of(job[1], entries_of(job[0]), at=bay_of(request).clock()).deciders


def found(request: Request) -> Response:
    """Keep a finding of the car file, a free one, or work that nobody signed for; the form says which."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    which = form.one_of("form", "form", ("known", "free", "extra"), needed=True)
    who = known(bay, form, someone(form, "by"), "who logs this")
    entries = entries_of(job[0])
    if which == "known":
        id, note = form.text("finding"), form.text("note", "what you see", most=300)
        if id not in job[1].car.findings:
            form.wrong.append(("finding", "is not in the car file; write it down as something else"))
        if form.wrong:
            return _findings(request, job, form)
        fact = seen(bay, job[1], entries, id, note)
    else:
        extra = _extra(form, job)
        if form.wrong:
            return _findings(request, job, form)
        fact = (free if which == "free" else added)(bay, job[1], entries, extra)
    id = str(fact[1].get("finding") or fact[1].get("extra"))
    return kept(request, job[0], [fact], worker(bay, who), f"findings#{id}")


def _extra(form: Form, job: Job) -> Extra:
    says = form.text("says", "what it is", needed=True, most=500)
    item = form.one_of("item", "item", job[1].car.items.keys())
    minutes = form.number("minutes", "minutes of work") or 0.0
    parts = []
    for n in PART_ROWS:
        name, price = form.text(f"part{n}", f"part {n}", most=100), form.money(f"price{n}", f"price {n}")
        if bool(name) != bool(price):
            form.wrong.append((f"part {n}", "needs its name and its price"))
        elif name:
            parts.append((name, float(price)))
    return Extra(says=says, items=(item,) if item else (), minutes=minutes, parts=tuple(parts))


def answer(request: Request) -> Response:
    """Keep what the owner, or who may decide, said."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    form, bay = read_form(request.state.body), bay_of(request)
    line = _line_of(_found(request, job), form.text("finding"))
    said = form.one_of("answer", "the answer", ("yes", "no"), needed=True)
    who = form.one_of("who", "who answered", _deciders(request, job), needed=True)
    channel = form.one_of("channel", "by which channel", CHANNELS, needed=True)
    at, amount = form.time("at", "when", now=bay.clock()), form.money("amount", "new total agreed")
    by = known(bay, form, someone(form, "by"), "who logs this")
    if line is None:
        form.wrong.append(("finding", "is not in this record; keep the finding first"))
    elif said == "yes":
        _check_yes(form, line, amount)
    if form.wrong or line is None:
        return _findings(request, job, form)
    currency = str(line.seen.body.get("currency") or "")
    fact = answered(line.matter.id, who, at=at, channel=channel, yes=said == "yes", amount=amount, currency=currency)
    facts: list[Fact] = [fact]
    return kept(request, job[0], facts, worker(bay, by), f"findings#{line.matter.id}")


def _check_yes(form: Form, line: FindingLine, amount: str) -> None:
    """Say at once what the gate would say later: a yes is for the sum that was asked."""
    asked = line.asked or money(line.revision.after)
    if not line.matter.open_ended and (not amount or float(amount) < float(asked)):
        what = f"is below the {asked} that was asked; a yes to less does not open the work"
        form.wrong.append(("new total agreed", what))


def _line_of(found: Findings, id: str) -> FindingLine | None:
    return next((line for line in found.seen if line.matter.id == id), None)


def message(request: Request) -> Response:
    """The message to the owner of one finding, with its amounts, as JSON."""
    job = job_of(request)
    if isinstance(job, Response):
        return job
    id = request.path_params["finding"]
    found = _found(request, job)
    line = _line_of(found, id)
    if line is None:
        return refuse(request.scope, 404, "names a finding that is not in this record", "log the finding first")
    told: dict[str, Any] = {
        "finding": id,
        "message": line.message,
        "before": money(line.revision.before),
        "adds": money(line.revision.adds),
        "after": line.asked or money(line.revision.after),
        "currency": found.currency,
        "minutes": line.matter.minutes,
        "open": line.open,
        "answer": line.says,
        "why": line.why,
    }
    return JSONResponse(told)


ROUTES = (
    Route("/jobs/{job}/findings", findings_page),
    Route("/jobs/{job}/findings", found, methods=["POST"]),
    Route("/jobs/{job}/findings/answer", answer, methods=["POST"]),
    Route("/api/jobs/{job}/findings/{finding}/message", message),
)
