"""One idea: to look at a thing again, all that was put back over it must come off and go on once more.

Minutes as in the contract of a plan: off and on, chosen ways included, of everything in the work that covers the
thing; its own minutes and making safe not counted. For several things together what covers both counts once.
"""

from collections.abc import Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Final

from putback.core.car import Car
from putback.core.energy import covers

NO_WAYS: Final[Mapping[str, str]] = MappingProxyType({})


def rework_minutes(
    car: Car,
    items: Iterable[str],
    *,
    ways: Mapping[str, str] = NO_WAYS,
    in_work: Collection[str] | None = None,
) -> float:
    """Minutes to get back to some items together, [min].

    Args:
        car: the car.
        items: what one wants to look at.
        ways: chosen way of each joint; joints not named count without a way.
        in_work: the items that were off in the job; None: all that cover them are counted.
    """
    wanted = tuple(items)
    over = covers(car, wanted, ways) - set(wanted)
    counted = [id for id in car.items if id in over and (in_work is None or id in in_work)]
    return sum((_minutes(car, id, ways) for id in counted), start=0.0)


def _minutes(car: Car, id: str, ways: Mapping[str, str]) -> float:
    item = car.items[id]
    return item.minutes + sum(joint.way(ways[joint.id]).minutes for joint in item.joints if joint.id in ways)
