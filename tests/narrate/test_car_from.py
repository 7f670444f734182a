"""A car drawn from recordings is a car file that reads without faults and says what is not known. Invented lines."""

from dataclasses import replace

from putback.adapters.car_file import read_car_text
from putback.adapters.car_writer import write_car
from putback.core.car import Action, Car, Origin
from putback.core.finding import faults
from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure
from putback.narrate.car.car_from import Drawn, car_from
from putback.narrate.car.learn import learned, recorded
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan

LINES = (
    Line(n=1, verb=Verb.UNDO, object="front cowl bolts", count=4, size="10mm", kind="bolt"),
    Line(n=2, verb=Verb.REMOVE, object="front cowl", zone="nose", tray="C"),
    Line(n=3, verb=Verb.UNPLUG, object="fan connector"),
    Line(n=4, verb=Verb.UNDO, object="bolts", size="T30", kind="bolt"),
    Line(n=5, verb=Verb.REMOVE, object="fan", first=(2,)),
    Line(n=6, verb=Verb.RENEW, object="seal"),
    Line(n=7, verb=Verb.FIT, object="fan", twin=5),
    Line(n=8, verb=Verb.PLUG_IN, object="fan connector", twin=3),
    Line(n=9, verb=Verb.FIT, object="front cowl", twin=2),
    Line(n=10, verb=Verb.TIGHTEN, object="front cowl bolts", torque="9Nm", twin=1, pattern="in a criss-cross"),
)
ONE = Procedure(car="Invented 1", file="a", invented=True, lines=LINES, high_voltage=False)


def drawn(*procedures: Procedure) -> Drawn:
    """The car of these recordings."""
    return car_from(procedures, learned([recorded(one) for one in procedures]))


def read_back(one: Drawn) -> Car:
    """The same car by way of its file."""
    reading = read_car_text(write_car(one.car, findings=one.findings).encode(), "drawn.car.yaml")
    assert reading.car is not None, faults(reading.findings)
    return reading.car


def test_items_joints_links() -> None:
    """Names, actions, zones, counts, links with where they come from."""
    car = read_back(drawn(ONE))
    assert list(car.items) == ["front-cowl", "fan-connector", "fan", "seal"]
    assert car.invented
    assert car.items["fan-connector"].action is Action.UNPLUG
    assert car.items["front-cowl"].zone == "nose"
    (joint,) = car.items["front-cowl"].joints
    assert (joint.count, joint.drive, joint.pattern, str(joint.torque)) == (4, "hex10", "cross", "9 N·m")
    assert joint.sourced_torque is None  # said, but no source: value needed
    links = {link.item: (link.origin, link.jobs) for link in car.items["fan"].needs_off}
    assert links["front-cowl"] == (Origin.CONFIRMED, 1)
    assert links["fan-connector"] == (Origin.SEEN, 1)
    assert not any(item.links_complete for item in car.items.values())


def test_a_count_that_was_not_heard_is_not_invented() -> None:
    """The fan's bolts were not counted: no joint, a note on the item, a finding."""
    one = drawn(ONE)
    assert read_back(one).items["fan"].joints == ()
    assert "fasteners not counted: bolts" in read_back(one).items["fan"].notes
    assert "count" in {finding.rule for finding in one.findings}


def test_contradictions_are_shown_and_neither_is_taken() -> None:
    """Two recordings, two torques: the joint has none."""
    other = replace(ONE, file="b", lines=(*LINES[:9], replace(LINES[9], torque="12Nm")))
    one = drawn(ONE, other)
    assert read_back(one).items["front-cowl"].joints[0].torque is None
    (told,) = [finding.what for finding in one.findings if finding.rule == "contradiction"]
    assert "9Nm (a, operation 10); 12Nm (b, operation 10); neither is taken" in told


def test_high_voltage_is_blocked_until_proved() -> None:
    """A car with high voltage: every zone needs it safe, and it has no proof, so the work is blocked."""
    car = read_back(drawn(replace(ONE, high_voltage=True)))
    assert car.energies["high-voltage"].near == tuple(car.zones)
    assert car.energies["high-voltage"].proof is None
    assert "high-voltage" not in drawn(ONE).car.energies


def test_it_is_not_known_whether_there_is_high_voltage() -> None:
    """Not known is said, and is not taken for no."""
    one = drawn(replace(ONE, high_voltage=None))
    assert "high-voltage" in {finding.rule for finding in one.findings}


def test_it_can_be_planned() -> None:
    """A plan from the drawn car: the work is there, its links are called assumed."""
    car = read_back(drawn(ONE))
    plan = make_plan(car, wanted(car, ["seal"]), settings=Settings())
    assert isinstance(plan, Plan)
    assert {"fan", "fan-connector", "front-cowl"} <= set(plan.items)
    assert "links" in {finding.rule for finding in plan.findings}


def test_awkward_names() -> None:
    """Names that are no ids, that are alike as ids, that YAML would take for something else."""
    names = ["start", "12 V: lead, negative", "12 v lead negative", "yes", '#1 "plug"', "ölfilter", "…"]
    lines = tuple(Line(n=n, verb=Verb.REMOVE, object=name) for n, name in enumerate(names, start=1))
    car = read_back(drawn(Procedure(car="a: b", file="f", lines=lines)))
    assert [item.name for item in car.items.values()] == names
