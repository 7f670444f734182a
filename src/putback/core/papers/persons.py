"""One idea: who worked and what protected them is printed as it was logged, names from outside the record."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from putback.core.gates.case import Fact
from putback.core.papers.section import NOT_RECORDED, Column, Row, Section, Table
from putback.core.papers.told import Told, figure, listed


def who_worked(told: Told) -> Section:
    """Everybody at work, with the letter that stands for them, the grades they showed and their lines."""
    rows = tuple(_person(told, id, letter) for id, letter in told.letters.items())
    columns = (
        Column(name="", share=0.5),
        Column(name="name", share=3),
        Column(name="grades shown", share=5),
        Column(name="lines", share=0.9, figure=True),
        Column(name="first to last", share=2.2),
    )
    return Section(id="who", title="Who worked", tables=(Table(columns=columns, rows=rows),))


def _person(told: Told, id: str, letter: str) -> Row:
    own = [fact for fact in told.case.facts if fact.person == id]
    grades = [
        f"{fact.says('grade')}, {fact.says('issuer')}, to {fact.says('expires')}"
        for fact in told.of_kind("grade shown")
        if fact.stands and fact.says("who") == id
    ]
    span = f"{told.time(own[0].event.at)} to {told.time(own[-1].event.at)}" if own else "–"
    return Row(cells=(letter, told.name(id), "; ".join(grades) or "none", str(len(own)), span))


def _gloves(told: Told, fact: Fact) -> str:
    return (
        f"{told.person(fact.says('who'))}: class {fact.says('class')} ({fact.says('basis')}), serial "
        f"{fact.says('serial')}, electrical test {fact.says('tested')}, air test {fact.says('air_test')}"
    )


def _keys(told: Told, fact: Fact) -> str:
    return (
        f"{figure(fact.says('in_box'))} of {figure(fact.says('of'))} keys in the lock box, charge lead "
        f"{fact.says('charge_lead')}, remote starts {figure(fact.says('remote_starts'))}, memory savers "
        f"{figure(fact.says('memory_savers'))}, key held by {told.name(fact.says('holder'))}"
    )


def _bonding(told: Told, fact: Fact) -> str:
    return f"{told.thing(fact.says('item'))}: {figure(fact.says('value'))} {fact.says('unit')}" + (
        f", {fact.says('instrument')}" if fact.says("instrument") else ", instrument not recorded"
    )


def _who(told: Told, fact: Fact) -> str:
    return listed([told.person(fact.says("who")) if fact.says("who") else "", str(fact.says("note") or "")])


def _device(told: Told, fact: Fact) -> str:  # noqa: ARG001 - one shape for all
    seconds = fact.says("seconds")
    return listed([str(fact.says("device") or fact.device), f"{figure(seconds)} s" if seconds is not None else ""])


_LINES: Mapping[str, Callable[[Told, Fact], str]] = MappingProxyType(
    {
        "second person named": _who,
        "boundary set": _who,
        "keys counted": _keys,
        "key moved": _who,
        "charge lead plugged": _who,
        "gloves checked": _gloves,
        "people seen clear": _who,
        "bonding checked": _bonding,
        "person came": _who,
        "person left": _who,
        "shift ended": _who,
        "device restarted": _device,
        "clock jumped": _device,
    }
)


def protection(told: Told) -> Section:
    """Gloves, keys, boundary, second person, people clear, bonding, and what ended a sitting."""
    columns = (
        Column(name="when, who", share=1.6),
        Column(name="what", share=2.4),
        Column(name="as logged", share=7),
        Column(name="event", share=0.8, figure=True),
    )
    return Section(
        id="protection",
        title="People, keys, gloves, clocks",
        tables=(Table(columns=columns, rows=tuple(_protection(told))),),
        absent=f"Second person, boundary, keys, gloves: {NOT_RECORDED}.",
    )


def _protection(told: Told) -> Iterator[Row]:
    for fact in told.case.facts:
        if fact.kind in _LINES:
            says = _LINES[fact.kind](told, fact)
            yield Row(cells=(told.stamp(fact), fact.kind, says, str(fact.place)), owed=not fact.stands)
