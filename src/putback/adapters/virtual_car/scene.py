"""One idea: what the modules hold follows from the car file and from what was done; no module remembers anything else.

Simulated and invented, yet by the rules of ISO 14229-1: a status byte says what failed and what was not tested. A
fault that is there comes back after any clear. A code whose cause is gone stays stored until a drive has tested it,
and then is forgotten. A code from before, whose test does not run on a drive, stays untested after a clear.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from putback.adapters.virtual_car.happened import Happened
from putback.adapters.virtual_car.modules import BY_LETTER, Manner, modules_of
from putback.core.car import Car, Relearn
from putback.core.codes.lists.listing import CONFIRMED, Listing
from putback.core.codes.meaning.code import Code, read_code
from putback.core.codes.meaning.status import AFTER_CLEAR

FAILS_NOW: Final = 0x2F
"""An open circuit: failing now, in this cycle, pending, confirmed, since the clear."""
NOT_TAUGHT: Final = 0x2B
"""Something must be taught again: as above, never pending."""
STORED: Final = 0x28
"""Confirmed and failed since the clear, and passed in this cycle."""

OPEN_CIRCUIT, NOT_LEARNED, MESSAGE_LOST = "13", "54", "87"
"""Failure types that the modules send where the car file gives none (SAE J2012; 54 and 87 from memory)."""

MONITORS: Final = bytes.fromhex("0007E500")
"""PID 01 of the engine: eight monitors, spark: misfire, fuel, components; catalyst, evaporative system, oxygen sensor,
its heater, exhaust gas recirculation."""
NOT_STARTED: Final = (0x70, 0xE5)
"""None of them complete: what stands in the upper half of the second byte, and in the fourth."""
AFTER_A_DRIVE: Final = (0x00, 0x85)
"""Catalyst, evaporative system and exhaust gas recirculation take more than one drive."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One code in a module's memory, and its status byte."""

    code: Code
    status: int


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What one module holds.

    Args:
        known: every code that it can set.
        permanent: codes that no clear removes.
        monitors, monitors_this_cycle: the four bytes of PID 01 and of PID 41.
        erased: whether its memory was erased and no drive has been made since.
    """

    module: str
    held: tuple[Held, ...]
    known: tuple[Code, ...]
    permanent: tuple[Code, ...]
    monitors: bytes
    monitors_this_cycle: bytes
    erased: bool
    false_air: bool


class Scene:
    """A car, and the codes that were there before anything was done."""

    def __init__(self, car: Car, before: Listing) -> None:
        self.car = car
        self.before = before
        self.modules = modules_of(circuit.module for circuit in car.circuits.values() if circuit.module)

    def state(self, module: str, happened: Happened) -> State:
        """What this module holds after all that."""
        held = self._held(module, happened)
        erased = happened.power_was_off or module in happened.cleared
        driven = module in happened.driven
        return State(
            module=module,
            held=tuple(Held(code=_code(spelt), status=status) for spelt, status in sorted(held.items())),
            known=self._known(module),
            permanent=self._permanent(module, happened),
            monitors=_monitors(held, NOT_STARTED if erased and not driven else AFTER_A_DRIVE if erased else (0, 0)),
            monitors_this_cycle=b"\x00" + _with(MONITORS, AFTER_A_DRIVE if driven else NOT_STARTED)[1:],
            erased=erased and not driven,
            false_air=happened.false_air,
        )

    def _held(self, module: str, happened: Happened) -> dict[str, int]:
        """The codes that are listed, and their status."""
        gone = _gone(module, happened)
        held = dict(self._from_before(module, happened))
        for code, cause_is_there in self._from_work(module, happened):
            if cause_is_there is not None:
                held[code] = cause_is_there
            elif gone is not None:
                held[code] = gone
        return held

    def _from_before(self, module: str, happened: Happened) -> Iterator[tuple[str, int]]:
        erased = happened.power_was_off or module in happened.cleared
        for line in self.before.of_module(module):
            yield line.code, AFTER_CLEAR if erased and not line.bits & 1 else line.bits

    def _from_work(self, module: str, happened: Happened) -> Iterator[tuple[str, int | None]]:
        """The codes that the work brought, and their status while the cause is there; None: it is over."""
        for circuit in self.car.circuits.values():
            items = frozenset(circuit.items)
            if circuit.codes and items & (happened.left_open | happened.mended):
                code = circuit.codes[0]
                if self._home(circuit.module, code) == module:
                    yield _spelt(code, OPEN_CIRCUIT), FAILS_NOW if items & happened.left_open else None
        for relearn in self.car.relearn:
            if self._is_due(relearn, happened):
                done = not happened.relearned.isdisjoint({relearn.what, *relearn.codes})
                for code in relearn.codes:
                    if self._home(relearn.after, code) == module:
                        yield _spelt(code, NOT_LEARNED), None if done else NOT_TAUGHT
        for energy in self.car.energies.values():
            for code in energy.expected_codes if happened.power_was_off else ():
                if self._home(None, code) == module:
                    yield _spelt(code, MESSAGE_LOST), None

    def _is_due(self, relearn: Relearn, happened: Happened) -> bool:
        return (relearn.after in self.car.energies and happened.power_was_off) or relearn.after in happened.moved

    def _home(self, named: str | None, code: str) -> str:
        """The module that holds a code: the one that the car file names, else by the code's letter."""
        return named if named is not None and named in self.modules else BY_LETTER[code[0]]

    def _known(self, module: str) -> tuple[Code, ...]:
        found = {line.code for line in self.before.of_module(module)}
        for circuit in self.car.circuits.values():
            found |= {_spelt(one, OPEN_CIRCUIT) for one in circuit.codes if self._home(circuit.module, one) == module}
        for relearn in self.car.relearn:
            found |= {_spelt(one, NOT_LEARNED) for one in relearn.codes if self._home(relearn.after, one) == module}
        for energy in self.car.energies.values():
            found |= {_spelt(one, MESSAGE_LOST) for one in energy.expected_codes if self._home(None, one) == module}
        return tuple(sorted(_code(one) for one in found))

    def _permanent(self, module: str, happened: Happened) -> tuple[Code, ...]:
        """What was told, and an emission code that a drive has confirmed; it needs a drive to come and to go."""
        if self.modules[module].manner is not Manner.EMISSIONS:
            return ()
        found = set(happened.permanent)
        if module in happened.driven:
            found |= {code for code, status in self._from_work(module, happened) if status and code.startswith("P0")}
        return tuple(sorted(_code(one) for one in found))


def _gone(module: str, happened: Happened) -> int | None:
    """The status of a code whose cause is over; None: it is not listed any more."""
    if module in happened.driven:
        return None
    return AFTER_CLEAR if module in happened.cleared else STORED


def _monitors(held: dict[str, int], waiting: tuple[int, int]) -> bytes:
    lamp = any(status & 0x80 for status in held.values())
    stored = sum(bool(status & CONFIRMED) for status in held.values())
    return bytes([lamp << 7 | min(stored, 0x7F)]) + _with(MONITORS, waiting)[1:]


def _with(monitors: bytes, waiting: tuple[int, int]) -> bytes:
    return bytes([monitors[0], monitors[1] | waiting[0], monitors[2], monitors[3] | waiting[1]])


def _spelt(code: str, failure_type: str) -> str:
    """A code with a failure type, its own where it has one.

    >>> _spelt("P1F46", "13"), _spelt("P1F46-11", "13")
    ('P1F46-13', 'P1F46-11')
    """
    return code if "-" in code else f"{code}-{failure_type}"


def _code(spelt: str) -> Code:
    code = read_code(spelt if "-" in spelt else f"{spelt}-00")
    if not isinstance(code, Code):
        raise ValueError(str(code))
    return code
