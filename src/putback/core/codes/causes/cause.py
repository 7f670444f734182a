"""One idea: of what the work disturbed, that is suspected which explains every new code with the fewest faults.

Disturbed items carry circuits, circuits have codes. Each new code asks for one of its items or for another cause; the
least sets that answer all codes are weighed by chances that anybody may change. A code that was tested and is not
there speaks for its circuit. Nothing here says that a thing is at fault: it says where to look first.
"""

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Final

from putback.core.car import Car, Circuit
from putback.core.codes.causes.hitting import minimal_hitting_sets
from putback.core.codes.causes.likely import Beliefs, Net, Sign, beliefs, log_joint
from putback.core.codes.causes.rework import NO_WAYS, rework_minutes
from putback.core.codes.causes.weights import Weights
from putback.core.codes.lists.listing import Listed, Listing, base, matches_any
from putback.core.codes.verdicts.compare import Comparison

OTHER: Final = "other cause"
FAMILY_LETTERS: Final = 3
"""Codes of one module that begin with the same three signs are one family (SAE J2012 orders them so; from memory)."""

MOST_SETS: Final = 60
MOST_SHOWN: Final = 10
MOST_STEPS: Final = 20_000

Complaint = tuple[str, str]
"""A module and a code without its failure type."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """One disturbed item that a new code may come from.

    `codes` speak against it, `cleared_by` are codes of its circuits that were tested and are not there; `hint` True:
    only the family of a code points to it. `chance` 0 to 1, `rework_minutes` to get at it, [min].
    """

    item: str
    circuits: tuple[str, ...]
    codes: tuple[Complaint, ...]
    cleared_by: tuple[Complaint, ...]
    hint: bool
    chance: float
    rework_minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A least set of faults that explains every new code, by rank from 1.

    `items` empty: another cause explains all, and nobody knows the minutes to it. `other_codes` are those that these
    items do not explain. `chance`: that just these items are at fault, 0 to 1.
    """

    rank: int
    items: tuple[str, ...]
    circuits: tuple[str, ...]
    other_codes: tuple[Complaint, ...]
    chance: float
    rework_minutes: float | None
    hint: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Looking at one item: what it would tell, [bit], and the minutes to get there and look, [min]."""

    item: str
    bits: float
    minutes: float

    @property
    def bits_per_minute(self) -> float:
        """What a minute of it tells."""
        return self.bits / self.minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What the new codes point to. `checks` the best first; `all_shown` False: more explanations were left out."""

    explanations: tuple[Explanation, ...]
    suspects: tuple[Suspect, ...]
    checks: tuple[Check, ...]
    other_chance: float
    weights: Weights
    all_shown: bool
    approximate: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """How the job reached things: chosen ways, and the items that were off (None: not known)."""

    ways: Mapping[str, str] = field(default_factory=lambda: NO_WAYS)
    in_work: Collection[str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Link:
    """An item that a complaint may come from, with its circuits and the chance that it would show so."""

    circuits: tuple[str, ...]
    chance: float
    hint: bool


Links = Mapping[Complaint, Mapping[str, _Link]]


def diagnose(
    car: Car,
    items: Collection[str],
    *,
    comparison: Comparison,
    last: Listing,
    weights: Weights | None = None,
    access: Access | None = None,
) -> Diagnosis:
    """What the new codes of a comparison point to.

    Args:
        car: with its circuits.
        items: the disturbed items.
        comparison: with the codes called caused.
        last: the read that it ended with.
        weights: the guesses behind the ranking.
        access: how the job reached things.
    """
    own = weights or Weights()
    new = list(dict.fromkeys((one.module, base(one.code)) for one in comparison.caused))
    if not new:
        return _nothing(own)
    links = {complaint: _links(car, items, complaint, own) for complaint in new}
    suspects = [id for id in car.items if any(id in found for found in links.values())]
    passed = [one for one in _passed(last) if one not in new]
    spared = {complaint: _direct(car, suspects, complaint, own) for complaint in passed}
    spared = {complaint: found for complaint, found in spared.items() if found}
    net = _net(car, suspects, links, spared, own)
    believed = beliefs(net)
    reach = access or Access()
    named = _suspects(car, suspects, links, spared, believed, reach)
    ranked, all_shown = _explanations(car, links, net, believed, reach)
    return Diagnosis(
        explanations=ranked,
        suspects=named,
        checks=_checks(named, own),
        other_chance=believed.none,
        weights=own,
        all_shown=all_shown,
        approximate=believed.approximate,
    )


def _nothing(weights: Weights) -> Diagnosis:
    return Diagnosis(
        explanations=(),
        suspects=(),
        checks=(),
        other_chance=0.0,
        weights=weights,
        all_shown=True,
        approximate=False,
    )


def _passed(last: Listing) -> list[Complaint]:
    """Codes that were tested and are not there: every line of the code, whatever its failure type, passed.

    A list that was cut off shows nothing of the kind.
    """
    by_code: dict[Complaint, list[Listed]] = {}
    for one in last.listed:
        if last.heard(one.module) and one.module not in last.partial:
            by_code.setdefault((one.module, base(one.code)), []).append(one)
    return [complaint for complaint, lines in by_code.items() if all(line.passed for line in lines)]


def _links(car: Car, items: Collection[str], complaint: Complaint, weights: Weights) -> dict[str, _Link]:
    """The disturbed items that a complaint may come from: by their circuit, else by the code's family."""
    if any(_names(circuit, complaint) for circuit in car.circuits.values()):
        return _direct(car, items, complaint, weights)
    found: dict[str, _Link] = {}
    for circuit in car.circuits.values():
        if _akin(circuit, complaint):
            _add(found, circuit, items, weights.hints, hint=True)
    return found


def _direct(car: Car, items: Collection[str], complaint: Complaint, weights: Weights) -> dict[str, _Link]:
    found: dict[str, _Link] = {}
    for circuit in car.circuits.values():
        if _names(circuit, complaint):
            kinds = len({base(code) for code in circuit.codes})
            _add(found, circuit, items, 1 - (1 - weights.shows) ** (1 / kinds), hint=False)
    return found


def _add(found: dict[str, _Link], circuit: Circuit, items: Collection[str], chance: float, *, hint: bool) -> None:
    """Note a circuit's items; one that is on several circuits of the code shows it by the surest."""
    for id in circuit.items:
        if id in items:
            old = found.get(id)
            circuits = (*(old.circuits if old else ()), circuit.id)
            found[id] = _Link(circuits=circuits, chance=max(chance, old.chance if old else 0.0), hint=hint)


def _names(circuit: Circuit, complaint: Complaint) -> bool:
    """Whether a circuit's own codes name a complaint; one without module is of any module."""
    module, code = complaint
    return circuit.module in {None, module} and matches_any(code, (base(one) for one in circuit.codes))


def _akin(circuit: Circuit, complaint: Complaint) -> bool:
    module, code = complaint
    return circuit.module in {None, module} and any(
        one[:FAMILY_LETTERS] == code[:FAMILY_LETTERS] for one in circuit.codes
    )


def _net(car: Car, suspects: Sequence[str], links: Links, spared: Links, weights: Weights) -> Net[str]:
    signs = [(found, True) for found in links.values()] + [(found, False) for found in spared.values()]
    return Net(
        priors={id: weights.priors[car.items[id].action] for id in suspects},
        signs=tuple(
            Sign(shows={id: link.chance for id, link in found.items()}, leak=weights.other, seen=seen)
            for found, seen in signs
        ),
    )


def _suspects(
    car: Car, ids: Sequence[str], links: Links, spared: Links, believed: Beliefs[str], reach: Access
) -> tuple[Suspect, ...]:
    """The suspects, the likeliest first; equal ones by the minutes to get at them."""
    named = [
        Suspect(
            item=id,
            circuits=_circuits([id], links),
            codes=tuple(complaint for complaint, found in links.items() if id in found),
            cleared_by=tuple(complaint for complaint, found in spared.items() if id in found),
            hint=all(found[id].hint for found in links.values() if id in found),
            chance=believed.causes[id],
            rework_minutes=rework_minutes(car, [id], ways=reach.ways, in_work=reach.in_work),
        )
        for id in ids
    ]
    return tuple(sorted(named, key=lambda one: (-one.chance, one.rework_minutes)))


def _circuits(items: Sequence[str], links: Links) -> tuple[str, ...]:
    found = (
        circuit for by_item in links.values() for id in items if id in by_item for circuit in by_item[id].circuits
    )
    return tuple(dict.fromkeys(found))


def _checks(suspects: Sequence[Suspect], weights: Weights) -> tuple[Check, ...]:
    """What looking at each suspect would tell: the entropy of its chance, for the minutes that it costs."""
    checks = [
        Check(item=one.item, bits=_entropy_bits(one.chance), minutes=one.rework_minutes + weights.look_minutes)
        for one in suspects
    ]
    return tuple(sorted(checks, key=lambda check: -check.bits_per_minute))


def _entropy_bits(chance: float) -> float:
    """What a yes-or-no answer of this chance tells, [bit] (C. E. Shannon, 1948).

    >>> _entropy_bits(0.5), _entropy_bits(1.0)
    (1.0, 0.0)
    """
    return 0.0 - sum(part * math.log2(part) for part in (chance, 1 - chance) if part > 0)


def _explanations(
    car: Car, links: Links, net: Net[str], believed: Beliefs[str], reach: Access
) -> tuple[tuple[Explanation, ...], bool]:
    """The least sets that explain every new code, the likeliest first, "other cause" for all of them always one."""
    found = list(islice(_sets(links, net), MOST_SETS + 1))
    all_found = len(found) <= MOST_SETS and frozenset(_others(links)) in found
    sets = dict.fromkeys([*found[:MOST_SETS], frozenset(_others(links))])
    weighed = []
    for one in sets:
        items = tuple(id for id in car.items if id in one)
        chance = math.exp(log_joint(net, items) - believed.log_evidence)
        minutes = rework_minutes(car, items, ways=reach.ways, in_work=reach.in_work)
        others = tuple(complaint for complaint, name in zip(links, _others(links), strict=True) if name in one)
        weighed.append((chance, minutes, items, others))
    weighed.sort(key=lambda one: (-one[0], one[1], len(one[2])))
    shown = [one for n, one in enumerate(weighed) if n < MOST_SHOWN or not one[2]]
    ranked = tuple(
        Explanation(
            rank=rank,
            items=items,
            circuits=_circuits(items, links),
            other_codes=others,
            chance=min(1.0, chance),
            rework_minutes=minutes if items else None,
            hint=any(link.hint for found in links.values() for id, link in found.items() if id in items),
        )
        for rank, (chance, minutes, items, others) in enumerate(shown, start=1)
    )
    return ranked, all_found and len(shown) == len(weighed)


def _others(links: Links) -> list[str]:
    """A stand-in for another cause of each new code; its colon keeps it apart from the ids of items."""
    return [f"{OTHER}: {module} {code}" for module, code in links]


def _sets(links: Links, net: Net[str]) -> Iterator[frozenset[str]]:
    conflicts = [[*found, other] for found, other in zip(links.values(), _others(links), strict=True)]
    leak = next(iter(net.signs)).leak
    chances = {**net.priors, **dict.fromkeys(_others(links), leak)}
    cost = {thing: max(math.log((1 - chance) / chance), 1e-9) for thing, chance in chances.items()}
    return minimal_hitting_sets(conflicts, cost=cost, most_steps=MOST_STEPS)
