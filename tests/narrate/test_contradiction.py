"""Where recordings differ each is quoted with its file, operation and time. The cases are made by hand."""

from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure
from putback.narrate.car.car_from import Drawn, car_from
from putback.narrate.car.learn import learned, recorded


def drawn(*procedures: Procedure) -> Drawn:
    """The car of these recordings."""
    return car_from(procedures, learned([recorded(one) for one in procedures]))


def job(name: str, *lines: Line) -> Procedure:
    """One recording of one car."""
    return Procedure(car="Invented 1", file=name, high_voltage=False, lines=lines)


def off(n: int, thing: str, *, seconds: float | None = None, first: tuple[int, ...] = ()) -> Line:
    """A thing comes off."""
    return Line(n=n, verb=Verb.REMOVE, object=thing, seconds=seconds, first=first)


def back(n: int, thing: str, twin: int) -> Line:
    """A thing goes back."""
    return Line(n=n, verb=Verb.FIT, object=thing, twin=twin)


def test_two_counts_are_quoted_and_neither_is_taken() -> None:
    """Count, file, operation, time and who confirmed it; no joint is made up."""
    one = Line(n=1, verb=Verb.UNDO, object="cowl bolts", count=4, kind="bolt", seconds=75, confirmed="A Person")
    two = Line(n=1, verb=Verb.UNDO, object="cowl bolts", count=5, kind="bolt")
    car = drawn(job("a", one, off(2, "cowl")), job("b", two, off(2, "cowl")))
    (told,) = car.contradictions
    assert (told.about, told.done) == ("cowl bolts: count", "neither is taken")
    assert [(said.words, said.place, said.confirmed) for said in told.sayings] == [
        ("4", "a, operation 1, at 1:15", "A Person"),
        ("5", "b, operation 1", None),
    ]
    assert car.car.items["cowl"].joints == ()


def test_no_person_stands_in_a_finding() -> None:
    """Findings go into the head of the car file, which may be passed on."""
    one = Line(n=1, verb=Verb.UNDO, object="cowl bolts", count=4, confirmed="A Person")
    two = Line(n=1, verb=Verb.UNDO, object="cowl bolts", count=5, confirmed="A Person")
    found = drawn(job("a", one, off(2, "cowl")), job("b", two, off(2, "cowl"))).findings
    assert any("cowl bolts: count" in one.what for one in found)
    assert not any("A Person" in str(one) for one in found)


def test_an_order_that_a_job_speaks_against() -> None:
    """The job for it is quoted with its mark, the one against it with its order."""
    marked = job("a", off(1, "cover"), off(2, "fan", seconds=9, first=(1,)), back(3, "fan", 2), back(4, "cover", 1))
    other = job("b", off(1, "fan"), off(2, "cover"), back(3, "cover", 2), back(4, "fan", 1))
    told = next(one for one in drawn(marked, other).contradictions if one.about == "cover off before fan")
    assert [str(said) for said in told.sayings] == [
        "marked: cover had to come off first (a, operation 2, at 0:09)",
        "off: fan at 1, cover at 2; back: cover at 3, fan at 4 (b, operation 1)",
    ]
    assert told.done == "kept, because it was marked"


def test_a_thing_that_one_job_left_alone() -> None:
    """What was not touched is said to be so, not that it was put in another order."""
    first = job("a", off(1, "cover"), off(2, "fan"), back(3, "fan", 2), back(4, "cover", 1))
    second = job("b", off(1, "fan"), back(2, "fan", 1))
    (told,) = drawn(first, second).contradictions
    assert "cover was not touched (b, operation 1)" in str(told)


def test_two_manners_of_taking_a_thing_off() -> None:
    """Removed here, swung aside there: the first is taken, both are quoted."""
    aside = Line(n=1, verb=Verb.SWING_ASIDE, object="tank")
    (told,) = drawn(job("a", off(1, "tank")), job("b", aside)).contradictions
    assert told.about == "what is done to tank"
    assert [said.words for said in told.sayings] == ["remove", "swing aside"]
    assert told.done == "remove is taken"


def test_high_voltage_is_taken_where_anybody_says_it() -> None:
    """One recording denies it, the other isolates it: both are quoted, the energy is there and blocks."""
    denied = Procedure(car="Invented 1", file="a", high_voltage=False, lines=(off(1, "cover"),))
    plug = Line(n=1, verb=Verb.ISOLATE, object="service plug", seconds=3)
    told = Procedure(car="Invented 1", file="b", lines=(plug, off(2, "cover")))
    car = drawn(denied, told)
    (told_twice,) = car.contradictions
    assert [str(said) for said in told_twice.sayings] == [
        "has none (a)",
        "service plug was isolated (b, operation 1, at 0:03)",
    ]
    assert "high-voltage" in car.car.energies


def test_two_zones_and_two_patterns() -> None:
    """A thing needs a place: the first is taken and both are quoted; of two orders of tightening neither is taken."""
    cars = []
    for name, zone, pattern in (("a", "nose", "star"), ("b", "boot", "criss-cross")):
        bolts = Line(n=1, verb=Verb.UNDO, object="lid bolts", count=4)
        lid = Line(n=2, verb=Verb.REMOVE, object="lid", zone=zone)
        tight = Line(n=3, verb=Verb.TIGHTEN, object="lid bolts", twin=1, pattern=pattern)
        cars.append(job(name, bolts, lid, tight))
    car = drawn(*cars)
    assert [one.about for one in car.contradictions] == ["lid bolts: pattern", "where lid is"]
    assert car.car.items["lid"].zone == "nose"
    assert car.car.items["lid"].joints[0].pattern is None


def test_two_groups_of_one_name_in_one_job_are_two_joints() -> None:
    """Two ten-millimetre bolts and three eights hold the lid: that is no contradiction."""
    ten = Line(n=1, verb=Verb.UNDO, object="lid bolts", count=2, size="10mm")
    eight = Line(n=2, verb=Verb.UNDO, object="lid bolts", count=3, size="8mm")
    car = drawn(job("a", ten, eight, off(3, "lid")), job("b", ten, eight, off(3, "lid")))
    assert car.contradictions == ()
    assert [(one.count, one.drive) for one in car.car.items["lid"].joints] == [(2, "hex10"), (3, "hex8")]
