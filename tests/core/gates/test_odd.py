"""Events of every kind with every odd field: read without a stumble, kept, and never a way through."""

import json
from typing import Any

import pytest

from core.gates.bench import Bench, before, operation
from core.gates.histories import ASKED
from putback.core.gates import GateKind, gates_before, overrides, plain
from putback.core.operations import Verb
from putback.core.record import EVENTS, Event

ODD: tuple[Any, ...] = (
    *("", " ", "ghost", "hv", "p1", "yes", "2026-02-30", "9999-12-31T23:59:59-12:00", "0001-01-01T00:00:00+14:00"),
    *(0, -1, 2.5, 1e20, -1e300, 2**53 - 1, True, False, None, (), ({},), {}, {"value": {}, "unit": {}}, [[["hv"]]]),
)
TIMES = ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-03-02T08:15:00.123456789Z")


def _case_shut(bench: Bench) -> set[tuple[Any, ...]]:
    case, moment = bench.case(), bench.moment()
    found = set()
    for op in ASKED:
        for gate in gates_before(case, op, moment):
            json.dumps(plain(gate))
            if not gate.lets_through:
                found.add((op.n, gate.kind, gate.energy, gate.item, gate.about))
    overrides(case)
    return found


@pytest.mark.parametrize("kind", [*EVENTS, "never heard of"])
def test_odd_fields_of_every_kind(kind: str) -> None:
    """Each field, one odd value after the other, all others missing: nothing that was shut lets through then."""
    bench = before(operation(Verb.WAIT, "hv"))
    shut = _case_shut(bench)
    shape = EVENTS.get(kind)
    fields = [*shape.must, *shape.may, "newer"] if shape else ["newer"]
    for name in fields:
        for value in ODD:
            bench.log(kind, **{name: value})
            bench.pass_minutes(-1 / 60)
    opened = {key for key in shut - _case_shut(bench) if key[1] is not GateKind.CONSENT}
    assert not opened


@pytest.mark.parametrize("at", TIMES)
@pytest.mark.parametrize(
    "kind", ["operation done", "reading taken", "gloves checked", "device restarted", "keys counted"]
)
def test_times_that_no_clock_shows(kind: str, at: str) -> None:
    bench = before(operation(Verb.WAIT, "hv"))
    shut = _case_shut(bench)
    last = {"operation done": dict(bench.entries[-1].event.body), "gloves checked": {}}
    for online in (True, False):
        bench.log(kind, **last.get(kind, {}), _at=at, _online=online)
    assert shut <= _case_shut(bench)
    bench.gloves(air_test_at=at)
    _case_shut(bench)


def test_an_odd_event_is_kept_as_it_is() -> None:
    bench = before(operation(Verb.WAIT, "hv"))
    id = bench.log("operation done", verb="fit", item={"id": "service-disconnect"})
    fact = bench.case().facts[-1]
    assert fact.event.id == id
    assert isinstance(fact.event, Event)
    assert fact.says("item") == {"id": "service-disconnect"}
    assert fact.text("item") is None
    assert fact.unknown
    assert not fact.stands
