"""One idea: the engine answers the services of SAE J1979 from what it holds; each answer is a row of bytes.

Layout of SAE J1979 / ISO 15031-5 over CAN. Written apart from the readers in `core.codes`, so that one can be held
against the other; independent libraries read both (tests/adapters/virtual_car).
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Final

from putback.adapters.virtual_car.drive import Moment
from putback.adapters.virtual_car.modules import VIN
from putback.adapters.virtual_car.scene import State
from putback.core.codes.meaning.bits import SPAN
from putback.core.codes.meaning.code import Code
from putback.core.codes.meaning.status import Bit

SERVICES: Final = frozenset({0x01, 0x03, 0x06, 0x07, 0x09, 0x0A})
NO_SUCH_PART: Final = 0x12
WRONG_FORM: Final = 0x13
MOST_PIDS: Final = 6
_ANSWER: Final = 0x40

_CYLINDERS: Final = 4
_FIRST_CYLINDER: Final = 0xA2
_AVERAGE, _COUNT, _COUNTED = 0x0B, 0x0C, 0x24
_FALSE_AIR_MISFIRES: Final = (3, 7, 4, 2)
_MOST: Final = 0xFFFF

Live = Callable[[State, Moment], bytes]


def _byte(value: float) -> bytes:
    return bytes([min(0xFF, max(0, round(value)))])


def _two(value: float) -> bytes:
    return min(0xFFFF, max(0, round(value))).to_bytes(2, "big")


PIDS: Final[Mapping[int, Live]] = MappingProxyType(
    {
        0x01: lambda state, _: state.monitors,
        0x04: lambda _, now: _byte(now.load_percent * 255 / 100),
        0x05: lambda _, now: _byte(now.coolant_c + 40),
        0x06: lambda _, now: _byte((now.short_trim_percent + 100) * 128 / 100),
        0x07: lambda _, now: _byte((now.long_trim_percent + 100) * 128 / 100),
        0x0C: lambda _, now: _two(now.engine_per_min * 4),
        0x0D: lambda _, now: _byte(now.speed_km_h),
        0x0F: lambda _, now: _byte(now.intake_c + 40),
        0x10: lambda _, now: _two(now.air_g_s * 100),
        0x11: lambda _, now: _byte(now.throttle_percent * 255 / 100),
        0x1C: lambda _state, _now: b"\x06",
        0x1F: lambda _, now: _two(now.run_s),
        0x33: lambda _, now: _byte(now.pressure_kpa),
        0x41: lambda state, _: state.monitors_this_cycle,
        0x42: lambda _, now: _two(now.volts * 1000),
        0x46: lambda _, now: _byte(now.ambient_c + 40),
    }
)
"""What the engine can tell now."""

_CALIBRATION: Final = b"INVENTED-0001".ljust(16, b"\x00")
_CHECK_NUMBER: Final = bytes.fromhex("1A2B3C4D")
_INFORMATION: Final = MappingProxyType(
    {
        0x02: VIN.encode("ascii"),
        0x04: _CALIBRATION,
        0x06: _CHECK_NUMBER,
        0x0A: b"engine".ljust(20, b"\x00"),
    }
)


def answer(request: bytes, state: State, now: Moment) -> bytes | int:
    """The answer to a request of service 01, 03, 06, 07, 09 or 0A; a number is the reason of a refusal."""
    service, rest = request[0], request[1:]
    if service in (0x03, 0x07, 0x0A):
        return _codes(service, state) if not rest else WRONG_FORM
    if not rest or len(rest) > MOST_PIDS:
        return WRONG_FORM
    if service == 0x01:
        return _live(rest, state, now)
    if len(rest) > 1:
        return WRONG_FORM
    return _monitor(rest[0], state) if service == 0x06 else _information(rest[0])


def _codes(service: int, state: State) -> bytes:
    """Stored, pending or permanent codes: a count, then two bytes for each."""
    if service == 0x0A:
        codes = list(state.permanent)
    else:
        bit = Bit.CONFIRMED if service == 0x03 else Bit.PENDING
        codes = [held.code for held in state.held if held.status >> bit & 1]
    pairs = _without_type(codes)
    return bytes([service + _ANSWER, len(pairs)]) + b"".join(pairs)


def _without_type(codes: Iterable[Code]) -> list[bytes]:
    """The first two bytes of each code, once."""
    return list(dict.fromkeys(code.number.to_bytes(2, "big") for code in codes))


def _live(pids: bytes, state: State, now: Moment) -> bytes | int:
    """Each PID that the engine has and its bytes; those that it has not are left out."""
    found = b""
    for pid in pids:
        if pid % SPAN == 0 and (row := _row(pid, PIDS)):
            found += bytes([pid]) + row
        elif pid in PIDS:
            found += bytes([pid]) + PIDS[pid](state, now)
    return bytes([0x01 + _ANSWER]) + found if found else NO_SUCH_PART


def _row(base: int, numbers: Iterable[int]) -> bytes:
    """Which of the 32 numbers after `base` there are, the last bit: whether there are more; empty where none is."""
    have = {*numbers}
    if not any(number > base for number in have):
        return b""
    bits = sum(1 << 31 - (number - base - 1) for number in have if base < number <= base + SPAN and number % SPAN)
    return (bits | any(number > base + SPAN for number in have)).to_bytes(4, "big")


def _monitor(monitor: int, state: State) -> bytes | int:
    """The misfire monitors of four cylinders: the average of ten drives, and the count of this one."""
    cylinders = range(_FIRST_CYLINDER, _FIRST_CYLINDER + _CYLINDERS)
    if monitor % SPAN == 0:
        row = _row(monitor, cylinders)
        return bytes([0x46, monitor]) + row if row else NO_SUCH_PART
    if monitor not in cylinders:
        return NO_SUCH_PART
    most = 0 if state.erased else _MOST
    count = _FALSE_AIR_MISFIRES[monitor - _FIRST_CYLINDER] if state.false_air and not state.erased else 0
    return b"\x46" + b"".join(
        bytes([monitor, test, _COUNTED]) + _two(value) + _two(0) + _two(most)
        for test, value in ((_AVERAGE, round(count * 0.1)), (_COUNT, count))
    )


def _information(kind: int) -> bytes | int:
    if kind % SPAN == 0:
        row = _row(kind, _INFORMATION)
        return bytes([0x49, kind]) + row if row else NO_SUCH_PART
    if kind not in _INFORMATION:
        return NO_SUCH_PART
    return bytes([0x49, kind, 1]) + _INFORMATION[kind]
