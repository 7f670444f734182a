"""One idea: a record is retold in the names of its car file, with every person under one letter.

Letters go by first appearance, so that a table stays readable where a name is long, and says who where it was deleted.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from string import ascii_uppercase
from types import MappingProxyType
from typing import Any

from putback.core.car import Joint
from putback.core.gates import Case
from putback.core.gates.case import Fact
from putback.core.operations import Operation
from putback.core.record import is_id


@dataclass(frozen=True, kw_only=True)
class Told:
    """A case with the names of its people as they are known now.

    Args:
        case: the record, read for its gates.
        people: names by id; somebody whose name was deleted is called so in here.
    """

    case: Case
    people: Mapping[str, str]

    @cached_property
    def done(self) -> tuple[tuple[Operation, Fact], ...]:
        """Every operation that stands, with its event, in the order of the record."""
        places, facts = self.case.place_of, self.case.facts
        folded = self.case.folded
        return tuple(
            (operation, facts[places[id] - 1]) for operation, id in zip(folded.operations, folded.made_by, strict=True)
        )

    @cached_property
    def joints(self) -> Mapping[str, Joint]:
        """Every joint of the car by its id."""
        return MappingProxyType({joint.id: joint for joint in self.case.car.joints()})

    @cached_property
    def letters(self) -> Mapping[str, str]:
        """The letter of everybody whose work the record is, or whom it names as one at work."""
        ids = dict.fromkeys(id for fact in self.case.facts for id in _named(fact))
        return MappingProxyType({id: _letter(place) for place, id in enumerate(ids)})

    @cached_property
    def one_day(self) -> bool:
        """Whether all of it lies on one day of the devices' clocks."""
        return len({fact.event.at[:10] for fact in self.case.facts}) <= 1

    def of_kind(self, *kinds: str) -> Iterator[Fact]:
        """The events of some kinds, in order."""
        return (fact for fact in self.case.facts if fact.kind in kinds)

    def time(self, text: str) -> str:
        """A time as its device wrote it, to the minute; with month and day where the record spans several days."""
        return text[11:16] if self.one_day else f"{text[5:10]} {text[11:16]}"

    def stamp(self, fact: Fact) -> str:
        """When and by whom: `08:12 A`."""
        return " ".join(part for part in (self.time(fact.event.at), self.letter(fact.person)) if part)

    def letter(self, id: object) -> str:
        """The letter of a person; "" where nobody is named."""
        return self.letters.get(id, "") if isinstance(id, str) else ""

    def name(self, id: object) -> str:
        """The name of a person; the id where the people's table knows none."""
        if not isinstance(id, str) or not id:
            return "nobody named"
        return self.people.get(id, id)

    def person(self, id: object) -> str:
        """A person by letter and name."""
        return f"{self.letter(id)} {self.name(id)}".strip()

    def thing(self, id: object) -> str:
        """A thing of the car by its name; an id that the car does not know as it stands."""
        return self.case.name(id) if isinstance(id, str) else ""

    def operation(self, operation: Operation) -> str:
        """What was done to what: `undo housing`, `drain engine fluid`."""
        item = operation.item or self.case.home.get(operation.joint or "")
        if operation.guard:
            return f"{operation.verb} {self.thing(operation.guard)}" + (f", at {self.thing(item)}" if item else "")
        fluid = f"{operation.fluid} fluid" if operation.fluid else ""
        thing = fluid or (self.thing(item) if item else self.thing(operation.energy))
        return f"{operation.verb} {thing}".strip()

    def joint_text(self, id: str) -> str:
        """What a joint is made of: `10 × M6x25`, without its count where the car file does not know it."""
        joint = self.joints.get(id)
        return f"{joint.count} × {kind_of(joint)}" if joint else id


def kind_of(joint: Joint) -> str:
    """The fastener of a joint, in one word or two."""
    return joint.thread.text if joint.thread else joint.kind or "fastener"


def _named(fact: Fact) -> Iterator[str]:
    if fact.person:
        yield fact.person
    who = fact.says("who")
    if fact.kind in _AT_WORK and is_id(who):
        yield str(who)


_AT_WORK = frozenset(
    {
        "person came",
        "second person named",
        "grade shown",
        "gloves checked",
        "people seen clear",
        "boundary set",
        "override given",
        "energy checked",
        "reading taken",
        "bonding checked",
        "asked and waived",
    }
)
"""Kinds whose `who` is somebody at work, not the owner."""


def _letter(place: int) -> str:
    """A, B, … Z, A2, B2, …

    >>> _letter(0), _letter(25), _letter(26)
    ('A', 'Z', 'A2')
    """
    round_, at = divmod(place, len(ascii_uppercase))
    return ascii_uppercase[at] + (str(round_ + 1) if round_ else "")


def figure(value: Any) -> str:
    """A number as people write it; anything else as it stands.

    >>> figure(6.80), figure(3.0), figure("?")
    ('6.8', '3', '?')
    """
    return f"{value:.10g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


def listed(texts: Iterable[str]) -> str:
    """Texts that say something, with commas."""
    return ", ".join(text for text in texts if text)
