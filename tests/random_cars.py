"""Invented cars for tests: seeded, layered from outside to inside, with every kind of thing that a car file knows.

Nothing here is taken from a vehicle. A car is legal by construction: an item is hidden only by items that were made
before it, energies are operated by items that no energy covers.
"""

import random
from dataclasses import dataclass, field

from putback.core.car import (
    Action,
    Car,
    Energy,
    Fluid,
    Guard,
    Item,
    Joint,
    Lift,
    Link,
    Proof,
    Relearn,
    Service,
    Wait,
    Way,
    Zone,
)
from putback.core.quantity import Limit, Torque
from putback.core.thread import read_thread

ZONES = "ABCDEF"
DRIVES = ("hex8", "hex10", "hex13", "T30", "clip-tool", "hand")
HANDLING = (Action.REMOVE, Action.UNPLUG, Action.PART, Action.SWING, Action.FOLD)
SOURCE = "invented"


@dataclass(slots=True)
class _Maker:
    chance: random.Random
    items: list[Item] = field(default_factory=list)
    guards: list[Guard] = field(default_factory=list)

    def minutes(self) -> float:
        return self.chance.randint(0, 20) / 2

    def earlier(self, most: int) -> list[str]:
        known = [item.id for item in self.items if item.action is not Action.RENEW]
        return self.chance.sample(known, min(len(known), self.chance.randint(0, most)))


def random_car(seed: int, size: int = 20, *, ways: float = 0.3, energies: bool = True) -> Car:
    """A car of `size` items and what goes with them; the same seed gives the same car."""
    maker = _Maker(chance=random.Random(seed))
    chance = maker.chance
    if energies:
        _battery(maker)
    for n in range(size):
        maker.items.append(_item(maker, f"i{n:02d}", ways=ways, energies=energies))
        if chance.random() < 0.15:
            maker.items.append(_gasket(maker, maker.items[-1]))
    fluids = _fluids(maker) if energies else {}
    items = {item.id: item for item in maker.items}
    handled = [item.id for item in maker.items if item.action is not Action.RENEW]
    targets = tuple(chance.sample(handled[-max(3, size // 3) :], 2))
    return Car(
        name=f"invented car {seed}",
        file=f"car-{seed}.yaml",
        invented=True,
        mass_kg=1500.0,
        cg_behind_front_axle_mm=1100.0,
        zones={
            id: Zone(id=id, name=f"zone {id}", lift=chance.choice([Lift.UP, Lift.DOWN, Lift.ANY, Lift.ANY]))
            for id in ZONES
        },
        sources={SOURCE: "no vehicle"},
        items=items,
        energies=_energies(maker) if energies else {},
        guards={guard.id: guard for guard in [*maker.guards, *_standing_guards()]},
        fluids=fluids,
        relearn=(Relearn(what="clock", after="lv"),) if energies else (),
        services={"job": Service(id="job", name="the job", targets=targets, minutes={"road test": 25.0})},
    )


def targets_of(car: Car) -> tuple[str, ...]:
    """What the car's one service renews."""
    return car.services["job"].targets


def _joint(maker: _Maker, item: str, n: int, *, ways: float) -> Joint:
    chance = maker.chance
    drive = chance.choice(DRIVES)
    clip = drive in ("clip-tool", "hand")
    size, length = chance.choice([6, 8]), chance.choice([16, 20, 25, 40])
    turned = not clip and chance.random() < 0.1
    return Joint(
        id=f"{item}-j{n}",
        item=item,
        count=chance.randint(1, 6),
        kind="clip" if clip else "bolt",
        thread=None if clip else read_thread(f"M{size}x{length}"),
        drive=drive,
        torque=None if clip else Torque(value=8.0, unit="N·m", angles_deg=(90.0,) if turned else ()),
        source=None if clip or chance.random() < 0.1 else SOURCE,
        one_time=turned,
        ways=_ways(maker) if chance.random() < ways else (),
    )


def _ways(maker: _Maker) -> tuple[Way, ...]:
    chance = maker.chance
    return tuple(
        Way(
            id=name,
            needs_off=tuple(Link(item=id) for id in maker.earlier(2)),
            tools=(chance.choice(["ring", "swivel", "long-bar"]),),
            minutes_off=maker.minutes(),
            minutes_on=maker.minutes(),
        )
        for name in ("front", "below", "side")[: chance.randint(2, 3)]
    )


def _item(maker: _Maker, id: str, *, ways: float, energies: bool) -> Item:
    chance = maker.chance
    action = chance.choice(HANDLING)
    zone = chance.choice(ZONES)
    joints = (
        () if action is Action.UNPLUG else tuple(_joint(maker, id, n, ways=ways) for n in range(chance.randint(0, 3)))
    )
    opens = chance.random() < 0.2
    if opens:
        maker.guards.append(Guard(id=f"{id}-plug", name=f"plug of {id}", zone=zone, closes={id: chance.randint(1, 3)}))
    if action is Action.SWING and joints:
        maker.guards.append(Guard(id=f"{id}-strap", name=f"strap of {id}", zone=zone, pieces=1, support_for=id))
    wanted = [name for name in ("lift", "hv", "srs", "hot") if energies and chance.random() < 0.15]
    return Item(
        id=id,
        name=f"thing {id}",
        zone=zone,
        action=action,
        minutes_off=maker.minutes(),
        minutes_on=maker.minutes(),
        needs_off=tuple(Link(item=other) for other in maker.earlier(3)),
        people=2 if chance.random() < 0.1 else 1,
        mass_kg=1.0 if action is Action.REMOVE else None,
        ahead_of_front_axle_mm=300.0 if action is Action.REMOVE else None,
        energy=tuple(wanted),
        opens_port=opens,
        joints=joints,
    )


def _gasket(maker: _Maker, host: Item) -> Item:
    zone = host.zone if maker.chance.random() < 0.8 else maker.chance.choice(ZONES)
    return Item(
        id=f"{host.id}-seal",
        name=f"seal of {host.id}",
        zone=zone,
        action=Action.RENEW,
        minutes_off=0.0,
        minutes_on=1.0,
        needs_off=(Link(item=host.id),),
        one_time=True,
        renew_with_items=(host.id,),
    )


def _battery(maker: _Maker) -> None:
    """The 12 V lead behind a cover, and the disconnect behind a flap and the lead."""
    maker.items += [
        _plain("cover", "A", Action.REMOVE),
        _plain("lead", "A", Action.PART, "cover"),
        _plain("flap", "B", Action.FOLD),
        _plain("disconnect", "B", Action.REMOVE, "flap", "lead"),
    ]


def _plain(id: str, zone: str, action: Action, *needs: str) -> Item:
    links = tuple(Link(item=other) for other in needs)
    return Item(id=id, name=id, zone=zone, action=action, minutes_off=1.0, minutes_on=1.0, needs_off=links)


def _energies(maker: _Maker) -> dict[str, Energy]:
    reach = (maker.chance.choice([item.id for item in maker.items if item.id == "flap"]),)
    return {
        "lift": Energy(id="lift", kind="gravity", make_safe="locks", proof=Proof(check="rock", source=SOURCE)),
        "fuel": Energy(
            id="fuel",
            kind="fuel",
            before=("lv",),
            joined=("lv",),
            make_safe="released",
            proof=Proof(measure="pressure", at_most=Limit(value=0.0, unit="kPa"), source=SOURCE),
        ),
        "lv": Energy(
            id="lv",
            kind="12 V",
            item="lead",
            before_it=("codes saved", "windows down"),
            proof=Proof(measure="volts", at_most=Limit(value=0.5, unit="V"), source=SOURCE),
        ),
        "srs": Energy(
            id="srs",
            kind="restraints",
            after=("lv",),
            wait=Wait(minutes=3.0, start="lead", source=SOURCE),
            proof=Proof(check="wait elapsed", source=SOURCE),
        ),
        "hv": Energy(
            id="hv",
            kind="high voltage",
            item="disconnect",
            near=("F",),
            after=("lv",),
            attended=True,
            wait=Wait(minutes=10.0, start="disconnect", source=SOURCE),
            proof=Proof(points=("a-b",), at_most=Limit(value=5.0, unit="V"), reach=reach, source=SOURCE),
        ),
        "hot": Energy(id="hot", kind="hot coolant", make_safe="cooled", proof=Proof(check="hand warm", source=SOURCE)),
    }


def _fluids(maker: _Maker) -> dict[str, Fluid]:
    """One loop, opened by some removed items and let out at a plug of its own."""
    chance = maker.chance
    handled = [item.id for item in maker.items if item.action is Action.REMOVE and item.id.startswith("i")]
    if not handled:
        return {}
    plug = Joint(id="plug-j", item="plug", count=1, kind="bolt", drive="hex13", thread=read_thread("M14"), source=None)
    maker.items.append(
        Item(
            id="plug",
            name="drain plug seal",
            zone="D",
            action=Action.RENEW,
            minutes_off=0.0,
            minutes_on=0.5,
            one_time=True,
            renew_with_fluids=("coolant",),
            joints=(plug,),
        )
    )
    opened = tuple(chance.sample(handled, min(len(handled), 3)))
    return {
        "coolant": Fluid(
            id="coolant",
            litres=6.0,
            tolerance_l=0.2,
            energy="hot",
            drain_joint="plug-j",
            opened_by=opened,
            mass_kg=6.4,
            ahead_of_front_axle_mm=300.0,
            source=SOURCE,
        )
    }


def _standing_guards() -> list[Guard]:
    return [Guard(id="covers", name="wing covers", zone="C", pieces=2, in_after="start", out_before="end")]
