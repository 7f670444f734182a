"""One idea: every command that talks to a car names its bus in the same words, and can be stopped without a loss."""

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from putback.core.finding import Finding, Where
from putback.faces.cli.show import IMPOSSIBLE, UNREADABLE

if TYPE_CHECKING:
    import can

    from putback.adapters.bus.frame_log import FrameLog
    from putback.adapters.bus.timing import Timing

CAUTION: Final = (
    "Ignition on, vehicle secured, nobody working on it: modules wake up and fans may start. "
    "The maker's publication says how it is to be made ready."
)
_EVERY_S: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class BusAsked:
    """Which bus was named on the command line."""

    interface: str | None
    channel: str | None
    bitrate: int | None
    bus_option: tuple[str, ...]
    timing: tuple[str, ...]
    virtual_car: bool
    frames: Path | None
    car: Path | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedBus:
    """An open bus, how it is called, how to wait on it, and where its frames are kept."""

    bus: "can.BusABC"
    name: str
    timing: "Timing"
    log: "FrameLog | None"


def bus_options(function: Any) -> Any:
    """The options that name a bus."""
    path = click.Path(path_type=Path)
    for add in reversed(
        (
            click.option("--interface", help="An interface of python-can, such as socketcan."),
            click.option("--channel", help="Which one of them, such as can0."),
            click.option("--bitrate", type=click.IntRange(min=1), help="[bit/s], where the interface sets it."),
            click.option("--bus-option", multiple=True, metavar="NAME=VALUE", help="What else it asks for."),
            click.option("--timing", multiple=True, metavar="NAME=VALUE", help="Change a wait: docs/codes-bus.md."),
            click.option("--virtual-car", is_flag=True, help="No bus: a simulated car, to try things out."),
            click.option("--frames", type=path, help="Keep every frame in this file, such as read.log or read.asc."),
        )
    ):
        function = add(function)
    return function


@contextmanager
def opened(asked: BusAsked) -> Iterator[OpenedBus | tuple[Finding, ...]]:
    """The bus for as long as the block runs; the findings where it cannot be opened."""
    from putback.adapters.bus.frame_log import open_frame_log  # noqa: PLC0415 - loaded where a bus is wanted

    timing, wrong = _timing(asked.timing)
    with ExitStack() as stack:
        found = _bus(asked, stack)
        log = None if asked.frames is None else open_frame_log(asked.frames)
        wrong += found if isinstance(found, list) else []
        wrong += [log] if isinstance(log, Finding) else []
        if log is not None and not isinstance(log, Finding):
            stack.enter_context(log)
        if wrong or isinstance(found, list) or isinstance(log, Finding):
            yield tuple(wrong)
        else:
            yield OpenedBus(bus=found[0], name=found[1], timing=timing, log=log)


def _bus(asked: BusAsked, stack: ExitStack) -> "tuple[can.BusABC, str] | list[Finding]":
    from putback.adapters.bus.opening import open_bus, read_option  # noqa: PLC0415 - the same

    if asked.virtual_car:
        return _virtual_car(asked, stack)
    if asked.interface is None:
        mend = "give --interface and --channel, such as socketcan and can0, or --virtual-car to try it out"
        return [call_wrong("--interface", "no bus is named", mend)]
    options = [read_option(text) for text in asked.bus_option]
    wrong = [one for one in options if isinstance(one, Finding)]
    if wrong:
        return wrong
    more = dict(one for one in options if not isinstance(one, Finding))
    bus = open_bus(asked.interface, asked.channel, bitrate=asked.bitrate, **more)
    if isinstance(bus, Finding):
        return [bus]
    stack.callback(bus.shutdown)
    return bus, asked.interface if asked.channel is None else f"{asked.interface}:{asked.channel}"


def _virtual_car(asked: BusAsked, stack: ExitStack) -> "tuple[can.BusABC, str] | list[Finding]":
    import can  # noqa: PLC0415 - the same

    from putback.adapters.virtual_car import NotTakenError, started  # noqa: PLC0415 - the same

    if asked.interface or asked.channel:
        return [call_wrong("--virtual-car", "a bus is named as well", "name a bus, or take the virtual car")]
    try:
        handle = stack.enter_context(started(asked.car))
        bus = handle.open()
    except (NotTakenError, can.CanError, ImportError, OSError) as failure:
        return [_no_virtual_car(failure)]
    stack.callback(bus.shutdown)
    return bus, "virtual car (simulated)"


def _no_virtual_car(failure: Exception) -> Finding:
    what = f"the virtual car cannot be started ({failure})"
    mend = "check the car file with putback check, and that this machine lets programs talk over its own network"
    return Finding(where=Where(file="codes", field="--virtual-car"), what=what, mend=mend, rule="bus")


def _timing(given: tuple[str, ...]) -> "tuple[Timing, list[Finding]]":
    from putback.adapters.bus.timing import Timing  # noqa: PLC0415 - the same

    timing = Timing()
    wrong = []
    for one in given:
        name, sign, value = one.partition("=")
        try:
            if not sign:
                raise ValueError(f"{one!r} is no NAME=VALUE")
            timing = timing.changed(name.strip(), float(value))
        except ValueError as failure:
            wrong.append(call_wrong("--timing", str(failure), "write such as --timing p2_s=0.1"))
    return timing, wrong


def call_wrong(field: str, what: str, mend: str) -> Finding:
    """What is wrong with the call."""
    return Finding(where=Where(file="codes", field=field), what=what, mend=mend, rule="call")


def not_opened(findings: tuple[Finding, ...]) -> int:
    """With which code a command ends whose bus did not open: a wrong call, or something that cannot be done."""
    return UNREADABLE if all(finding.rule == "call" for finding in findings) else IMPOSSIBLE


@contextmanager
def stoppable() -> Iterator[Callable[[], bool]]:
    """Whether the person pressed Ctrl-C; a second Ctrl-C ends everything at once."""
    pressed = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield pressed.is_set
        return
    before = signal.getsignal(signal.SIGINT)

    def press(_number: int, _frame: object) -> None:
        pressed.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, press)
    try:
        yield pressed.is_set
    finally:
        signal.signal(signal.SIGINT, before)


class StepLine:
    """One line on standard error that says what is going on; on a terminal it is written over itself."""

    def __init__(self) -> None:
        self._over = sys.stderr.isatty()
        self._last = 0.0
        self._shown = False

    def __call__(self, text: str) -> None:
        """Show a text, not more often than an eye can follow; nothing where nobody sits."""
        now = time.monotonic()
        if not self._over or now - self._last < _EVERY_S:
            return
        self._last, self._shown = now, True
        sys.stderr.write(f"\r\x1b[2K{text[:78]}")
        sys.stderr.flush()

    def end(self) -> None:
        """Leave a clean line behind."""
        if self._shown:
            sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()
