"""One idea: reading never changes a car; whatever does, or may, is sent only while nothing open can be hurt by it.

Reads are always allowed. Another session, and a sweep over ids that nobody knows, are not while a restraint or
high-voltage connector is open in the job; a sweep needs a vehicle that is said to stand still. Clearing needs a saved,
whole read of this car from before. There is no override; each answer carries its reason.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from putback.core.car import Car, Energy
from putback.core.codes.talk.car_read import CarRead, How
from putback.core.job import JobState, Seat

HIGH_VOLTAGE_V: Final = 60.0
"""Above this a direct voltage is high voltage (ISO 6469-4:2015, 5.2.2, excerpt seen)."""

_OPEN: Final = frozenset({Seat.OFF, Seat.UNPLUGGED, Seat.PARTED})
_SAFE_BUT_OPEN: Final = frozenset({Seat.ISOLATED, Seat.PROVEN})
_RESTRAINT_WORDS: Final = ("restraint", "airbag", "air bag", "pretension", "pyrotechnic", "squib")
_VOLTAGE_WORDS: Final = ("high voltage", "high-voltage", "traction battery")


@dataclass(frozen=True, slots=True, kw_only=True)
class May:
    """Whether something may be sent, and why or why not."""

    yes: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MaySend:
    """What may be sent now, beyond reading."""

    session: May
    sweep: May
    clear: May


def may_send(
    car: Car | None,
    state: JobState | None,
    *,
    stands_still: bool = False,
    before: CarRead | None = None,
    doubt: str = "",
) -> MaySend:
    """What may be sent now.

    Args:
        car: its file; None where no job is named.
        state: what the job has done so far; None where no job is named.
        stands_still: whether a person says that the vehicle stands still and will not be moved.
        before: the saved read from before the work, where there is one.
        doubt: why what the job says may not be all; then nothing but reading is allowed.
    """
    found = () if car is None or state is None else tuple(open_connectors(car, state))
    open_words = f"open in the job: {', '.join(found)}" if found else doubt
    known = car is not None and state is not None
    closed = (
        "no restraint or high-voltage connector is open in the job"
        if known
        else "no job is named, so whether a restraint or high-voltage connector is open is for you to know"
    )
    still = (
        f"the vehicle is said to stand still; {closed}"
        if stands_still
        else "nobody says that the vehicle stands still"
    )
    return MaySend(
        session=May(yes=not open_words, why=open_words or closed),
        sweep=May(yes=not open_words and stands_still, why=open_words or still),
        clear=_clear(open_words, closed, before),
    )


def _clear(open_words: str, closed: str, before: CarRead | None) -> May:
    if open_words:
        return May(yes=False, why=open_words)
    if before is None:
        return May(yes=False, why="there is no saved read of this car from before")
    if before.stopped:
        return May(yes=False, why=f"the read from before is not whole: {before.stopped}")
    cut = [one.module for one in before.modules if one.how is How.PARTIAL]
    if cut:
        return May(yes=False, why=f"in the read from before the list was cut off of: {', '.join(cut)}")
    if not before.modules:
        return May(yes=False, why="the read from before names no module")
    return May(yes=True, why=f"there is a saved read from before; {closed}")


def open_connectors(car: Car, state: JobState) -> Iterator[str]:
    """The items of restraints and high voltage that are off, unplugged or parted, by name; and what is isolated."""
    for item in car.items.values():
        if state.item(item.id) in _OPEN and any(_counts(car.energies[id]) for id in _own(car, item.id, item.energy)):
            yield f"{item.name} ({state.item(item.id)})"
    for energy in car.energies.values():
        if energy.item is None and _counts(energy) and state.energy(energy.id) in _SAFE_BUT_OPEN:
            yield f"{energy.id} ({state.energy(energy.id)})"


def _own(car: Car, item: str, energies: Iterable[str]) -> Iterator[str]:
    """The energies that an item carries or is operated for."""
    yield from (id for id in energies if id in car.energies)
    yield from (energy.id for energy in car.energies.values() if energy.item == item)


def _counts(energy: Energy) -> bool:
    """Whether it is a restraint or high voltage: by its words, or by its volts."""
    kind = energy.kind.lower()
    return any(word in kind for word in (*_RESTRAINT_WORDS, *_VOLTAGE_WORDS)) or (energy.volts or 0) > HIGH_VOLTAGE_V
