"""`putback codes watch` and `putback codes drive`: a drive logged, and two drives held against one another."""

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from putback.core.codes.lists.listing import Stage
from putback.core.codes.meaning.wrong import Wrong
from putback.core.codes.talk.car_read import Pair, read_pair
from putback.core.finding import Finding
from putback.faces.cli.codes_bus import (
    BusAsked,
    OpenedBus,
    StepLine,
    bus_options,
    call_wrong,
    not_opened,
    opened,
    stoppable,
)
from putback.faces.cli.codes_read import BUS_NAMES, NOBODY
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
from putback.faces.drive_words import (
    CAUTION,
    HEADS,
    METHOD,
    NARROW,
    drive_json,
    left_out,
    narrow_words,
    out_of_order,
    row_words,
    stage_words,
    title_of,
    two_drives_json,
)

if TYPE_CHECKING:
    from rich.table import Table

    from putback.adapters.bus.watch import Watched, Wish
    from putback.adapters.drive_log import DriveLog
    from putback.core.codes.drive.against import Compared, TwoDrives
    from putback.core.codes.drive.bins import Settings
    from putback.core.codes.drive.log import Drive, Record

_WIDE: Final = 112
"""So many columns the whole table takes."""


@click.command("watch")
@click.argument("log", type=click.Path(path_type=Path))
@bus_options
@click.option("--pid", "pids", multiple=True, metavar="HH", help="A PID to log, two hex digits; may be repeated.")
@click.option("--seconds", type=click.FloatRange(min=0, min_open=True), help="How long; without it until Ctrl-C.")
@click.option("--every", "every_s", type=click.FloatRange(min=0), default=0.1, show_default=True, help="A round [s].")
@click.option(
    "--misfires",
    "misfires_s",
    type=click.FloatRange(min=1),
    default=10.0,
    show_default=True,
    help="So often the misfire counts are read [s].",
)
@click.option("--module", default="7E0/7E8", show_default=True, help="Which module is asked.")
@click.option("--stage", type=click.Choice([str(stage) for stage in Stage]), help="When this drive is.")
@click.option("--json", "as_json", is_flag=True, help="Print what was logged as JSON at the end.")
def watch_command(*, as_json: bool, **given: Any) -> int:
    """Log live values into LOG while the vehicle is driven: time, PID, value, unit, and a line without a value where
    none came. Only services 01 and 06 are sent. Ctrl-C ends it, and the log stays.
    """
    bus_asked = BusAsked(car=None, **{name: given.pop(name) for name in BUS_NAMES})
    wish, pair, wrong = _wish(given)
    if wrong or pair is None:
        return _refused(wrong, as_json=as_json)
    with opened(bus_asked) as bus:
        if isinstance(bus, tuple):
            return _refused(bus, as_json=as_json, code=not_opened(bus))
        log = _begun(given["log"], bus, pair, given["stage"])
        if isinstance(log, Finding):
            return _refused((log,), as_json=as_json)
        click.echo(CAUTION, err=True)
        try:
            watched = _watched(bus, wish, log, pair)
            log.say("ended", watched.failed or ("stopped" if watched.stopped else "at its time"))
        finally:
            log.close()
    if not log.count:
        given["log"].unlink(missing_ok=True)
        what = "nothing was logged, and no file is kept"
        why = call_wrong("watch", f"{what}: {watched.failed or 'stopped before a value came'}", NOBODY[1])
        return _refused((why,), as_json=as_json, code=INTERRUPTED if watched.stopped else IMPOSSIBLE)
    return _told(given["log"], watched, as_json=as_json)


def _wish(given: dict[str, Any]) -> "tuple[Wish, Pair | None, tuple[Finding, ...]]":
    from putback.adapters.bus.watch import Wish  # noqa: PLC0415 - loaded when a drive is logged

    pids = [_pid(text) for text in given["pids"]]
    pair = read_pair(given["module"])
    wrong = [one for one in pids if isinstance(one, Finding)]
    if isinstance(pair, Wrong):
        wrong.append(call_wrong("--module", pair.what, pair.mend))
    wish = Wish(
        pids=tuple(one for one in pids if not isinstance(one, Finding)),
        seconds=given["seconds"],
        every_s=given["every_s"],
        misfires_every_s=given["misfires_s"],
    )
    return wish, pair if isinstance(pair, Pair) else None, tuple(wrong)


def _pid(text: str) -> int | Finding:
    from putback.core.codes.drive.log import channels_of  # noqa: PLC0415 - the same

    try:
        pid = int(text, 16)
    except ValueError:
        pid = -1
    if not 0 < pid <= 0xFF:
        return call_wrong("--pid", f"{text!r:.20} is no PID", "write two hex digits, such as 0C")
    if not channels_of(pid):
        return call_wrong("--pid", f"PID {pid:02X} is not known here as a figure", "log PIDs that are figures")
    return pid


def _begun(path: Path, bus: OpenedBus, pair: Pair, stage: str | None) -> "DriveLog | Finding":
    from putback.adapters.drive_log import begin_drive_log  # noqa: PLC0415 - the same

    begun = datetime.datetime.now().astimezone().isoformat(timespec="seconds")  # noqa: TID251 - faces read the clock
    return begin_drive_log(path, {"begun": begun, "stage": stage or "", "bus": bus.name, "module": str(pair)})


def _watched(bus: OpenedBus, wish: "Wish", log: "DriveLog", pair: Pair) -> "Watched":
    from putback.adapters.bus.watch import watch  # noqa: PLC0415 - the same

    line = StepLine()
    try:
        with stoppable() as stop:
            return watch(bus.bus, wish, _telling(log, line), pair=pair, timing=bus.timing, stop=stop, log=bus.log)
    finally:
        line.end()


def _telling(log: "DriveLog", line: StepLine) -> "Callable[[Record], None]":
    """Keep each record, and say on one line how the log grows; no values, since the driver may see it."""
    lost = 0

    def keep(record: "Record") -> None:
        nonlocal lost
        log(record)
        lost += record.value is None and not record.not_run
        line(f"{record.at_s:6.1f} s, {log.count} lines, {lost} dropped out; Ctrl-C ends the log and keeps it")

    return keep


def _told(path: Path, watched: "Watched", *, as_json: bool) -> int:
    """Say what was logged, and how well."""
    from putback.adapters.drive_log import read_drive_log  # noqa: PLC0415 - the same

    read = read_drive_log(path)
    notes = [
        *(f"PID {pid:02X} is not supported by this module" for pid in watched.not_supported),
        *([watched.failed] if watched.failed else []),
    ]
    if as_json:
        said = drive_json(read.drive) if read.drive is not None else {}
        print_json(said | {"rounds": watched.rounds, "stopped": watched.stopped, "notes": notes})
    else:
        if read.drive is not None:
            print_rates(read.drive)
        for note in notes:
            click.echo(f"note: {note}", err=True)
        click.echo(f"the log is {path}")
    if watched.stopped:
        return INTERRUPTED
    return FAULTS if watched.failed else DONE


def print_rates(drive: "Drive") -> None:
    """How each channel was logged."""
    from rich.table import Table  # noqa: PLC0415 - only where text is asked for

    from putback.core.codes.drive.log import rate  # noqa: PLC0415 - the same
    from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

    table = Table(box=None, pad_edge=False, title=f"{drive.long_s:.0f} s logged", title_justify="left")
    table.add_column("channel", ratio=1)
    for head in ("values", "dropped out", "every", "longest gap"):
        table.add_column(head, justify="right")
    for channel in (one for one in drive.channels if one.live):
        found = rate(drive.series[channel.key])
        steps = ("-" if one is None else f"{one:.2f} s" for one in (found.step_s, found.longest_s))
        table.add_row(f"{channel.key} {channel.name}", str(found.values), str(found.drop_outs), *steps)
    console().print(table)


# two drives


@click.command("drive")
@click.argument("before", type=click.Path(path_type=Path))
@click.argument("after", type=click.Path(path_type=Path))
@click.option("--setting", multiple=True, metavar="NAME=VALUE", help="Change a width or a limit: docs/codes-drive.md.")
@click.option("--html", type=click.Path(path_type=Path), help="Write the pictures and tables as one page.")
@click.option("--svg", type=click.Path(path_type=Path), help="Write the pictures as one SVG.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def drive_command(
    before: Path, after: Path, setting: tuple[str, ...], html: Path | None, svg: Path | None, *, as_json: bool
) -> int:
    """Hold the drive logged BEFORE the work against the one AFTER it, only where both did the same: load, speed and
    coolant temperature alike. What differs is said with its interval, or that there is too little to say. Nothing is
    called good or bad.
    """
    from putback.adapters.drive_log import read_drive_log  # noqa: PLC0415 - loaded when drives are compared
    from putback.core.codes.drive.against import hold_against  # noqa: PLC0415 - the same

    reads = [read_drive_log(path) for path in (before, after)]
    settings = _settings(setting)
    wrong = [one for read in reads if read.drive is None for one in read.findings]
    wrong += settings if isinstance(settings, tuple) else ()
    if wrong or isinstance(settings, tuple) or reads[0].drive is None or reads[1].drive is None:
        return _refused(wrong, as_json=as_json)
    found = hold_against(reads[0].drive, reads[1].drive, settings)
    print_findings([one for read in reads for one in read.findings], err=True)
    not_written = _written(found, html, svg)
    if as_json:
        print_json(two_drives_json(found))
    else:
        print_two_drives(found)
    if not_written:
        print_findings(not_written, err=True)
        return UNREADABLE
    if found.missing:
        click.echo(f"{found.missing}; log PIDs 04, 05 and 0D in both drives", err=True)
        return IMPOSSIBLE
    return DONE


def _settings(given: Sequence[str]) -> "Settings | tuple[Finding, ...]":
    from putback.core.codes.drive.bins import Settings  # noqa: PLC0415 - loaded when drives are compared

    settings, wrong = Settings(), []
    for one in given:
        name, sign, value = one.partition("=")
        try:
            if not sign:
                raise ValueError(f"{one!r} is no NAME=VALUE")
            settings = settings.changed(name.strip(), float(value))
        except ValueError as failure:
            wrong.append(call_wrong("--setting", str(failure), "write such as --setting load_percent=20"))
    return tuple(wrong) if wrong else settings


def _written(found: "TwoDrives", html: Path | None, svg: Path | None) -> list[Finding]:
    """Write what was asked for; what could not be written."""
    from putback.faces.draw.two_drives import two_drives_svg  # noqa: PLC0415 - only where pictures are asked for
    from putback.faces.drive_page import drives_page  # noqa: PLC0415 - the same

    wrong = []
    for path, made in ((html, drives_page), (svg, two_drives_svg)):
        if path is None:
            continue
        try:
            path.write_text(made(found), encoding="utf-8")
        except OSError as failure:
            what = f"{path} cannot be written ({failure.strerror})"
            wrong.append(call_wrong("--html" if path is html else "--svg", what, "name another place"))
    return wrong


def print_two_drives(found: "TwoDrives") -> None:
    """What differs, channel by channel."""
    from putback.faces.cli.plan_text import console  # noqa: PLC0415 - only where text is asked for

    out = console()
    for which, drive in (("before", found.before), ("after", found.after)):
        out.print(f"{which}: {drive.name} ({stage_words(drive)}), {drive.long_s:.0f} s")
    if wrong := out_of_order(found):
        click.echo(f"note: {wrong}", err=True)
    wide = out.width >= _WIDE
    for compared in found.channels:
        out.print()
        out.print(_table(compared, found, wide=wide))
        if not compared.rows:
            out.print("  the two drives were in no bin together: nothing can be said")
        if words := left_out(compared):
            out.print(f"left out: {words}", style="dim")
    _print_misfires(found)
    out.print()
    out.print(METHOD if wide else f"{METHOD} How spreads differ: in a wider window, with --html or --json.")
    if found.by_chance:
        out.print(f"{found.by_chance}.")


def _table(compared: "Compared", found: "TwoDrives", *, wide: bool) -> "Table":
    from rich.table import Table  # noqa: PLC0415 - only where text is asked for

    table = Table(box=None, pad_edge=False, title=title_of(compared), title_justify="left", title_style="bold")
    heads, words = (HEADS, row_words) if wide else (NARROW, narrow_words)
    for head in heads:
        table.add_column(head, justify="left" if head.startswith("difference") else "right")
    for row in compared.rows:
        table.add_row(*words(row, found))
    return table


def _print_misfires(found: "TwoDrives") -> None:
    from rich.table import Table  # noqa: PLC0415 - only where text is asked for

    from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

    if not found.cylinders:
        return
    table = Table(box=None, pad_edge=False, title="misfires", title_justify="left", title_style="bold")
    for head in ("cylinder", "before", "after", "average of ten before", "after"):
        table.add_column(head, justify="right")
    for one in found.cylinders:
        counts = (one.before, one.after, one.average_before, one.average_after)
        table.add_row(str(one.number), *map(str, counts))
    console().print()
    console().print(table)


def _refused(findings: Sequence[Finding], *, as_json: bool, code: int = UNREADABLE) -> int:
    if as_json:
        print_json({"findings": [finding_json(finding) for finding in findings]})
    print_findings(findings, err=True)
    return code
