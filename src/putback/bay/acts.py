"""One idea: a hand does an act, not an operation: bolts out, part off, plug in is one tap, if all goes as planned.

Acts are what the bay page offers. Each lists its operations in the plan's order and the acts that come before it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.bay.order import pairs_of
from putback.core.car import Car
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing to do by hand: `does` says how it is shown, `thing` what it is done to (an id, or "").

    `operations` are numbers of the plan; `after` are places in the list of acts, without those that follow.
    """

    does: str
    thing: str
    operations: tuple[int, ...]
    after: tuple[int, ...] = ()


_ALONE: Mapping[Verb, str] = MappingProxyType(
    {
        Verb.ISOLATE: "isolate",
        Verb.WAIT: "prove",
        Verb.PROVE_DEAD: "prove",
        Verb.RESTORE: "restore",
        Verb.FILL: "fill",
        Verb.READ_BEFORE: "read",
        Verb.READ_AFTER: "read",
        Verb.RELEARN: "say",
        Verb.ROAD_TEST: "say",
        Verb.RAISE: "lift",
        Verb.LOWER: "lift",
    }
)


def acts_of(plan: Plan) -> tuple[Act, ...]:
    """The acts of a plan, in the order of their first operations. A last look belongs to what goes back."""
    supported = {guard.id: guard.support_for for guard in plan.car.guards.values() if guard.support_for}
    torqued = {joint.item for joint in plan.car.joints() if joint.torqued}
    hosts = _hosts(plan)
    groups: dict[tuple[str, str], list[int]] = {}
    for operation in plan.operations:
        does, thing = _group(plan, operation, supported, hosts)
        if does == "tighten" and thing not in torqued:
            does = "on"
        groups.setdefault((does, thing), []).append(operation.n)
    acts = [
        Act(does=does, thing=thing if does not in _NUMBERED else "", operations=tuple(numbers))
        for (does, thing), numbers in groups.items()
    ]
    return _ordered(acts, pairs_of(plan))


_NUMBERED = frozenset({"say", "lift", "read"})


def _group(
    plan: Plan, op: Operation, supported: Mapping[str, str | None], hosts: Mapping[int, str]
) -> tuple[str, str]:
    """The act that an operation belongs to."""
    verb, item = op.verb, op.item or ""
    if verb in _ALONE:
        does = _ALONE[verb]
        return does, str(op.n) if does in _NUMBERED else (op.fluid if does == "fill" else op.energy) or ""
    if verb in (Verb.GUARD, Verb.UNGUARD):
        return _guard_group(plan.car, op, supported)
    if verb is Verb.RENEW:
        return ("on", hosts[op.n]) if op.n in hosts else ("renew", item)
    if verb in _OF_ITEM:
        return _OF_ITEM[verb], item
    return ("tick", op.energy) if op.energy else ("say", str(op.n))


_OF_ITEM: Mapping[Verb, str] = MappingProxyType(
    dict.fromkeys((*ITEM_OFF, Verb.UNDO, Verb.DRAIN), "off")
    | dict.fromkeys((*ITEM_BACK, Verb.START, Verb.INSPECT), "on")
    | {Verb.TIGHTEN: "tighten"}
)


def _guard_group(car: Car, op: Operation, supported: Mapping[str, str | None]) -> tuple[str, str]:
    """A guard goes with its item; at an energy's item it comes out by itself, before the gate opens."""
    guard = car.guards[op.guard or ""]
    going_in = op.verb is Verb.GUARD
    if guard.id in supported:
        return "off" if going_in else "tighten", supported[guard.id] or ""
    at = op.item if op.item in guard.closes else guard.in_after if going_in else guard.out_before
    operated = any(energy.item == at for energy in car.energies.values())
    if at is None or at not in car.items or (operated and not going_in):
        return ("guard" if going_in else "unguard"), guard.id
    return "off" if going_in else "on", at


def _hosts(plan: Plan) -> Mapping[int, str]:
    """The item with which each new part goes in, where it goes along with one: it stands right before the fit."""
    found: dict[int, str] = {}
    waiting: list[int] = []
    for operation in plan.operations:
        if operation.verb is Verb.RENEW:
            waiting.append(operation.n)
            if operation.tools:
                waiting.clear()
        elif operation.verb in ITEM_BACK or operation.verb is Verb.START:
            found |= dict.fromkeys(waiting, operation.item or "")
            waiting.clear()
        elif operation.verb is not Verb.INSPECT:
            waiting.clear()
    return MappingProxyType(found)


def _ordered(acts: list[Act], pairs: Iterable[tuple[int, int]]) -> tuple[Act, ...]:
    """The acts with what comes before each: the pairs of their operations, without those that follow from others."""
    place = {n: at for at, act in enumerate(acts) for n in act.operations}
    direct: dict[int, set[int]] = {at: set() for at in range(len(acts))}
    for a, b in pairs:
        if place[a] != place[b]:
            direct[place[b]].add(place[a])
    behind: dict[int, int] = {}
    least: dict[int, tuple[int, ...]] = {}
    for at in _sorted(direct):
        reached, kept = 0, []
        for before in sorted(direct[at], key=lambda one: -behind[one].bit_count()):
            if not reached >> before & 1:
                kept.append(before)
                reached |= behind[before] | 1 << before
        behind[at], least[at] = reached, tuple(sorted(kept))
    return tuple(
        Act(does=act.does, thing=act.thing, operations=act.operations, after=least[at]) for at, act in enumerate(acts)
    )


def _sorted(direct: Mapping[int, set[int]]) -> list[int]:
    """Every act after all that comes before it.

    Raises:
        ValueError: acts wait for one another in a circle.
    """
    left = {at: set(before) for at, before in direct.items()}
    order: list[int] = []
    while left:
        ready = [at for at, before in left.items() if not before]
        if not ready:
            raise ValueError(f"acts wait for one another: {sorted(left)}")
        order += ready
        for at in ready:
            del left[at]
        for before in left.values():
            before.difference_update(ready)
    return order
