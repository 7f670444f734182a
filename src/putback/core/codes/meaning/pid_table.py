"""One idea: a live value is bytes times a factor plus an offset, and the table says who confirms the factor.

Layout and factors are of SAE J1979 / ISO 15031-5 as three independent references give them: two program libraries and
a public table (tests/core/codes/test_pids.py names them and compares every row). Where they do not agree, `DISPUTED`
says how, and a value that no two of them share is not given at all. A length that they do not share is not used to
part an answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType

PERCENT = "%"
CELSIUS = "°C"
KILOPASCAL = "kPa"


class Seen(StrEnum):
    """How many of the three references give a figure."""

    THREE = "three references agree"
    TWO = "two of three references agree"
    DISPUTED = "references disagree: value not given"


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number in the bytes of a PID: whole number times `times` divided by `by`, plus `plus`, in `unit`.

    `at` is the first byte of it, `size` how many there are, big end first. `unused` is the whole number that says
    that there is no value. `there_bit` is the bit of the first byte that says whether the module has this value; None:
    it always has.
    """

    name: str
    unit: str
    at: int = 0
    size: int = 1
    times: float = 1.0
    by: float = 1.0
    plus: float = 0.0
    signed: bool = False
    unused: int | None = None
    there_bit: int | None = None
    seen: Seen = Seen.THREE

    def fits(self, data: bytes) -> bool:
        """Whether the bytes reach to its end."""
        return self.at + self.size <= len(data)

    def there(self, data: bytes) -> bool:
        """Whether the module says that it has this value."""
        return self.there_bit is None or bool(data[0] >> self.there_bit & 1)

    def whole(self, data: bytes) -> int:
        """The number as it stands in the bytes."""
        return int.from_bytes(data[self.at : self.at + self.size], "big", signed=self.signed)

    def value(self, data: bytes) -> float | None:
        """The value in `unit`; None: there is none, or the references disagree.

        >>> Figure(name="engine speed", unit="1/min", size=2, by=4).value(bytes.fromhex("1AF8"))
        1726.0
        """
        raw = self.whole(data)
        if raw == self.unused or self.seen is Seen.DISPUTED or not self.there(data):
            return None
        return raw * self.times / self.by + self.plus


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One PID: its name, how many bytes it has, and the figures in them; no figures: it is bits or words (`pids.py`).

    `length` None: the references do not agree on it, so the PID is read only where it stands alone.
    """

    name: str
    length: int | None
    figures: tuple[Figure, ...] = ()


def _percent(name: str) -> Row:
    return Row(name=name, length=1, figures=(Figure(name=name, unit=PERCENT, times=100, by=255),))


def _temperature(name: str) -> Row:
    return Row(name=name, length=1, figures=(Figure(name=name, unit=CELSIUS, plus=-40),))


def _trim_figure(name: str, at: int = 0, unused: int | None = None, seen: Seen = Seen.THREE) -> Figure:
    return Figure(name=name, unit=PERCENT, at=at, times=100, by=128, plus=-100, unused=unused, seen=seen)


def _trim(name: str) -> Row:
    return Row(name=name, length=1, figures=(_trim_figure(name),))


def _one(
    name: str,
    unit: str,
    *,
    length: int = 1,
    size: int | None = None,
    times: float = 1.0,
    by: float = 1.0,
    plus: float = 0.0,
    signed: bool = False,
    seen: Seen = Seen.THREE,
) -> Row:
    figure = Figure(
        name=name,
        unit=unit,
        size=length if size is None else size,
        times=times,
        by=by,
        plus=plus,
        signed=signed,
        seen=seen,
    )
    return Row(name=name, length=length, figures=(figure,))


def _narrow(sensor: int) -> Row:
    """Oxygen sensor with voltage; FF in the second byte: not used for the trim."""
    name = f"oxygen sensor {sensor}"
    volts = Figure(name=f"{name} voltage", unit="V", by=200)
    return Row(name=name, length=2, figures=(volts, _trim_figure(f"{name} trim", 1, 0xFF, Seen.TWO)))


def _wide(sensor: int, second: Figure) -> Row:
    name = f"oxygen sensor {sensor}, wide range"
    ratio = Figure(name=f"{name} ratio", unit="ratio", size=2, times=2, by=65536, seen=Seen.TWO)
    return Row(name=name, length=4, figures=(ratio, second))


def _voltage(sensor: int) -> Row:
    name = f"oxygen sensor {sensor}, wide range voltage"
    return _wide(sensor, Figure(name=name, unit="V", at=2, size=2, times=8, by=65536))


def _current(sensor: int) -> Row:
    name = f"oxygen sensor {sensor}, wide range current"
    return _wide(sensor, Figure(name=name, unit="mA", at=2, size=2, by=256, plus=-128, seen=Seen.TWO))


def _secondary(term: str, first: int, second: int) -> Row:
    name = f"{term} term secondary oxygen sensor trim"
    figures = (
        _trim_figure(f"{name}, bank {first}"),
        _trim_figure(f"{name}, bank {second}", 1, seen=Seen.TWO),
    )
    return Row(name=name, length=2, figures=figures)


def _catalyst(bank: int, sensor: int) -> Row:
    return _one(f"catalyst temperature, bank {bank}, sensor {sensor}", CELSIUS, length=2, by=10, plus=-40)


def _points() -> Row:
    name = "engine torque in percent"
    places = ("idle", "point 1", "point 2", "point 3", "point 4")
    figures = tuple(
        Figure(name=f"{name}, {place}", unit=PERCENT, at=at, plus=-125, seen=Seen.TWO)
        for at, place in enumerate(places)
    )
    return Row(name=name, length=5, figures=figures)


def _largest() -> Row:
    figures = (
        Figure(name="largest ratio", unit="ratio", seen=Seen.TWO),
        Figure(name="largest oxygen sensor voltage", unit="V", at=1, seen=Seen.TWO),
        Figure(name="largest oxygen sensor current", unit="mA", at=2, seen=Seen.TWO),
        Figure(name="largest intake manifold pressure", unit=KILOPASCAL, at=3, times=10, seen=Seen.TWO),
    )
    return Row(name="largest values", length=4, figures=figures)


def _bits(name: str, length: int | None) -> Row:
    return Row(name=name, length=length)


def _each(name: str, length: int | None, *sensors: Figure) -> Row:
    """Sensors of which the first byte says which are there: bit 0 for the first, bit 1 for the next."""
    figures = tuple(
        replace(sensor, at=1 + place * sensor.size, there_bit=place, seen=Seen.TWO)
        for place, sensor in enumerate(sensors)
    )
    return Row(name=name, length=length, figures=figures)


def _celsius(name: str) -> Figure:
    return Figure(name=name, unit=CELSIUS, plus=-40)


def _flow(name: str) -> Figure:
    return Figure(name=name, unit="g/s", size=2, by=32)


def _torque(name: str) -> Row:
    return _one(name, PERCENT, plus=-125, seen=Seen.TWO)


_ROWS: dict[int, Row] = {
    0x01: _bits("readiness since the codes were cleared", 4),
    0x02: _bits("code that froze this frame", 2),
    0x03: _bits("fuel system state", 2),
    0x04: _percent("calculated engine load"),
    0x05: _temperature("coolant temperature"),
    0x06: _trim("short term fuel trim, bank 1"),
    0x07: _trim("long term fuel trim, bank 1"),
    0x08: _trim("short term fuel trim, bank 2"),
    0x09: _trim("long term fuel trim, bank 2"),
    0x0A: _one("fuel pressure, gauge", KILOPASCAL, times=3),
    0x0B: _one("intake manifold pressure, absolute", KILOPASCAL),
    0x0C: _one("engine speed", "1/min", length=2, by=4),
    0x0D: _one("vehicle speed", "km/h"),
    0x0E: _one("timing advance, cylinder 1", "°", by=2, plus=-64),
    0x0F: _temperature("intake air temperature"),
    0x10: _one("air mass flow", "g/s", length=2, by=100, seen=Seen.TWO),
    0x11: _percent("throttle position"),
    0x12: _bits("secondary air, commanded", 1),
    0x13: _bits("oxygen sensors present, two banks", 1),
    **{0x13 + sensor: _narrow(sensor) for sensor in range(1, 9)},
    0x1C: _bits("requirement on diagnosis that the vehicle is built to", 1),
    0x1D: _bits("oxygen sensors present, four banks", 1),
    0x1E: _bits("auxiliary inputs", 1),
    0x1F: _one("time since engine start", "s", length=2),
    0x21: _one("distance driven with the lamp on", "km", length=2),
    0x22: _one("fuel rail pressure, above manifold", KILOPASCAL, length=2, times=0.079),
    0x23: _one("fuel rail pressure, gauge", KILOPASCAL, length=2, times=10),
    **{0x23 + sensor: _voltage(sensor) for sensor in range(1, 9)},
    0x2C: _percent("exhaust gas recirculation, commanded"),
    0x2D: _trim("exhaust gas recirculation, error"),
    0x2E: _percent("evaporative purge, commanded"),
    0x2F: _percent("fuel level"),
    0x30: _one("warm-ups since the codes were cleared", "count"),
    0x31: _one("distance since the codes were cleared", "km", length=2),
    0x32: _one("evaporative system pressure", "Pa", length=2, by=4, signed=True, seen=Seen.TWO),
    0x33: _one("barometric pressure", KILOPASCAL),
    **{0x33 + sensor: _current(sensor) for sensor in range(1, 9)},
    0x3C: _catalyst(1, 1),
    0x3D: _catalyst(2, 1),
    0x3E: _catalyst(1, 2),
    0x3F: _catalyst(2, 2),
    0x41: _bits("readiness in this driving cycle", 4),
    0x42: _one("control module voltage", "V", length=2, by=1000),
    0x43: _one("absolute load", PERCENT, length=2, times=100, by=255),
    0x44: _one("air-fuel ratio, commanded", "ratio", length=2, times=2, by=65536),
    0x45: _percent("throttle position, relative"),
    0x46: _temperature("ambient air temperature"),
    0x47: _percent("throttle position B"),
    0x48: _percent("throttle position C"),
    0x49: _percent("accelerator pedal position D"),
    0x4A: _percent("accelerator pedal position E"),
    0x4B: _percent("accelerator pedal position F"),
    0x4C: _percent("throttle actuator, commanded"),
    0x4D: _one("time run with the lamp on", "min", length=2),
    0x4E: _one("time since the codes were cleared", "min", length=2),
    0x4F: _largest(),
    0x50: _one("largest air mass flow", "g/s", length=4, size=1, times=10),
    0x51: _bits("fuel", 1),
    0x52: _percent("ethanol in the fuel"),
    0x53: _one("evaporative system pressure, absolute", KILOPASCAL, length=2, by=200),
    0x54: _one("evaporative system pressure, wide", "Pa", length=2, seen=Seen.DISPUTED),
    0x55: _secondary("short", 1, 3),
    0x56: _secondary("long", 1, 3),
    0x57: _secondary("short", 2, 4),
    0x58: _secondary("long", 2, 4),
    0x59: _one("fuel rail pressure, absolute", KILOPASCAL, length=2, times=10),
    0x5A: _percent("accelerator pedal position, relative"),
    0x5B: _percent("hybrid battery remaining life"),
    0x5C: _temperature("engine oil temperature"),
    0x5D: _one("fuel injection timing", "°", length=2, by=128, plus=-210),
    0x5E: _one("engine fuel rate", "L/h", length=2, by=20),
    0x5F: _bits("emission requirement", 1),
    0x61: _torque("engine torque asked for by the driver"),
    0x62: _torque("engine torque, actual"),
    0x63: _one("engine reference torque", "N·m", length=2, seen=Seen.TWO),
    0x64: _points(),
    0x66: _each("air mass flow", 5, _flow("air mass flow, sensor A"), _flow("air mass flow, sensor B")),
    0x67: _each(
        "coolant temperature, two sensors",
        3,
        _celsius("coolant temperature, sensor 1"),
        _celsius("coolant temperature, sensor 2"),
    ),
    0x68: _each(
        "intake air temperature, several sensors",
        None,
        _celsius("intake air temperature, sensor 1"),
        _celsius("intake air temperature, sensor 2"),
    ),
    0x8E: _torque("engine friction torque"),
}

_AS_BYTES: dict[int, tuple[str, int | None]] = {
    0x65: ("auxiliary inputs and outputs", 2),
    0x69: ("exhaust gas recirculation, commanded and error", 7),
    0x6A: ("diesel intake air flow", 5),
    0x6B: ("exhaust gas recirculation temperature", 5),
    0x6C: ("throttle actuator and position", 5),
    0x6D: ("fuel pressure control", None),
    0x6E: ("injection pressure control", None),
    0x6F: ("turbocharger inlet pressure", 3),
    0x70: ("boost pressure control", None),
    0x71: ("variable turbocharger control", None),
    0x72: ("wastegate control", 5),
    0x73: ("exhaust pressure", 5),
    0x74: ("turbocharger speed", 5),
    0x75: ("turbocharger A temperature", 7),
    0x76: ("turbocharger B temperature", 7),
    0x77: ("charge air cooler temperature", 5),
    0x78: ("exhaust gas temperature, bank 1", 9),
    0x79: ("exhaust gas temperature, bank 2", 9),
    0x7A: ("particle filter, bank 1", 7),
    0x7B: ("particle filter, bank 2", 7),
    0x7C: ("particle filter temperature", 9),
    0x7D: ("nitrogen oxide control area", 1),
    0x7E: ("particle control area", 1),
    0x7F: ("engine run time", None),
    0x81: ("run time of emission control devices 1 to 5", None),
    0x82: ("run time of emission control devices 6 to 10", None),
    0x83: ("nitrogen oxide sensor", None),
    0x84: ("manifold surface temperature", 1),
    0x85: ("nitrogen oxide reagent", 10),
    0x86: ("particle sensor", 5),
    0x87: ("intake manifold pressure, two sensors", 5),
    0x88: ("reagent inducement", 13),
    0x89: ("run time of emission control devices 11 to 15", 41),
    0x8A: ("run time of emission control devices 16 to 20", 41),
    0x8B: ("diesel aftertreatment", 7),
    0x8C: ("oxygen sensors, wide range", None),
    0x8D: ("throttle position G", 1),
    0x8F: ("particle sensor output", None),
    0x90: ("worldwide harmonized diagnosis, vehicle", 3),
    0x91: ("worldwide harmonized diagnosis, module", 5),
    0x92: ("fuel system control", 2),
    0x93: ("worldwide harmonized diagnosis, counters", 3),
    0x94: ("nitrogen oxide warning and inducement", 12),
    0x98: ("exhaust gas temperature, further sensors, bank 1", 9),
    0x99: ("exhaust gas temperature, further sensors, bank 2", 9),
    0x9A: ("hybrid or electric system", 6),
    0x9B: ("reagent sensor", 4),
    0x9C: ("oxygen sensors, further", 17),
    0x9D: ("engine and vehicle fuel rate", 4),
    0x9E: ("exhaust flow rate", 2),
    0x9F: ("fuel system use", 9),
    0xA1: ("nitrogen oxide sensor, corrected", 9),
    0xA2: ("cylinder fuel rate", 2),
    0xA3: ("evaporative system pressure, several sensors", 9),
    0xA4: ("gear in use", 4),
    0xA5: ("reagent dosing, commanded", 4),
    0xA6: ("odometer", 4),
}
"""PIDs shown as bytes, for one reference alone gives figures, or none. The lengths are those on which a program
library and the public tables agree; they part an answer that carries several PIDs. None: they do not agree."""

_ROWS.update({pid: _bits(name, length) for pid, (name, length) in _AS_BYTES.items()})
_ROWS.update({base: _bits("PIDs supported", 4) for base in range(0x00, 0xE0, 0x20)})

PIDS: Mapping[int, Row] = MappingProxyType(dict(sorted(_ROWS.items())))
"""Every PID that can be read here. The largest values of PIDs 4F and 50 may change the scale of 24 to 2B, 34 to 3B, 0B
and 10 in some vehicles (from memory); that is not applied."""

DISPUTED: Mapping[int, str] = MappingProxyType(
    {
        0x03: "one reference takes 00 for the cold open loop; two take 01, and 00 for no such system",
        0x10: "one reference reads one byte only; two read two bytes, a hundredth of a g/s each",
        0x12: "one reference takes 00 for upstream; two take 01",
        0x13: "one reference takes the upper four bits for bank 1; two take the lower four",
        0x1D: "one reference takes the upper two bits for bank 1; two take the lower two",
        0x1E: "one reference takes bit 7 for the power take-off; two take bit 0",
        0x32: "one reference gives each byte its own sign; two take both bytes as one signed number",
        **dict.fromkeys(range(0x34, 0x3C), "one reference does not take 128 mA away; two do"),
        0x54: "one reference takes a signed number (0000 is 0), two take 32767 away (0000 is -32767): "
        "look it up in the standard",
        0x68: "3 bytes in one reference, 7 in two; those that place the first two sensors place them alike",
        0x6D: "6 bytes in two references, 11 in one",
        0x6E: "5 bytes in two references, 9 in one",
        0x70: "9 bytes in two references, 10 in one",
        0x71: "5 bytes in two references, 6 in one",
        0x7F: "13 bytes in two references, 25 in one",
        0x81: "41 bytes in two references, 21 in one",
        0x82: "41 bytes in two references, 21 in one",
        0x83: "5 bytes in two references, 9 in one",
        0x8C: "16 bytes in one reference, 17 in one",
        0x8F: "5 bytes in one reference, 7 in one",
    }
)
"""PIDs that the references read differently, and what was done. 54, and the lengths from 68 on, are left open."""
