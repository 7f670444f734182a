"""Giving back is making safe in reverse: everything home, counted, bonded, people clear; and every way round that.

Bonding below 0.1 ohm: a draft national text following UN R100 (UN R100 itself not seen).
"""

from collections.abc import Callable
from typing import Any

import pytest

from core.gates.bench import Bench, before, operation
from putback.core.gates import Gate, GateKind
from putback.core.operations import Verb

REFIT = operation(Verb.FIT, "service-disconnect")
LEAD_ON = operation(Verb.JOIN, "lv-negative")
FUEL_BACK = operation(Verb.RESTORE, "fuel")


def gate(bench: Bench, energy: str = "hv") -> Gate:
    op = {"hv": REFIT, "lv": LEAD_ON, "fuel": FUEL_BACK}[energy]
    return next(
        one for one in bench.gates(op) if one.kind is GateKind.RESTORE and one.energy == energy and not one.about
    )


def clear(bench: Bench, who: str = "p2", **body: Any) -> str:
    return bench.log("people seen clear", who=who, **body)


def ready() -> Bench:
    """All is back but the disconnect; people were seen clear."""
    bench = before(REFIT)
    clear(bench)
    assert gate(bench).open
    return bench


def without(kind: str, **body: Any) -> Bench:
    """The same, with the events left out that say this."""
    bench = before(REFIT)
    left = [
        one
        for one in bench.entries
        if one.event.kind != kind or any(one.event.body.get(name) != value for name, value in body.items())
    ]
    assert len(left) < len(bench.entries)
    bench.entries = left
    clear(bench)
    return bench


LEFT: dict[str, Callable[[], Bench]] = {
    "the shield is not tight": lambda: without("operation done", verb="tighten", joint="j48"),
    "the bonding strap is not joined": lambda: without("operation done", verb="join", item="bonding-strap"),
    "bonding was not measured": lambda: without("bonding checked"),
    "the blanket is still in": lambda: without("operation done", verb="unguard", item="orange-shield"),
    "the cap is still on the socket": lambda: without("operation done", verb="unguard", guard="disconnect-cap"),
    "the lock box was not opened": lambda: without("operation done", verb="unguard", guard="lock-box"),
    "nobody looked": lambda: before(REFIT),
}


@pytest.mark.parametrize("what", LEFT)
def test_what_keeps_an_energy_away(what: str) -> None:
    bench = LEFT[what]()
    assert not gate(bench).lets_through, what
    assert 1 <= len(gate(bench).lacks) <= 2, "what is left out and, for a plug, the item that it holds open"


def test_all_that_is_missing_is_said_at_once() -> None:
    bench = before(operation(Verb.WAIT, "hv")).reach_from(
        operation(Verb.WAIT, "hv"), operation(Verb.RENEW, "thermostat")
    )
    assert len(gate(bench).lacks) >= 8


OHMS: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, True),
    ({"value": 0.099}, True),
    ({"value": 0.1}, False),
    ({"value": 99, "unit": "mΩ"}, True),
    ({"value": 100, "unit": "mohm"}, False),
    ({"value": 0.02, "unit": "ohm"}, True),
    ({"value": 0.02, "unit": "kΩ"}, False),
    ({"value": 0.02, "unit": "V"}, False),
    ({"value": -0.02}, False),
    ({"value": "0.02"}, False),
    ({"value": None}, False),
    ({"unit": None}, False),
    ({"who": None}, False),
    ({"item": "undertray"}, False),
)


@pytest.mark.parametrize(("body", "is_good"), OHMS)
def test_bonding_is_measured_with_its_unit(body: dict[str, Any], *, is_good: bool) -> None:
    bench = without("bonding checked")
    bench.log("bonding checked", **{"item": "bonding-strap", "value": 0.02, "unit": "Ω", "who": "p1"} | body)
    assert gate(bench).open is is_good


def test_a_high_resistance_cannot_be_taken_back_nor_outvoted() -> None:
    """It is mended at the strap, and measured again."""
    bench = ready()
    high = bench.log("bonding checked", item="bonding-strap", value=0.4, unit="Ω", who="p1")
    assert not gate(bench).open
    bench.take_back(high)
    assert not gate(bench).open
    bench.log("bonding checked", item="bonding-strap", value=0.02, unit="Ω", who="p1")
    assert not gate(bench).open
    for verb in (Verb.UNDO, Verb.START, Verb.TIGHTEN):
        bench.do(operation(verb, "j52"))
    assert not gate(bench).open, "measured before the strap was last touched"
    bench.log("bonding checked", item="bonding-strap", value=0.02, unit="Ω", who="p1")
    clear(bench)
    assert gate(bench).open


CLEAR_ENDS: dict[str, Callable[[Bench], object]] = {
    "work went on": lambda bench: bench.do(operation(Verb.GUARD, "fan")),
    "a joint was turned": lambda bench: bench.do(operation(Verb.TIGHTEN, "j48")),
    "the shift ended": lambda bench: bench.log("shift ended"),
    "who looked left": lambda bench: bench.log("person left", who="p2"),
    "a doubt": lambda bench: bench.log("doubt raised", about="is anybody under it?"),
    "an event that cannot be read": lambda bench: bench.log("never heard of"),
    "a slip at the shield": lambda bench: bench.take_back(
        next(one.event.id for one in bench.entries if one.event.body.get("joint") == "j48")
    ),
}


@pytest.mark.parametrize("what", CLEAR_ENDS)
def test_people_are_seen_clear_after_the_last_hand_on_the_car(what: str) -> None:
    bench = ready()
    CLEAR_ENDS[what](bench)
    assert not gate(bench).open, what


@pytest.mark.parametrize(
    ("body", "is_open"), [({}, True), ({"energy": "hv"}, True), ({"energy": "lv"}, False), ({"who": ""}, False)]
)
def test_seen_clear_by_somebody_of_this_energy(body: dict[str, Any], *, is_open: bool) -> None:
    bench = before(REFIT)
    clear(bench, **{"who": "p2"} | body)
    assert gate(bench).open is is_open


def test_seen_clear_and_taken_back_is_not_seen() -> None:
    bench = before(REFIT)
    bench.take_back(clear(bench))
    assert not gate(bench).open


def test_seen_clear_on_a_device_that_sent_late() -> None:
    """The tablet saw nobody; another device's work went on meanwhile, and came to the server first."""
    bench = before(REFIT)
    bench.online = False
    clear(bench)
    seen = bench.entries.pop()
    bench.pass_minutes(3)
    bench.do(operation(Verb.TIGHTEN, "j48"), _device="phone", _person="p3", _online=True)
    bench.pass_minutes(3)
    bench.entries.append(seen)
    bench.arrive()
    assert not gate(bench).open


UNDONE = (
    ("j48", Verb.UNDO, "orange-shield"),
    ("orange-shield", Verb.REMOVE, "orange-shield"),
)


@pytest.mark.parametrize(("thing", "verb", "item"), UNDONE)
def test_taking_back_that_it_ever_came_off_asks_for_another_look(thing: str, verb: Verb, item: str) -> None:
    """Half of the way in is called a slip: then its put-back looks whole, but somebody has to look first."""
    bench = before(operation(Verb.FIT, item))
    off = next(
        one.event.id
        for one in bench.entries
        if one.event.body.get("verb") == verb and thing in (one.event.body.get("joint"), one.event.body.get("item"))
    )
    clear(bench)
    assert not gate(bench).open
    bench.take_back(off)
    assert not gate(bench).open


def test_reverse_order() -> None:
    """12 V goes on after what it made safe; fuel after 12 V, because 12 V could not go off before it."""
    bench = before(REFIT)
    clear(bench)
    assert (GateKind.RESTORE, "lv") in bench.shut(LEAD_ON)
    assert (GateKind.RESTORE, "fuel") in bench.shut(FUEL_BACK)
    bench = before(LEAD_ON)
    clear(bench)
    assert (GateKind.RESTORE, "lv") not in bench.shut(LEAD_ON)
    restored = [one for one in bench.entries if one.event.body.get("verb") == "restore"]
    hv = next(one for one in restored if one.event.body.get("energy") == "hv")
    bench.entries.remove(hv)
    assert (GateKind.RESTORE, "lv") in bench.shut(LEAD_ON), "the disconnect is in, but nobody said that it is back"


def test_a_restore_taken_back_does_not_count_as_given_back() -> None:
    bench = before(LEAD_ON)
    clear(bench)
    assert (GateKind.RESTORE, "lv") not in bench.shut(LEAD_ON)
    hv = next(
        one.event.id
        for one in bench.entries
        if one.event.body.get("verb") == "restore" and one.event.body.get("energy") == "hv"
    )
    bench.take_back(hv)
    clear(bench)
    assert (GateKind.RESTORE, "lv") in bench.shut(LEAD_ON)


def test_the_disconnect_goes_back_in_gloved_and_by_its_person() -> None:
    """Putting it in is operating it: people's gates stand there as on the way out."""
    bench = ready()
    assert not bench.shut(REFIT)
    bench.log("shift ended")
    clear(bench)
    assert {kind for kind, energy in bench.shut(REFIT) if energy == "hv"} == {
        GateKind.GLOVES,
        GateKind.KEYS,
        GateKind.SECOND_PERSON,
        GateKind.BOUNDARY,
    }
    assert (GateKind.WHO, "hv") in bench.shut(REFIT, person="p3")


def test_a_loop_that_was_drained_is_filled_first() -> None:
    back = operation(Verb.RESTORE, "cool-engine")
    bench = before(back)
    assert (GateKind.RESTORE, "cool-engine") not in bench.shut(back)
    bench.entries = [one for one in bench.entries if one.event.body.get("verb") != "fill"]
    assert (GateKind.RESTORE, "cool-engine") in bench.shut(back)


def test_a_named_person_may_pass_it_until_work_goes_on() -> None:
    bench = before(REFIT)
    assert not gate(bench).lets_through
    bench.log("override given", gate="restore", energy="hv", who="p2", reason="looked myself")
    passed = gate(bench)
    assert passed.lets_through
    assert not passed.open
    bench.do(operation(Verb.TIGHTEN, "j48"))
    assert not gate(bench).lets_through
