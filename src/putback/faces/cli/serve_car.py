"""One idea: a server is told, when it is begun, over which bus it speaks to the car; else it speaks to none."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putback.core.finding import Finding, Where

if TYPE_CHECKING:
    from putback.bay.car_reader import CarReader

VIRTUAL: Final = "virtual car (simulated)"

_WHERE: Final = re.compile(r"([a-z0-9_]+)(?::([^@]*))?(?:@([0-9]{1,8}))?", re.ASCII)


@contextmanager
def car_side(can: str | None, car_file: Path | None, *, virtual: bool) -> "Iterator[CarReader | Finding | None]":
    """The one that speaks to the car while the server runs; None: no bus is named.

    Args:
        can: INTERFACE:CHANNEL[@BITRATE].
        car_file: of the virtual car; None: the demo's.
        virtual: whether a virtual car is wanted.
    """
    if virtual and can is not None:
        yield _wrong("--virtual-car", "a bus is named as well", "name a bus, or take the virtual car")
    elif virtual:
        with _virtual_side(car_file) as found:
            yield found
    else:
        yield None if can is None else _real_side(can)


@contextmanager
def _virtual_side(car_file: Path | None) -> "Iterator[CarReader | Finding]":
    from putback.adapters.virtual_car import NotTakenError, started  # noqa: PLC0415 - loaded when it is used
    from putback.bay.car_reader import CarBus, CarReader  # noqa: PLC0415 - the same

    try:
        handle = started(car_file)
    except (NotTakenError, ImportError, OSError) as failure:
        yield _wrong("--virtual-car", f"the virtual car cannot be started ({failure})", "check the car file")
        return
    with handle:
        click.echo("a virtual car is simulated: nothing read here says anything of a vehicle")
        yield CarReader(bus=CarBus(name=VIRTUAL, open=handle.open, virtual=handle))


def _real_side(can: str) -> "CarReader | Finding":
    from putback.adapters.bus.opening import open_bus  # noqa: PLC0415 - loaded when it is used
    from putback.bay.car_reader import CarBus, CarReader  # noqa: PLC0415 - the same

    found = _WHERE.fullmatch(can)
    if found is None:
        return _wrong(
            "--can", f"{can!r:.60} names no bus", "write such as socketcan:can0, or slcan:/dev/ttyACM0@500000"
        )
    interface, channel, bitrate = found[1], found[2] or None, int(found[3]) if found[3] else None
    tried = open_bus(interface, channel, bitrate=bitrate)
    if isinstance(tried, Finding) and tried.where.field == "--interface":
        return tried
    if isinstance(tried, Finding):
        click.echo(f"{tried}; it is tried again at each read", err=True)
    else:
        tried.shutdown()
    return CarReader(bus=CarBus(name=can, open=lambda: open_bus(interface, channel, bitrate=bitrate)))


def _wrong(field: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file="serve", field=field), what=what, mend=mend, rule="call")
