"""One idea: the work becomes steps with places, and every rule of order becomes a pair (this before that).

Only steps that cost a change of tool, zone or lift, or that carry an order of their own (isolations, proofs,
restorations, fills), are steps here. What goes along with a neighbour (lifting a part off once its last joint is
undone, plugging its port) is added when the order is written out.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from putback.core.car import END, HAND, START, Action, Car, Guard, Item, Joint
from putback.core.energy import demands, early, made_safe_first, needs_of, restored_first
from putback.plan.work import Work

BY_HAND = (HAND,)


class Does(StrEnum):
    """What a step does."""

    UNDO = "undo"
    OFF = "off"
    GUARD = "guard"
    ISOLATE = "isolate"
    PROVE = "prove"
    TIGHTEN = "tighten"
    BACK = "back"
    UNGUARD = "unguard"
    RENEW = "renew"
    RESTORE = "restore"
    FILL = "fill"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the way in or the way back. `zone` None: it has no place and costs no change.

    `stage`: 0 making safe and what it asks for, 1 the rest of the way in, 2 the way back.
    """

    does: Does
    thing: str
    stage: int
    item: str | None = None
    tools: tuple[str, ...] = ()
    zone: str | None = None
    people: int = 1


@dataclass(slots=True)
class Steps:
    """The steps of some work and the pairs (a, b): step a comes before step b."""

    car: Car
    work: Work
    steps: list[Step] = field(default_factory=list)
    before: set[tuple[int, int]] = field(default_factory=set)
    way_in: dict[str, list[int]] = field(default_factory=dict)
    way_back: dict[str, list[int]] = field(default_factory=dict)
    of_joint: dict[tuple[Does, str], int] = field(default_factory=dict)
    isolate: dict[str, int] = field(default_factory=dict)
    prove: dict[str, int] = field(default_factory=dict)
    restore: dict[str, int] = field(default_factory=dict)
    fill: dict[str, int] = field(default_factory=dict)
    attached_renewals: dict[str, list[str]] = field(default_factory=dict)

    def add(self, step: Step) -> int:
        """Number a step."""
        self.steps.append(step)
        return len(self.steps) - 1

    def order(self, first: Iterable[int], then: Iterable[int]) -> None:
        """Every one of `first` comes before every one of `then`."""
        later = list(then)
        self.before.update((a, b) for a in first for b in later if a != b)


def tools_for(joint: Joint, ways: Mapping[str, str]) -> tuple[str, ...]:
    """What a joint is undone and tightened with: the tools of its chosen way, else its drive, else the hand."""
    return joint.tools(joint.way(ways[joint.id]) if joint.id in ways else None)


def build_steps(car: Car, work: Work) -> Steps:
    """All steps of some work, with every pair that the rules of order ask for."""
    built = Steps(car=car, work=work)
    first = early(car, work.energies, work.ways)
    for id in work.items:
        _add_handling(built, car.items[id], stage=0 if id in first else 1)
    _add_energies(built)
    _order_links(built)
    _order_renewals(built)
    _order_energies(built, first)
    _order_fluids(built)
    _add_standing_guards(built)
    return built


def _add_handling(built: Steps, item: Item, *, stage: int) -> None:
    """The item's own steps: its joints undone and tightened, or the item handled where it has none."""
    way_in: list[int] = []
    way_back: list[int] = []
    people = item.people
    for joint in item.joints:
        tools = tools_for(joint, built.work.ways)
        for does, list_, at in ((Does.UNDO, way_in, stage), (Does.TIGHTEN, way_back, 2)):
            number = built.add(
                Step(does=does, thing=joint.id, stage=at, item=item.id, tools=tools, zone=item.zone, people=people)
            )
            built.of_joint[does, joint.id] = number
            list_.append(number)
    if not item.joints and not _only_renewed(item):
        for does, list_, at in ((Does.OFF, way_in, stage), (Does.BACK, way_back, 2)):
            step = Step(does=does, thing=item.id, stage=at, item=item.id, tools=BY_HAND, zone=item.zone, people=people)
            list_.append(built.add(step))
    built.way_in[item.id] = way_in
    built.way_back[item.id] = way_back


def _add_energies(built: Steps) -> None:
    for id in built.work.energies:
        built.isolate[id] = built.add(Step(does=Does.ISOLATE, thing=id, stage=0))
        built.prove[id] = built.add(Step(does=Does.PROVE, thing=id, stage=0))
        built.restore[id] = built.add(Step(does=Does.RESTORE, thing=id, stage=2))
    for id in built.work.fluids:
        built.fill[id] = built.add(Step(does=Does.FILL, thing=id, stage=2))


def _handled(built: Steps, id: str, which: dict[str, list[int]]) -> Iterator[int]:
    """The steps of an item; of what it needs in turn where it has none of its own (a gasket in a chain)."""
    if which[id]:
        yield from which[id]
        return
    for need in needs_of(built.car, id, built.work.ways):
        yield from _handled(built, need, which)


def _order_links(built: Steps) -> None:
    """What must be off first comes off first and goes back last.

    What only a way asks for goes back when every joint of the item is tight: it hides the item from the hand that
    tightens, and no item hangs on some of its joints while another is fitted over it.
    """
    ways = built.work.ways
    for id in built.work.items:
        item = built.car.items[id]
        for link in item.needs_off:
            built.order(_handled(built, link.item, built.way_in), built.way_in[id])
            built.order(built.way_back[id], list(_handled(built, link.item, built.way_back)))
        for joint in item.joints:
            if joint.id not in ways:
                continue
            for link in joint.way(ways[joint.id]).needs_off:
                built.order(_handled(built, link.item, built.way_in), [built.of_joint[Does.UNDO, joint.id]])
                back = list(_handled(built, link.item, built.way_back))
                built.order(built.way_back[id], back)


def _order_renewals(built: Steps) -> None:
    """A one-time part goes in with the item it sits behind; one in another zone, or behind none, is a step."""
    for id in built.work.items:
        item = built.car.items[id]
        if item.action is not Action.RENEW:
            continue
        hosts = _closed_over_by(built, item)
        if not built.way_back[id]:
            if _goes_in_with(built, item, hosts):
                for host in hosts:
                    built.attached_renewals.setdefault(host, []).append(id)
                continue
            step = Step(does=Does.RENEW, thing=id, stage=2, item=id, tools=BY_HAND, zone=item.zone, people=item.people)
            built.way_back[id].append(built.add(step))
        for host in hosts:
            built.order(built.way_back[id], list(_handled(built, host, built.way_back)))


def _only_renewed(item: Item) -> bool:
    """Whether an item is a part that is exchanged without joints of its own: it closes over nothing."""
    return item.action is Action.RENEW and not item.joints


def _goes_in_with(built: Steps, item: Item, hosts: list[str]) -> bool:
    """Whether a part needs no step of its own: it goes in where its hosts do, and they wait for all it waits for.

    A loop that it leaves open, an energy that it needs made safe: each must be one of a host's as well.
    """
    items = built.car.items
    if {items[host].zone for host in hosts} != {item.zone} or any(_only_renewed(items[host]) for host in hosts):
        return False
    opened = [built.car.fluids[id].opened_by for id in built.work.fluids]
    loops = [by for by in opened if item.id in by]
    safe = {energy for host in hosts for energy in built.car.energies_of(items[host])}
    return all(set(by) & set(hosts) for by in loops) and safe.issuperset(built.car.energies_of(item))


def _closed_over_by(built: Steps, item: Item) -> list[str]:
    """The items of the work that may go back only when this part is new."""
    hosts = [link.item for link in item.needs_off]
    hosts += [id for id in item.renew_with_items if id in built.way_in and not _only_renewed(built.car.items[id])]
    hosts += [id for id in built.work.items if any(j.id == item.renews_joint for j in built.car.items[id].joints)]
    drains = [built.car.drained_at(built.car.fluids[id]) for id in built.work.fluids if id in item.renew_with_fluids]
    hosts += [id for id in drains if id]
    return list(dict.fromkeys(host for host in hosts if host != item.id))


def _order_energies(built: Steps, first: frozenset[str]) -> None:
    """Making safe precedes all other work; giving back mirrors it."""
    car, work = built.car, built.work
    wanted = demands(car, work.ways)
    for id in work.items:
        if id in first:
            for demand in wanted[id]:
                state = built.prove if demand.proven else built.isolate
                built.order([state[demand.energy]], built.way_in[id])
        else:
            built.order(built.prove.values(), built.way_in[id])
        built.order(built.prove.values(), built.way_back[id])
    for id in work.energies:
        needing = [item for item in work.items if any(demand.energy == id for demand in wanted[item])]
        _order_one_energy(built, id, needing, first)
    for a, b in made_safe_first(car, work.energies):
        built.order([built.prove[a]], [*_operated(built, b, built.way_in), built.isolate[b]])
    for a, b in restored_first(car, work.energies):
        built.order([built.restore[a]], [*_operated(built, b, built.way_back), built.restore[b]])


def _operated(built: Steps, energy: str, which: dict[str, list[int]]) -> list[int]:
    item = built.car.energies[energy].item
    return list(_handled(built, item, which)) if item else []


def _order_one_energy(built: Steps, id: str, needing: list[str], first: frozenset[str]) -> None:
    """Isolate behind its item, prove behind what must be off for it; restore when all that needed it is back.

    An energy that no item isolates is made safe where it is proven: what uncovers that place comes off first, unless
    it needs the energy isolated itself.
    """
    energy = built.car.energies[id]
    built.order(_operated(built, id, built.way_in), [built.isolate[id]])
    built.order([built.isolate[id]], [built.prove[id]])
    built.order([built.prove[id]], [built.restore[id]])
    for item in energy.proof.reach if energy.proof else ():
        reached = list(_handled(built, item, built.way_in))
        built.order(reached, [built.prove[id]])
        if energy.item is None and item not in needing:
            built.order(reached, [built.isolate[id]])
    back = _operated(built, id, built.way_back)
    built.order(back, [built.restore[id]])
    for item in needing:
        built.order(built.way_back[item], [*back, built.restore[id]])
    for item in built.work.items:
        if item not in first:
            built.order(built.way_back[item], back)


def _order_fluids(built: Steps) -> None:
    """A loop is drained before the first item that opens it, and filled once the last of them is back."""
    car = built.car
    for id in built.work.fluids:
        fluid = car.fluids[id]
        opened = [item for item in fluid.opened_by if item in built.way_in]
        at = car.drained_at(fluid)
        drains = built.way_in[at] if at else []
        closes = built.way_back[at] if at else []
        if fluid.drain_joint:
            drains = [built.of_joint[Does.UNDO, fluid.drain_joint]]
        for item in opened:
            if item != at:
                built.order(drains, built.way_in[item])
            built.order(built.way_back[item], [built.fill[id]])
        built.order(closes, [built.fill[id]])
        for item in built.work.items:
            if id in car.items[item].renew_with_fluids:
                built.order(built.way_back[item], [built.fill[id]])
        if fluid.energy in built.prove:
            built.order([built.prove[fluid.energy]], drains)
            built.order([built.fill[id]], [built.restore[fluid.energy]])


def _add_standing_guards(built: Steps) -> None:
    """Guards that stand from the start go in before all else, those that stand to the end come out after all."""
    others = range(len(built.steps))
    first: list[int] = []
    last: list[int] = []
    for guard in built.car.guards.values():
        span = guard_span(guard, built.work)
        if span is None:
            continue
        if span[0] == START:
            first.append(built.add(_standing(guard, Does.GUARD, 0)))
        if span[1] == END:
            last.append(built.add(_standing(guard, Does.UNGUARD, 2)))
    built.order(first, [*others, *last])
    built.order([*first, *others], last)


def _standing(guard: Guard, does: Does, stage: int) -> Step:
    return Step(does=does, thing=guard.id, stage=stage, tools=BY_HAND, zone=guard.zone)


def guard_span(guard: Guard, work: Work) -> tuple[str, str] | None:
    """When a guard that plugs no port goes in and comes out: `start` or an item, an item or `end`.

    None: it plugs ports, supports an item, or the item it belongs to stays on.
    """
    if guard.closes or guard.support_for:
        return None
    put_in = guard.in_after or START
    if put_in != START and put_in not in work.items:
        return None
    out = guard.out_before or (END if put_in == START else put_in)
    return put_in, out if out in work.items else END
