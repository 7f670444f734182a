"""One idea: while a plan is written there is one sheet, and operations are only ever added to it."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from putback.core.car import Car, Guard, Item, Joint, Lift, Way
from putback.core.energy import needs_of
from putback.core.operations import Operation, Verb
from putback.plan.plan import LastLook
from putback.plan.steps import Step, Steps, tools_for
from putback.plan.work import Work


@dataclass(slots=True, kw_only=True)
class Sheet:
    """The operations so far, and what has been seen, begun and renewed. `stow` and `rework` are by id, [min].

    `hides` gives for each item what it covers directly; `placeless` are the steps without a place.
    """

    built: Steps
    targets: frozenset[str]
    stow: Mapping[str, str]
    rework: Mapping[str, float]
    operations: list[Operation] = field(default_factory=list)
    looks: list[LastLook] = field(default_factory=list)
    done: set[int] = field(default_factory=set)
    begun: set[str] = field(default_factory=set)
    renewed: set[str] = field(default_factory=set)
    seen: set[str] = field(default_factory=set)
    lift: Lift = Lift.DOWN
    placeless: tuple[int, ...] = ()
    hides: dict[str, list[str]] = field(default_factory=dict)
    left_in_stage: Counter[int] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        steps = self.built.steps
        self.placeless = tuple(number for number, step in enumerate(steps) if step.zone is None)
        self.left_in_stage = Counter(step.stage for step in steps)
        for id in self.work.items:
            for cover in dict.fromkeys(needs_of(self.car, id, self.work.ways)):
                self.hides.setdefault(cover, []).append(id)

    @property
    def stage_reached(self) -> int:
        """The earliest stage in which a step is not done yet."""
        return min((stage for stage, left in self.left_in_stage.items() if left), default=0)

    def tick(self, number: int) -> None:
        """Note that a step is done."""
        self.done.add(number)
        self.left_in_stage[self.built.steps[number].stage] -= 1

    @property
    def car(self) -> Car:
        """The car."""
        return self.built.car

    @property
    def work(self) -> Work:
        """The work."""
        return self.built.work

    def say(self, verb: Verb, **fields: Any) -> None:
        """Write one operation; the fields are those of `Operation`."""
        self.operations.append(Operation(n=len(self.operations) + 1, verb=verb, **fields))

    def joint(self, step: Step) -> Joint:
        """The joint that a step undoes or tightens."""
        return next(joint for joint in self.car.items[step.item or ""].joints if joint.id == step.thing)

    def way(self, joint: Joint) -> Way | None:
        """The chosen way of a joint; None for one that is reached directly."""
        return joint.way(self.work.ways[joint.id]) if joint.id in self.work.ways else None

    def of_joint(self, joint: Joint) -> dict[str, Any]:
        """The fields that every operation on a joint shares."""
        item = self.car.items[joint.item]
        return {
            "item": item.id,
            "joint": joint.id,
            "way": self.work.ways.get(joint.id),
            "count": joint.count,
            "thread": joint.thread.text if joint.thread else joint.kind,
            "drive": joint.drive,
            "tools": tools_for(joint, self.work.ways),
            "zone": item.zone,
            "people": item.people,
        }

    def of_item(self, item: Item) -> dict[str, Any]:
        """The fields that every operation on an item shares.

        An item without joints is handled for itself, by hand; one with joints goes along with them.
        """
        tools = () if item.joints else ("hand",)
        return {"item": item.id, "zone": item.zone, "people": item.people, "tools": tools}

    def supports(self, item: Item) -> list[Guard]:
        """The guards that hold an item while its joints are undone."""
        return [guard for guard in self.car.guards.values() if guard.support_for == item.id]

    def last_step_of(self, item: Item, steps: Mapping[str, list[int]], number: int) -> bool:
        """Whether with this step all of the item's own are done."""
        return set(steps[item.id]) <= self.done | {number}
