"""The gates of a long record are found by looking at each event once; here they are found anew each time as well."""

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from core.gates.bench import Bench, operation
from core.gates.histories import ASKED, history
from putback.core.gates import Case, Gate, Moment, gates_before
from putback.core.gates.case import Fact
from putback.core.gates.later import since
from putback.core.gates.sitting import doubt, ended, went
from putback.core.gates.stood import states_at
from putback.core.job import fold
from putback.core.operations import Verb
from putback.core.papers import breaches

SEEDS = range(8)


class Forgetting(dict[Any, Any]):
    """A memory that knows nothing when it is asked: whatever rests on it is worked out from the whole record anew."""

    def __contains__(self, key: object) -> bool:
        return False

    def setdefault(self, _: Any, default: Any = None) -> Any:
        return default


def slowly(case: Case) -> Case:
    """The same case, without a memory."""
    made = replace(case, memo=Forgetting())
    object.__setattr__(made, "_asked", Forgetting())
    return made


def a_history(seed: int) -> Bench:
    chance = random.Random(seed)
    bench = history(seed, length=50, online=seed % 3 > 0)
    if seed % 4 == 0:
        bench.arrive(chance.choice([0.01, 5, 90]))
    if seed % 5 == 0:
        chance.shuffle(bench.entries)
    return bench


def moments(case: Case) -> Iterator[tuple[Fact, Moment]]:
    """Right before each operation of the record."""
    for fact in case.facts:
        if fact.operation:
            at, device, steady = fact.at, fact.device, fact.steady_s
            yield fact, Moment(at=at, person=fact.person, device=device, steady_s=steady, upto=fact.place - 1)


def gates(case: Case, fact: Fact, moment: Moment) -> tuple[Gate, ...]:
    assert fact.operation is not None
    return gates_before(case, fact.operation, moment)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_gate_before_every_line_is_the_same_in_whichever_order_it_is_asked(seed: int) -> None:
    bench = a_history(seed)
    case = bench.case()
    asked = list(moments(case))
    forwards = [gates(case, *one) for one in asked]
    other = bench.case()
    backwards = [gates(other, *one) for one in reversed(asked)]
    assert forwards == backwards[::-1]
    for at in random.Random(seed).sample(range(len(asked)), min(5, len(asked))):
        assert gates(slowly(case), *asked[at]) == forwards[at]


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_asked_now_is_the_same_after_all_of_the_past_was_asked(seed: int) -> None:
    bench = a_history(seed)
    case = bench.case()
    breaches(case)
    for op in ASKED[seed % 3 :: 3]:
        for person, device in (("p1", None), ("p1", "tablet"), ("p2", "phone")):
            now = bench.moment(person=person, device=device)
            assert gates_before(case, op, now) == gates_before(bench.case(), op, now)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_line_of_the_past_is_asked_of_what_stood_before_it_alone(seed: int) -> None:
    """What came after a line, and takes nothing back, cannot make it milder: the record cut there says the same.

    Only what the car's energies and ways are is read off the whole record, so that can add gates, never open one.
    """
    bench = a_history(seed)
    entries = [one for one in bench.entries if one.event.kind != "operation taken back"]
    whole = bench.case(entries)
    for fact, moment in list(moments(whole))[::12]:
        cut = bench.case(entries[: fact.place - 1]) if fact.place <= len(entries) else whole
        if cut.facts != () and len(cut.facts) == fact.place - 1:
            told = {(gate.kind, gate.energy, gate.item, gate.about): gate.open for gate in gates(whole, fact, moment)}
            then = replace(moment, upto=None)
            for gate in gates(cut, fact, then):
                key = (gate.kind, gate.energy, gate.item, gate.about)
                assert gate.open or not told.get(key, False), f"{key} before event {fact.place}"


@pytest.mark.parametrize("seed", SEEDS)
def test_the_states_of_the_past_are_the_folded_ones(seed: int) -> None:
    """As the lines stand today, and as they stood then: both folded from the first line on, the plain way."""
    case = a_history(seed).case()
    standing = set(case.folded.made_by)
    for upto in range(0, len(case.facts), 5):
        done = [fact for fact in case.facts[:upto] if fact.operation]
        today = fold(fact.operation for fact in done if fact.operation and fact.event.id in standing)
        then = fold(
            fact.operation
            for fact in done
            if fact.operation and (fact.event.id in standing or case.mended_at.get(fact.event.id, 0) > upto)
        )
        found = states_at(case, upto)
        for state, plain in zip((found[0], found[-1]), (today, then), strict=True):
            assert (dict(state.items), dict(state.joints)) == (dict(plain.items), dict(plain.joints))
            assert (dict(state.guards), dict(state.fluids)) == (dict(plain.guards), dict(plain.fluids))


@pytest.mark.parametrize("seed", SEEDS)
def test_what_ended_a_sitting_is_the_first_thing_that_did(seed: int) -> None:
    """Each event behind it is looked at, in the order of the record; what may have been later comes first."""
    bench = a_history(seed)
    case, now = bench.case(), bench.moment(device="tablet")
    for fact in case.facts:
        people = {"p1", "p2"} if fact.place % 2 else {"p1"}
        reasons = (doubt(case, one, None) or went(one, people) for one in since(case, fact, len(case.facts)))
        plain = next((why for why in reasons if why), None)
        found = ended(case, fact, people, now)
        assert found == plain or (plain is None and found == "it was made on another day")


def test_a_record_twice_as_long_is_not_looked_at_four_times_as_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted, not timed: how many events are held against a sitting or a proof while every line is asked."""
    looked = {2: 0, 4: 0}
    for rounds in looked:

        def counting(case: Case, fact: Fact, energy: str | None, rounds: int = rounds) -> str | None:
            looked[rounds] += 1
            return doubt(case, fact, energy)

        for module in ("sitting", "proofs", "waits"):
            monkeypatch.setattr(f"putback.core.gates.{module}.doubt", counting)
        bench = Bench()
        for _ in range(rounds):
            bench.reach_from(operation(Verb.UNDO, "j02"), operation(Verb.UNDO, "j48"))
            bench.pass_minutes(13 * 60)
        breaches(bench.case())
    assert 0 < looked[4] < 3 * looked[2]
