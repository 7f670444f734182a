"""No mending event opens a gate, time opens nothing but waits, and a device alone opens nothing that the server shuts.

Held against seeded random histories: right and wrong ones, with slips, odd fields, replays, gaps, several persons.
"""

import os
import random

import pytest

from core.gates.bench import Bench, at_shield, before, operation
from core.gates.histories import ASKED, history, later
from putback.core.gates import Entry, Gate, GateKind, gates_before
from putback.core.operations import Verb

ROUNDS = int(os.environ.get("PUTBACK_GATE_HISTORIES", "40"))

Key = tuple[str, GateKind, str | None, str | None, str | None]


def shut(bench: Bench, *, device: str | None = None) -> dict[Key, Gate]:
    """Every gate that lets nobody through, before each of the operations asked."""
    case, moment = bench.case(), bench.moment(device=device)
    return {
        (f"{op.verb} {op.item or op.energy}", gate.kind, gate.energy, gate.item, gate.about): gate
        for op in ASKED
        for gate in gates_before(case, op, moment)
        if not gate.lets_through
    }


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_no_mending_event_opens_anything(seed: int) -> None:
    bench = history(seed, online=bool(seed % 3))
    chance = random.Random(seed)
    asker = None if seed % 3 else "tablet"
    before_it = shut(bench, device=asker)
    events = [one.event for one in bench.entries]
    likely = [one.id for one in events if one.kind != "operation done"]
    for id in (*chance.sample([one.id for one in events], 6), *chance.sample(likely, min(6, len(likely))), "unknown"):
        mended = bench.copy()
        mended.take_back(id)
        opened = before_it.keys() - shut(mended, device=asker).keys()
        assert not opened, f"taking back {id} opened {opened}"


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_time_alone_opens_nothing_but_waits(seed: int) -> None:
    bench = history(1000 + seed, online=bool(seed % 2))
    asker = None if seed % 2 else "tablet"
    now = shut(bench, device=asker)
    for minutes in (1, 6, 12, 45, 700):
        opened = now.keys() - shut(later(bench, minutes), device=asker).keys()
        assert {kind for _, kind, *_ in opened} <= {GateKind.WAIT}, f"{minutes} min opened {opened}"


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_alone_a_device_opens_nothing_that_the_server_shuts(seed: int) -> None:
    """The same history: received at once, or not received yet since some moment."""
    bench = history(2000 + seed)
    cut = random.Random(seed).randrange(len(bench.entries))
    for minutes in (0, 5, 11):
        online, alone = later(bench, minutes), later(bench, minutes)
        alone.entries = [
            one if place < cut or one.event.device != "tablet" else Entry(event=one.event)
            for place, one in enumerate(bench.entries)
        ]
        opened = shut(online).keys() - shut(alone, device="tablet").keys()
        assert not opened


def test_the_histories_reach_every_kind_of_gate_open_and_shut() -> None:
    """Otherwise the three tests above would say little."""
    seen: set[tuple[GateKind, bool]] = set()
    passed: set[GateKind] = set()
    for seed in range(ROUNDS):
        bench = history(seed, online=bool(seed % 3))
        case = bench.case()
        for op in ASKED:
            for gate in gates_before(case, op, bench.moment()):
                seen.add((gate.kind, gate.open))
                if gate.passed:
                    passed.add(gate.kind)
    kinds = set(GateKind) - {GateKind.VALUE_NEEDED, GateKind.HELD}
    assert seen == {(kind, opened) for kind in kinds for opened in (True, False)}
    assert passed == {GateKind.BEFORE_IT, GateKind.ORDER, GateKind.BOUNDARY, GateKind.RESTORE}


def test_taking_back_a_taking_back_brings_nothing_back() -> None:
    bench = at_shield()
    gloves = next(one.event.id for one in bench.entries if one.event.kind == "gloves checked")
    slip = bench.take_back(gloves)
    assert (GateKind.GLOVES, "hv") in bench.shut()
    bench.take_back(slip)
    assert (GateKind.GLOVES, "hv") in bench.shut()


def test_a_mending_event_that_comes_before_what_it_mends_counts_too() -> None:
    """Two devices, and the slip arrives after the word that it was one."""
    bench = before(operation(Verb.PROVE_DEAD, "hv"))
    bench.log("operation taken back", mends="tablet-late", _device="phone")
    bench.readings()
    bench.do(operation(Verb.PROVE_DEAD, "hv"), _id="tablet-late")
    assert (GateKind.PROOF, "hv") in bench.shut()
