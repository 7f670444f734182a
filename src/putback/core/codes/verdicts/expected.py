"""One idea: a job leaves some codes behind as it must, and the car file says which, and for what reason.

An energy that was off leaves its expected codes; a thing that was moved or without power must be taught again and
says so until it is. What a job did is given as items and energies; a code is expected for nothing else.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from putback.core.car import Car
from putback.core.codes.verdicts.compare import Expectation
from putback.core.energy import joined
from putback.core.operations import ITEM_OFF, Operation, Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Disturbed:
    """What a job laid hands on: items in the car file's order, and the energies that were made safe."""

    items: tuple[str, ...]
    energies: tuple[str, ...]


def disturbed_by(car: Car, operations: Iterable[Operation]) -> Disturbed:
    """The items and energies that operations disturbed: taken off, undone, renewed; made safe.

    An operation that is not of this car is left out: it disturbs nothing that the car file knows.
    """
    homes = {joint.id: joint.item for joint in car.joints()}
    items: set[str] = set()
    energies: set[str] = set()
    for one in operations:
        if one.verb in ITEM_OFF or one.verb is Verb.RENEW:
            items.add(one.item or "")
        if one.verb in {Verb.UNDO, Verb.RENEW} and one.joint in homes:
            items.add(homes[one.joint or ""])
        if one.verb is Verb.ISOLATE and one.energy in car.energies:
            energies.add(one.energy or "")
    return Disturbed(
        items=tuple(id for id in car.items if id in items),
        energies=tuple(id for id in car.energies if id in energies),
    )


def disturbed_by_items(car: Car, items: Iterable[str]) -> Disturbed:
    """The same for items alone, as a plan names them: with every energy that touching them asks for."""
    found = set(items)
    asked = joined(car, (energy for id in found if id in car.items for energy in car.energies_of(car.items[id])))
    operated = {energy.id for energy in car.energies.values() if energy.item in found}
    return Disturbed(
        items=tuple(id for id in car.items if id in found),
        energies=tuple(id for id in car.energies if id in asked | operated),
    )


def whole_car(car: Car) -> Disturbed:
    """Every item and energy of the car: what has to be assumed where no job is named."""
    return Disturbed(items=tuple(car.items), energies=tuple(car.energies))


def expectations(car: Car, disturbed: Disturbed) -> tuple[Expectation, ...]:
    """The codes that are expected of this job, each with its reason."""
    return (*_of_energies(car, disturbed), *_of_relearns(car, disturbed))


def _of_energies(car: Car, disturbed: Disturbed) -> Iterator[Expectation]:
    for id in disturbed.energies:
        energy = car.energies[id]
        if energy.expected_codes:
            yield Expectation(codes=energy.expected_codes, because=f"expected after {energy.kind} was off ({id})")


def _of_relearns(car: Car, disturbed: Disturbed) -> Iterator[Expectation]:
    touched = {*disturbed.items, *disturbed.energies}
    for relearn in car.relearn:
        if relearn.codes and relearn.after in touched:
            name = car.items[relearn.after].name if relearn.after in car.items else car.energies[relearn.after].kind
            yield Expectation(codes=relearn.codes, because=f"relearn to do: {relearn.what}, after {name}")
