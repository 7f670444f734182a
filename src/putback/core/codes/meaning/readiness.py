"""One idea: a monitor that the vehicle does not have is not waiting for anything, whatever its bit says.

PID 01 speaks of the time since the codes were cleared, PID 41 of this driving cycle. Not ready is not faulty, and
ready is not free of faults. Source: SAE J1979 / ISO 15031-5 PIDs 01 and 41, names in our words; rows in
tests/core/codes/test_readiness.py.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from putback.core.codes.meaning.wrong import Wrong

LENGTH = 4
CONTINUOUS = ("misfire", "fuel system", "components")
"""Bits 0 to 2 of the second byte; each with its not-complete bit four higher."""

SPARK: Mapping[int, str] = {
    0: "catalyst",
    1: "heated catalyst",
    2: "evaporative system",
    3: "secondary air",
    4: "air conditioning refrigerant",
    5: "oxygen sensor",
    6: "oxygen sensor heater",
    7: "exhaust gas recirculation or valve timing",
}
COMPRESSION: Mapping[int, str] = {
    0: "hydrocarbon catalyst",
    1: "nitrogen oxide aftertreatment",
    3: "boost pressure",
    5: "exhaust gas sensor",
    6: "particle filter",
    7: "exhaust gas recirculation or valve timing",
}


class Ignition(StrEnum):
    """How the engine lights its fuel; it says which monitors the third and fourth byte mean."""

    SPARK = "spark"
    COMPRESSION = "compression"


class Since(StrEnum):
    """What the answer speaks of."""

    CLEAR = "since the codes were cleared"
    START = "in this driving cycle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Monitor:
    """One self-test of the vehicle. `complete` is None where the vehicle does not have it: the bit means nothing."""

    name: str
    supported: bool
    complete: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """What PID 01 or 41 says. `lamp` and `codes` are None for PID 41, which does not carry them."""

    since: Since
    lamp: bool | None
    codes: int | None
    ignition: Ignition
    monitors: tuple[Monitor, ...]
    wrong: tuple[Wrong, ...] = ()

    @property
    def supported(self) -> tuple[Monitor, ...]:
        """The monitors that the vehicle has."""
        return tuple(monitor for monitor in self.monitors if monitor.supported)

    @property
    def complete(self) -> tuple[Monitor, ...]:
        """Those of them that have run to their end."""
        return tuple(monitor for monitor in self.monitors if monitor.complete)

    @property
    def waiting(self) -> tuple[Monitor, ...]:
        """Those of them that have not."""
        return tuple(monitor for monitor in self.monitors if monitor.complete is False)

    def __str__(self) -> str:
        """How many are done, and which are not.

        >>> print(read_readiness(bytes.fromhex("00790303")))
        3 supported, 0 complete; not yet: misfire, hydrocarbon catalyst, nitrogen oxide aftertreatment
        """
        said = f"{len(self.supported)} supported, {len(self.complete)} complete"
        waiting = ", ".join(monitor.name for monitor in self.waiting)
        return said + (f"; not yet: {waiting}" if waiting else "")


def read_readiness(data: bytes, *, since: Since = Since.CLEAR) -> Readiness | Wrong:
    """What the four bytes of PID 01 or PID 41 say.

    >>> read_readiness(bytes.fromhex("8307FF00")).codes
    3
    """
    if len(data) != LENGTH:
        return Wrong(what=f"readiness is {LENGTH} bytes, not {len(data)}", mend="read the module again")
    ignition = Ignition.COMPRESSION if data[1] >> 3 & 1 else Ignition.SPARK
    cleared = since is Since.CLEAR
    return Readiness(
        since=since,
        lamp=bool(data[0] >> 7) if cleared else None,
        codes=data[0] & 0x7F if cleared else None,
        ignition=ignition,
        monitors=tuple(_monitors(data, SPARK if ignition is Ignition.SPARK else COMPRESSION)),
        wrong=tuple(_strange(data, ignition, since)),
    )


def _monitors(data: bytes, names: Mapping[int, str]) -> Iterator[Monitor]:
    for bit, name in enumerate(CONTINUOUS):
        yield _monitor(name, data[1] >> bit & 1, data[1] >> bit + 4 & 1)
    for bit, name in names.items():
        yield _monitor(name, data[2] >> bit & 1, data[3] >> bit & 1)


def _monitor(name: str, has: int, waits: int) -> Monitor:
    return Monitor(name=name, supported=bool(has), complete=not waits if has else None)


def _strange(data: bytes, ignition: Ignition, since: Since) -> Iterator[Wrong]:
    """Bits set where the standard has none: said, as a monitor may hide behind them."""
    mend = "keep the bytes; ask the maker what the bit means"
    if since is Since.START and data[0]:
        yield Wrong(what=f"the first byte of PID 41 is {data[0]:02X}, it is to be 00", mend=mend)
    if data[1] >> 7:
        yield Wrong(what="bit 7 of the second byte is set, it has no meaning", mend=mend)
    names = SPARK if ignition is Ignition.SPARK else COMPRESSION
    for bit in range(8):
        if data[2] >> bit & 1 and bit not in names:
            yield Wrong(what=f"bit {bit} of the third byte names a monitor that is not known", mend=mend)
