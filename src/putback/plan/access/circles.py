"""One idea: ways that close a circle together are named together, with every other way that would close it too."""

from collections.abc import Mapping
from dataclasses import dataclass

from putback.plan.access.component import Part, circle_with
from putback.plan.access.core import CoreChoice, Option
from putback.plan.access.graph import leads_back


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """Ways, as (choice, way), that close one circle when each of its choices takes one of them."""

    choices: int
    ways: frozenset[tuple[int, int]]


def circles_of(part: Part, ways: Mapping[int, int]) -> list[Circle]:
    """Circles in a choice of ways, until breaking one way of each leaves none."""
    taken = {
        choice.number: (choice, option)
        for choice in part.choices
        for option in choice.options
        if ways.get(choice.number) == option.number
    }
    found: list[Circle] = []
    while links := _links(part, list(taken.values())):
        found.append(_widened(part, links))
        del taken[links[0].number]
    return found


def _links(part: Part, taken: list[tuple[CoreChoice, Option]]) -> list[CoreChoice]:
    """The choices whose ways form one circle, each leading to the owner of the next; nothing when there is none."""
    arcs: dict[int, tuple[int, ...]] = {}
    taker: dict[tuple[int, int], CoreChoice] = {}
    for choice, option in taken:
        arcs[choice.owner] = arcs.get(choice.owner, ()) + option.needs
        for need in option.needs:
            taker.setdefault((choice.owner, need), choice)
    circle = circle_with(part, arcs)
    core = part.core
    return [
        taker[node, need]
        for node, need in zip(circle, circle[1:] + circle[:1], strict=True)
        if need not in core.local.needs[node] and need not in core.arcs.get(node, ())
    ]


def _widened(part: Part, links: list[CoreChoice]) -> Circle:
    """All ways of these choices that lead on to the owner of the next over plain needs and settled ways."""
    core = part.core

    def successors(node: int) -> tuple[int, ...]:
        return core.local.needs[node] + core.arcs.get(node, ())

    ways = frozenset(
        (choice.number, option.number)
        for choice, following in zip(links, links[1:] + links[:1], strict=True)
        for option in choice.options
        if leads_back(option.needs, following.owner, successors)
    )
    return Circle(choices=len(links), ways=ways)
