"""Small cars at the corners of the contract: each plan passes the audit, and what a hand works out is in it.

The expectations are worked out by hand from docs/car-file.md.
"""

from pathlib import Path

import pytest

from putback.adapters.car_file import read_car
from putback.core.finding import faults
from putback.core.operations import Operation, Verb
from putback.core.rules import audit
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan

TOP = "putback: car/1\nname: t\nzones: {u: {name: under, lift: up}, d: {name: top, lift: down}}\nsources: {m: book}\n"
PROOF = "proof: {check: looked at, source: m}"
DRAINED = """items:
  tray: {name: tray, zone: u, action: remove, minutes: [1, 1]}
  plug:
    {name: plug, zone: u, action: remove, needs_off: [tray], minutes: [1, 1], joints: [{id: j, count: 1, kind: plug}]}
  seal: {name: seal, zone: u, action: renew, needs_off: [tray], renew_with: [fluid loop], minutes: [0, 1]}
  hose: {name: hose, zone: d, action: part, minutes: [1, 1]}
fluids:
  loop: {litres: 5, opened_by: [hose], drain: {joint: j}, source: m}
"""
HEATED = f"""items:
  lid: {{name: lid, zone: d, action: remove, minutes: [1, 1]}}
  seal: {{name: seal, zone: d, action: renew, needs_off: [lid], renew_with: [lid], energy: [heat], minutes: [0, 1]}}
energies:
  heat: {{kind: heat, make_safe: left to cool, before_it: [codes saved], {PROOF}}}
"""
OWN_ITEM = f"""items:
  lead: {{name: lead, zone: d, action: part, minutes: [1, 1], energy: [power]}}
energies:
  power: {{kind: 12 V, item: lead, {PROOF}}}
"""
BOLTS = """items:
  lid: {name: lid, zone: d, action: remove, minutes: [1, 1], joints: [{id: j, count: 2, kind: bolt, one_time: true}]}
  bolts: {name: bolts, zone: d, action: renew, renew_with: [lid], joint: j, one_time: true, minutes: [0, 1]}
"""
TWO_PARTS = """items:
  one: {name: one, zone: d, action: renew, renew_with: [two], minutes: [0, 1]}
  two: {name: two, zone: d, action: renew, renew_with: [one], minutes: [0, 2]}
"""


def planned(folder: Path, text: str, target: str) -> Plan:
    path = folder / "t.car.yaml"
    path.write_text(TOP + text, encoding="utf-8")
    car = read_car(path).car
    assert car is not None
    plan = make_plan(car, wanted(car, [target]), settings=Settings())
    assert isinstance(plan, Plan)
    assert faults(audit(car, plan.operations, targets=plan.targets)) == ()
    return plan


def first(plan: Plan, verb: Verb) -> Operation:
    return next(operation for operation in plan.operations if operation.verb is verb)


@pytest.mark.parametrize("target", ["hose", "plug"])
def test_a_drain_seal_is_new_before_the_plug_is_in(tmp_path: Path, target: str) -> None:
    plan = planned(tmp_path, DRAINED, target)
    assert {"tray", "plug", "seal"} <= set(plan.items)
    assert first(plan, Verb.DRAIN).litres == 5
    seal = next(operation for operation in plan.operations if operation.item == "seal")
    assert seal.n < first(plan, Verb.TIGHTEN).n < first(plan, Verb.FILL).n


def test_litres_without_a_source_are_not_said(tmp_path: Path) -> None:
    plan = planned(tmp_path, DRAINED.replace(", source: m}", "}"), "hose")
    for verb in (Verb.DRAIN, Verb.FILL):
        assert (first(plan, verb).litres, first(plan, verb).value_needed) == (None, True)


def test_a_seal_with_an_energy_of_its_own_is_new_before_that_is_restored(tmp_path: Path) -> None:
    plan = planned(tmp_path, HEATED, "lid")
    seal = next(operation for operation in plan.operations if operation.item == "seal")
    assert seal.n < first(plan, Verb.RESTORE).n
    assert first(plan, Verb.NOTE).n < first(plan, Verb.ISOLATE).n


def test_what_makes_an_energy_safe_is_renewed_with_that_energy_proven_gone(tmp_path: Path) -> None:
    plan = planned(tmp_path, OWN_ITEM, "lead")
    assert first(plan, Verb.PART).n < first(plan, Verb.PROVE_DEAD).n < first(plan, Verb.JOIN).n


def test_new_fasteners_need_their_joint_undone(tmp_path: Path) -> None:
    plan = planned(tmp_path, BOLTS, "bolts")
    assert (plan.items, plan.minutes) == (("lid", "bolts"), 3)


def test_parts_that_join_each_other_are_both_renewed(tmp_path: Path) -> None:
    plan = planned(tmp_path, TWO_PARTS, "one")
    assert sorted(operation.item or "" for operation in plan.operations if operation.verb is Verb.RENEW) == [
        "one",
        "two",
    ]
