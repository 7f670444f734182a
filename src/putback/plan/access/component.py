"""One idea: choices that share no block can be searched apart; a dual bound tells how far a part can still fall."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from putback.plan.access.core import Core, CoreChoice, Option, closes_circle, weight
from putback.plan.access.graph import circle_in, mask_of, members


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Choices that hang together.

    Args:
        core: lends the weights and the settled arcs.
        choices: by number.
        always: those owed in any case.
        by_block: those owed when a block is in the work.
        conditional: the blocks of `by_block` as bits.
    """

    core: Core
    choices: tuple[CoreChoice, ...]
    always: tuple[CoreChoice, ...]
    by_block: Mapping[int, tuple[CoreChoice, ...]]
    conditional: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A legal choice of ways for a part: choice number to way number, and its units."""

    ways: Mapping[int, int]
    units: int


def parts_of(core: Core) -> list[Part]:
    """The core in parts that share no block and no possible circle, in the order of their first choice."""
    groups: list[tuple[int, list[CoreChoice]]] = []
    for choice in core.choices:
        mask = choice.trigger
        for option in choice.options:
            mask |= option.mask
            if option.risky:
                mask |= 1 << len(core.weights) + option.knot
        joined = [choice]
        apart: list[tuple[int, list[CoreChoice]]] = []
        for other_mask, others in groups:
            if other_mask & mask:
                mask |= other_mask
                joined = others + joined
            else:
                apart.append((other_mask, others))
        groups = [*apart, (mask, joined)]
    parts = [part_of(core, choices) for _, choices in groups]
    return sorted(parts, key=lambda part: part.choices[0].number)


def part_of(core: Core, choices: Iterable[CoreChoice]) -> Part:
    """A part of these choices."""
    ordered = tuple(sorted(choices, key=lambda choice: choice.number))
    by_block: dict[int, tuple[CoreChoice, ...]] = {}
    for choice in ordered:
        for block in members(choice.trigger):
            by_block[block] = (*by_block.get(block, ()), choice)
    always = tuple(choice for choice in ordered if not choice.trigger)
    return Part(core=core, choices=ordered, always=always, by_block=by_block, conditional=mask_of(by_block))


def owed_by(part: Part, fresh: int) -> list[CoreChoice]:
    """The choices that become owed when these blocks join the work."""
    return [choice for block in members(fresh & part.conditional) for choice in part.by_block[block]]


def legal_options(part: Part, choice: CoreChoice, arcs: Mapping[int, tuple[int, ...]]) -> list[Option]:
    """The ways of a choice that close no circle with the ways chosen so far (owner to needs)."""
    return [
        option
        for option in choice.options
        if not (option.risky and closes_circle(part.core, choice.owner, option.needs, arcs))
    ]


def priced(part: Part, assignment: Mapping[int, int], below: int | None = None) -> Found | None:
    """The cost of an assignment, choices not owed left out.

    Returns:
        None when a way is missing, a circle arises, or it does not cost less than `below` units.
    """
    work, units, risky = 0, 0, False
    ways: dict[int, int] = {}
    arcs: dict[int, tuple[int, ...]] = {}
    waiting = list(part.always)
    while waiting:
        choice = waiting.pop()
        wanted = assignment.get(choice.number)
        option = next((option for option in choice.options if option.number == wanted), None)
        if option is None:
            return None
        ways[choice.number] = option.number
        arcs[choice.owner] = arcs.get(choice.owner, ()) + option.needs
        risky = risky or option.risky
        units += option.units
        waiting.extend(owed_by(part, option.mask & ~work))
        work |= option.mask
    units += weight(work, part.core.weights)
    if (below is not None and units >= below) or (risky and circle_with(part, arcs)):
        return None
    return Found(ways=ways, units=units)


def circle_with(part: Part, arcs: Mapping[int, tuple[int, ...]]) -> tuple[int, ...]:
    """A circle over plain needs, settled ways and the chosen ways (owner to needs), or nothing; local numbers."""
    needs, settled = part.core.local.needs, part.core.arcs

    def successors(node: int) -> tuple[int, ...]:
        return needs[node] + settled.get(node, ()) + arcs.get(node, ())

    return circle_in(sorted(arcs), successors)


def quick(part: Part, prefer: Mapping[int, int] | None = None) -> Found | None:
    """A good choice of ways without search: always the choice next whose second best way costs most more.

    Args:
        part: what is to be chosen.
        prefer: ways to take where they are legal, choice number to way number.

    Returns:
        None when it runs into a dead end; a legal choice may exist all the same.
    """
    weights = part.core.weights
    work = 0
    ways: dict[int, int] = {}
    arcs: dict[int, tuple[int, ...]] = {}
    owed = list(part.always)
    costs = {choice.number: _costs(choice, work, weights) for choice in owed}
    while owed:
        choice = max(owed, key=lambda choice: (costs[choice.number][0], -choice.number))
        owed.remove(choice)
        options = legal_options(part, choice, arcs)
        if not options:
            return None
        best = costs[choice.number][1]
        wanted = prefer.get(choice.number, best) if prefer else best
        fitting = [option for option in options if option.number == wanted]
        option = fitting[0] if fitting else min(options, key=lambda option: _cost(option, work, weights))
        ways[choice.number] = option.number
        arcs[choice.owner] = arcs.get(choice.owner, ()) + option.needs
        fresh = option.mask & ~work
        work |= fresh
        owed.extend(owed_by(part, fresh))
        for other in owed:
            if other.number not in costs or any(option.mask & fresh for option in other.options):
                costs[other.number] = _costs(other, work, weights)
    return priced(part, ways)


def _cost(option: Option, work: int, weights: Sequence[int]) -> int:
    return option.units + weight(option.mask & ~work, weights)


def _costs(choice: CoreChoice, work: int, weights: Sequence[int]) -> tuple[int, int]:
    """How much more the second cheapest way costs than the cheapest, and the number of the cheapest."""
    ordered = sorted((_cost(option, work, weights), option.number) for option in choice.options)
    regret = ordered[1][0] - ordered[0][0] if len(ordered) > 1 else 0
    return regret, ordered[0][1]


def improved(part: Part, found: Found, *, rounds: int, tries: int) -> Found:
    """The same or better, by changing the way of one choice at a time until none helps, or limits are met."""
    cheapest = {choice.number: _costs(choice, 0, part.core.weights)[1] for choice in part.choices}
    for _ in range(rounds):
        before = found.units
        for choice in part.choices:
            for option in choice.options:
                if found.ways.get(choice.number, option.number) == option.number or tries <= 0:
                    continue
                tries -= 1
                rival = priced(part, {**cheapest, **found.ways, choice.number: option.number}, below=found.units)
                found = rival or found
        if found.units == before:
            break
    return found
