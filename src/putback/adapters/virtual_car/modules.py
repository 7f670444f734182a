"""One idea: the virtual car has ten modules, and four of them are as awkward as real ones can be.

A car file that names other modules gets a plain one for each.

Simulated and invented: names, ids and manners are of no real vehicle. Ids 7E0/7E8 and 18DA..F1 follow ISO 15765-4;
the functional ids 7DF and 18DB33F1 too.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from putback.core.codes.talk.car_read import Pair

FUNCTIONAL: Final = MappingProxyType({False: 0x7DF, True: 0x18DB33F1})
"""The ids that speak to every module at once: 11-bit, 29-bit."""

VIN: Final = "9ZZXA00A3T0000001"
"""Invented; its check digit is right."""


class Manner(StrEnum):
    """How a module answers."""

    PLAIN = "plain"
    EMISSIONS = "answers SAE J1979 services too"
    SLOW = "puts off its code list twice"
    IN_SESSION = "gives its codes in the extended session only"
    REFUSING = "refuses its codes"
    SILENT = "answers nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Module:
    """One module. `functional`: whether it listens to requests that go to all."""

    name: str
    pair: Pair
    manner: Manner = Manner.PLAIN
    functional: bool = True


def _module(
    name: str,
    request: int,
    answer: int,
    manner: Manner = Manner.PLAIN,
    *,
    extended: bool = False,
    functional: bool = True,
) -> Module:
    pair = Pair(request=request, answer=answer, extended=extended)
    return Module(name=name, pair=pair, manner=manner, functional=functional)


MODULES: Mapping[str, Module] = MappingProxyType(
    {
        module.name: module
        for module in (
            _module("engine", 0x7E0, 0x7E8, Manner.EMISSIONS),
            _module("brake", 0x713, 0x77D),
            _module("body", 0x74A, 0x7B4),
            _module("chassis", 0x742, 0x7AC),
            _module("radar", 0x757, 0x7C1),
            _module("gateway", 0x18DA10F1, 0x18DAF110, extended=True),
            _module("restraints", 0x715, 0x77F, Manner.SLOW),
            _module("instruments", 0x714, 0x77E, Manner.IN_SESSION),
            _module("parking", 0x70A, 0x774, Manner.REFUSING, functional=False),
            _module("camera", 0x765, 0x7CF, Manner.SILENT),
        )
    }
)

PAIRS: Mapping[str, Pair] = MappingProxyType({name: module.pair for name, module in MODULES.items()})
"""By which ids each module is spoken to."""

BY_LETTER: Mapping[str, str] = MappingProxyType({"P": "engine", "C": "brake", "B": "body", "U": "gateway"})
"""The module that holds a code of which nothing else says whose it is, by its first letter."""

_MORE: Final = 0x40
_FIRST_REQUEST, _FIRST_ANSWER = 0x680, 0x6C0


def modules_of(names: Iterable[str]) -> Mapping[str, Module]:
    """The ten, and a plain one for each other of these names; no more than 64 of those.

    >>> str(modules_of(["engine", "pump control"])["pump control"].pair)
    '680/6C0'
    """
    others = [name for name in dict.fromkeys(names) if name not in MODULES][:_MORE]
    more = {name: _module(name, _FIRST_REQUEST + n, _FIRST_ANSWER + n) for n, name in enumerate(others)}
    return MappingProxyType({**MODULES, **more})
