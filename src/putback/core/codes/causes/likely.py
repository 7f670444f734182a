"""One idea: each cause shows each of its signs with some chance of its own; what is seen and what is tested and not
there weighs the causes (a two-level noisy-OR net).

A sign that nobody tested weighs nothing; a sign that was tested and is not there speaks for its causes. Source of the
model: D. Heckerman's quickscore (1989) works on the same net; here the sum goes over the sets of signs explained so
far, so that nothing is subtracted and nothing is lost to rounding. Checked against brute force and a library.
"""

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

Cause = TypeVar("Cause", bound=Hashable)

MOST_SIGNS_TOGETHER: Final = 14
"""More seen signs than this that hang together are grouped, and the answer is called approximate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign(Generic[Cause]):
    """Something that may be seen.

    `shows`: for each cause the chance, 0 to 1, that it alone brings this sign; `leak`: the chance that something else
    does, above 0 and below 1; `seen`: True seen, False tested and not there, None not tested.
    """

    shows: Mapping[Cause, float]
    leak: float
    seen: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Net(Generic[Cause]):
    """Causes with their chance before anything was seen, above 0 and below 1, and the signs."""

    priors: Mapping[Cause, float]
    signs: tuple[Sign[Cause], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs(Generic[Cause]):
    """What the signs leave: the chance of each cause, of no cause at all, and ln of the chance of what was seen."""

    causes: Mapping[Cause, float]
    none: float
    log_evidence: float
    approximate: bool = False


def beliefs(net: Net[Cause]) -> Beliefs[Cause]:
    """The chance of each cause after the signs.

    Raises:
        ValueError: a prior or leak that is not above 0 and below 1, or a chance outside 0 to 1.
    """
    _check(net)
    spared = {cause: _spared(net, cause) for cause in net.priors}
    found: dict[Cause, float] = {}
    log_evidence = sum(math.log(1 - sign.leak) for sign in net.signs if sign.seen is False)
    approximate = False
    for group in _groups(net):
        signs, causes = group
        grouped = _together(signs) if len(signs) > MOST_SIGNS_TOGETHER else signs
        approximate |= len(grouped) < len(signs)
        chance, each = _sum_over_explained(net, grouped, causes, spared)
        log_evidence += math.log(chance)
        found.update(each)
    ordered = {cause: found[cause] for cause in net.priors}
    none = math.exp(log_joint(net, ()) - log_evidence)
    return Beliefs(causes=ordered, none=min(none, 1.0), log_evidence=log_evidence, approximate=approximate)


def log_joint(net: Net[Cause], faulty: Iterable[Cause]) -> float:
    """The natural logarithm of the chance that just these causes are there and that all is as it was seen.

    -inf where that cannot be.
    """
    there = frozenset(faulty)
    total = sum(math.log(prior if cause in there else 1 - prior) for cause, prior in net.priors.items())
    for sign in net.signs:
        if sign.seen is None:
            continue
        quiet = (1 - sign.leak) * math.prod(1 - chance for cause, chance in sign.shows.items() if cause in there)
        chance = 1 - quiet if sign.seen else quiet
        if chance <= 0:
            return -math.inf
        total += math.log(chance)
    return total


def _check(net: Net[Cause]) -> None:
    if not all(0 < prior < 1 for prior in net.priors.values()):
        raise ValueError("every prior must be above 0 and below 1")
    for sign in net.signs:
        if not 0 < sign.leak < 1:
            raise ValueError("every leak must be above 0 and below 1")
        if not all(0 <= chance <= 1 for chance in sign.shows.values()):
            raise ValueError("the chance that a cause shows a sign must be 0 to 1")
        if not sign.shows.keys() <= net.priors.keys():
            raise ValueError("a sign names a cause without a prior")


def _spared(net: Net[Cause], cause: Cause) -> float:
    """The chance that this cause, being there, brings none of the signs that were tested and are not there."""
    return math.prod(1 - sign.shows.get(cause, 0.0) for sign in net.signs if sign.seen is False)


Group = tuple[list[Sign[Cause]], list[Cause]]


def _groups(net: Net[Cause]) -> list[Group[Cause]]:
    """Seen signs and causes that hang together; a cause of no seen sign is a group of its own."""
    seen = [sign for sign in net.signs if sign.seen]
    left = list(range(len(seen)))
    taken: set[Cause] = set()
    groups: list[Group[Cause]] = []
    while left:
        signs = [left.pop(0)]
        causes = {cause for cause, chance in seen[signs[0]].shows.items() if chance > 0}
        while more := [n for n in left if any(chance > 0 and c in causes for c, chance in seen[n].shows.items())]:
            signs += more
            left = [n for n in left if n not in more]
            causes.update(cause for n in more for cause, chance in seen[n].shows.items() if chance > 0)
        taken |= causes
        groups.append(([seen[n] for n in sorted(signs)], [cause for cause in net.priors if cause in causes]))
    groups += [([], [cause]) for cause in net.priors if cause not in taken]
    return groups


def _together(signs: Sequence[Sign[Cause]]) -> list[Sign[Cause]]:
    """Signs of the same causes taken as one, which is right as long as one of these causes is there at most.

    What is still too much is left out, the last first.
    """
    found: dict[frozenset[Cause], list[Sign[Cause]]] = {}
    for sign in signs:
        found.setdefault(frozenset(sign.shows), []).append(sign)
    merged = [
        Sign(
            shows={cause: math.prod(sign.shows[cause] for sign in alike) for cause in alike[0].shows},
            leak=math.prod(sign.leak for sign in alike),
            seen=True,
        )
        for alike in found.values()
    ]
    return merged[:MOST_SIGNS_TOGETHER]


def _sum_over_explained(
    net: Net[Cause], signs: Sequence[Sign[Cause]], causes: Sequence[Cause], spared: Mapping[Cause, float]
) -> tuple[float, dict[Cause, float]]:
    """The chance of all that was seen here, and the chance of each cause given it.

    `there[s]` is the chance that the causes so far explain just the signs in the bit set s; `rest[s]` that those
    still to come explain all others.
    """
    full = (1 << len(signs)) - 1
    shows = [[(1 << n, sign.shows[c]) for n, sign in enumerate(signs) if sign.shows.get(c, 0) > 0] for c in causes]
    there = [_spread([1.0] + [0.0] * full, [(1 << n, sign.leak) for n, sign in enumerate(signs)])]
    for cause, brings in zip(causes, shows, strict=True):
        off, on = 1 - net.priors[cause], net.priors[cause] * spared[cause]
        last = there[-1]
        there.append([off * a + on * b for a, b in zip(last, _spread(last, brings), strict=True)])
    rest = [0.0] * full + [1.0]
    chance = there[-1][full]
    each: dict[Cause, float] = {}
    for n in range(len(causes) - 1, -1, -1):
        off, on = 1 - net.priors[causes[n]], net.priors[causes[n]] * spared[causes[n]]
        asked = _gathered(rest, shows[n])
        each[causes[n]] = min(1.0, on * sum(a * b for a, b in zip(there[n], asked, strict=True)) / chance)
        rest = [off * a + on * b for a, b in zip(rest, asked, strict=True)]
    return chance, each


def _spread(weights: Sequence[float], brings: Iterable[tuple[int, float]]) -> list[float]:
    """The weights after each of these signs was explained with its chance."""
    found = list(weights)
    for bit, chance in brings:
        for at in range(len(found)):
            if not at & bit:
                found[at | bit] += chance * found[at]
                found[at] *= 1 - chance
    return found


def _gathered(rest: Sequence[float], brings: Iterable[tuple[int, float]]) -> list[float]:
    """The chance of explaining all others from each set, if first these signs are explained with their chance."""
    found = list(rest)
    for bit, chance in brings:
        for at in range(len(found)):
            if not at & bit:
                found[at] = (1 - chance) * found[at] + chance * found[at | bit]
    return found
