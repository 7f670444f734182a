"""One idea: what can hurt is made safe in an order of its own, before all other work.

This module says which energies some work needs, in which order they are made safe, what may come earlier, and
what each item must wait for. It decides no wait and no limit: those come from the car file with their source.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.car import Car, Energy


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """An energy that an item must find isolated; `proven`: its wait passed and its proof made as well."""

    energy: str
    proven: bool


def covers(car: Car, items: Iterable[str], ways: Mapping[str, str] | None = None) -> frozenset[str]:
    """The items that must be off before these, however far: the closure of `needs_off`, ways' needs included.

    Args:
        car: the car.
        items: where to start; they are not part of the answer unless something else of theirs needs them.
        ways: chosen way of each joint (joint id to way id); joints not named count without a way.
    """
    found: set[str] = set()
    left = [item for item in items if item in car.items]
    while left:
        for need in needs_of(car, left.pop(), ways or {}):
            if need not in found:
                found.add(need)
                left.append(need)
    return frozenset(found)


def needs_of(car: Car, item_id: str, ways: Mapping[str, str]) -> Iterator[str]:
    """What must be off directly before this item: its own links, then those of the chosen ways of its joints."""
    item = car.items[item_id]
    for link in item.needs_off:
        yield link.item
    for joint in item.joints:
        if joint.ways and joint.id in ways:
            for link in joint.way(ways[joint.id]).needs_off:
                yield link.item


def joined(car: Car, energies: Iterable[str]) -> frozenset[str]:
    """These energies, as far as the car knows them, and all that must be made safe with them (`after`, `with`)."""
    left = [id for id in energies if id in car.energies]
    found = set(left)
    while left:
        energy = car.energies[left.pop()]
        more = {*energy.after, *energy.joined} - found
        found |= more
        left += more
    return frozenset(found)


def made_safe_first(car: Car, needed: Iterable[str]) -> frozenset[tuple[str, str]]:
    """Pairs (first, then) among the needed energies: first is isolated and proven before then's item is operated."""
    known = set(needed)
    pairs = set()
    for id in known:
        energy = car.energies[id]
        pairs |= {(first, id) for first in energy.after if first in known}
        pairs |= {(id, then) for then in energy.before if then in known}
    return frozenset(pairs)


def restored_first(car: Car, needed: Iterable[str]) -> frozenset[tuple[str, str]]:
    """Pairs (first, then) among the needed energies: first is restored before then is.

    The reverse of making safe, but for an energy that states `restore_after`, which follows only those; what is
    stated also wins over the reverse that another energy would have by default.
    """
    known = set(needed)
    stating = {id for id in known if car.energies[id].restore_after is not None}
    stated = {(first, id) for id in stating for first in car.energies[id].restore_after or () if first in known}
    reverse = {(then, first) for first, then in made_safe_first(car, known) if first not in stating}
    return frozenset(stated | {pair for pair in reverse if pair[::-1] not in stated})


def early(car: Car, needed: Iterable[str], ways: Mapping[str, str] | None = None) -> frozenset[str]:
    """The items that may come before making safe is complete: what isolating and proving itself asks for."""
    starts = [start for id in needed for start in _operated(car.energies[id])]
    return frozenset(start for start in starts if start in car.items) | covers(car, starts, ways)


def _operated(energy: Energy) -> Iterator[str]:
    yield from _own(energy)
    if energy.proof:
        yield from energy.proof.reach


def demands(car: Car, ways: Mapping[str, str] | None = None) -> Mapping[str, tuple[Demand, ...]]:
    """For every item, what it must find made safe before it, its joints or its connector are touched.

    An energy's own item does not wait for that energy; what covers that item does not wait for it merely for being
    near; what must be off to get at the proving points waits for the isolation, not for the proof.
    """
    behind = {energy.id: covers(car, _own(energy), ways) for energy in car.energies.values()}
    points = {}
    for energy in car.energies.values():
        reach = energy.proof.reach if energy.proof else ()
        points[energy.id] = covers(car, reach, ways) | set(reach)
    found = {}
    for item in car.items.values():
        found[item.id] = tuple(
            Demand(energy=id, proven=item.id not in points[id])
            for id in car.energies_of(item)
            if car.energies[id].item != item.id and (id in item.energy or item.id not in behind[id])
        )
    return MappingProxyType(found)


def _own(energy: Energy) -> tuple[str, ...]:
    return (energy.item,) if energy.item else ()
