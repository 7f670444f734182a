"""The page's gates against the core's, on the same seeded histories of making safe: open, shut, lacking, until when.

The judge is the core (its own tests hold it against outside sources). Node runs the page's own files, unchanged.
Words are not compared, only what they are about.
"""

import json
import os
import subprocess
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bay.node import copy_modules, node_path
from bay.packs import demo_pack, demo_plan
from core.gates.bench import Bench
from core.gates.histories import ASKED, history, later
from putback.bay.gate_tables import gate_tables
from putback.core.car import Car
from putback.core.gates import Gate, GateKind, Moment, asked_before, gates_before
from putback.core.gates.proving import PROVE_AGAIN, PROVE_FIRST, SAY_SO

ROUNDS = max(100, int(os.environ.get("PUTBACK_HISTORIES", "1500")) // 15)

SCRIPT = """
import { fold } from "./reduce.mjs";
import { gates } from "./gates.mjs";
import { readFileSync, writeFileSync } from "node:fs";
const { pack, cars, cases, asked } = JSON.parse(readFileSync(process.argv[2], "utf8"));
const told = cases.map(({ records, moment, car }) => {
  const before = gates({ ...pack, gates: cars[car] }, fold(pack.tables, records))(moment);
  return asked.map((op) => before(op));
});
writeFileSync(process.argv[3], JSON.stringify(told));
"""


def _behind_the_bracket() -> Car:
    """The demo, but one proof is made behind an item that is reached in two ways, which need different items off."""
    car = demo_plan().car
    lv = car.energies["lv"]
    assert lv.proof is not None
    reached = replace(lv, proof=replace(lv.proof, reach=("compressor-bracket",)))
    return replace(car, energies={**car.energies, "lv": reached})


CARS = (demo_plan().car, _behind_the_bracket())
PARTS, RENEWED = demo_pack()["before"]["parts"], demo_pack()["before"]["compare"]


def _node() -> str:
    node = node_path()
    if node is None:
        if os.environ.get("CI") == "true":
            pytest.fail("there is no node, and the page's gates must be tested here")
        pytest.skip("THE PAGE'S GATES ARE NOT TESTED: there is no node on this machine")
    return node


def _lacks(gate: Gate) -> list[str] | int:
    """What is missing as both sides name it; of a list to put right only how many lines it has."""
    if gate.kind is GateKind.RESTORE:
        return len(gate.lacks)
    if gate.kind is not GateKind.PROOF:
        return list(gate.lacks)
    named = {PROVE_FIRST: "prove before", PROVE_AGAIN: "prove after", SAY_SO: SAY_SO_PAGE}
    steps = [named.get(one, one.removeprefix("test ")) for one in gate.lacks]
    points = {pair for energy in demo_plan().car.energies.values() if energy.proof for pair in energy.proof.points}
    return [one for one in steps if one in {*named.values(), *points}]


SAY_SO_PAGE = "say so"


def _core(gate: Gate) -> dict[str, Any]:
    clock = gate.clock
    return {
        "kind": gate.kind.value,
        "energy": gate.energy,
        "item": gate.item,
        "about": gate.about,
        "open": gate.open,
        "through": gate.lets_through,
        "lacks": _lacks(gate),
        "ends": int(clock.ends.timestamp() * 1000) if clock and clock.ends else None,
    }


def _page(gate: dict[str, Any]) -> dict[str, Any]:
    named = {name: gate[name] for name in ("kind", "energy", "item", "about", "open", "through")}
    lacks = len(gate["lacks"]) if gate["kind"] == "restore" else gate["lacks"]
    return named | {"lacks": lacks, "ends": int(gate["clock"]["ends"]) if gate["clock"] else None}


def _bench(seed: int) -> Bench:
    """A job as far as chance takes it; some with an id that comes twice, some received late, some looked at later."""
    bench = history(seed, length=20 + seed % 70, online=bool(seed % 3))
    if seed % 11 == 5:
        bench.log("noted", note="another one of the same id", _id=bench.entries[seed % len(bench.entries)].event.id)
    if seed % 7 == 3:
        bench.arrive(after_minutes=seed % 45)
    bench.car = CARS[seed % 2]
    return later(bench, (0, 0, 7, 31, 800)[seed % 5])


def _moment(bench: Bench, seed: int) -> Moment:
    person = ("p1", "p1", "p1", "p3", None)[seed // 5 % 5]
    return bench.moment(person=person, device="phone" if seed % 4 == 3 else "tablet")


def _case(bench: Bench, moment: Moment) -> dict[str, Any]:
    records = [{"event": _raw(one.event), "received_at": one.received_at} for one in bench.entries]
    at = int(moment.at.timestamp() * 1000)
    asked = {
        "at": at,
        "person": moment.person,
        "device": moment.device,
        "steady": (moment.steady_s or 0) * 1000,
        "east": 3_600_000,
    }
    return {"records": records, "moment": asked}


def _raw(event: Any) -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(event.content)
    return raw


def _ordered(gates: list[dict[str, Any]]) -> list[str]:
    return sorted({json.dumps(gate, sort_keys=True, ensure_ascii=False) for gate in gates})


def test_the_gates_of_the_page_are_those_of_the_core(tmp_path: Path) -> None:
    node = _node()
    benches = [_bench(seed) for seed in range(ROUNDS)]
    moments = [_moment(bench, seed) for seed, bench in enumerate(benches)]
    copy_modules(tmp_path)
    (tmp_path / "run.mjs").write_text(SCRIPT, encoding="utf-8")
    asked = [
        {name: getattr(op, name) for name in ("verb", "item", "joint", "energy", "fluid") if getattr(op, name)}
        for op in ASKED
    ]
    cases = [
        _case(bench, moment) | {"car": seed % 2}
        for seed, (bench, moment) in enumerate(zip(benches, moments, strict=True))
    ]
    cars = [gate_tables(replace(demo_plan(), car=car)) for car in CARS]
    given = {"pack": demo_pack(), "cars": cars, "cases": cases, "asked": asked}
    (tmp_path / "asked.json").write_text(json.dumps(given), encoding="utf-8")
    subprocess.run([node, "run.mjs", "asked.json", "told.json"], cwd=tmp_path, check=True)
    told = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    seen: Counter[tuple[str, bool]] = Counter()
    for seed, (bench, moment, page) in enumerate(zip(benches, moments, told, strict=True)):
        case = bench.case()
        for op, given in zip(ASKED, page, strict=True):
            stands = (*gates_before(case, op, moment), *asked_before(case, op, moment, parts=PARTS, renewed=RENEWED))
            gates = [_core(gate) for gate in stands]
            seen.update((gate["kind"], gate["open"]) for gate in gates)
            assert _ordered([_page(gate) for gate in given]) == _ordered(gates), f"history {seed}: {op.verb} {op.item}"
    both = {kind.value for kind in GateKind} - {"held", "value needed"}
    assert {kind for kind, is_open in seen if is_open} >= both, "some kind was never open"
    assert {kind for kind, is_open in seen if not is_open} >= both | {"held"}, "some kind was never shut"
