"""`putback codes clear`: codes are cleared by a word that a person types, and only with a saved read of this car."""

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import click

from putback.core.codes.lists.listing import Stage
from putback.core.codes.talk.car_read import CarRead
from putback.core.codes.talk.clearing import WORD, Destroyed, ModuleCleared, against_clearing, destroyed, to_clear
from putback.core.codes.talk.may_send import MaySend, may_send
from putback.core.finding import Finding
from putback.faces.cli.codes_bus import (
    CAUTION,
    BusAsked,
    OpenedBus,
    StepLine,
    bus_options,
    call_wrong,
    not_opened,
    opened,
    stoppable,
)
from putback.faces.cli.codes_job_state import standing_job
from putback.faces.cli.codes_read import BUS_NAMES, Wanted, read_bus, read_saved, refuse
from putback.faces.cli.codes_read_text import code_json
from putback.faces.cli.show import DONE, FAULTS, IMPOSSIBLE, INTERRUPTED, UNREADABLE, print_findings, print_json

AFTER: Final = "Switch off and on as the maker says, then read again: putback codes read … --stage 'after clear'."


@click.command("clear")
@click.option("--before", type=click.Path(path_type=Path), required=True, help="The list saved before the work.")
@bus_options
@click.option("--yes-clear", is_flag=True, help="Do not ask for the word.")
@click.option("--car", type=click.Path(path_type=Path), help="The car file, for --job or --virtual-car.")
@click.option("--job", help="A JSON file of operations, or a job of --store: what is open decides what may be sent.")
@click.option("--store", help="A store of records, in which --job is.")
@click.option("--files", type=click.Path(path_type=Path), help="Where plans are kept. [default: beside the store]")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def clear_command(*, as_json: bool, yes_clear: bool, before: Path, **given: Any) -> int:
    """Clear the codes of the modules of the list BEFORE. It shows first what that destroys, and asks for a word.
    Each module is told once, never again; one that does not answer may or may not have cleared.
    """
    bus_asked = BusAsked(car=given["car"], **{name: given.pop(name) for name in BUS_NAMES})
    plan = _plan(before, given)
    if isinstance(plan, _Refused):
        return refuse(plan.findings, as_json=as_json, code=plan.code)
    with opened(bus_asked) as bus:
        if isinstance(bus, tuple):
            return refuse(bus, as_json=as_json, code=not_opened(bus))
        click.echo(CAUTION, err=True)
        with stoppable() as stop:
            now = _asked_now(bus, plan, stop)
        found = _against(plan, now)
        if found is not None:
            return refuse((found,), as_json=as_json, code=IMPOSSIBLE)
        loss = destroyed(now)
        print_loss(loss, now, err=as_json)
        if not (yes_clear or _agreed()):
            click.echo("nothing was cleared", err=True)
            return INTERRUPTED
        with stoppable() as stop:
            cleared = _clear(bus, plan, now, stop)
    code = _told(cleared, loss, as_json=as_json)
    wrong = _log(cleared, before, given)
    print_findings(wrong, err=True)
    return UNREADABLE if wrong else code


# before anything is sent


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """A saved read that may be cleared by, and what may be sent."""

    saved: CarRead
    allowed: MaySend


@dataclass(frozen=True, slots=True, kw_only=True)
class _Refused:
    """Why not, and with which code it ends."""

    findings: tuple[Finding, ...]
    code: int


def _plan(before: Path, given: Mapping[str, Any]) -> _Plan | _Refused:
    saved = read_saved(before)
    standing = standing_job(**given)
    if isinstance(saved, tuple) or isinstance(standing, tuple):
        wrong = [*(saved if isinstance(saved, tuple) else ()), *(standing if isinstance(standing, tuple) else ())]
        return _Refused(findings=tuple(wrong), code=UNREADABLE)
    loose = _not_attached(before, given)
    if loose:
        return _Refused(findings=loose, code=IMPOSSIBLE)
    allowed = may_send(standing.car, standing.state, before=saved, doubt=standing.doubt)
    if not allowed.clear.yes:
        mend = "close what is open, and give a whole list that was read before the work"
        finding = call_wrong("--before", f"nothing is cleared: {allowed.clear.why}", mend)
        return _Refused(findings=(finding,), code=IMPOSSIBLE)
    return _Plan(saved=saved, allowed=allowed)


def _not_attached(before: Path, given: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Why the clear could not be logged afterwards: it rests on a read that the job's record names."""
    if given["store"] is None:
        return ()
    from putback.bay import code_reads  # noqa: PLC0415 - loaded where a store is named
    from putback.faces.cli.job_here import job_here  # noqa: PLC0415 - the same

    with job_here(given["store"], given["job"], files=given["files"]) as here:
        if isinstance(here, tuple):
            return here
        loose = code_reads.not_attached(here.bay, here.view, _digest(before))
    return () if loose is None else (call_wrong("--before", f"nothing is cleared: {loose.what}", loose.mend),)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _against(plan: _Plan, now: CarRead) -> Finding | None:
    reasons = against_clearing(plan.saved, now)
    if not reasons:
        return None
    mend = "clear only with the list that was read on this car before the work"
    return call_wrong("--before", f"nothing is cleared: {'; '.join(reasons)}", mend)


def _agreed() -> bool:
    said: str = click.prompt(
        f"Type {WORD} to clear, anything else to leave it", default="", show_default=False, err=True
    )
    return said.strip().lower() == WORD


# on the bus


def _asked_now(bus: OpenedBus, plan: _Plan, stop: Callable[[], bool]) -> CarRead:
    """The modules of the saved list, as they answer now."""
    line = StepLine()
    names = {one.pair: one.module for one in plan.saved.modules}
    wanted = Wanted(allowed=plan.allowed, pairs=tuple(names), names=names)
    try:
        return read_bus(bus, wanted, Stage.AFTER_PUT_BACK, stop=stop, line=line)
    finally:
        line.end()


def _clear(bus: OpenedBus, plan: _Plan, now: CarRead, stop: Callable[[], bool]) -> tuple[ModuleCleared, ...]:
    from putback.adapters.bus.clearing import clear_car  # noqa: PLC0415 - loaded when something is cleared

    return clear_car(bus.bus, plan.saved, now, allowed=plan.allowed, timing=bus.timing, stop=stop, log=bus.log)


def _log(cleared: Sequence[ModuleCleared], before: Path, given: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Log the clear in the job's record, where there is one; what stands in the way."""
    if given["store"] is None:
        return ()
    from putback.adapters.stores import StoreFailed  # noqa: PLC0415 - loaded where a store is named
    from putback.bay import code_reads  # noqa: PLC0415 - the same
    from putback.faces.cli.job_here import job_here  # noqa: PLC0415 - the same

    with job_here(given["store"], given["job"], files=given["files"], read_only=False) as here:
        if isinstance(here, tuple):
            return here
        try:
            closed = code_reads.cleared(
                here.bay,
                given["job"],
                before_sha256=_digest(before),
                modules=[one.module for one in cleared if one.cleared],
                not_cleared=[one.module for one in cleared if not one.cleared],
            )
        except (StoreFailed, OSError) as failure:
            return (call_wrong("--store", f"the clear was not logged ({failure})", "log it by hand as a note"),)
    return () if closed is None else (call_wrong("--job", closed.what, closed.mend),)


# what is said


def print_loss(loss: Destroyed, now: CarRead, *, err: bool) -> None:
    """What a clear destroys."""
    click.echo(
        f"A clear of {', '.join(one.module for one in to_clear(now)) or 'no module'} destroys for good:", err=err
    )
    for line in loss.codes:
        click.echo(f"- {line.module} {line.code}, status {line.status}", err=err)
    for words in loss.words:
        click.echo(f"- {words}", err=err)


def _told(cleared: Sequence[ModuleCleared], loss: Destroyed, *, as_json: bool) -> int:
    if as_json:
        print_json(
            {
                "modules": [
                    {"module": one.module, "pair": str(one.pair), "cleared": one.cleared, "said": one.said}
                    for one in cleared
                ],
                "destroyed": {"codes": [code_json(line) for line in loss.codes], "words": list(loss.words)},
            }
        )
    else:
        for one in cleared:
            click.echo(f"{one.module}: {one.said}")
        click.echo(AFTER)
    return DONE if cleared and all(one.cleared for one in cleared) else FAULTS
