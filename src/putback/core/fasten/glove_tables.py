"""One idea: the published figures on gloves, approach, meters and locking stand here as rows, each with its source."""

from collections.abc import Iterator

from putback.core.fasten.answer import Figure, Row
from putback.core.fasten.gloves import CAT_IMPULSE_V, CLASSES, DC_VOLTS, Current, class_to_use, least_class
from putback.core.gates.settings import GLOVE_VOLTS

_STANDARD = "ASTM D120 / IEC 60903, seen at cnjndl.com; arcflashwear.com; boddingtons-electrical.com"
_NO_DC = "DC column is ASTM/IEC; the OSHA table lists AC only (from memory)"
_PROOF_AC = {"00": 2_500.0, "0": 5_000.0, "1": 10_000.0, "2": 20_000.0, "3": 30_000.0, "4": 40_000.0}
_PROOF_DC = {"00": 10_000.0, "0": 20_000.0, "1": 40_000.0, "2": 50_000.0, "3": 60_000.0, "4": 70_000.0}
_COLOURS = {"00": "beige", "0": "red", "1": "white", "2": "yellow", "3": "green", "4": "orange"}
_USE_DC_SEEN = ("00", "0")
_PROOF_AC_SEEN = ("00", "0", "1")
_PROOF_DC_SEEN = ("00",)
_COLOUR_SEEN = ("0",)
_PACKS_V = (
    *(100, 150, 200, 250, 288, 300, 320, 350, 360, 380, 400, 420, 450, 500, 550, 600, 650, 700, 750),
    *(800, 850, 900, 950, 1000, 1200, 1500),
)
_SAME_BAND_V = (400, 600, 800, 1000)


def _of_class(name: str) -> Iterator[Row]:
    keys = {"class": name}

    def row(what: str, value: Figure, unit: str, source: str, is_seen: bool, note: str = "") -> Row:
        seen = "seen" if is_seen else "from memory"
        return Row(
            about=f"class {name} {what}", keys=keys, value=value, unit=unit, source=source, seen=seen, note=note
        )

    yield row("max use AC", GLOVE_VOLTS[name], "V", f"{_STANDARD}; gloves-online.com quoting OSHA", True)
    yield row("max use DC", DC_VOLTS[name], "V", _STANDARD, name in _USE_DC_SEEN, _NO_DC)
    yield row("AC proof test", _PROOF_AC[name], "V", f"{_STANDARD}; goiam.org", name in _PROOF_AC_SEEN)
    yield row("DC proof test", _PROOF_DC[name], "V", "goiam.org lineman gloves", name in _PROOF_DC_SEEN)
    yield row("colour", _COLOURS[name], "-", "adanacelectric.com; arcflashwear.com", name in _COLOUR_SEEN)


def _pack(volts: int) -> Row:
    usage = class_to_use(voltage_v=volts, current=Current.DC)
    standard = least_class(voltage_v=volts, current=Current.DC)
    return Row(
        about=f"min class for {'an' if str(volts).startswith('8') else 'a'} {volts} V DC pack",
        keys={"V": str(volts), "current": "dc"},
        value=standard,
        unit="class",
        source=_STANDARD,
        seen="computed",
        note=f"by the d.c. column alone; strictest of the sources: class {usage.to_use}; the maker's class wins",
    )


def _impulse(category: str, volts: int, impulse_v: float) -> Row:
    return Row(
        about=f"CAT {category} {volts} V impulse",
        keys={"cat": category, "V": str(volts)},
        value=impulse_v,
        unit="V",
        source="IEC 61010-2-030/-033",
        seen="from memory",
    )


def _months(about: str, item: str, months: float, source: str, note: str = "") -> Row:
    return Row(about=about, keys={"item": item}, value=months, unit="months", source=source, seen="seen", note=note)


def _said(about: str, keys: dict[str, str], value: Figure, unit: str, source: str, note: str = "") -> Row:
    return Row(about=about, keys=keys, value=value, unit=unit, source=source, seen="seen", note=note)


def _approach(volts: int) -> Iterator[Row]:
    for what, feet in (("limited approach, fixed part", 3.5), ("restricted approach", 1.0)):
        about = f"NFPA 70E {volts} V DC {what}"
        source = "NFPA 70E table 130.4(E)(b), line 301 V to 1 kV"
        yield Row(about=about, keys={"V": str(volts)}, value=feet, unit="ft", source=source, seen="from memory")


_NFPA = "electricallicenserenewal.com sectionID=1726 (NFPA 70E table 130.4(E)(b))"

TABLES: tuple[Row, ...] = (
    *(row for name in CLASSES for row in _of_class(name)),
    *(_pack(volts) for volts in _PACKS_V),
    _months(
        "test interval in service: gloves",
        "gloves",
        6.0,
        "OSHA interpretation 2019-01-25 on 1910.137(c)(2)(viii) Table I-5 (osha.gov); oshacademy 709",
        "also after repair, after use without protectors, when suspect",
    ),
    _months("test interval: sleeves and blankets", "sleeves/blankets", 12.0, "oshacademy.com 709-6-5; mikeholt 84374"),
    _months(
        "tested but unissued: max age before issue",
        "any",
        12.0,
        "oshacademy.com 709-6-5",
        "gloves: air-test and look before each use",
    ),
    *(
        _said(
            "IEC 60903 class 00/0 periodic dielectric test mandatory",
            {"class": name},
            False,
            "bool",
            "boddingtons-electrical.com periodic testing",
            "DISAGREEMENT: OSHA requires 6 months for all classes; the stricter is used",
        )
        for name in ("0", "00")
    ),
    _said(
        "live-dead-live order",
        {"steps": "3"},
        "known live - circuit - known live",
        "order",
        "fieldscout.io test-before-you-touch (OSHA 1910.333(b)(2)(iv))",
    ),
    _said("NFPA 70E 500 V DC limited approach, fixed part", {"V": "500"}, 3.5, "ft", _NFPA),
    _said("NFPA 70E 500 V DC restricted approach", {"V": "500"}, 1.0, "ft", _NFPA),
    *(row for volts in _SAME_BAND_V for row in _approach(volts)),
    _said(
        "1910.147(d) sequence",
        {"n": "6"},
        "prepare - shut down - isolate - apply lock/tag - release stored energy - verify",
        "order",
        "lockout-tagout101.webflow.io 1910.147(d)(1)-(6)",
    ),
    *(_impulse(category, volts, impulse_v) for (category, volts), impulse_v in CAT_IMPULSE_V.items()),
    _said(
        "interlock may be sole means of de-energizing",
        {"device": "interlock"},
        False,
        "bool",
        "WAC 296-24-975(2)(b)(ii)(B) (law.cornell.edu), mirrors 1910.333",
        "prove dead by meter; capacitors discharged and shorted if they endanger, as the maker says",
    ),
)
