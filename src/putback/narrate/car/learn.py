"""One idea: what recordings show of what is in the way of what, and how sure that is; they are never averaged.

A thing X may need Y off where Y came off before X and went back after it. A step that nobody logged breaks such an
order, so a link is dropped by no single job, and a mark ("this had to come off first") holds whatever the order
says. What speaks against what is kept, to be shown.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from putback.core.car import Origin
from putback.core.operations import ITEM_BACK, ITEM_OFF, Verb
from putback.core.procedure import Line, Procedure

JOBS_TO_DROP: Final = 2
"""So many jobs must speak against a link that nobody marked before it is set aside."""
MOST_QUESTIONS: Final = 3
MOST_TO_TICK: Final = 8
"""So many things are asked about in one question at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The order of one job: for each thing the line that took it off and the one that put it back.

    `marks` are pairs (thing, what had to come off first). A thing that came off or went back more than once stands
    in `touched` alone: its order proves nothing.
    """

    name: str
    off: Mapping[str, int]
    back: Mapping[str, int]
    touched: frozenset[str]
    marks: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What all jobs say of one link: `thing` needs `first` off. The lists name jobs."""

    thing: str
    first: str
    seen: tuple[str, ...]
    marked: tuple[str, ...]
    against: tuple[str, ...]

    @property
    def origin(self) -> Origin:
        """How far it may be relied on."""
        if self.marked:
            return Origin.CONFIRMED
        return Origin.ASSUMED if self.against else Origin.SEEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What recordings have shown.

    `links` are kept, by thing; `set_aside` are links that several jobs speak against and nobody marked; `circles`
    are links that would close a circle with surer ones and so cannot be kept. `times` counts the jobs of each thing.
    """

    times: Mapping[str, int]
    jobs: int
    links: Mapping[str, tuple[Evidence, ...]]
    set_aside: tuple[Evidence, ...]
    circles: tuple[Evidence, ...]

    @property
    def things(self) -> tuple[str, ...]:
        """Everything that a job touched."""
        return tuple(self.times)

    @property
    def thin(self) -> frozenset[str]:
        """What one job alone has touched: a step that nobody logged there cannot be seen."""
        return frozenset(thing for thing, count in self.times.items() if count < JOBS_TO_DROP)

    @property
    def contradictions(self) -> tuple[Evidence, ...]:
        """Links that are kept although a job speaks against them."""
        return tuple(one for links in self.links.values() for one in links if one.against)

    def needs(self, thing: str, *, sure: bool = False) -> tuple[str, ...]:
        """What must be off before this thing, by links kept; only those that someone has confirmed if `sure`."""
        links = self.links.get(thing, ())
        return tuple(one.first for one in links if not sure or one.origin is Origin.CONFIRMED)

    def closure(self, things: Iterable[str], *, sure: bool = False) -> dict[str, None]:
        """These things and all that must be off before them, nearest first."""
        found: dict[str, None] = dict.fromkeys(things)
        waiting = list(found)
        for thing in waiting:
            more = [one for one in self.needs(thing, sure=sure) if one not in found]
            found.update(dict.fromkeys(more))
            waiting += more
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A question: which of `candidates` must be off before `thing`? `minutes` is what hangs on it, [min]."""

    thing: str
    candidates: tuple[str, ...]
    minutes: float

    @property
    def text(self) -> str:
        """The question in words."""
        return f"which of these must be off before {self.thing}: {', '.join(self.candidates)}?"


def recorded(procedure: Procedure) -> Recorded:
    """The order in which a procedure's things came off and went back."""
    lines = {line.n: line for line in procedure.lines}
    off: dict[str, list[int]] = {}
    back: dict[str, list[int]] = {}
    for line in procedure.lines:
        for thing in things_of(line, lines, procedure) if line.verb is not Verb.RENEW else ():
            (off if line.verb in ITEM_OFF else back).setdefault(thing, []).append(line.n)
    for line in procedure.lines:
        thing = procedure.named(line.object)
        if thing and line.verb is Verb.RENEW and thing not in off and thing not in back:
            off[thing] = back[thing] = [line.n]
    place = {line.n: place for place, line in enumerate(procedure.lines)}
    marks = {
        (thing, before)
        for line in procedure.lines
        for first in line.first
        for thing in things_of(line, lines, procedure)
        for before in things_of(lines[first], lines, procedure)
        if thing != before
    }
    return Recorded(
        name=procedure.file,
        off={thing: place[numbers[0]] for thing, numbers in off.items() if len(numbers) == 1},
        back={thing: place[numbers[0]] for thing, numbers in back.items() if len(numbers) == 1},
        touched=frozenset(off) | frozenset(back),
        marks=frozenset(marks),
    )


def things_of(line: Line, lines: Mapping[int, Line], procedure: Procedure) -> tuple[str, ...]:
    """The names on this car of what a line takes off, puts back or renews; the way back takes them from its twins."""
    if line.verb not in ITEM_OFF and line.verb not in ITEM_BACK and line.verb is not Verb.RENEW:
        return ()
    twins = [lines[n] for n in line.undoes if n in lines and lines[n].verb in ITEM_OFF]
    about = twins if twins and line.verb in ITEM_BACK else [line]
    return tuple(dict.fromkeys(procedure.named(one.object) for one in about if one.object))


class _Sign(Enum):
    """What one job says of one link."""

    FOR = 1
    AGAINST = 2
    NOTHING = 3


def _sign(job: Recorded, thing: str, first: str) -> _Sign:
    """What one job says of `thing` needing `first` off."""
    if thing not in job.off and thing not in job.back:
        return _Sign.NOTHING
    if first not in job.touched:
        return _Sign.AGAINST
    says = []
    if thing in job.off and first in job.off:
        says.append(job.off[first] < job.off[thing])
    if thing in job.back and first in job.back:
        says.append(job.back[thing] < job.back[first])
    if not says:
        return _Sign.NOTHING
    return _Sign.FOR if all(says) else _Sign.AGAINST


def _evidence(jobs: Sequence[Recorded], thing: str, first: str) -> Evidence | None:
    signs = [(job.name, _sign(job, thing, first)) for job in jobs]
    seen = tuple(name for name, sign in signs if sign is _Sign.FOR)
    marked = tuple(job.name for job in jobs if (thing, first) in job.marks)
    if not seen and not marked:
        return None
    against = tuple(name for name, sign in signs if sign is _Sign.AGAINST)
    return Evidence(thing=thing, first=first, seen=seen, marked=marked, against=against)


def learned(jobs: Sequence[Recorded]) -> Learned:
    """What these jobs show together. The order of the jobs changes nothing but the order of names.

    Args:
        jobs: recordings of one car, under names of their own.
    """
    things = tuple(dict.fromkeys(thing for job in jobs for thing in [*job.off, *job.back, *sorted(job.touched)]))
    found = []
    for thing in things:
        about = [job for job in jobs if thing in job.touched]
        beside = dict.fromkeys(one for job in about for one in [*job.off, *job.back, *sorted(job.touched)])
        found += [one for first in beside if first != thing and (one := _evidence(about, thing, first))]
    dropped = [one for one in found if not one.marked and len(one.against) >= JOBS_TO_DROP]
    kept = [one for one in found if one.marked or len(one.against) < JOBS_TO_DROP]
    links, circles = _without_circles(kept)
    times = {thing: sum(thing in job.touched for job in jobs) for thing in things}
    return Learned(times=times, jobs=len(jobs), links=links, set_aside=tuple(dropped), circles=tuple(circles))


_SUREST_FIRST: Final = (Origin.CONFIRMED, Origin.SEEN, Origin.ASSUMED)


def _without_circles(kept: Sequence[Evidence]) -> tuple[dict[str, tuple[Evidence, ...]], list[Evidence]]:
    """The links, surest first, and those that would close a circle."""
    surest_first = sorted(kept, key=lambda one: (_SUREST_FIRST.index(one.origin), -len(one.marked), -len(one.seen)))
    links: dict[str, list[Evidence]] = {}
    for one in surest_first:
        links.setdefault(one.thing, []).append(one)
    circles: list[Evidence] = []
    if _inwards(links) is None:
        links, circles = _one_by_one(surest_first, _in_circles(links))
    return {thing: tuple(ones) for thing, ones in links.items()}, circles


def _inwards(links: Mapping[str, Sequence[Evidence]]) -> list[str] | None:
    """All things, each after everything that it needs off; None: the links go round in a circle."""
    waits = {thing: len(ones) for thing, ones in links.items()}
    behind: dict[str, list[str]] = {}
    for thing, ones in links.items():
        for one in ones:
            behind.setdefault(one.first, []).append(thing)
    order = [thing for thing in behind if not waits.get(thing)]
    for first in order:
        for thing in behind.get(first, ()):
            waits[thing] -= 1
            if not waits[thing]:
                order.append(thing)
    return None if any(waits.values()) else order


def _in_circles(links: Mapping[str, Sequence[Evidence]]) -> set[str]:
    """The things that lie on a circle of links, or between two."""
    left = set(links) | {one.first for ones in links.values() for one in ones}
    while True:
        within = [(thing, one.first) for thing in left for one in links.get(thing, ()) if one.first in left]
        smaller = {thing for thing, _ in within} & {first for _, first in within}
        if smaller == left:
            return left
        left = smaller


def _one_by_one(
    surest_first: Sequence[Evidence], doubtful: set[str]
) -> tuple[dict[str, list[Evidence]], list[Evidence]]:
    """Links taken as long as they close no circle with those before them, and those that would.

    Args:
        surest_first: the links.
        doubtful: the things among which a circle can be.
    """
    needs: dict[str, set[str]] = {}
    links: dict[str, list[Evidence]] = {}
    circles = []
    for one in surest_first:
        if one.thing in doubtful and one.first in doubtful and _reaches(needs, one.first, one.thing):
            circles.append(one)
            continue
        needs.setdefault(one.thing, set()).add(one.first)
        links.setdefault(one.thing, []).append(one)
    return links, circles


def _reaches(needs: Mapping[str, Iterable[str]], start: str, goal: str) -> bool:
    """Whether one comes from `start` to `goal` along what is needed."""
    seen = {start}
    waiting = [start]
    for thing in waiting:
        more = set(needs.get(thing, ())) - seen
        seen |= more
        waiting += more
    return goal in seen


def next_doubt(learned: Learned, targets: Sequence[str], minutes: Mapping[str, float]) -> Doubt | None:
    """The question on which most work hangs on the way to these targets; None: all is confirmed.

    Args:
        learned: what is known.
        targets: what is to be reached.
        minutes: off and on of each thing, [min]; a thing without counts 1.
    """
    sure = learned.closure(targets, sure=True)
    doubts = []
    for target in targets:
        candidates = _doubtful(learned, target)
        if candidates:
            more = [one for one in learned.closure([target]) if one not in sure]
            work = sum(minutes.get(one, 1.0) for one in more)
            doubts.append(Doubt(thing=target, candidates=candidates[:MOST_TO_TICK], minutes=work))
    return max(doubts, key=lambda one: one.minutes, default=None)


def _doubtful(learned: Learned, thing: str) -> tuple[str, ...]:
    """What this thing may need off beside what it surely does: first what surely needed things may need, then more."""
    sure = learned.closure([thing], sure=True)
    next_ones = [first for one in sure for first in learned.needs(one) if first not in sure]
    further = [one for one in learned.closure([thing]) if one not in sure]
    return tuple(dict.fromkeys([*next_ones, *further]))


def with_answer(learned: Learned, doubt: Doubt, needed: Iterable[str], by: str = "answered") -> Learned:
    """The same, with a person's answer: what was ticked is confirmed, the rest of what was asked is not needed.

    What is not needed for a thing is not needed for anything that must be off before it either. A link that was
    marked stays: the mark and the answer contradict each other, and the surer way is to keep it.

    Args:
        learned: what was known.
        doubt: what was asked.
        needed: what must be off, of what was asked.
        by: what stands for the answer in the list of marks.
    """
    said = dict.fromkeys(needed)
    links = dict(learned.links)
    old = {one.first: one for one in links.get(doubt.thing, ())}
    for first in said:
        known = old.get(first) or Evidence(thing=doubt.thing, first=first, seen=(), marked=(), against=())
        old[first] = replace(known, marked=(*known.marked, by))
    links[doubt.thing] = tuple(old.values())
    after = replace(learned, links=links)
    refused = set(doubt.candidates) - set(said)
    for thing in after.closure([doubt.thing], sure=True):
        kept = [one for one in links.get(thing, ()) if one.first not in refused or one.origin is Origin.CONFIRMED]
        links[thing] = tuple(kept)
    return replace(after, links=links)


def reduced(learned: Learned) -> Mapping[str, tuple[Evidence, ...]]:
    """The links without those that follow from others at least as sure; what must be off for what is the same."""
    order = _inwards(learned.links)
    if order is None:
        return learned.links
    beyond = {origin: _beyond(learned, order, weakest) for weakest, origin in enumerate(_SUREST_FIRST)}
    bits = {thing: 1 << place for place, thing in enumerate(order)}
    by_thing: dict[str, tuple[Evidence, ...]] = {}
    for thing in learned.things:
        links = learned.links.get(thing, ())
        implied = 0
        for one in links:
            implied |= beyond[one.origin][one.first]
        kept = (one for one in links if one.origin is Origin.CONFIRMED or not bits[one.first] & implied)
        by_thing[thing] = tuple(kept)
    return by_thing


def _beyond(learned: Learned, order: Sequence[str], weakest: int) -> dict[str, int]:
    """All that each thing needs by links no weaker than this, as bits by the place in `order`."""
    bits = {thing: 1 << place for place, thing in enumerate(order)}
    found: dict[str, int] = {}
    for thing in order:
        needs = 0
        for one in learned.links.get(thing, ()):
            if _SUREST_FIRST.index(one.origin) <= weakest:
                needs |= bits[one.first] | found[one.first]
        found[thing] = needs
    return found
