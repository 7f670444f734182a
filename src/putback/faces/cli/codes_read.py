"""`putback codes read`: every module is found and read over the bus, and the list is saved."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import click

from putback.core.codes.lists.listing import Stage
from putback.core.codes.talk.car_read import CarRead, Pair, unasked
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
from putback.faces.cli.show import (
    DONE,
    FAULTS,
    IMPOSSIBLE,
    INTERRUPTED,
    UNREADABLE,
    finding_json,
    print_findings,
    print_json,
)

NOBODY: Final = (
    "no module answered, and nothing is saved",
    "see that the ignition is on, the plug is home, channel and bitrate are right: docs/codes-bus.md",
)
_SWEEPS: Final = ("11", "29", "both")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAsked:
    """What is to be read, besides the bus."""

    out: Path
    stage: str
    like: Path | None
    sweep: str | None
    stationary: bool
    at_once: int
    since: str
    force: bool
    car: Path | None
    job: str | None
    store: str | None
    files: Path | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which modules are to be asked, and under which names; none named: they are to be found first.

    `unasked` are ids under which others answer that cannot be asked.
    """

    allowed: MaySend
    pairs: tuple[Pair, ...] = ()
    names: Mapping[Pair, str] | None = None
    slow: tuple[Pair, ...] = ()
    unasked: tuple[str, ...] = ()


@click.command("read")
@click.argument("out", type=click.Path(path_type=Path))
@click.option("--stage", type=click.Choice([str(stage) for stage in Stage]), required=True, help="When this read is.")
@bus_options
@click.option("--like", type=click.Path(path_type=Path), help="Ask the modules of this list, under the same names.")
@click.option("--sweep", type=click.Choice(_SWEEPS), help="Also try every id, of 11 or 29 bits. Needs --stationary.")
@click.option("--stationary", is_flag=True, help="I say: the vehicle stands still, and stays so.")
@click.option("--at-once", type=click.IntRange(1, 16), default=4, show_default=True, help="Requests open at a time.")
@click.option("--since", default="", help="What was done since the read before, such as '12 V was off'.")
@click.option("--force", is_flag=True, help="Write over OUT where it is there already.")
@click.option("--car", type=click.Path(path_type=Path), help="The car file, for --job or --virtual-car.")
@click.option("--job", help="A JSON file of operations, or a job of --store: what is open decides what may be sent.")
@click.option("--store", help="A store of records, in which --job is; the list is attached to it.")
@click.option("--files", type=click.Path(path_type=Path), help="Where plans are kept. [default: beside the store]")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def read_command(*, as_json: bool, **given: Any) -> int:
    """Read the codes of every module into OUT, a code list. Nothing is cleared, written or moved. A module that is
    silent, refuses, or is heard and cannot be asked is unknown, never good. Ctrl-C keeps what has come. The exit code
    is 1 where a module is unknown or its list was cut off.
    """
    bus_asked = BusAsked(car=given["car"], **{name: given.pop(name) for name in BUS_NAMES})
    asked = ReadAsked(**given)
    wanted = _wanted(asked)
    if isinstance(wanted, tuple):
        return refuse(wanted, as_json=as_json)
    with opened(bus_asked) as bus:
        if isinstance(bus, tuple):
            return refuse(bus, as_json=as_json, code=not_opened(bus))
        click.echo(CAUTION, err=True)
        read = _read(bus, asked, wanted)
    if not read.modules and not read.unasked:
        return _nobody(read, as_json=as_json)
    return _keep(read, asked, as_json=as_json)


BUS_NAMES: Final = ("interface", "channel", "bitrate", "bus_option", "timing", "virtual_car", "frames")


# before anything is sent


def _wanted(asked: ReadAsked) -> Wanted | tuple[Finding, ...]:
    from putback.adapters.code_list_writer import may_write  # noqa: PLC0415 - loaded when a read is made

    wrong = [] if (blocked := may_write(asked.out, force=asked.force)) is None else [blocked]
    standing = standing_job(car=asked.car, job=asked.job, store=asked.store, files=asked.files)
    if isinstance(standing, tuple):
        return (*wrong, *standing)
    allowed = may_send(standing.car, standing.state, stands_still=asked.stationary, doubt=standing.doubt)
    if asked.sweep is not None and not allowed.sweep.yes:
        mend = "look that the vehicle stands still and say so with --stationary; close what is open first"
        wrong.append(call_wrong("--sweep", f"a sweep is not made: {allowed.sweep.why}", mend))
    if asked.sweep is not None and asked.like is not None:
        wrong.append(call_wrong("--sweep", "with --like no module is looked for", "give one of them"))
    like = _like(asked.like, allowed)
    if isinstance(like, tuple):
        wrong += like
    return tuple(wrong) if wrong or isinstance(like, tuple) else like


def _like(path: Path | None, allowed: MaySend) -> Wanted | tuple[Finding, ...]:
    if path is None:
        return Wanted(allowed=allowed)
    read = read_saved(path)
    if isinstance(read, tuple):
        return read
    names = {one.pair: one.module for one in read.modules}
    slowest = sorted(read.modules, key=lambda one: -one.took_s)
    return Wanted(
        allowed=allowed,
        pairs=tuple(names),
        names=names,
        slow=tuple(one.pair for one in slowest),
        unasked=read.unasked,
    )


def read_saved(path: Path) -> CarRead | tuple[Finding, ...]:
    """A list that was saved by a read; one without ids cannot be asked again."""
    from putback.adapters.code_lists import read_code_list  # noqa: PLC0415 - loaded when a list is named

    found = read_code_list(path)
    if found.listing is None:
        return found.findings
    if found.read is None:
        mend = "take a list that putback codes read wrote, or add lines such as # module engine: 7E0/7E8"
        return (call_wrong(str(path), "the list does not say by which ids its modules are spoken to", mend),)
    return found.read


# the read


def _read(bus: OpenedBus, asked: ReadAsked, wanted: Wanted) -> CarRead:
    line = StepLine()
    try:
        with stoppable() as stop:
            found, notes = (wanted, ()) if wanted.pairs else _found(bus, asked, wanted, stop, line)
            read = read_bus(bus, found, asked.stage, at_once=asked.at_once, since=asked.since, stop=stop, line=line)
            return replace(read, notes=(*notes, *read.notes), unasked=found.unasked)
    finally:
        line.end()


def _found(
    bus: OpenedBus, asked: ReadAsked, wanted: Wanted, stop: Callable[[], bool], line: StepLine
) -> tuple[Wanted, tuple[str, ...]]:
    """The modules that answer, the slowest first."""
    from putback.adapters.bus import discover as finding  # noqa: PLC0415 - loaded where modules are looked for

    ids = {None: (), "11": finding.SWEPT_11, "29": finding.SWEPT_29, "both": (*finding.SWEPT_11, *finding.SWEPT_29)}
    sweep = finding.Sweep(stands_still=asked.stationary, ids=ids[asked.sweep]) if asked.sweep else None
    found = finding.discover(bus.bus, sweep=sweep, timing=bus.timing, on_progress=line, stop=stop, log=bus.log)
    slowest = sorted(found.modules, key=lambda one: -one.answered_in_s)
    pairs = tuple(one.pair for one in found.modules)
    asked_for = Wanted(
        allowed=wanted.allowed,
        pairs=pairs,
        slow=tuple(one.pair for one in slowest),
        unasked=unasked(found.not_paired),
    )
    return asked_for, found.notes


def read_bus(
    bus: OpenedBus,
    wanted: Wanted,
    stage: str,
    *,
    at_once: int = 4,
    since: str = "",
    stop: Callable[[], bool],
    line: StepLine,
) -> CarRead:
    """Read these modules, with a line of progress."""
    from putback.adapters.bus.reading import ReadStep, read_car  # noqa: PLC0415 - loaded when a read is made

    def tell(step: ReadStep) -> None:
        line(f"{step.done} of {step.total} modules read; {step.module}: {step.what}")

    return read_car(
        bus.bus,
        wanted.pairs,
        stage=stage,
        at=datetime.datetime.now().astimezone().isoformat(timespec="seconds"),  # noqa: TID251 - faces read the clock
        allowed=wanted.allowed,
        bus_name=bus.name,
        names=wanted.names,
        first=wanted.slow,
        since=since,
        timing=bus.timing,
        at_once=at_once,
        on_progress=tell,
        stop=stop,
        log=bus.log,
    )


# what comes of it


def _nobody(read: CarRead, *, as_json: bool) -> int:
    if read.stopped:
        click.echo("stopped before any module answered; nothing is saved", err=True)
        return INTERRUPTED
    what, mend = NOBODY
    because = "".join(f" ({note})" for note in read.notes)
    return refuse((call_wrong("read", f"{what}{because}", mend),), as_json=as_json, code=IMPOSSIBLE)


def _keep(read: CarRead, asked: ReadAsked, *, as_json: bool) -> int:
    """Save the list, say what is in it, and how whole it is."""
    from putback.adapters.code_list_writer import list_text, write_list  # noqa: PLC0415 - loaded when a read is made
    from putback.faces.cli.codes_read_text import print_read, read_json  # noqa: PLC0415 - the same

    text = list_text(read)
    not_saved = write_list(asked.out, text, force=asked.force)
    if not_saved is not None:
        print_findings((not_saved,), err=True)
        click.echo(text)  # so that nothing that was read is lost
        return UNREADABLE
    wrong = _attach(asked)
    if as_json:
        found = [finding_json(finding) for finding in wrong]
        print_json({"file": str(asked.out)} | read_json(read) | {"findings": found})
    else:
        print_read(read, str(asked.out), swept=asked.sweep is not None, like=asked.like is not None)
        if asked.store is not None and not wrong:
            click.echo(f"Attached to the job {asked.job}.")
    print_findings(wrong, err=True)
    return UNREADABLE if wrong else _code(read)


def _attach(asked: ReadAsked) -> tuple[Finding, ...]:
    """Attach the saved list to the job, where there is one; what stands in the way."""
    if asked.store is None or asked.job is None:
        return ()
    from putback.faces.cli.codes_compare import attach_file  # noqa: PLC0415 - it imports this module

    found = attach_file(asked.out, store=asked.store, job=asked.job, files=asked.files, stage=asked.stage)
    return found if isinstance(found, tuple) else ()


def _code(read: CarRead) -> int:
    if read.stopped:
        return INTERRUPTED
    return FAULTS if read.unknown else DONE


def refuse(findings: Sequence[Finding], *, as_json: bool, code: int = UNREADABLE) -> int:
    """Say what is wrong, and with which code it ends."""
    if as_json:
        print_json({"findings": [finding_json(finding) for finding in findings]})
    print_findings(findings, err=True)
    return code
