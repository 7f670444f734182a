"""Waits and windows against clocks that are wrong: ahead, behind, set, restarted, and receipts that come late.

The 3 and 10 minutes are the demo's own, invented. True time is the bench's; the server's receipts follow it.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from core.gates.bench import START, Bench, at_shield, before, operation
from putback.core.gates import Entry, GateKind, Moment, gates_before
from putback.core.operations import Operation, Verb

DISCONNECT = operation(Verb.REMOVE, "service-disconnect")
WAIT = operation(Verb.WAIT, "hv")
PROVE = operation(Verb.PROVE_DEAD, "hv")
SRS_WAIT = operation(Verb.WAIT, "srs")


def running(*, online: bool = True, steady: bool = True, slow: timedelta = timedelta(0)) -> Bench:
    """The disconnect was just taken out, by a tablet that is online or not, has a steady clock or not, is so slow."""
    bench = before(DISCONNECT)
    bench.online, bench.steady = online, steady
    bench.slow["tablet"] = slow
    bench.do(DISCONNECT)
    bench.do(operation(Verb.ISOLATE, "hv"))
    return bench


def is_open(bench: Bench, device: str | None = None) -> bool:
    return (GateKind.WAIT, "hv") not in bench.shut(WAIT, device=device)


def of_hv(bench: Bench, device: str | None = None) -> set[GateKind]:
    return {kind for kind, energy in bench.shut(device=device) if energy == "hv"}


def uncover(bench: Bench) -> None:
    """The proving points are reached."""
    for op in (operation(Verb.UNDO, "j09b"), operation(Verb.UNDO, "j09"), operation(Verb.REMOVE, "undertray")):
        bench.do(op)


def true_minutes(bench: Bench, device: str | None = None) -> int:
    """After how many whole minutes from now the wait is first open, if within two hours."""
    one = bench.copy().pass_minutes(0.01)
    for minutes in range(121):
        if is_open(one, device):
            return minutes
        one.pass_minutes(1)
    raise AssertionError("not within two hours")


def test_ten_minutes_from_the_logged_disconnect_and_not_a_second_less() -> None:
    bench = running()
    off = datetime.fromisoformat(next(one.received_at or "" for one in bench.entries[-2:]))
    for seconds, opened in ((599, False), (600, True)):
        gates = gates_before(bench.case(), WAIT, Moment(at=off + timedelta(seconds=seconds), person="p1"))
        assert next(gate for gate in gates if gate.kind is GateKind.WAIT).open is opened


def test_it_counts_from_the_disconnect_and_from_nothing_else() -> None:
    bench = before(DISCONNECT)
    bench.log("operation done", verb="wait", energy="hv", item="service-disconnect")
    bench.pass_minutes(30)
    gate = next(gate for gate in bench.gates(WAIT) if gate.kind is GateKind.WAIT)
    assert not gate.open
    assert gate.clock is None
    bench.do(operation(Verb.ISOLATE, "hv"))
    bench.pass_minutes(30)
    assert not is_open(bench), "called isolated, but the disconnect was not logged out"


def test_a_logged_wait_is_a_word_and_not_a_wait() -> None:
    bench = running()
    bench.do(WAIT)
    assert not is_open(bench)
    bench.readings()
    bench.do(PROVE)
    bench.pass_minutes(11)
    assert (GateKind.PROOF, "hv") in bench.shut()


@pytest.mark.parametrize(
    ("minutes", "source"), [(None, "made-up"), (10.0, None), (10.0, ""), (-1.0, "made-up"), (float("nan"), "made-up")]
)
def test_a_wait_without_a_sourced_figure_never_ends(minutes: float | None, source: str | None) -> None:
    bench = at_shield()
    high = bench.car.energies["hv"]
    assert high.wait is not None
    unknown = replace(high, wait=replace(high.wait, minutes=minutes, source=source))
    bench.car = replace(bench.car, energies={**bench.car.energies, "hv": unknown})
    bench.pass_minutes(10_000)
    gate = next(gate for gate in bench.gates(WAIT) if gate.energy == "hv" and "wait" in gate.lacks)
    assert gate.kind is GateKind.VALUE_NEEDED
    assert gate.opens == "value needed: ask the maker's publication"
    assert gate.clock is None
    assert (GateKind.PROOF, "hv") in bench.shut(), "and what was proved after it proves nothing"


RESTARTS: dict[str, Callable[[Bench], object]] = {
    "the device was started anew": lambda bench: bench.log("device restarted"),
    "another device says that it was": lambda bench: bench.log("device restarted", device="tablet", _device="phone"),
    "its clock jumped": lambda bench: bench.log("clock jumped", seconds=-300),
    "a doubt": lambda bench: bench.log("doubt raised", about="was it really out?"),
    "a doubt of this energy": lambda bench: bench.log("doubt raised", about="arc marks", energy="hv"),
    "an event that cannot be read": lambda bench: bench.log("never heard of"),
    "the disconnect called out once more": lambda bench: bench.do(DISCONNECT),
}


@pytest.mark.parametrize("what", RESTARTS)
def test_what_begins_the_wait_anew(what: str) -> None:
    bench = running()
    bench.pass_minutes(8)
    RESTARTS[what](bench)
    bench.pass_minutes(3)
    assert not is_open(bench), what
    bench.pass_minutes(8)
    assert is_open(bench), what


@pytest.mark.parametrize("what", RESTARTS)
def test_the_doubt_cannot_be_taken_back(what: str) -> None:
    bench = running()
    bench.pass_minutes(8)
    event = RESTARTS[what](bench)
    bench.take_back(str(event))
    bench.pass_minutes(9)
    assert not is_open(bench), what


@pytest.mark.parametrize("verb", [Verb.ISOLATE, Verb.WAIT])
def test_taking_back_what_was_done_to_the_energy_begins_it_anew(verb: Verb) -> None:
    bench = running()
    event = bench.do(operation(verb, "hv"))
    bench.pass_minutes(8)
    bench.take_back(event)
    bench.pass_minutes(9)
    assert not is_open(bench)


def test_put_back_and_taken_back_is_not_out() -> None:
    """Whoever logs the disconnect in by a slip looks, and logs it out again; the wait runs from there."""
    bench = running()
    bench.pass_minutes(9)
    bench.take_back(bench.do(operation(Verb.FIT, "service-disconnect")))
    bench.pass_minutes(60)
    assert not is_open(bench)
    bench.do(DISCONNECT)
    assert true_minutes(bench) == 10


def test_another_device_does_not_hold_this_clock() -> None:
    bench = running()
    bench.pass_minutes(8)
    bench.log("device restarted", _device="phone")
    bench.log("clock jumped", device="phone", _device="phone")
    bench.pass_minutes(3)
    assert is_open(bench)


AHEAD = timedelta(minutes=-15)
BEHIND = timedelta(minutes=15)


def test_a_device_ahead_gains_nothing_online() -> None:
    """Its clock is doubted at every event; a wait that it started ends only once it is set right."""
    bench = running(slow=AHEAD)
    bench.pass_minutes(9)
    assert not is_open(bench)
    assert not is_open(bench, "tablet")


def test_a_device_behind_gains_nothing() -> None:
    bench = running(slow=BEHIND)
    assert true_minutes(bench) >= 10
    assert true_minutes(bench, "tablet") >= 10


@pytest.mark.parametrize("shift", [AHEAD, BEHIND, timedelta(days=-1), timedelta(days=1)])
def test_a_clock_that_is_set_while_the_wait_runs_gains_nothing(shift: timedelta) -> None:
    """The device asks itself, without its server; nobody logged the jump."""
    bench = running(online=False)
    bench.pass_minutes(5)
    bench.slow["tablet"] = shift
    bench.pass_minutes(4)
    assert not is_open(bench, "tablet")
    bench.log("noted", note="looked at the clock")
    assert not is_open(bench, "tablet")


def test_set_ahead_and_back_again_still_gains_nothing() -> None:
    bench = running(online=False)
    bench.slow["tablet"] = AHEAD
    bench.do(WAIT)
    bench.slow["tablet"] = timedelta(0)
    bench.pass_minutes(9)
    assert not is_open(bench, "tablet")


def test_without_a_steady_clock_a_device_times_nothing() -> None:
    """It could have been set; the server times it, from the receipt."""
    bench = running(steady=False)
    bench.pass_minutes(60)
    assert not is_open(bench, "tablet")
    assert is_open(bench)


def test_offline_it_ends_when_it_would_end_online() -> None:
    bench = running(online=False)
    assert true_minutes(bench, "tablet") == 10


def test_late_receipt_the_server_counts_by_receipt_or_by_the_steady_clock() -> None:
    """For the server's own moment the receipt counts; what the device did meanwhile is timed by its steady clock."""
    bench = running(online=False)
    uncover(bench)
    bench.pass_minutes(10.5)
    assert is_open(bench, "tablet")
    waits = bench.copy()
    waits.arrive()
    assert not is_open(waits), "nothing was done after it that the steady clock could time"
    bench.prove("hv")
    assert of_hv(bench, "tablet") == set()
    bench.arrive(after_minutes=1)
    assert of_hv(bench, "tablet") == set()
    assert of_hv(bench) == set(), "proved after the whole wait, as the steady clock shows"


def test_late_receipt_without_steady_clock_proves_nothing() -> None:
    bench = running(online=False, steady=False)
    uncover(bench)
    bench.pass_minutes(10.5)
    bench.prove("hv")
    bench.arrive(after_minutes=1)
    assert bench.shut() >= {(GateKind.WAIT, "hv"), (GateKind.PROOF, "hv")}


def test_another_device_sees_the_wait_through_its_own_contact_with_the_server() -> None:
    bench = running()
    bench.log("energy checked", energy="lift", who="p2", gone="yes", _device="phone", _person="p2")
    bench.slow["phone"] = AHEAD
    bench.pass_minutes(5)
    assert not is_open(bench, "phone"), "set ahead since its last contact"
    bench.pass_minutes(6)
    assert is_open(bench, "phone")


def test_a_device_that_never_spoke_to_the_server_times_nothing_for_others() -> None:
    bench = running()
    bench.slow["phone"] = AHEAD
    bench.pass_minutes(11)
    assert not is_open(bench, "phone")
    assert is_open(bench)


def test_a_clock_before_what_is_recorded_opens_nothing() -> None:
    bench = running()
    bench.pass_minutes(11)
    assert is_open(bench)
    gates = gates_before(bench.case(), WAIT, Moment(at=START, person="p1"))
    assert not next(gate for gate in gates if gate.kind is GateKind.WAIT).open


def test_each_wait_has_its_own_clock() -> None:
    bench = before(DISCONNECT)
    lead = next(one for one in bench.entries if one.event.body.get("verb") == "part")
    gate = next(gate for gate in bench.gates(SRS_WAIT) if gate.kind is GateKind.WAIT)
    assert gate.clock is not None
    assert gate.clock.ends is not None
    assert gate.clock.started == datetime.fromisoformat(lead.received_at or "")
    assert gate.clock.ends - gate.clock.started == timedelta(minutes=3)


def test_a_moment_without_offset_is_refused() -> None:
    with pytest.raises(ValueError, match="offset"):
        Moment(at=datetime(2026, 3, 2, 8, 0), person="p1")


LATE: dict[str, Callable[[Bench], object]] = {
    "a key was moved": lambda bench: bench.log("key moved", _device="phone", _online=True),
    "the second person left": lambda bench: bench.log("person left", who="p2", _device="phone", _online=True),
    "the disconnect went back in": lambda bench: bench.do(
        operation(Verb.FIT, "service-disconnect"), _device="phone", _online=True
    ),
    "six volts were read": lambda bench: bench.reading("test", 6, "TP1-body", _device="phone", _online=True),
    "a doubt was raised": lambda bench: bench.log("doubt raised", about="?", _device="phone", _online=True),
}


@pytest.mark.parametrize("what", LATE)
def test_what_arrives_late_does_not_outrun_what_was_sent_at_once(what: str) -> None:
    """The tablet counts, isolates and proves without its server; meanwhile another device logs what undoes it.

    In the record the tablet's lines stand after that, because they came later.
    """
    bench = before(DISCONNECT)
    online = list(bench.entries)
    bench.online = False
    bench.people()
    bench.do(DISCONNECT)
    bench.do(operation(Verb.ISOLATE, "hv"))
    uncover(bench)
    bench.pass_minutes(11)
    bench.prove("hv")
    peaceful = bench.copy()
    peaceful.arrive(after_minutes=2)
    assert of_hv(peaceful) == set()
    LATE[what](bench)
    disturbed = bench.entries.pop()
    bench.arrive(after_minutes=2)
    bench.entries = [*online, disturbed, *bench.entries[len(online) :]]
    assert of_hv(bench), what


def test_a_late_line_of_the_same_device_keeps_its_order() -> None:
    """What one device logged stays in its order, however late it comes."""
    bench = before(DISCONNECT)
    bench.online = False
    bench.log("key moved")
    bench.keys()
    bench.arrive(after_minutes=30)
    assert (GateKind.KEYS, "hv") not in bench.shut(DISCONNECT)


@pytest.mark.parametrize("upto", [WAIT, operation(Verb.UNDO, "j10")])
def test_offline_opens_nothing_earlier_than_online(upto: Operation) -> None:
    """The same history, once as the server has it and once as only the device does: no gate is open there alone."""
    bench = before(upto)
    offline = [Entry(event=one.event, received_at=None) for one in bench.entries]
    for minutes in (0, 1, 5, 10, 20, 40, 600):
        later = bench.copy().pass_minutes(minutes)
        alone = bench.copy().pass_minutes(minutes)
        alone.entries = list(offline)
        for op in (DISCONNECT, WAIT, PROVE, operation(Verb.UNDO, "j48"), operation(Verb.FIT, "service-disconnect")):
            assert later.shut(op) <= alone.shut(op, device="tablet")
            assert later.shut(op) <= alone.shut(op), "asked by the server's clock"


def test_a_late_line_of_a_device_ahead_does_not_fill_the_wait() -> None:
    """12 V off, online; checked a minute later by a device set ahead, without steady clock, and sent late."""
    plug = operation(Verb.UNPLUG, "impact-plug-left")
    for ahead, steady, shut in ((AHEAD, False, True), (timedelta(0), True, False)):
        bench = Bench(steady=steady)
        for _ in bench.walk(SRS_WAIT, minutes=0.01):
            pass
        bench.pass_minutes(0 if ahead else 4)
        bench.online, bench.slow["tablet"] = False, ahead
        bench.prove("srs")
        bench.arrive(after_minutes=25)
        assert ((GateKind.PROOF, "srs") in bench.shut(plug)) is shut
        assert (GateKind.WAIT, "srs") not in bench.shut(plug), "by now the wait itself is over"


@pytest.mark.parametrize(("minutes", "is_good"), [(0, True), (2, False), (15, False)])
def test_a_proof_by_a_clock_that_runs_ahead_of_the_server_is_none(minutes: int, *, is_good: bool) -> None:
    bench = before(PROVE)
    bench.slow["tablet"] = timedelta(minutes=-minutes)
    bench.prove("hv")
    assert ((GateKind.PROOF, "hv") not in bench.shut()) is is_good


def test_a_device_ahead_does_not_count_after_what_came_first() -> None:
    """Its count is dated an hour from now and came late; when it was made nobody knows, so the moved key counts."""
    bench = before(DISCONNECT)
    bench.slow["tablet"] = timedelta(minutes=-60)
    bench.online = False
    bench.keys()
    count = bench.entries.pop()
    bench.pass_minutes(5)
    bench.log("key moved", _device="phone", _online=True)
    bench.pass_minutes(5)
    bench.entries.append(count)
    bench.arrive()
    assert (GateKind.KEYS, "hv") in bench.shut(DISCONNECT)


def test_a_clock_set_back_behind_the_record_opens_neither_wait_nor_proof() -> None:
    """The wait is over at minute 12 and proved; the record goes on to minute 20; asked again by a clock at 15."""
    bench = running()
    uncover(bench)
    bench.pass_minutes(12)
    unproved = bench.copy()
    bench.prove("hv")
    for one in (bench, unproved):
        one.pass_minutes(8)
        one.log("noted", note="still here")
        assert GateKind.WAIT not in of_hv(one)
        one.pass_minutes(-5)
        assert GateKind.PROOF in of_hv(one)
        assert GateKind.WAIT in of_hv(one)


def test_the_disconnect_called_out_by_a_slip_is_in() -> None:
    """What came off counts only while it stands."""
    bench = before(DISCONNECT)
    bench.take_back(bench.do(DISCONNECT))
    isolate = operation(Verb.ISOLATE, "hv")
    assert (GateKind.ORDER, "hv") in bench.shut(isolate)
    bench.do(isolate)
    bench.pass_minutes(60)
    assert not is_open(bench)
    gate = next(gate for gate in bench.gates(WAIT) if gate.kind is GateKind.WAIT)
    assert gate.clock is None, "nothing runs"


def test_midnight_ends_the_sitting_whatever_the_gap() -> None:
    """Proved at ten to twelve, a line every few minutes: at midnight it is another day."""
    upto = operation(Verb.UNDO, "j10")
    bench = Bench(now=START.replace(hour=23, minute=0))
    for _ in bench.walk(upto, minutes=0.5):
        pass
    assert of_hv(bench) == set()
    assert bench.now.date() == START.date()
    while bench.now.date() == START.date():
        bench.log("noted", note="working on")
        bench.pass_minutes(4)
    assert GateKind.PROOF in of_hv(bench)
    assert GateKind.GLOVES in of_hv(bench)
