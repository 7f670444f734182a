"""One idea: a torque card with the owner's wrenches is there at once, for a whole car too.

`python -m benchmarks.fasten` prints a markdown table: the card of the demo job and a made-up one of 500 joints, each
judged against 12 wrenches, beside pint converting the same torques into the units of the same wrenches (no judging).
"""

from collections.abc import Sequence
from datetime import date
from itertools import cycle
from random import Random

import pint

from benchmarks.reading import best
from putback.adapters.car_file import demo_path, read_car
from putback.core.car import Joint
from putback.core.fasten.lever import Adapter
from putback.core.fasten.wrench import Wrench, WrenchKind
from putback.core.quantity import Torque
from putback.core.thread import read_thread
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan, TorqueLine
from putback.plan.wrenches import judged_card

DAY = date(2026, 11, 26)
PINT_UNITS = {"N·m": "newton * meter", "lbf·ft": "force_pound * foot", "lbf·in": "force_pound * inch"}
THREADS = ("M6x20", "M8x30", "M10x40", "M12x1.5x60", "1/4-20 UNC", "5/16-24 UNF")


def wrenches() -> tuple[Wrench, ...]:
    """Twelve wrenches from 1 to 400 N·m, in three units."""
    tops = (5, 10, 20, 25, 40, 60, 100, 120, 150, 200, 300, 400)
    units = cycle(PINT_UNITS)
    return tuple(
        Wrench(
            id=f"w{n}",
            name=f"W{n}",
            kind=WrenchKind.CLICK,
            lowest=top / 5,
            top=top,
            unit=next(units),
            grip_length_mm=200.0 + 20 * n,
            tolerance_class="II-A",
            resolution=top / 200,
            due=date(2027, 3, 1),
        )
        for n, top in enumerate(tops)
    )


def demo_card() -> tuple[TorqueLine, ...]:
    """The torque card of the demo job."""
    car = read_car(demo_path()).car
    if car is None:
        raise AssertionError("the demo cannot be read")
    plan = make_plan(car, wanted(car, ["thermostat-and-pump"]), settings=Settings(most_alternatives=1))
    if not isinstance(plan, Plan):
        raise AssertionError("the demo cannot be planned")
    return plan.torque_card


def made_card(count: int) -> tuple[TorqueLine, ...]:
    """Lines no two of which have the same torque; every tenth is reached with a crow-foot of the list."""
    chance = Random(7)
    lines = []
    for n in range(count):
        torque = Torque(value=chance.uniform(2, 150), unit=chance.choice(list(PINT_UNITS)))
        thread = read_thread(chance.choice(THREADS))
        joint = Joint(id=f"j{n}", item="i", count=4, thread=thread, torque=torque, source="made-up")
        tools = ("crow-17",) if n % 10 == 0 else ("hex13",)
        lines.append(TorqueLine(joint=joint, item="i", value_needed=False, tools=tools, renewed_by=None))
    return tuple(lines)


def converted(card: Sequence[TorqueLine], owned: Sequence[Wrench], registry: pint.UnitRegistry[float]) -> list[float]:
    """The torques of a card in the unit of each wrench, by pint."""
    torques = [line.joint.sourced_torque for line in card]
    given = [registry.Quantity(one.value, PINT_UNITS[one.unit]) for one in torques if one]
    return [one.to(PINT_UNITS[wrench.unit]).magnitude for one in given for wrench in owned]


def main() -> None:
    """Print the table."""
    owned = wrenches()
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    adapters = {"crow-17": Adapter(name="crow-foot 17", length_mm=38)}
    print("| torque card, 12 wrenches | joints | ours, judged, ms | pint, converting alone, ms | ratio |")
    print("|---|---|---|---|---|")
    for name, card in (("the demo job", demo_card()), ("a whole car", made_card(500))):
        ours = best(lambda card=card: judged_card(card, wrenches=owned, adapters=adapters, day=DAY))  # type: ignore[misc]
        theirs = best(lambda card=card: converted(card, owned, registry))  # type: ignore[misc]
        print(
            f"| {name} | {len(card)} | {1000 * ours:.1f} | {1000 * theirs:.1f} | {theirs / ours:.1f} × |", flush=True
        )


if __name__ == "__main__":
    main()
