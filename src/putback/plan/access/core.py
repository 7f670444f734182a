"""One idea: of the live part, only the choices and what their ways differ in are left to search.

Nodes that always come together are merged into blocks; a set of blocks is an integer, bit k for block k. What
every work holds is block-free and merely adds to the cost. Then ways that cannot be needed for a least answer
are dropped, choices with one way left are settled, and what all ways share joins, until nothing moves.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import and_, or_

from putback.plan.access.graph import leads_back, members
from putback.plan.access.local import LiveChoice, Local
from putback.plan.access.localise import way_mask


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A way in the core: taking it costs `units` and adds the blocks of `mask`; `knot` as in `LiveWay`."""

    number: int
    units: int
    mask: int
    needs: tuple[int, ...]
    knot: int

    @property
    def risky(self) -> bool:
        """Whether it may be part of a circle."""
        return self.knot >= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreChoice:
    """A choice in the core, owed when `trigger` is 0 or its block is in the work; `owner` is a local number."""

    number: int
    owner: int
    trigger: int
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """What is left to search.

    Args:
        local: the live part it comes from.
        base: units that every answer costs.
        weights: units of each block.
        choices: those still open.
        settled: choice number to way number, valid whenever the owner is in the work.
        arcs: for each owner, the needs of its settled ways, local numbers.
    """

    local: Local
    base: int
    weights: tuple[int, ...]
    choices: tuple[CoreChoice, ...]
    settled: Mapping[int, int]
    arcs: Mapping[int, tuple[int, ...]]


def core_of(local: Local, masks: Sequence[int]) -> Core:
    """The core of a live part, blocks merged and nothing dropped yet.

    Args:
        local: the live part.
        masks: what `must_masks` found for it.
    """
    must = reduce(or_, (masks[target] for target in local.targets), 0)
    added = {choice.number: tuple(way_mask(way, masks) & ~must for way in choice.ways) for choice in local.choices}
    relevant = _relevant(local, must, added)
    block_of, weights = _blocks(local, [mask for choice in relevant for mask in added[choice.number]])
    choices = tuple(
        CoreChoice(
            number=choice.number,
            owner=choice.owner,
            trigger=0 if must >> choice.owner & 1 else 1 << block_of[choice.owner],
            options=tuple(
                Option(
                    number=way.number,
                    units=way.units,
                    mask=_in_blocks(mask, block_of),
                    needs=way.needs,
                    knot=way.knot,
                )
                for way, mask in zip(choice.ways, added[choice.number], strict=True)
            ),
        )
        for choice in relevant
    )
    base = sum(local.units[node] for node in members(must))
    settled = {choice: way for choice, way, _ in local.only}
    return Core(local=local, base=base, weights=weights, choices=choices, settled=settled, arcs={})


def _relevant(local: Local, must: int, added: Mapping[int, tuple[int, ...]]) -> list[LiveChoice]:
    """The choices whose owner can come into the work at all, in their order."""
    reached = must
    open_choices = list(local.choices)
    found: list[LiveChoice] = []
    while True:
        fresh = [choice for choice in open_choices if reached >> choice.owner & 1]
        if not fresh:
            return sorted(found, key=lambda choice: choice.owner)
        found.extend(fresh)
        open_choices = [choice for choice in open_choices if not reached >> choice.owner & 1]
        reached |= reduce(or_, (mask for choice in fresh for mask in added[choice.number]), 0)


def _blocks(local: Local, ways: Sequence[int]) -> tuple[dict[int, int], tuple[int, ...]]:
    """Merge the nodes that lie in the very same ways: node to block, and the units of each block."""
    lies_in: dict[int, list[int]] = {}
    for number, mask in enumerate(ways):
        for node in members(mask):
            lies_in.setdefault(node, []).append(number)
    block_at: dict[tuple[int, ...], int] = {}
    block_of: dict[int, int] = {}
    weights: list[int] = []
    for node in sorted(lies_in):
        block = block_at.setdefault(tuple(lies_in[node]), len(weights))
        if block == len(weights):
            weights.append(0)
        weights[block] += local.units[node]
        block_of[node] = block
    return block_of, tuple(weights)


def _in_blocks(mask: int, block_of: Mapping[int, int]) -> int:
    blocks = 0
    for node in members(mask):
        blocks |= 1 << block_of[node]
    return blocks


def weight(mask: int, weights: Sequence[int]) -> int:
    """Units of the blocks in a set."""
    return sum(weights[block] for block in members(mask))


def closes_circle(core: Core, owner: int, needs: Iterable[int], chosen: Mapping[int, tuple[int, ...]]) -> bool:
    """Whether the needs lead back to the owner over plain needs, settled ways and the chosen ways (owner to needs)."""
    local_needs, arcs = core.local.needs, core.arcs

    def successors(node: int) -> tuple[int, ...]:
        return local_needs[node] + arcs.get(node, ()) + chosen.get(node, ())

    return leads_back(needs, owner, successors)


def limited(core: Core, limits: Mapping[int, frozenset[int]]) -> Core:
    """The core with some choices held to the given ways; a choice not named keeps all of its ways."""
    choices = tuple(
        replace(choice, options=tuple(option for option in choice.options if option.number in limits[choice.number]))
        if choice.number in limits
        else choice
        for choice in core.choices
    )
    return replace(core, choices=choices)


def common_mask(choice: CoreChoice) -> int:
    """The blocks that all ways of a choice add."""
    return reduce(and_, (option.mask for option in choice.options))
