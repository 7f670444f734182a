"""One idea: a bound that pays no block twice tells how far the cost can still fall, and which ways are too dear."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from putback.plan.access.component import Part
from putback.plan.access.core import Core, CoreChoice, Option
from putback.plan.access.graph import members
from putback.plan.access.shrink import shrunk


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """At least `units` remain to be paid.

    `extra` of a way: how much more at least when that way is taken; `left`: of a block, what the bound has not
    used of its units (blocks not named: all of them).
    """

    units: int
    extra: tuple[tuple[int, ...], ...]
    left: Mapping[int, int]


def dual_bound(options: Sequence[Sequence[Option]], work: int, weights: Sequence[int]) -> Bound:
    """What owed choices cost at least, given the blocks already in the work.

    Each block's units are shared out among the choices: one choice after the other is raised as far as the
    units left in its cheapest way allow, and takes no more from its other ways than it was raised by. No block
    is ever paid twice, so the sum is a bound (dual ascent for the covering relaxation).

    Args:
        options: for each owed choice, the ways still open; at least one.
        work: blocks already paid.
        weights: units of each block.
    """
    blocks = [[list(members(option.mask & ~work)) for option in ways] for ways in options]
    users = _users(blocks)
    left = {block: weights[block] for block in users}
    shared = [sum(users[block] - 1 for added in ways for block in added) for ways in blocks]
    raised = [0] * len(options)
    taken: list[dict[int, int]] = [{} for _ in options]
    for at in sorted(range(len(options)), key=shared.__getitem__):
        pairs = list(zip(options[at], blocks[at], strict=True))
        raised[at] = min(option.units + sum(left[block] for block in added) for option, added in pairs)
        for option, added in pairs:
            owing = raised[at] - option.units
            for block in sorted(added, key=users.__getitem__):
                if owing <= 0:
                    break
                share = min(owing, left[block])
                taken[at][block] = max(taken[at].get(block, 0), share)
                owing -= share
        for block, share in taken[at].items():
            left[block] -= share
    extra = tuple(
        tuple(
            option.units + sum(left[block] + taken[at].get(block, 0) for block in added) - raised[at]
            for option, added in zip(options[at], blocks[at], strict=True)
        )
        for at in range(len(options))
    )
    return Bound(units=sum(raised), extra=extra, left=left)


def _users(blocks: Sequence[Sequence[Sequence[int]]]) -> dict[int, int]:
    """For each block, how many choices have a way that adds it."""
    users: dict[int, int] = {}
    for ways in blocks:
        for block in {block for added in ways for block in added}:
            users[block] = users.get(block, 0) + 1
    return users


def root_bound(part: Part) -> Bound:
    """The bound for a whole part, nothing chosen yet."""
    return dual_bound([choice.options for choice in part.always], 0, part.core.weights)


def companions(options: Sequence[Option]) -> dict[int, int]:
    """For each block, the blocks that every way adding it adds too, itself included."""
    found: dict[int, int] = {}
    for option in options:
        for block in members(option.mask):
            found[block] = found.get(block, option.mask) & option.mask
    return found


def narrowed(part: Part, limit: int) -> Core | None:
    """The part as a core of its own without ways that only dearer answers take; None when none below `limit` is left.

    Args:
        part: what is to be chosen.
        limit: units; answers that cost this much or more need not be kept.
    """
    bound = root_bound(part)
    slack = limit - bound.units
    if slack <= 0:
        return None
    weights = part.core.weights
    left = [bound.left.get(block, units) for block, units in enumerate(weights)]
    extras = {choice.number: extra for choice, extra in zip(part.always, bound.extra, strict=True)}
    along = companions([option for choice in part.choices for option in choice.options])
    choices = []
    for choice in part.choices:
        extra = extras[choice.number] if not choice.trigger else _extra(choice, left, along)
        kept = tuple(option for option, more in zip(choice.options, extra, strict=True) if more < slack)
        choices.append(replace(choice, options=kept))
    core = part.core
    return shrunk(Core(local=core.local, base=0, weights=weights, choices=tuple(choices), settled={}, arcs=core.arcs))


def _extra(choice: CoreChoice, left: Sequence[int], along: Mapping[int, int]) -> list[int]:
    """For each way of a choice not always owed, what taking it costs at least beyond the bound."""
    owner = 0
    for block in members(choice.trigger):
        owner |= along.get(block, 1 << block)
    return [option.units + sum(left[block] for block in members(option.mask | owner)) for option in choice.options]
