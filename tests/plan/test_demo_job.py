"""The demo job, figure by figure.

Every expectation here was computed outside the program: closure by hand-written set arithmetic with all four
combinations of ways enumerated, sums and the shift of mass by hand (the notes that came with the invented vehicle).
They are kept as literal figures; none was taken from the program's own output.
"""

import pytest

from putback.adapters.car_file import demo_path, read_car
from putback.core.car import Action, Car
from putback.core.finding import faults
from putback.core.operations import Verb
from putback.core.rules import audit
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Impossible, Plan


@pytest.fixture(scope="module")
def car() -> Car:
    found = read_car(demo_path()).car
    assert found is not None
    return found


@pytest.fixture(scope="module")
def plan(car: Car) -> Plan:
    return _plan(car)


def _plan(car: Car, *without: str, ids: tuple[str, ...] = ("thermostat-and-pump",)) -> Plan:
    made = make_plan(car, wanted(car, ids), without=without, settings=Settings(rate_per_hour=96.0))
    assert isinstance(made, Plan)
    return made


def test_the_least_work(plan: Plan) -> None:
    assert len(plan.car.items) == 78
    assert len(plan.items) == 72
    assert (plan.minutes_off, plan.minutes_on, plan.minutes) == (131, 191, 322)
    assert plan.fasteners == 147
    assert sum(joint.count for joint in plan.car.joints()) == 171
    assert dict(plan.ways) == {"j53h": "front", "j73h": "front"}
    assert plan.proved
    assert plan.gap_minutes == 0


def test_the_alternatives(plan: Plan) -> None:
    found = [(other.minutes, len(other.items), other.ways["j53h"], other.ways["j73h"]) for other in plan.alternatives]
    assert found == [
        (322, 72, "front", "front"),
        (330, 74, "below", "front"),
        (335, 72, "front", "below"),
        (343, 74, "below", "below"),
    ]
    assert plan.alternatives_complete


def test_what_stays_on(plan: Plan) -> None:
    assert set(plan.left_on) == {
        "headlamp-right",
        "headlamp-right-plug",
        "air-guide-left",
        "air-guide-right",
        "wheel-left",
        "arch-liner-left",
    }
    assert "8 min" in plan.left_on["wheel-left"]


def test_kinds_of_fasteners_and_connections(plan: Plan) -> None:
    items = [plan.car.items[id] for id in plan.items]
    joints = [joint for item in items for joint in item.joints]
    assert sum(joint.count for joint in joints if joint.torque) == 103
    assert sum(joint.count for joint in joints if joint.kind == "clip") == 27
    assert sum(joint.count for joint in joints if joint.kind == "ct-clamp") == 7
    assert sum(item.action is Action.UNPLUG for item in items) == 16
    assert sum(item.action is Action.PART for item in items) == 11
    assert sum(line.one_time for line in plan.parts) == 10


def test_the_quote(plan: Plan) -> None:
    quote = plan.quote
    assert quote.minutes == 474
    assert (quote.labour, quote.parts_total + quote.consumables, quote.sublet_total) == (758.40, 532, 145)
    assert quote.total == 1435.40
    assert quote.most == 1572.40
    assert [(one.finding, one.total) for one in quote.additions if one.total] == [("pitted-bypass", 137.00)]
    assert quote.open_ended == ("chafed-hose",)


@pytest.mark.parametrize(
    ("thing", "minutes"),
    [
        ("shutter-plug", 43.5),
        ("electronics-hose", 118.5),
        ("bypass-oring-lower", 188.5),
        ("elbow-gasket", 239),
        ("housing-gasket", 289.5),
        ("block-plugs@bypass-pipe", 188.5),
        ("block-plugs@outlet-elbow", 239),
        ("block-plugs@housing", 289.5),
    ],
)
def test_rework(plan: Plan, thing: str, minutes: float) -> None:
    assert plan.rework[thing] == minutes


def test_length_traps(plan: Plan) -> None:
    found = {(trap.thread, trap.drive): list(trap.joints_by_length_mm) for trap in plan.length_traps}
    assert found == {
        ("M6", "hex10"): [12, 16, 20, 25, 30],
        ("M8", "hex13"): [20, 25, 30, 35, 40, 60, 90],
        ("M6", "T30"): [16, 20, 25],
    }


def test_trapped_lengths_lie_apart(plan: Plan) -> None:
    for line in plan.stow:
        kinds = {
            (joint.thread.nominal, joint.drive, joint.thread.length_mm)
            for joint in line.joints
            if joint.thread and joint.thread.length_mm
        }
        assert len(kinds) == len({(nominal, drive) for nominal, drive, _ in kinds})


def test_mass(plan: Plan) -> None:
    assert plan.mass.off_kg == pytest.approx(46.5)
    assert plan.mass.rearward_mm == pytest.approx(49, abs=0.5)
    assert plan.mass.rearward_drained_mm == pytest.approx(59, abs=0.5)


def test_a_missing_tool_that_matters(car: Car) -> None:
    plan = _plan(car, "ratcheting-ring-13")
    assert plan.minutes == 330
    assert {"wheel-left", "arch-liner-left"} <= set(plan.items)
    assert "330" in plan.without_says[0]


def test_a_missing_tool_that_does_not(car: Car, plan: Plan) -> None:
    other = _plan(car, "universal-joint")
    assert (other.minutes, dict(other.ways)) == (322, dict(plan.ways))
    assert "nothing changes" in other.without_says[0]


def test_a_missing_tool_without_which_it_cannot_be_done(car: Car) -> None:
    made = make_plan(car, wanted(car, ["pump"]), without=["E10"], settings=Settings())
    assert isinstance(made, Impossible)
    assert [(reach.joint, reach.missing) for reach in made.joints] == [("j71", ("E10",))]


def test_both_ways_of_a_joint_gone(car: Car) -> None:
    tools = ["extension-150", "extension-450"]
    made = make_plan(car, wanted(car, ["thermostat"]), without=tools, settings=Settings())
    assert isinstance(made, Impossible)
    assert [(reach.joint, reach.missing) for reach in made.joints] == [("j73h", ("extension-150", "extension-450"))]


def test_a_service_counts_when_exactly_its_targets_are_named(car: Car, plan: Plan) -> None:
    assert _plan(car, ids=("thermostat", "pump", "housing")).quote.total == plan.quote.total
    alone = _plan(car, ids=("pump",)).quote
    assert alone.labour_only
    assert alone.total == alone.labour


def test_the_order_is_proved_and_audited(plan: Plan) -> None:
    assert plan.order.proved
    assert plan.order.gap == 0
    assert faults(audit(plan.car, plan.operations, targets=plan.targets)) == ()


def test_what_must_precede_12_v_off_precedes_it(plan: Plan) -> None:
    off = next(op.n for op in plan.operations if op.verb is Verb.PART and op.item == "lv-negative")
    assert next(op.n for op in plan.operations if op.verb is Verb.READ_BEFORE) == 1
    assert next(op.n for op in plan.operations if op.verb is Verb.PROVE_DEAD and op.energy == "fuel") < off
    ticked = next(op for op in plan.operations if op.verb is Verb.NOTE and op.energy == "lv")
    assert ticked.n < off
    assert len(ticked.note.split(",")) == 6


def test_waits_run_while_other_work_is_done(plan: Plan) -> None:
    waits = {wait.energy: wait for wait in plan.waits}
    assert (waits["srs"].minutes, waits["hv"].minutes) == (3, 10)
    done = {op.item for op in plan.operations if op.n in waits["hv"].meanwhile}
    assert "undertray" in done
    assert waits["hv"].idle_minutes is not None
    assert waits["hv"].idle_minutes < 10


def test_why_chains_lead_to_a_target(plan: Plan) -> None:
    for id in plan.items:
        chain = plan.why[id]
        assert chain[0] == id
        assert chain[-1] in plan.targets
    assert plan.why["pump"] == ("pump",)
    assert plan.why["load-bay-flap"][1] == "service-disconnect"


def test_the_value_nobody_gives_is_asked_for(plan: Plan) -> None:
    needed = [line.joint.id for line in plan.torque_card if line.value_needed]
    assert needed == ["jdR"]
    tight = next(op for op in plan.operations if op.verb is Verb.TIGHTEN and op.joint == "jdR")
    assert tight.torque is None
    assert tight.value_needed


def test_two_people_stay_together_on_one_item(plan: Plan) -> None:
    """The bumper cover takes two: from its first joint to its removal nobody works alone in between."""
    for verbs in ({Verb.UNDO, Verb.REMOVE}, {Verb.FIT, Verb.START, Verb.TIGHTEN}):
        numbers = [op.n for op in plan.operations if op.item == "bumper" and op.verb in verbs]
        between = plan.operations[numbers[0] - 1 : numbers[-1]]
        assert {op.people for op in between} == {2}
